//! `network.least-flow`: a path that must have a flow, such as the water of an oil exchanger.

use core::fmt::Write;

use super::governed;
use crate::check::{About, Draft, Whole};
use crate::finding::Finding;
use crate::solve::network::facts::{FlowInCase, LeastFlowFacts};
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

/// Judges every such path in every named case and in the worst combination.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.network.least_flows.iter().flat_map(|path| one(whole, path)).collect()
}

fn one(whole: &Whole<'_>, path: &LeastFlowFacts) -> Vec<Finding> {
    let name = whole.path_name(path.component, path.path);
    if path.cases.is_empty() {
        let draft = whole.draft(&ABOUT, &name);
        return vec![draft.open("there is no solved case", "see network.solved")];
    }
    path.cases.iter().map(|case| in_case(whole.draft(&ABOUT, &name), path, case)).collect()
}

fn in_case(draft: Draft, path: &LeastFlowFacts, case: &FlowInCase) -> Finding {
    let litres = |flow: f64| flow * 60e3;
    let (value, wanted) = (litres(case.flow.value), litres(path.wanted_m3_s));
    let draft = governed(draft, &case.flow).value(value, "L/min");
    let draft = draft.least(wanted, &Cite::plan("flow_least"));
    let mut text = format!("{value:.1} L/min of {wanted:.1} L/min");
    if let Some(most) = path.most.as_ref().filter(|m| m.value > case.flow.value) {
        let share = 100.0 * (1.0 - case.flow.value / most.value);
        let _ = write!(
            text,
            ", {share:.0} % less than the {:.1} L/min in \"{}\"",
            litres(most.value),
            most.case.name
        );
    }
    if case.flow.value >= path.wanted_m3_s {
        return draft.ok(text);
    }
    let remedy = case.resistance_share.map_or_else(
        || format!("{}; no resistance of its own, however small, restores the flow", ABOUT.remedy),
        |share| {
            format!(
                "{:.1} % of its present resistance gives {wanted:.1} L/min in this case; or more \
                 resistance in the branch that robs it",
                100.0 * share
            )
        },
    );
    draft.fail(text, remedy)
}
