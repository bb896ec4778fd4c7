//! `network.least-flow`: a path that must have a flow, such as the water of an oil exchanger.

use core::fmt::Write;

use super::governed;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::network::facts::LeastFlowFacts;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.least-flow",
    looks_at: "paths with flow_least, over all cases",
    why: "a branch is robbed by another one just when it matters, as an oil exchanger when the thermostat opens",
    number: "the least flow in L/min, against flow_least, at the worst case",
    limit_from: "the plan: flow_least of the path",
    open_when: "the circuit is not solved in any case",
    remedy: "less resistance in this branch, or more in the one that robs it",
};

/// Judges every such path.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.network.least_flows.iter().map(|path| one(whole, path)).collect()
}

fn one(whole: &Whole<'_>, path: &LeastFlowFacts) -> Finding {
    let draft = whole.draft(&ABOUT, &whole.path_name(path.component, path.path));
    let Some(least) = &path.least else {
        return draft.open("there is no solved case", "see network.solved");
    };
    let litres = |flow: f64| flow * 60e3;
    let wanted = litres(path.wanted_m3_s);
    let value = litres(least.value);
    let draft =
        governed(draft, least).value(value, "L/min").least(wanted, &Cite::plan("flow_least"));
    let mut text = format!("{value:.1} L/min of {wanted:.1} L/min");
    if let Some(most) = path.most.as_ref().filter(|m| m.value > 0.0) {
        let share = 100.0 * (1.0 - least.value / most.value);
        let _ = write!(
            text,
            ", {share:.0} % less than the {:.1} L/min in \"{}\"",
            litres(most.value),
            most.case.name
        );
    }
    if least.value >= path.wanted_m3_s {
        return draft.ok(text);
    }
    let remedy = path.resistance_share.map_or_else(
        || format!("{}; no resistance of its own, however small, restores the flow", ABOUT.remedy),
        |share| {
            format!(
                "{share:.3} of its present resistance gives {wanted:.1} L/min in that case; or more resistance \
                 in the branch that robs it"
            )
        },
    );
    draft.fail(text, remedy)
}
