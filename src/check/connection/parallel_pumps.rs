//! `connection.parallel-pumps`: whether a pump that runs drives fluid back through one that stands still.

use super::{list, names};
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.parallel-pumps",
    looks_at: "pumps whose outlets are joined: the way from the outlet of one back through the other",
    why: "without a check valve the pump that runs only drives fluid in a circle through the one that stands still, and nothing arrives",
    number: "the number of ways back that no one-way path shuts; none may be left",
    limit_from: "the plan itself: two pumps on one line need a one-way path each",
    open_when: "the plan has no path with a pump law: then nothing is said",
    remedy: "put a check valve behind the outlet of each pump, as a component whose path has one_way = true, or set one_way on the path of the pump if one is built in",
};

/// Judges the pumps of the plan that stand side by side.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    judge(whole, &whole.facts.connection.wired)
}

/// Judges the pumps of a wiring.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for pair in &wired.parallel {
        let place = names(whole, pair.pumps);
        let draft = whole.draft(&ABOUT, &place);
        if pair.back.is_empty() {
            findings.push(
                draft
                    .clone()
                    .ok(format!("one-way paths keep {place} from driving each other back")),
            );
        }
        for back in &pair.back {
            let [runs, stands] =
                [back.runs, back.stands].map(|c| whole.plan.components[c].id.as_str());
            let lines: Vec<&str> =
                back.lines.iter().map(|l| whole.plan.lines[*l].id.as_str()).collect();
            let by = if lines.is_empty() { String::new() } else { format!(" by {}", list(&lines)) };
            findings.push(draft.clone().fail(
                format!(
                    "while {runs} runs and {stands} stands still, {runs} drives fluid{by} back through {stands}: nothing shuts that way"
                ),
                ABOUT.remedy,
            ));
        }
    }
    findings
}
