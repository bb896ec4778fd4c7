//! A table in memory: header, columns with units, sources, facts and rows, and how to ask them.

use core::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::column;
use crate::source::{Cite, Sourced, Standing};
use crate::units::Quantity;

/// How to read between two rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    /// Not at all: a row must match.
    Exact,
    /// The row below counts.
    StepDown,
    /// Interpolate, by the law of the kind.
    Linear,
}

/// A cell as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A number in the column's unit.
    Number(f64),
    /// Words, a fraction, or a quantity with its own unit.
    Text(String),
    /// True or false.
    Flag(bool),
    /// A list of words.
    List(Vec<String>),
}

impl Between {
    /// The words of a table file.
    pub const WORDS: [(&'static str, Self); 3] =
        [("exact", Self::Exact), ("step-down", Self::StepDown), ("linear", Self::Linear)];
}

impl Cell {
    /// Whether the cell, as text, is this text.
    pub fn says(&self, text: &str) -> bool {
        match self {
            Self::Text(own) => own == text,
            other => other.to_text() == text,
        }
    }

    /// Whether the cell is this text, or a list that holds it.
    pub fn lists(&self, text: &str) -> bool {
        match self {
            Self::List(list) => list.iter().any(|own| own == text),
            other => other.says(text),
        }
    }

    /// The cell as text for a person.
    pub fn to_text(&self) -> String {
        match self {
            Self::Number(n) => n.to_string(),
            Self::Text(t) => t.clone(),
            Self::Flag(f) => f.to_string(),
            Self::List(l) => l.join(", "),
        }
    }
}

/// A document that figures were taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Number and title.
    pub document: String,
    /// Edition or date.
    pub edition: Option<String>,
    /// Table, paragraph, page.
    pub place: Option<String>,
    /// Where an open copy can be read.
    pub url: Option<String>,
    /// When it was read.
    pub read_on: Option<String>,
    /// How far to trust what was taken from it.
    pub standing: Standing,
}

impl Document {
    /// Document, edition and place in one line.
    pub fn cite_text(&self) -> String {
        let mut parts = vec![self.document.clone()];
        parts.extend(self.edition.clone());
        parts.extend(self.place.clone());
        parts.join(", ")
    }
}

/// A value that holds for the whole table.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// The value.
    pub value: Cell,
    /// Ids of its sources.
    pub sources: Vec<String>,
    /// Standing, when it differs from its source's.
    pub standing: Option<Standing>,
    /// Its citation.
    pub cite: Cite,
}

/// The cells of a row by column; what is not known is absent.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Names of all columns of the table, sorted; the rows share them.
    columns: Arc<[String]>,
    /// A cell for each of them.
    values: Vec<Option<Cell>>,
}

impl Cells {
    /// Cells in the order of the sorted columns.
    pub(super) fn new(columns: &Arc<[String]>, values: Vec<Option<Cell>>) -> Self {
        Self { columns: Arc::clone(columns), values }
    }

    /// The cell of a column.
    pub fn get(&self, column: &str) -> Option<&Cell> {
        let index = self.columns.binary_search_by(|c| c.as_str().cmp(column)).ok()?;
        self.values.get(index)?.as_ref()
    }

    /// The cells that are known, with their columns.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Cell)> {
        let names = self.columns.iter().map(String::as_str);
        names.zip(&self.values).filter_map(|(name, value)| Some((name, value.as_ref()?)))
    }
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Cells by column.
    pub cells: Cells,
    /// Ids of its sources.
    pub sources: Vec<String>,
    /// Standing, when it differs from its source's.
    pub standing: Option<Standing>,
    /// A trap worth telling.
    pub note: Option<String>,
    /// Its citation.
    pub cite: Cite,
}

/// A table as read.
#[derive(Clone, Debug, PartialEq)]
pub struct TableFile {
    /// What the table is about: hose, tube, fluid, limit and so on.
    pub kind: String,
    /// Its name, the file's name without ending.
    pub name: String,
    /// One line a builder understands.
    pub title: String,
    /// Columns that identify a row.
    pub key: Vec<String>,
    /// How to read between rows.
    pub between: Between,
    /// Traps that concern the whole table.
    pub note: Option<String>,
    /// Unit of each column.
    pub columns: BTreeMap<String, String>,
    /// Sources by id.
    pub sources: BTreeMap<String, Document>,
    /// Values for the whole table.
    pub facts: BTreeMap<String, Fact>,
    /// The rows, in the order of the file.
    pub rows: Vec<Row>,
    /// Where it was read from.
    pub origin: String,
    /// Checksum of its text, so that a report refers to exact data.
    pub checksum: String,
    /// Rows by their key cells, for tables that are asked often.
    index: BTreeMap<String, usize>,
}

impl TableFile {
    /// `hose/mil-h-8794`.
    pub fn id(&self) -> String {
        format!("{}/{}", self.kind, self.name)
    }

    /// The first row whose cells equal the wanted texts.
    pub fn row(&self, wanted: &[(&str, &str)]) -> Option<&Row> {
        if wanted.iter().map(|(column, _)| *column).eq(self.key.iter().map(String::as_str)) {
            let key = joined(wanted.iter().map(|(_, text)| *text));
            return self.index.get(&key).and_then(|i| self.rows.get(*i));
        }
        let says = |row: &Row, (column, text): &(&str, &str)| {
            row.cells.get(column).is_some_and(|cell| cell.says(text))
        };
        self.rows.iter().find(|row| wanted.iter().all(|pair| says(row, pair)))
    }

    /// The citation of a row.
    pub fn cite(&self, row: &Row) -> Cite {
        row.cite.clone()
    }

    /// A cell as a quantity with its citation; `None` when it is not known.
    pub fn quantity<Q: Quantity>(&self, row: &Row, name: &str) -> Option<Sourced<Q>> {
        let unit = self.columns.get(name)?;
        let value = column::quantity(row.cells.get(name)?, unit).ok()?;
        Some(Sourced::new(value, self.cite(row)))
    }

    /// A cell as a plain number with its citation.
    pub fn number(&self, row: &Row, name: &str) -> Option<Sourced<f64>> {
        match row.cells.get(name)? {
            Cell::Number(n) => Some(Sourced::new(*n, self.cite(row))),
            _ => None,
        }
    }

    /// A cell as words with its citation.
    pub fn words(&self, row: &Row, name: &str) -> Option<Sourced<String>> {
        let cell = row.cells.get(name)?;
        Some(Sourced::new(cell.to_text(), self.cite(row)))
    }

    /// A fact as a quantity.
    pub fn fact_quantity<Q: Quantity>(&self, name: &str) -> Option<Sourced<Q>> {
        let fact = self.facts.get(name)?;
        let value = column::quantity(&fact.value, "").ok()?;
        Some(Sourced::new(value, fact.cite.clone()))
    }

    /// A fact as words.
    pub fn fact_words(&self, name: &str) -> Option<Sourced<String>> {
        let fact = self.facts.get(name)?;
        Some(Sourced::new(fact.value.to_text(), fact.cite.clone()))
    }

    /// A fact as true or false.
    pub fn fact_flag(&self, name: &str) -> Option<Sourced<bool>> {
        let fact = self.facts.get(name)?;
        let Cell::Flag(flag) = fact.value else {
            return None;
        };
        Some(Sourced::new(flag, fact.cite.clone()))
    }

    /// A fact as a list of words.
    pub fn fact_list(&self, name: &str) -> Option<Sourced<Vec<String>>> {
        let fact = self.facts.get(name)?;
        let list = match &fact.value {
            Cell::List(list) => list.clone(),
            other => vec![other.to_text()],
        };
        Some(Sourced::new(list, fact.cite.clone()))
    }
}

/// The parts of a table, from which the rest follows.
pub(super) struct Parts {
    pub kind: String,
    pub name: String,
    pub title: String,
    pub key: Vec<String>,
    pub between: Between,
    pub note: Option<String>,
    pub columns: BTreeMap<String, String>,
    pub facts: BTreeMap<String, Fact>,
    pub rows: Vec<Row>,
    pub origin: String,
    pub checksum: String,
}

impl Parts {
    /// The table of these parts.
    pub fn assemble(self, cites: Citations) -> TableFile {
        TableFile {
            index: index(&self.key, &self.rows),
            kind: self.kind,
            name: self.name,
            title: self.title,
            key: self.key,
            between: self.between,
            note: self.note,
            columns: self.columns,
            sources: cites.sources,
            facts: self.facts,
            rows: self.rows,
            origin: self.origin,
            checksum: self.checksum,
        }
    }
}

/// Rows by their key cells; the first of two alike counts.
fn index(key: &[String], rows: &[Row]) -> BTreeMap<String, usize> {
    let mut index = BTreeMap::new();
    for (number, row) in rows.iter().enumerate() {
        let cells: Option<Vec<String>> =
            key.iter().map(|k| row.cells.get(k).map(Cell::to_text)).collect();
        if let Some(cells) = cells {
            index.entry(joined(cells.iter().map(String::as_str))).or_insert(number);
        }
    }
    index
}

/// Key cells as one text; the separator cannot stand in a cell.
fn joined<'c>(cells: impl Iterator<Item = &'c str>) -> String {
    cells.collect::<Vec<_>>().join("\u{1f}")
}

/// The citations of a table, each made once: many rows share one source.
pub(super) struct Citations {
    id: String,
    pub(super) sources: BTreeMap<String, Document>,
    made: RefCell<Vec<Made>>,
}

/// Source ids and standing of a citation that was made.
type Made = (Vec<String>, Option<Standing>, Cite);

impl Citations {
    pub(super) fn new(id: String, sources: BTreeMap<String, Document>) -> Self {
        Self { id, sources, made: RefCell::new(Vec::new()) }
    }

    pub(super) fn of(&self, ids: &[String], standing: Option<Standing>) -> Cite {
        let mut made = self.made.borrow_mut();
        if let Some((_, _, cite)) = made.iter().find(|(i, s, _)| i == ids && *s == standing) {
            return cite.clone();
        }
        let cite = self.make(ids, standing);
        made.push((ids.to_vec(), standing, cite.clone()));
        cite
    }

    fn make(&self, ids: &[String], standing: Option<Standing>) -> Cite {
        let cites = ids.iter().filter_map(|id| self.sources.get(id));
        let joined = cites
            .map(|document| Cite::new(document.cite_text(), document.standing))
            .reduce(|all, next| all.and(&next));
        let all = joined.unwrap_or_else(|| Cite::new("no source", Standing::FromMemory));
        let text = format!("{} [{}]", all.text, self.id);
        Cite::new(text, standing.unwrap_or(all.standing))
    }
}
