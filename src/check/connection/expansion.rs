//! `connection.expansion`: whether liquid that warms has room to expand.

use super::names;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;
use crate::solve::connection::closed::{Room, Warms};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.expansion",
    looks_at: "each circuit of liquid: whether a tank or a vent is joined to it",
    why: "liquid in a closed loop has no room when it warms: the pressure rises until something bursts",
    number: "the number of tanks and vents in the circuit; one is needed",
    limit_from: "the plan itself: a liquid can hardly be compressed",
    open_when: "a component has no path, so that the plan does not say where the circuit leads on",
    remedy: "join an expansion tank to the loop",
};

/// Judges the circuits of the plan.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    judge(whole, &whole.facts.connection.wired)
}

/// Judges the circuits of a wiring.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for circuit in &wired.circuits {
        let draft = whole.draft(&ABOUT, &circuit.name);
        let uses_up = |c: &&usize| whole.plan.components[**c].need.is_some();
        findings.push(match (&circuit.room, circuit.warms) {
            (Room::Tanks(open), _) => {
                draft.ok(format!("open to {}", names(whole, open.iter().copied())))
            }
            (Room::LeadsOn(to), _) if to.iter().any(|c| uses_up(&c)) => {
                let to = names(whole, to.iter().filter(uses_up).copied());
                draft.ok(format!("not closed: {to} uses its fluid up"))
            }
            (Room::LeadsOn(_), _) => draft.open(
                "the plan does not say where the fluid goes inside the components at its ends",
                "add [[component.path]] to them",
            ),
            (Room::None, Some(warms)) => {
                let why = match warms {
                    Warms::At(component) => {
                        format!("it warms at {}", whole.plan.components[component].id)
                    }
                    Warms::Temperatures => "its temperature changes".to_owned(),
                };
                draft.fail(
                    format!("closed loop without expansion: no tank is joined to it, and {why}"),
                    ABOUT.remedy,
                )
            }
            (Room::None, None) => draft.caution(
                "closed loop without expansion: nothing in the plan warms it, but the air will",
                ABOUT.remedy,
            ),
        });
    }
    findings
}
