//! A hose that was cut too short: whether it can still be used.

use crate::finding::Verdict;
use crate::makeup::reach::SlackLeft;
use crate::plan::Plan;
use crate::solve::Facts;
use crate::solve::reach::ReachFacts;

/// Whether a hose can be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usable {
    /// It keeps every rule.
    AsItIs,
    /// It will probably reach, but only after something is proved or moved.
    OnlyIf,
    /// Whether it reaches is a matter of luck.
    Doubtful,
    /// It is pulled tight in service.
    Not,
    /// The plan does not say how far lengths and places may be off.
    Unknown,
}

/// A hose that was cut too short.
#[derive(Clone, Debug)]
pub struct Short<'f> {
    /// Index of the line.
    pub line: usize,
    /// By how much, mm.
    pub by_mm: f64,
    /// Length to cut by the plan, mm.
    pub planned_mm: f64,
    /// Least slack by the rule, percent.
    pub least_percent: f64,
    /// Whether the slack keeps the rule.
    pub keeps_rule: bool,
    /// What is left of the slack, and what would help.
    pub reach: &'f ReachFacts,
    /// Whether it can be used.
    pub usable: Usable,
}

impl Short<'_> {
    /// The verdict.
    pub fn verdict(&self) -> Verdict {
        match self.usable {
            Usable::AsItIs => Verdict::Ok,
            Usable::OnlyIf => Verdict::Caution,
            Usable::Doubtful | Usable::Not => Verdict::Fail,
            Usable::Unknown => Verdict::Open,
        }
    }
}

/// The lines of a plan that were cut short, each with what is left of it; lines without a length are
/// left out, since a check speaks about them.
pub fn cut_short<'f>(plan: &Plan, facts: &'f Facts) -> Vec<Short<'f>> {
    let lines = plan.lines.iter().zip(&facts.lines).enumerate();
    lines
        .filter(|(_, (line, _))| line.cut_short_mm > 0.0)
        .filter_map(|(index, (line, facts))| {
            let makeup = facts.makeup.as_ref().ok()?;
            let reach = makeup.reach.as_ref()?;
            let least_percent = makeup.slack_least.as_ref().map_or(0.0, |s| 100.0 * s.value);
            let keeps_rule = makeup.cut.slack_percent >= least_percent - 1e-9;
            Some(Short {
                line: index,
                by_mm: line.cut_short_mm,
                planned_mm: makeup.cut.cut_mm + line.cut_short_mm,
                least_percent,
                keeps_rule,
                reach,
                usable: usable(&reach.left, keeps_rule, reach.missing.is_empty()),
            })
        })
        .collect()
}

fn usable(left: &SlackLeft, keeps_rule: bool, all_given: bool) -> Usable {
    if left.in_service_mm < 0.0 {
        Usable::Not
    } else if !all_given {
        Usable::Unknown
    } else if left.in_service_mm < left.spread_mm {
        Usable::Doubtful
    } else if left.worst_mm < 0.0 || !keeps_rule {
        Usable::OnlyIf
    } else {
        Usable::AsItIs
    }
}
