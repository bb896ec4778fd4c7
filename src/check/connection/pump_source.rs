//! `connection.pump-source`: whether each pump can draw from a tank.

use super::names;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;
use crate::solve::connection::source::Source;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.pump-source",
    looks_at: "the way from the inlet of each pump back to a tank, against the direction of lines and one-way paths",
    why: "a pump without a source runs dry and destroys itself, and what it should feed stops",
    number: "the number of tanks that the inlet leads back to; one is needed, or a loop with a tank joined to it",
    limit_from: "the plan itself: fluid has to come from somewhere",
    open_when: "the plan does not say with a pump law which port of the pump draws",
    remedy: "lead its inlet back to a tank; look for a line, a check valve or a selector that points the wrong way",
};

/// Judges the pumps of the plan.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let mut findings = judge(whole, &whole.facts.connection.wired);
    for component in whole.plan.components.iter().filter(|c| c.kind == "pump") {
        if !component.paths.iter().any(|p| p.law.is_pump()) {
            findings.push(whole.draft(&ABOUT, &component.id).open(
                "no path with a pump law says which of its ports draws",
                "give it a [[component.path]] with a pump",
            ));
        }
    }
    findings
}

/// Judges the pumps of a wiring.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for pump in &wired.pumps {
        let component = &whole.plan.components[pump.component];
        let id = &component.id;
        let draft = whole.draft(&ABOUT, id);
        let inlet = &component.ports[component.paths[pump.path].from].name;
        findings.push(match &pump.source {
            Source::Tanks(tanks) => {
                draft.ok(format!("{id} draws from {}", names(whole, tanks.iter().copied())))
            }
            Source::Loop(tanks) if !tanks.is_empty() => {
                let tanks = names(whole, tanks.iter().copied());
                draft.ok(format!("{id} drives a loop that {tanks} is joined to"))
            }
            Source::Loop(_) => draft.fail(
                format!("pump {id} has no source: it drives a loop that no tank is joined to"),
                "join an expansion tank to the loop, best at the inlet of the pump",
            ),
            Source::None => draft.fail(
                format!("pump {id} has no source: no tank leads to its port {inlet}"),
                ABOUT.remedy,
            ),
        });
    }
    findings
}
