//! What changed between two plans, in the builder's words, and what that does to every result.
//!
//! A [`Comparison`] lists what differs and counts what does not. Lines and components that bear another name
//! are known again by their ends and places ([`names`]); what is written in the plans is compared key by key
//! ([`written`]), results by line and case ([`figures`]), findings by what they look at ([`judged`]).
//!
//! ```
//! use hosewright::compare::{Side, compare};
//! use hosewright::{assess::read_and_assess, diagnostic::SourceText, table::Tables};
//! let tables = Tables::builtin();
//! let starter = hosewright::plan::starter::STARTER;
//! let read = |text: &str| read_and_assess(&SourceText::new("plan.toml", text), &tables).unwrap();
//! let changed = starter.replace("[650, 150, 300]", "[650, 162, 300]");
//! let (old, new) = (read(starter), read(&changed));
//! let side = |assessment, text| Side { assessment, tables: &tables, text };
//! let found = compare(&side(&old, starter), &side(&new, &changed));
//! assert_eq!(found.plan.changes[0].says(), "port PUMP.IN moved 12.0 mm by (0, 12, 0)");
//! assert!(found.lengths.changes.iter().any(|f| f.what == "cut" && f.of == "F1"));
//! ```

pub mod cards;
pub mod data;
pub mod figures;
pub mod judged;
pub mod names;
pub mod ordered;
pub mod text;
mod walk;
pub mod written;

use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::table::Tables;
use cards::CardChange;
use figures::Figure;
use judged::Judged;
use names::Renames;
use ordered::Ordered;
use written::Change;

/// One of the two plans.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The plan and all that was found out about it.
    pub assessment: &'a Assessment,
    /// The tables it was found out with.
    pub tables: &'a Tables,
    /// The text of the plan.
    pub text: &'a str,
}

/// What differs, and how much does not.
#[derive(Clone, Debug)]
pub struct Part<T> {
    /// What differs, worst first.
    pub changes: Vec<T>,
    /// How many were looked at and are the same.
    pub same: usize,
}

impl<T> Default for Part<T> {
    fn default() -> Self {
        Self { changes: Vec::new(), same: 0 }
    }
}

/// What changed between two plans.
#[derive(Debug)]
pub struct Comparison<'a> {
    /// Names of both plans, with their revisions.
    pub titles: [String; 2],
    /// How many findings of each side have each verdict, in the order of [`Verdict::WORST_FIRST`].
    pub counts: [[usize; 4]; 2],
    /// The worst verdict of the new plan.
    pub worst: Verdict,
    /// What bears another name.
    pub renames: Renames,
    /// What is written otherwise.
    pub plan: Part<Change>,
    /// Lengths and angles.
    pub lengths: Part<Figure>,
    /// Flows and pressures in each case.
    pub flows: Part<Figure>,
    /// Findings.
    pub findings: Part<Judged<'a>>,
    /// The order list.
    pub order: Part<Ordered>,
    /// Cards whose words changed.
    pub cards: Part<CardChange>,
}

/// Compares two plans.
pub fn compare<'a>(old: &Side<'a>, new: &Side<'a>) -> Comparison<'a> {
    let renames = Renames::between(&old.assessment.plan, &new.assessment.plan);
    let [lengths, flows] = figures::changes(old.assessment, new.assessment, &renames);
    Comparison {
        titles: [old, new].map(title),
        counts: [old, new].map(|side| Verdict::WORST_FIRST.map(|v| side.assessment.count(v))),
        worst: new.assessment.worst(),
        plan: written::changes(old, new, &renames),
        lengths,
        flows,
        findings: judged::changes(old.assessment, new.assessment, &renames),
        order: ordered::changes(&old.assessment.facts.order, &new.assessment.facts.order),
        cards: cards::changes(old, new, &renames),
        renames,
    }
}

fn title(side: &Side<'_>) -> String {
    let plan = &side.assessment.plan;
    let revision = plan.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
    format!("{}{revision}", plan.name)
}

/// Whether two numbers differ by more than a step that is worth telling.
fn differ(old: f64, new: f64, step: f64) -> bool {
    (new - old).abs() > step
}
