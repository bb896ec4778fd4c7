//! Cards whose words changed: what was signed no longer holds.

use super::names::Renames;
use super::{Part, Side};
use crate::book::card::{cards, words};

/// A card that says something else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardChange {
    /// The line.
    pub line: String,
    /// Code of the old card.
    pub old: String,
    /// Code of the new card.
    pub new: String,
    /// Statements that only the old card makes.
    pub gone: Vec<String>,
    /// Statements that only the new card makes.
    pub come: Vec<String>,
}

/// The cards of lines that both plans have.
pub fn changes(old: &Side<'_>, new: &Side<'_>, renames: &Renames) -> Part<CardChange> {
    let (before, after) = (said(old), said(new));
    let mut part = Part::default();
    for (line, old) in &before {
        let id = renames.lines.get(line).unwrap_or(line);
        let Some((_, new)) = after.iter().find(|(l, _)| l == id) else { continue };
        if old == new {
            part.same += 1;
            continue;
        }
        let only = |a: &str, b: &str| -> Vec<String> {
            a.lines().filter(|l| !b.lines().any(|o| o == *l)).map(str::to_owned).collect()
        };
        part.changes.push(CardChange {
            line: id.clone(),
            old: crate::book::short_digest(old),
            new: crate::book::short_digest(new),
            gone: only(old, new),
            come: only(new, old),
        });
    }
    part
}

/// What the card of each line says.
fn said(side: &Side<'_>) -> Vec<(String, String)> {
    let all = cards(&side.assessment.plan, side.tables, &side.assessment.facts.lines);
    all.map(|card| (card.planned().id.clone(), words::said(&card))).collect()
}
