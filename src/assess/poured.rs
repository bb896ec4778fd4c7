//! What was poured into a system, held against what the plan predicts: the air that is still in it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::assess::Assessment;
use crate::diagnostic::SourceText;
use crate::plan::Plan;
use crate::solve::fill::{self, SystemFacts};
use crate::solve::{self, case, solve_in};
use crate::table::Tables;

/// What was poured in.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    /// The system, or the fluid where only one system has it.
    pub of: String,
    /// How much, m3.
    pub volume_m3: f64,
    /// How far that may be off, m3; none where it was not said.
    pub error_m3: Option<f64>,
}

/// The systems of a plan, and those that were filled.
#[derive(Debug)]
pub struct Filling {
    /// The systems, in the order of their first lines.
    pub systems: Vec<SystemFacts>,
    /// What was poured, by system.
    pub poured: Vec<Poured>,
}

/// A system that was filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Poured {
    /// Index of the system.
    pub system: usize,
    /// What went in, m3.
    pub poured_m3: f64,
    /// What the plan predicts, m3.
    pub predicted_m3: f64,
    /// Whether more must go in than that, since the volume of some parts is not known.
    pub at_least: bool,
    /// How far the poured volume may be off, m3; none where it was not said.
    pub poured_error_m3: Option<f64>,
    /// How far the predicted volume may be off by the `±` of the plan, added up, m3; none where it has none.
    pub predicted_error_m3: Option<f64>,
    /// Quantities with `±` of which the plan is none any more at an end of it.
    pub not_moved: usize,
    /// What it says.
    pub outcome: Outcome,
}

/// What poured against predicted says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Less went in than there is room for, by more than the errors: the difference is air.
    Air,
    /// The difference lies within the errors: none can be told.
    Within,
    /// More went in than the plan predicts: what is not known takes it, or a figure is wrong.
    More,
}

impl Poured {
    /// What did not go in, m3; below zero where more did.
    pub fn missing_m3(&self) -> f64 {
        self.predicted_m3 - self.poured_m3
    }

    /// How far that may be off, m3; none where nothing is known of any error.
    pub fn error_m3(&self) -> Option<f64> {
        match (self.poured_error_m3, self.predicted_error_m3) {
            (None, None) => None,
            (a, b) => Some(a.unwrap_or(0.0) + b.unwrap_or(0.0)),
        }
    }
}

/// The systems of an assessed plan, with what was poured into some of them.
///
/// The assessment has to be that of the same text.
///
/// # Errors
/// In words, with a hint: a system or fluid that is not there, or that does not say which is meant.
pub fn filling(
    file: &Arc<SourceText>,
    tables: &Tables,
    assessment: &Assessment,
    amounts: &[Amount],
) -> Result<Filling, (String, String)> {
    let plan = &assessment.plan;
    let systems = fill::solve(plan, &assessment.facts);
    let chosen: Vec<(usize, &Amount)> = amounts
        .iter()
        .map(|amount| Ok((find(plan, &systems, &amount.of)?, amount)))
        .collect::<Result<_, (String, String)>>()?;
    if let Some((_, twice)) = chosen
        .iter()
        .enumerate()
        .find(|(i, (s, _))| chosen[..*i].iter().any(|(t, _)| t == s))
        .map(|(_, c)| c)
    {
        let message = format!("{} was poured twice", twice.of);
        return Err((message, "add up what went in".into()));
    }
    let moved =
        if chosen.is_empty() { Moved::default() } else { moved(file, tables, plan, &systems) };
    let poured = chosen.into_iter().map(|(s, amount)| judged(plan, &systems, s, amount, &moved));
    Ok(Filling { poured: poured.collect(), systems })
}

fn find(plan: &Plan, systems: &[SystemFacts], of: &str) -> Result<usize, (String, String)> {
    let is_it = |s: &&SystemFacts| s.name == of || plan.fluids[s.fluid].id == of;
    let found: Vec<usize> =
        systems.iter().enumerate().filter(|(_, s)| is_it(s)).map(|(i, _)| i).collect();
    let named = systems.iter().position(|s| s.name == of);
    let known: Vec<&str> = systems.iter().map(|s| s.name.as_str()).collect();
    let known = format!("systems that are filled: {}", known.join("; "));
    match (found[..].as_ref(), named) {
        ([one], _) => Ok(*one),
        (_, Some(named)) => Ok(named),
        ([], None) => Err((format!("the plan fills no \"{of}\""), known)),
        _ => Err((format!("several systems hold {of}: which one?"), known)),
    }
}

/// By how much each system's charge moves with the `±` of the plan.
#[derive(Default)]
struct Moved {
    by_m3: Vec<f64>,
    refused: usize,
}

fn moved(file: &Arc<SourceText>, tables: &Tables, plan: &Plan, nominal: &[SystemFacts]) -> Moved {
    let mut moved = Moved { by_m3: vec![0.0; nominal.len()], refused: 0 };
    for uncertain in plan.uncertain.iter().filter(|u| u.amount > 0.0) {
        let mut most = vec![0.0_f64; nominal.len()];
        for end in [-1.0, 1.0] {
            let shifts = BTreeMap::from([(uncertain.span.start, end)]);
            match Plan::read_shifted(file, tables, &shifts).map(|p| charges(&p, tables)) {
                Ok(charges) if charges.len() == nominal.len() => {
                    for ((most, charge), system) in most.iter_mut().zip(charges).zip(nominal) {
                        *most = most.max((charge - system.charge_m3()).abs());
                    }
                }
                _ => moved.refused += 1,
            }
        }
        moved.by_m3.iter_mut().zip(most).for_each(|(sum, most)| *sum += most);
    }
    moved
}

fn charges(plan: &Plan, tables: &Tables) -> Vec<f64> {
    let facts = solve_in(plan, tables, case::named(plan), solve::Depth::Verdicts);
    fill::solve(plan, &facts).iter().map(SystemFacts::charge_m3).collect()
}

fn judged(
    plan: &Plan,
    systems: &[SystemFacts],
    index: usize,
    amount: &Amount,
    moved: &Moved,
) -> Poured {
    let system = &systems[index];
    let by_m3 = moved.by_m3.get(index).copied().filter(|by| *by > 0.0);
    let mut found = Poured {
        system: index,
        poured_m3: amount.volume_m3,
        predicted_m3: system.charge_m3(),
        at_least: !system.not_known(plan).is_empty(),
        poured_error_m3: amount.error_m3,
        predicted_error_m3: by_m3,
        not_moved: moved.refused,
        outcome: Outcome::Within,
    };
    let (missing, error) = (found.missing_m3(), found.error_m3().unwrap_or(0.0));
    found.outcome = if missing.abs() <= error {
        Outcome::Within
    } else if missing > 0.0 {
        Outcome::Air
    } else {
        Outcome::More
    };
    found
}
