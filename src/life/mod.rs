//! How old the hoses are, what is due, and whether flows fall: out of the record of a machine.
//!
//! Of each line the pieces are followed: one that is made anew or replaced begins a new piece. Its dates come from
//! values of the entries (`cure`, `made`, `fitted`), else from the day of the entry; `batch` tells what was cut from
//! one delivery; `hours` is what the hour meter showed.

pub mod data;
mod flows;
mod joint;
pub mod text;
mod trend;

pub use flows::Series;
pub use joint::{Again, Recheck};
pub use trend::Trend;

use crate::finding::Verdict;
use crate::plan::Plan;
use crate::record::{Date, Entry};
use crate::signed::{Due, Piece, Pieces, due};
use crate::table::Tables;
use crate::table::life::rules;

/// What the builder asks.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The day for which it is asked.
    pub at: Date,
    /// What the hour meter shows then, h.
    pub hours: Option<f64>,
    /// The rules that the builder chose; none chosen shows all of them side by side.
    pub rules: Vec<String>,
    /// Only hoses of this batch.
    pub batch: Option<String>,
}

/// All that the record says of age, due dates and flows.
#[derive(Debug)]
pub struct Life {
    /// What was asked.
    pub asked: Asked,
    /// The pieces that were asked for; those that were replaced only where a batch is.
    pub pieces: Vec<Piece>,
    /// What is due when, by each rule.
    pub due: Vec<Due>,
    /// Joints to be looked at again.
    pub rechecks: Vec<Recheck>,
    /// Flows of several years.
    pub flows: Vec<Series>,
    /// What could not be used, by entry, and why.
    pub not_used: Vec<(u64, String)>,
}

impl Life {
    /// The worst verdict.
    pub fn worst(&self) -> Verdict {
        let due = self.due.iter().map(|d| d.verdict);
        let again = self.rechecks.iter().map(|r| r.verdict);
        due.chain(again).chain(self.flows.iter().map(|f| f.verdict)).max().unwrap_or(Verdict::Ok)
    }
}

/// Follows the hoses, the joints and the flows of a machine through its record.
///
/// # Errors
/// In words, with a hint: a rule that is not in the table, a batch that nothing is of.
pub fn life(
    plan: &Plan,
    tables: &Tables,
    entries: &[Entry],
    asked: Asked,
) -> Result<Life, (String, String)> {
    let all = rules(tables);
    for name in &asked.rules {
        if !all.iter().any(|r| r.name == *name) {
            let known: Vec<&str> = all.iter().map(|r| r.name.as_str()).collect();
            let hint = format!("known: {}", known.join(", "));
            return Err((format!("there is no rule \"{name}\" for the life of hose"), hint));
        }
    }
    let Pieces { pieces, mut not_used } = Pieces::of(plan, entries);
    let chosen: Vec<Piece> = match &asked.batch {
        None => pieces.into_iter().filter(|p| p.gone.is_none()).collect(),
        Some(batch) => {
            let known: Vec<&str> = pieces.iter().filter_map(|p| p.batch.as_deref()).collect();
            if !known.contains(&batch.as_str()) {
                let hint = if known.is_empty() {
                    "an entry names it: --value batch=A123".to_owned()
                } else {
                    format!("known: {}", known.join(", "))
                };
                return Err((format!("no hose of the record is of batch \"{batch}\""), hint));
            }
            pieces.into_iter().filter(|p| p.batch.as_ref() == Some(batch)).collect()
        }
    };
    let due = due(tables, &chosen, asked.at, &asked.rules);
    let whole = asked.batch.is_none();
    let rechecks = if whole {
        joint::all(plan, tables, entries, asked.hours, &mut not_used)
    } else {
        Vec::new()
    };
    let flows = if whole { flows::all(plan, tables, entries, &mut not_used) } else { Vec::new() };
    not_used.sort();
    not_used.dedup();
    Ok(Life { asked, pieces: chosen, due, rechecks, flows, not_used })
}
