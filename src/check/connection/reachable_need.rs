//! `connection.reachable-need`: whether a tank feeds everything that uses fluid up.

use super::names;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.reachable-need",
    looks_at: "the way from each need back to a tank while every component is in its usual state",
    why: "an engine that no tank leads to stops when its lines are empty",
    number: "the number of tanks that feed the need; one is needed",
    limit_from: "the plan itself: fluid has to come from somewhere",
    open_when: "the plan has no need: then nothing is said",
    remedy: "lead a line from a tank to it; look for a valve that is shut in its usual state, its first, or a part that points the wrong way",
};

/// Judges the needs of the plan.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    judge(whole, &whole.facts.connection.wired)
}

/// Judges the needs of a wiring.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for need in &wired.needs {
        let id = &whole.plan.components[need.component].id;
        let draft = whole.draft(&ABOUT, id);
        let tanks = |set: &std::collections::BTreeSet<usize>| names(whole, set.iter().copied());
        findings.push(if !need.usual.is_empty() {
            draft.ok(format!("{} feeds {id}", tanks(&need.usual)))
        } else if need.ever.is_empty() {
            draft.fail(format!("no tank leads to {id}, in no state of anything"), ABOUT.remedy)
        } else {
            draft.fail(
                format!(
                    "{} leads to {id}, but not while every component is in its usual state",
                    tanks(&need.ever)
                ),
                "write first the state of each component in which the machine runs",
            )
        });
    }
    findings
}
