//! The make-up steps of a line with the pressure of its proof test, as `test proof` plans it by the tables.

use super::{Planner, Rules, Wanted, hold};
use crate::check::deferred::deferred_line;
use crate::finding::Verdict;
use crate::plan::Plan;
use crate::solve::Facts;
use crate::solve::steps::{Number, Proof, StepsFacts, Unit, solve};
use crate::table::Tables;
use crate::units::Quantity;

use super::ProofPlan;

/// The steps of the line of this index.
///
/// ```
/// use hosewright::{assess::read_and_assess, diagnostic::SourceText, table::Tables, trial::proof::steps};
/// let plan = SourceText::new("plan.toml", hosewright::plan::starter::STARTER);
/// let tables = Tables::builtin();
/// let assessment = read_and_assess(&plan, &tables).unwrap();
/// let steps = steps(&assessment.plan, &assessment.facts, &tables, 0);
/// let finish = steps.groups.last().unwrap().steps.as_ref().unwrap();
/// let proof = finish.iter().find(|s| s.step == "proof").unwrap().number.as_ref().unwrap();
/// assert!(proof.as_ref().unwrap().aim.unwrap() > 0.0);
/// ```
pub fn steps(plan: &Plan, facts: &Facts, tables: &Tables, index: usize) -> StepsFacts {
    solve(plan, tables, &facts.lines, index, pressure(plan, facts, tables, index))
}

fn pressure(plan: &Plan, facts: &Facts, tables: &Tables, index: usize) -> Proof {
    if !deferred_line(plan, facts, tables, index).is_empty() {
        return Some(Err(
            "the line is left to others, who state the pressure: see test proof".into()
        ));
    }
    let (line, own) = (&plan.lines[index], &facts.lines[index]);
    match (Planner { plan, facts, tables, rules: &Rules::default(), line, own }).wanted() {
        Ok(Ok(wanted)) => Some(number(tables, wanted)),
        Ok(Err(ProofPlan::None(_))) => None,
        Ok(Err(ProofPlan::Open(why))) | Err(why) => Some(Err(why)),
        Ok(Err(_)) => Some(Err("see test proof".into())),
    }
}

/// The pressure with what it may reach, how long it is held, and with what.
fn number(tables: &Tables, wanted: Wanted) -> Result<Number, String> {
    let aim = wanted.pressure.value / 1e5;
    let stands = wanted.stands.map(|s| s.map(|pa| pa / 1e5));
    if wanted.verdict == Verdict::Fail {
        let stands = stands.map_or_else(String::new, |s| format!(" of {:.1} bar", s.value));
        return Err(format!(
            "the test pressure of {aim:.1} bar is above the one that the line stands{stands}"
        ));
    }
    if !wanted.highest.unknown.is_empty() {
        return Err(format!(
            "at least {aim:.1} bar, but the pressure is not known in every case: see test proof"
        ));
    }
    let hold = hold(tables)?;
    let cite = wanted.pressure.cite.and(&hold.cite);
    let most = stands.as_ref().map(|s| s.value).filter(|most| *most > aim);
    let place =
        if wanted.bench { "plugged, on the bench" } else { "where it sits, once it is fitted" };
    let limit = if stands.is_none() { "; no table says what it stands at most" } else { "" };
    Ok(Number {
        name: String::new(),
        unit: Unit::Bar,
        aim: Some(aim),
        least: Some(aim),
        most,
        with: Some(format!(
            "{place}, held {:.0} s, with {} and never with gas{limit}",
            hold.value.si(),
            wanted.liquid.label
        )),
        cite: stands.filter(|_| most.is_some()).map_or(cite.clone(), |s| cite.and(&s.cite)),
    })
}
