//! The part of a plan that the size of a line reaches: the circuits that are solved together with its own.

use crate::assess::Assessment;
use crate::plan::{Line, Plan};
use crate::solve::network::circuit::Circuit;
use crate::solve::network::machine::groups;

/// Lines that are solved together, by index, in the order of the plan.
#[derive(Clone, Debug)]
pub struct Part {
    /// The lines.
    pub lines: Vec<usize>,
}

/// The parts of a plan that have an answer. A line of a circuit without one, or of a gas, stands by itself:
/// the plan states its flow.
pub fn parts(assessment: &Assessment, circuits: &[Circuit]) -> Vec<Part> {
    let solved = |line: usize| {
        let facts = &assessment.facts.network.circuits;
        facts.iter().any(|c| c.missing.is_empty() && c.lines.contains(&line))
    };
    groups(&assessment.plan, circuits)
        .iter()
        .map(|group| {
            let mut lines: Vec<usize> =
                group.circuits.iter().flat_map(|c| circuits[*c].lines()).collect();
            lines.sort_unstable();
            Part { lines }
        })
        .filter(|part| part.lines.iter().all(|l| solved(*l)))
        .collect()
}

impl Part {
    /// The plan with only these lines. Nothing is cut and ordered from it.
    pub fn as_planned(&self, plan: &Plan) -> Plan {
        let lines = self.lines.iter().map(|l| plan.lines[*l].clone());
        Plan { lines: lines.collect(), stock: None, ..plan.clone() }
    }

    /// The plan with only these lines, one of them exchanged.
    pub fn with_line(&self, plan: &Plan, line: usize, by: &Line) -> Plan {
        let lines = self.lines.iter().map(|l| if *l == line { by } else { &plan.lines[*l] });
        Plan { lines: lines.cloned().collect(), stock: None, ..plan.clone() }
    }
}
