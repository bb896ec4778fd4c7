//! What the proof tests ask of what was written down of them.

use super::{Planner, ProofPlan, Rules};
use crate::check::deferred::deferred_line;
use crate::check::record::proof::{ProofAsked, ProofPressures};
use crate::plan::Plan;
use crate::solve::Facts;
use crate::table::Tables;

/// The pressures of the proof tests of some lines, by the rules of the tables.
///
/// # Gives
/// One for each line whose index is wanted and that is tested under pressure, in the order of the plan; none of a line
/// that is left to others, who state its pressure.
///
/// ```
/// use hosewright::{assess::read_and_assess, diagnostic::SourceText, table::Tables, trial::proof::asked};
/// let plan = SourceText::new("plan.toml", hosewright::plan::starter::STARTER);
/// let tables = Tables::builtin();
/// let assessment = read_and_assess(&plan, &tables).unwrap();
/// let asked = asked(&assessment.plan, &assessment.facts, &tables, |_| true);
/// assert_eq!(asked[0].line, 0);
/// assert!(asked[0].pressures.as_ref().unwrap().least.value > 0.0);
/// ```
pub fn asked(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    wanted: impl Fn(usize) -> bool,
) -> Vec<ProofAsked> {
    let rules = Rules::default();
    let one = |(index, (line, own))| {
        if !deferred_line(plan, facts, tables, index).is_empty() {
            return None;
        }
        let planner = Planner { plan, facts, tables, rules: &rules, line, own };
        let pressures = match planner.wanted() {
            Ok(Ok(wanted)) => Ok(ProofPressures {
                least: wanted.pressure,
                by: wanted.by,
                may_be_more: !wanted.highest.unknown.is_empty(),
                stands: wanted.stands,
            }),
            Ok(Err(ProofPlan::Open(why))) | Err(why) => Err(why),
            Ok(Err(_)) => return None,
        };
        Some(ProofAsked { line: index, pressures })
    };
    let lines = plan.lines.iter().zip(&facts.lines).enumerate();
    lines.filter(|(index, _)| wanted(*index)).filter_map(one).collect()
}
