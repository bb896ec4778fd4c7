//! `network.need`: whether what uses fluid up gets it, with the share more that a chosen yardstick asks for.

use super::governed;
use crate::check::{About, Whole, at_most};
use crate::finding::{Finding, Verdict};
use crate::plan::Plan;
use crate::solve::network::facts::NeedFacts;
use crate::source::{Cite, Sourced};
use crate::table::Tables;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.need",
    looks_at: "components with a need, over all cases: what comes when all that can is let through at the pressure they need",
    why: "an engine that is fed just enough stops when a filter is half blocked or a pump fails",
    number: "flow that comes, in L/min, against the need times the factor of the yardstick, at the worst case",
    limit_from: "the need of the plan, and the chosen rules with a factor (limit/regulation): design targets, not an approval",
    open_when: "the circuit is not solved in any case",
    remedy: "a wider line, a freer filter, a higher tank or a larger pump",
};

/// Judges every need.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.network.needs.iter().flat_map(|need| one(whole, need)).collect()
}

fn one(whole: &Whole<'_>, need: &NeedFacts) -> Vec<Finding> {
    let id = &whole.plan.components[need.component].id;
    let Some(available) = &need.available else {
        return vec![whole.draft(&ABOUT, id).open("there is no solved case", "see network.solved")];
    };
    let comes = available.value * 60e3;
    let needed = need.wanted_m3_s * 60e3;
    let mut yardsticks = vec![Sourced::new(1.0, Cite::plan("need"))];
    yardsticks.extend(chosen(whole.plan, whole.tables, need.pumped));
    yardsticks
        .into_iter()
        .map(|factor| {
            let limit = needed * factor.value;
            let draft = governed(whole.draft(&ABOUT, id), available)
                .value(comes, "L/min")
                .least(limit, &factor.cite);
            let come = if comes <= -0.005 {
                format!("nothing comes, {:.2} L/min would run back", -comes)
            } else if comes < 0.005 {
                "nothing comes".to_owned()
            } else {
                format!("{comes:.2} L/min come")
            };
            let text = format!(
                "{come}, {limit:.2} L/min are wanted: {:.0} % of {needed:.2} L/min",
                100.0 * factor.value
            );
            // More is better here: the flow that is wanted must not pass the flow that comes.
            match at_most(limit, comes, whole.near()) {
                Verdict::Ok => draft.ok(text),
                Verdict::Caution => draft.caution(text, ABOUT.remedy),
                _ => draft.fail(text, ABOUT.remedy),
            }
        })
        .collect()
}

/// Factors of the chosen rules that speak of pumps or of gravity.
pub fn chosen(plan: &Plan, tables: &Tables, pumped: bool) -> Vec<Sourced<f64>> {
    let Some(table) = tables.get("limit", "regulation") else { return Vec::new() };
    let speaks_of = if pumped { "pump" } else { "gravity" };
    let rules = plan.rules.iter();
    rules
        .filter_map(|rule| {
            let row = table.row(&[("id", rule)])?;
            let feed = table.words(row, "feed")?.value;
            let fits = feed == speaks_of || feed == "any";
            table.number(row, "factor").filter(|_| fits)
        })
        .collect()
}
