//! `connection.direction`: whether lines and the paths inside components point the same way.

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;
use crate::solve::connection::direction::{Directed, DirectedEnd};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.direction",
    looks_at: "both ends of each line: whether fluid can enter, or leave, the component there at all",
    why: "a pump or a check valve fitted backwards stops the flow; a filter fitted backwards lets its dirt go or collapses",
    number: "the number of ends that point against a pump, a one-way path or a filter; none may be left",
    limit_from: "the plan itself: from and to of the line against from and to of the path",
    open_when: "never: where a path lets fluid pass both ways, both are right",
    remedy: "exchange the lines at the two ports, or turn the component round; if only the plan is wrong, exchange from and to there",
};

/// Judges the lines of the plan.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    judge(whole, &whole.facts.connection.wired)
}

/// Judges the lines of a wiring.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for line in &wired.directions {
        let id = &whole.plan.lines[line.line].id;
        let draft = whole.draft(&ABOUT, id);
        let reversed: Vec<&DirectedEnd> = line.ends.iter().filter(|e| e.reversed).collect();
        if reversed.is_empty() {
            findings.push(draft.clone().ok(match line.ends.len() {
                0 => "both ends let fluid pass either way",
                _ => "it leads the way that the components at its ends let fluid pass",
            }));
        }
        for end in reversed {
            findings.push(draft.clone().fail(words(whole, id, end), ABOUT.remedy));
        }
    }
    findings
}

fn words(whole: &Whole<'_>, line: &str, end: &DirectedEnd) -> String {
    let (component, port) = whole.plan.port(&end.port);
    let path = &component.paths[end.path];
    let outlet = path.to == end.port.port;
    let (goes, meets) = match (outlet, end.by) {
        (true, Directed::Pump) => ("enters", "the pump delivers"),
        (true, Directed::OneWay) => ("enters", "fluid can only come out"),
        (true, Directed::Filter) => ("enters", "the filtered fluid comes out"),
        (false, Directed::Pump) => ("leaves", "the pump draws"),
        (false, Directed::OneWay) => ("leaves", "fluid can only go in"),
        (false, Directed::Filter) => ("leaves", "fluid goes in to be filtered"),
    };
    format!(
        "reversed: {line} {goes} {} {} at {}, where {meets} (path {})",
        component.kind, component.id, port.name, path.name
    )
}
