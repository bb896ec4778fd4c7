//! What the record says of the plan as it is now: which entries still hold, and how far every line is.
//!
//! An entry covers the words that were printed for its [`Subject`]: those of a card, of a joint, of a test. Words that
//! are not the same any more make the entry void, and no other entry. What is void counts for nothing below: it is as
//! if nobody had signed. Nothing here is an approval; it says who wrote what, and whether the card was this one.
//!
//! ```
//! use hosewright::signed::Subject;
//! let card = |cut: &str| Subject::line("F1", vec!["F1, feed".into(), format!("CUT {cut}")]);
//! assert_eq!(card("462 mm").key, "line F1");
//! assert_ne!(card("462 mm").digest(), card("463 mm").digest());
//! ```

mod bond;
mod changes;
mod due;
mod handover;
mod job;
mod line;
mod people;
mod piece;
mod reading;
mod subject;

use std::collections::BTreeMap;

pub use bond::{Bond, PLAN, Void, signs};
pub use changes::{Change, changes};
pub use due::{Due, Hoses, due};
pub use job::{Job, Work};
pub use line::{LineState, Recheck, Stage, second_person};
pub use people::same_person;
pub use piece::{Piece, Pieces, hours};
pub use reading::{Reading, Right, Room, rights};
pub use subject::Subject;

use crate::plan::Plan;
use crate::record::{Digest, Entry, Verified};
use crate::solve::LineFacts;
use crate::table::Tables;

/// The record beside a plan, as it was read.
#[derive(Clone, Debug)]
pub struct Read {
    /// Its entries.
    pub entries: Vec<Entry>,
    /// How many lines could not be read as one.
    pub unread: usize,
    /// What became of its chain.
    pub verified: Verified,
}

/// The record held against the plan as it is now.
#[derive(Clone, Debug)]
pub struct Signed {
    /// The record.
    pub read: Read,
    /// What each entry is bound to, in their order.
    pub bonds: Vec<Bond>,
    /// The lines, in the order of the plan.
    pub lines: Vec<LineState>,
    /// The tests that the plan asks for.
    pub tests: Vec<TestState>,
    /// The line that ends at each port.
    pub ends: BTreeMap<String, String>,
}

/// A test of the plan, and whether it was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TestState {
    /// Its name.
    pub name: String,
    /// The entry that says it was made, by its place among the entries.
    pub made: Option<usize>,
}

/// An entry that does not hold any more, and that nobody has signed again.
#[derive(Clone, Copy, Debug)]
pub struct Lapsed<'s> {
    /// The entry.
    pub entry: &'s Entry,
    /// Why.
    pub void: &'s Void,
}

/// Holds a record against a plan.
///
/// # Gives
/// For each entry whether it holds; for each line how far it is by the entries that hold.
///
/// # Notes
/// `subjects` are all that the plan prints, with its words; `text` is the plan's text, which alone binds entries that
/// were written without words.
pub fn signed(
    plan: &Plan,
    tables: &Tables,
    lines: &[LineFacts],
    text: &str,
    subjects: &[Subject],
    read: Read,
) -> Signed {
    let now: BTreeMap<&str, Digest> =
        subjects.iter().map(|s| (s.key.as_str(), s.digest())).collect();
    let plan_now = Digest::of(text.as_bytes());
    let bonds: Vec<Bond> = read.entries.iter().map(|e| bond::of(e, &now, plan_now)).collect();
    let ends: BTreeMap<String, String> = plan
        .lines
        .iter()
        .flat_map(|l| [l.from, l.to].map(|end| (plan.port_name(&end), l.id.clone())))
        .collect();
    let look = line::Look { entries: &read.entries, bonds: &bonds, ends: &ends };
    let states = plan.lines.iter().zip(lines).map(|(line, own)| {
        let ends = [line.from, line.to].map(|end| plan.port_name(&end));
        line::state(&look, (plan, tables), (line, own), &ends)
    });
    let lines = states.collect();
    let tests = subjects.iter().filter_map(Subject::test_name).map(|name| TestState {
        name: name.to_owned(),
        made: look.last(|e| e.test.as_deref() == Some(name) && signs(e.what)),
    });
    let tests = tests.collect();
    Signed { read, bonds, lines, tests, ends }
}

impl Signed {
    /// The entries that lapsed: void, and nobody has signed the same again.
    pub fn lapsed(&self) -> impl Iterator<Item = Lapsed<'_>> {
        let (entries, bonds) = (&self.read.entries, &self.bonds);
        let look = line::Look { entries, bonds, ends: &self.ends };
        let lapsed = line::lapsed(look);
        lapsed.into_iter().filter_map(|at| match (&self.read.entries.get(at), self.bonds.get(at)) {
            (Some(entry), Some(Bond::Void(void))) => Some(Lapsed { entry, void }),
            _ => None,
        })
    }

    /// Whether the chain holds and every line of the record was read.
    pub fn is_whole(&self) -> bool {
        self.read.unread == 0 && self.read.verified.faults.is_empty()
    }

    /// The pressures that were written down of the tests of a line, as texts, in the order of the record.
    pub fn pressures(&self, line: &LineState) -> impl Iterator<Item = &str> {
        let tests = line.tests.iter().filter_map(|at| self.read.entries.get(*at));
        let values = tests.flat_map(|entry| &entry.values);
        values
            .filter(|(name, _)| name.trim().eq_ignore_ascii_case("pressure"))
            .map(|(_, text)| text.as_str())
    }

    /// The state of a line.
    pub fn line(&self, id: &str) -> Option<&LineState> {
        self.lines.iter().find(|l| l.id == id)
    }

    /// The last words that were signed for a line, with their entry; none where no entry keeps words of it.
    pub fn last_said(&self, line: &str) -> Option<&Entry> {
        let of_card = |e: &&Entry| {
            e.whole_line() == Some(line)
                && signs(e.what)
                && e.covers.contains_key(&Subject::line_key(line))
        };
        self.read.entries.iter().rev().find(of_card)
    }

    /// Ids of the lines that anybody signed a card of, in the order of the record, each once.
    pub fn signed_lines(&self) -> Vec<&str> {
        let mut ids: Vec<&str> = Vec::new();
        for id in self.read.entries.iter().filter_map(|e| e.line.as_deref()) {
            if !ids.contains(&id) && self.last_said(id).is_some() {
                ids.push(id);
            }
        }
        ids
    }
}
