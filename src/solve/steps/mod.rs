//! How a line is made up: its steps in groups, each with what it is held against.

mod number;

use super::LineFacts;
use crate::plan::{Carrier, Line, Plan};
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::step::{StepRow, steps};
use crate::units::Quantity;
use number::number;
pub use number::{Number, Unit};

/// The steps of one line.
#[derive(Debug)]
pub struct StepsFacts {
    /// The groups, in the order of the work.
    pub groups: Vec<Group>,
}

/// Steps that belong together.
#[derive(Debug)]
pub struct Group {
    /// What they are about: `cut`, `end A`, `end B`, `finish`.
    pub name: String,
    /// What the end is, for the group of an end.
    pub of: Option<String>,
    /// The steps, or why there are none.
    pub steps: Result<Vec<Step>, String>,
}

/// One step.
#[derive(Debug)]
pub struct Step {
    /// Its key: `cut`, `nipple` and so on, once in a group.
    pub step: String,
    /// What is done.
    pub text: Sourced<String>,
    /// What it is held against, or why that is not known; none where it is only done.
    pub number: Option<Result<Number, String>>,
}

/// The proof pressure of a line, or why it is not known; none where no test is made of it.
pub type Proof = Option<Result<Number, String>>;

/// The steps of the line of this index, with the pressure that its proof test asks for.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    lines: &[LineFacts],
    index: usize,
    proof: Proof,
) -> StepsFacts {
    let at = At { plan, tables, line: &plan.lines[index], facts: &lines[index], proof };
    let (cut, carrier) = match at.line.carrier {
        Carrier::Hose(_) => ("cut-hose", "hose"),
        Carrier::Tube(_) => ("cut-tube", "tube"),
    };
    let whole = |name: &str, table: &str| Group {
        name: name.to_owned(),
        of: None,
        steps: group(&at, table, carrier, None),
    };
    let end = |end: usize| Group {
        name: format!("end {}", ["A", "B"][end]),
        of: at.line.ends[end].as_ref().map(|e| e.label.clone()),
        steps: at.end_table(end).and_then(|table| group(&at, &table, carrier, Some(end))),
    };
    StepsFacts { groups: vec![whole("cut", cut), end(0), end(1), whole("finish", "finish")] }
}

/// A line with all that its steps are asked about.
struct At<'a> {
    plan: &'a Plan,
    tables: &'a Tables,
    line: &'a Line,
    facts: &'a LineFacts,
    proof: Proof,
}

impl At<'_> {
    /// The table with the steps of an end.
    fn end_table(&self, end: usize) -> Result<String, String> {
        let port = if end == 0 { self.line.from } else { self.line.to };
        let spigot = self.plan.port(&port).1.end.is_spigot();
        let Some(fitting) = &self.line.ends[end] else {
            let word = if spigot {
                Ok("end-spigot".to_owned())
            } else {
                Err("the line has no fitting here".to_owned())
            };
            return word;
        };
        let attached = fitting.attached.as_ref().ok_or_else(|| {
            format!(
                "how {} is put on is not known: attached in its table or [[end]]",
                fitting.label
            )
        })?;
        Ok(format!("end-{}", attached.value))
    }

    /// Whether a circumstance holds that a step asks for.
    fn holds(&self, when: &str, end: Option<usize>) -> bool {
        match when {
            "sleeves" => !self.line.sleeves.is_empty(),
            "proof" => self.proof.is_some(),
            "bends" => self.facts.geometry.as_ref().is_ok_and(|g| !g.bends.is_empty()),
            // The first elbow may stand as it likes; the second is turned to it.
            "second elbow" => {
                let angled = |e: &Option<crate::table::end::End>| {
                    e.as_ref().is_some_and(|e| e.angle.si() > 1e-9)
                };
                end == Some(1) && self.line.ends.iter().all(angled)
            }
            _ => false,
        }
    }

    /// The material and the outside diameter of a rigid tube, mm.
    fn tube(&self) -> Option<(&str, f64)> {
        let Carrier::Tube(tube) = &self.line.carrier else { return None };
        Some((tube.material.as_str(), tube.outside.value.si() * 1e3))
    }
}

fn group(at: &At<'_>, table: &str, carrier: &str, end: Option<usize>) -> Result<Vec<Step>, String> {
    let rows = steps(at.tables, table, carrier)
        .ok_or_else(|| format!("there is no table step/{table}"))?;
    let holds = |row: &StepRow| {
        row.when.as_deref().is_none_or(|when| at.holds(when, end)) && row.is_for(at.tube())
    };
    let made = |row: StepRow| Step {
        number: row.number.as_deref().map(|name| number(at, &row, name, end)),
        step: row.step,
        text: row.text,
    };
    Ok(rows.into_iter().filter(holds).map(made).collect())
}
