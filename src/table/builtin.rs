//! The tables that come with the program, as the build script has stored them.
//!
//! `build.rs` turns every file below `tables/` from TOML into JSON, which is read many times faster
//! at every start. A test compares what is made of it with what the reader makes of the TOML.

use core::fmt;
use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Deserialize;
use serde::de::{Deserializer, Error, SeqAccess, Visitor};

use super::file::{Between, Cell, Cells, Citations, Document, Fact, Parts, Row, TableFile};
use crate::source::Standing;

/// Kind, name, text and stored form of every built-in table, sorted.
pub(super) static LIST: &[(&str, &str, &str, &str)] =
    include!(concat!(env!("OUT_DIR"), "/tables.rs"));

#[derive(Deserialize)]
struct Stored {
    table: Header,
    columns: BTreeMap<String, String>,
    source: Vec<StoredSource>,
    #[serde(default)]
    facts: BTreeMap<String, StoredFact>,
    rows: Vec<StoredRow>,
    checksum: String,
}

#[derive(Deserialize)]
struct Header {
    kind: String,
    name: String,
    title: String,
    key: Vec<String>,
    between: String,
    note: Option<String>,
}

#[derive(Deserialize)]
struct StoredSource {
    id: String,
    document: String,
    edition: Option<String>,
    place: Option<String>,
    url: Option<String>,
    read_on: Option<String>,
    standing: String,
}

#[derive(Deserialize)]
struct StoredFact {
    value: Cell,
    source: Cell,
    standing: Option<String>,
}

/// A row: a cell or nothing for each of the sorted columns, sources, standing, note.
#[derive(Deserialize)]
struct StoredRow(Vec<Option<Cell>>, Cell, Option<String>, Option<String>);

/// Reads a cell by what stands there, without trying one kind after the other.
struct AnyCell;

impl<'de> Deserialize<'de> for Cell {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AnyCell)
    }
}

impl<'de> Visitor<'de> for AnyCell {
    type Value = Cell;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number, a text, true, false or a list of texts")
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Cell, E> {
        Ok(Cell::Flag(flag))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Cell, E> {
        Ok(Cell::Number(number))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Cell, E> {
        i32::try_from(number).map(|n| Cell::Number(f64::from(n))).map_err(E::custom)
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Cell, E> {
        u32::try_from(number).map(|n| Cell::Number(f64::from(n))).map_err(E::custom)
    }

    fn visit_str<E>(self, text: &str) -> Result<Cell, E> {
        Ok(Cell::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Cell, A::Error> {
        let mut list = Vec::new();
        while let Some(text) = items.next_element::<String>()? {
            list.push(text);
        }
        Ok(Cell::List(list))
    }
}

/// The table of a stored form; `None` if it is no table, which a test rules out.
pub(super) fn table(stored: &str) -> Option<TableFile> {
    let stored: Stored = serde_json::from_str(stored).ok()?;
    let Header { kind, name, title, key, between, note } = stored.table;
    let sources: Option<BTreeMap<String, Document>> =
        stored.source.into_iter().map(StoredSource::document).collect();
    let cites = Citations::new(format!("{kind}/{name}"), sources?);
    let facts = stored.facts.into_iter().map(|(n, f)| (n, f.fact(&cites))).collect();
    let names: Arc<[String]> = stored.columns.keys().cloned().collect();
    let rows = stored.rows.into_iter().map(|row| row.row(&names, &cites)).collect();
    let parts = Parts {
        origin: format!("<builtin>/{kind}/{name}.toml"),
        between: Between::WORDS.into_iter().find(|(word, _)| *word == between)?.1,
        checksum: stored.checksum,
        columns: stored.columns,
        kind,
        name,
        title,
        key,
        note,
        facts,
        rows,
    };
    Some(parts.assemble(cites))
}

impl StoredSource {
    fn document(self) -> Option<(String, Document)> {
        let document = Document {
            document: self.document,
            edition: self.edition,
            place: self.place,
            url: self.url,
            read_on: self.read_on,
            standing: Standing::from_word(&self.standing)?,
        };
        Some((self.id, document))
    }
}

impl StoredFact {
    fn fact(self, cites: &Citations) -> Fact {
        let sources = texts(self.source);
        let standing = self.standing.as_deref().and_then(Standing::from_word);
        Fact { value: self.value, cite: cites.of(&sources, standing), sources, standing }
    }
}

impl StoredRow {
    fn row(self, names: &Arc<[String]>, cites: &Citations) -> Row {
        let Self(values, sources, standing, note) = self;
        let sources = texts(sources);
        let standing = standing.as_deref().and_then(Standing::from_word);
        let cells = Cells::new(names, values);
        Row { cells, cite: cites.of(&sources, standing), sources, standing, note }
    }
}

/// A text or a list of texts as a list.
fn texts(cell: Cell) -> Vec<String> {
    match cell {
        Cell::List(list) => list,
        other => vec![other.to_text()],
    }
}
