//! `connection.open-port`: ports that no line and no join is on.

use crate::check::{About, Whole};
use crate::finding::Finding;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.open-port",
    looks_at: "every port of every component: whether a line or a join is on it",
    why: "fluid runs out of a forgotten port, or a pump draws air in through it",
    number: "the number of ports without a line or a join; none may be left",
    limit_from: "the plan itself: a port that is drawn is a hole",
    open_when: "never: the plan says what is on each port",
    remedy: "draw the line or the join that belongs there; take the port out of the plan if it has a plug",
};

/// Judges the ports of each component; the mouth of a vent is meant to be open.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for facts in &whole.facts.connection.ports {
        let component = &whole.plan.components[facts.component];
        let draft = whole.draft(&ABOUT, &component.id);
        let open: Vec<&str> =
            facts.open.iter().map(|p| component.ports[*p].name.as_str()).collect();
        findings.push(match open.as_slice() {
            [] => draft.ok(format!("every port of {} is in use", component.id)),
            _ if component.kind == "vent" => draft.ok("a vent is open to the air"),
            [one] => {
                draft.caution(format!("nothing is on port {one} of {}", component.id), ABOUT.remedy)
            }
            several => draft.caution(
                format!("nothing is on the ports {} of {}", several.join(", "), component.id),
                ABOUT.remedy,
            ),
        });
    }
    findings
}
