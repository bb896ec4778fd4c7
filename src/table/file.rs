//! The common format of a table file: header, columns with units, sources, facts and rows.

use core::cell::RefCell;
use core::ops::Range;
use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;
use toml::de::DeValue;

use super::column;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::document::{self, Key, Kind, Placed, Reader, Section, Shape};
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

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Cells by column; what is not known is absent.
    pub cells: BTreeMap<String, Cell>,
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
#[derive(Clone, Debug)]
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
            row.cells.get(*column).is_some_and(|cell| cell.says(text))
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

const BETWEEN: &[(&str, Between)] =
    &[("exact", Between::Exact), ("step-down", Between::StepDown), ("linear", Between::Linear)];

static FILE: Shape = Shape {
    title: "a table file",
    about: "figures with their sources",
    keys: &[
        Key::must("table", Kind::Section(&HEADER), "what the table is"),
        Key::must("columns", Kind::Words, "unit of each column"),
        Key::must("source", Kind::Sections(&SOURCE), "the documents"),
        Key::may("facts", Kind::Words, "values for the whole table"),
        Key::must("rows", Kind::Section(&ROWS), "the rows"),
    ],
};

static HEADER: Shape = Shape {
    title: "[table]",
    about: "what the table is",
    keys: &[
        Key::must("kind", Kind::Name, "the folder it belongs in"),
        Key::must("name", Kind::Name, "the file's name without ending"),
        Key::must("title", Kind::Words, "one line a builder understands"),
        Key::must("key", Kind::Names, "columns that identify a row"),
        Key::must(
            "between",
            Kind::Choice(&["exact", "step-down", "linear"]),
            "reading between rows",
        ),
        Key::may("note", Kind::Words, "traps"),
    ],
};

static SOURCE: Shape = Shape {
    title: "[[source]]",
    about: "a document",
    keys: &[
        Key::must("id", Kind::Name, "what rows call it"),
        Key::must("document", Kind::Words, "number and title"),
        Key::may("edition", Kind::Words, "edition or date"),
        Key::may("place", Kind::Words, "table, paragraph, page"),
        Key::may("url", Kind::Words, "an open copy"),
        Key::may("read_on", Kind::Words, "when it was read"),
        Key::must("standing", Kind::Words, "how far to trust it"),
    ],
};

static ROWS: Shape = Shape {
    title: "[rows]",
    about: "the rows",
    keys: &[Key::must("list", Kind::Words, "one table a row")],
};

/// Reads a table file.
///
/// # Errors
/// All problems of the file, each with its place.
pub fn read(file: &Arc<SourceText>, kind: Option<&str>) -> Result<TableFile, Vec<Diagnostic>> {
    let reader = Reader::new(Arc::clone(file));
    let root = reader.parse(&file.text);
    let whole = 0..file.text.len().min(1);
    let section = Section::new(&reader, &FILE, root.get_ref(), whole);
    let table = build(&section, kind, file);
    match table {
        Some(table) if reader.is_clean() => Ok(table),
        _ => Err(reader.into_diagnostics()),
    }
}

fn build(root: &Section<'_>, kind: Option<&str>, file: &SourceText) -> Option<TableFile> {
    let header = root.section("table", &HEADER)?;
    let written_kind = header.name("kind")?;
    if let Some(folder) = kind.filter(|k| *k != written_kind.value) {
        root.reader().problem(
            &written_kind.span,
            format!("kind \"{}\" does not match the folder \"{folder}\"", written_kind.value),
            "other kind",
            vec![format!("write kind = \"{folder}\", or move the file")],
        );
    }
    let between = header.choice("between", BETWEEN)?.value;
    let name = header.name("name")?.value;
    let cites = Citations::new(format!("{}/{name}", written_kind.value), read_sources(root));
    let columns = read_columns(root);
    let facts = read_facts(root, &cites);
    let rows = read_rows(root, &columns, &cites);
    let key: Vec<String> = header.names("key").into_iter().map(|k| k.value).collect();
    Some(TableFile {
        kind: written_kind.value,
        name,
        title: header.words("title")?.value,
        index: index(&key, &rows),
        key,
        between,
        note: header.words("note").map(|n| n.value),
        columns,
        sources: cites.sources,
        facts,
        rows,
        origin: file.name.clone(),
        checksum: checksum(&file.text),
    })
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
struct Citations {
    id: String,
    sources: BTreeMap<String, Document>,
    made: RefCell<Vec<Made>>,
}

/// Source ids and standing of a citation that was made.
type Made = (Vec<String>, Option<Standing>, Cite);

impl Citations {
    fn new(id: String, sources: BTreeMap<String, Document>) -> Self {
        Self { id, sources, made: RefCell::new(Vec::new()) }
    }

    fn of(&self, ids: &[String], standing: Option<Standing>) -> Cite {
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

fn read_sources(root: &Section<'_>) -> BTreeMap<String, Document> {
    let mut sources = BTreeMap::new();
    for section in root.sections("source", &SOURCE) {
        let word = section.words("standing");
        let standing = word.as_ref().and_then(|w| Standing::from_word(&w.value));
        if let Some(word) = word.filter(|_| standing.is_none()) {
            section.unknown(&word, "standing", Standing::WORDS.iter().map(|(_, w)| *w));
        }
        let text = |key: &str| section.words(key).map(|t| t.value);
        if let (Some(id), Some(document), Some(standing)) =
            (section.name("id"), text("document"), standing)
        {
            let entry = Document {
                document,
                edition: text("edition"),
                place: text("place"),
                url: text("url"),
                read_on: text("read_on"),
                standing,
            };
            if sources.insert(id.value.clone(), entry).is_some() {
                root.reader().problem(
                    &id.span,
                    format!("source \"{}\" stands twice", id.value),
                    "again",
                    vec!["give each source its own id".into()],
                );
            }
        }
    }
    sources
}

fn read_columns(root: &Section<'_>) -> BTreeMap<String, String> {
    let mut columns = BTreeMap::new();
    let table = root.value("columns").and_then(|v| v.get_ref().as_table());
    for (name, value) in table.into_iter().flatten() {
        let Some(unit) = document::words(root.reader(), name.get_ref(), value) else {
            continue;
        };
        if !column::is_known(&unit.value) {
            root.reader().problem(
                &unit.span,
                format!("unit \"{}\" of column {} is not known", unit.value, name.get_ref()),
                "not a unit",
                vec!["write \"text\" for words and \"-\" for plain numbers".into()],
            );
        }
        columns.insert(name.get_ref().to_string(), unit.value);
    }
    columns
}

fn read_facts(root: &Section<'_>, cites: &Citations) -> BTreeMap<String, Fact> {
    let mut facts = BTreeMap::new();
    let table = root.value("facts").and_then(|v| v.get_ref().as_table());
    for (name, value) in table.into_iter().flatten() {
        let inner = value.get_ref().as_table();
        let cell = inner.and_then(|t| t.get("value")).and_then(cell_of);
        let (Some(inner), Some(cell)) = (inner, cell) else {
            root.reader().problem(
                &value.span(),
                format!(
                    "fact {} needs the form {{ value = ..., source = \"...\" }}",
                    name.get_ref()
                ),
                "value or source missing",
                Vec::new(),
            );
            continue;
        };
        let ids = source_ids(root.reader(), inner.get("source"), &value.span(), &cites.sources);
        let standing = inner.get("standing").and_then(|s| standing_of(root.reader(), s));
        facts.insert(
            name.get_ref().to_string(),
            Fact { value: cell, cite: cites.of(&ids, standing), sources: ids, standing },
        );
    }
    facts
}

fn read_rows(
    root: &Section<'_>,
    columns: &BTreeMap<String, String>,
    cites: &Citations,
) -> Vec<Row> {
    let Some(rows) = root.section("rows", &ROWS) else {
        return Vec::new();
    };
    rows.array("list").into_iter().filter_map(|v| read_row(root, v, columns, cites)).collect()
}

fn read_row(
    root: &Section<'_>,
    value: &Spanned<DeValue<'_>>,
    columns: &BTreeMap<String, String>,
    cites: &Citations,
) -> Option<Row> {
    let reader = root.reader();
    let Some(table) = value.get_ref().as_table() else {
        reader.problem(
            &value.span(),
            "a row is a table { column = cell, ... }",
            "not a row",
            vec![],
        );
        return None;
    };
    let mut cells = BTreeMap::new();
    for (name, item) in table {
        let key: &str = name.get_ref();
        if matches!(key, "source" | "standing" | "note") {
            continue;
        }
        let placed = Placed { value: key.to_owned(), span: name.span() };
        match (columns.get(key), cell_of(item)) {
            (None, _) => root.unknown(&placed, "column", columns.keys().map(String::as_str)),
            (Some(_), None) => {
                reader.problem(&item.span(), format!("{key} cannot be read"), "not a cell", vec![]);
            }
            (Some(_), Some(cell)) => {
                cells.insert(key.to_owned(), cell);
            }
        }
    }
    let ids = source_ids(reader, table.get("source"), &value.span(), &cites.sources);
    let standing = table.get("standing").and_then(|s| standing_of(reader, s));
    let note = table.get("note").and_then(|n| document::words(reader, "note", n));
    Some(Row {
        cells,
        cite: cites.of(&ids, standing),
        sources: ids,
        standing,
        note: note.map(|n| n.value),
    })
}

fn cell_of(value: &Spanned<DeValue<'_>>) -> Option<Cell> {
    match value.get_ref() {
        DeValue::String(text) => Some(Cell::Text(text.to_string())),
        DeValue::Boolean(flag) => Some(Cell::Flag(*flag)),
        DeValue::Array(items) => items
            .iter()
            .map(|i| i.get_ref().as_str().map(str::to_owned))
            .collect::<Option<_>>()
            .map(Cell::List),
        other => document::number(other).map(Cell::Number),
    }
}

fn standing_of(reader: &Reader, value: &Spanned<DeValue<'_>>) -> Option<Standing> {
    let word = document::words(reader, "standing", value)?;
    let standing = Standing::from_word(&word.value);
    if standing.is_none() {
        let known: Vec<_> = Standing::WORDS.iter().map(|(_, w)| *w).collect();
        reader.problem(
            &word.span,
            format!("standing \"{}\" is not known", word.value),
            "not known",
            vec![format!("known: {}", known.join(", "))],
        );
    }
    standing
}

fn source_ids(
    reader: &Reader,
    value: Option<&Spanned<DeValue<'_>>>,
    whole: &Range<usize>,
    sources: &BTreeMap<String, Document>,
) -> Vec<String> {
    let ids: Vec<String> = match value.map(Spanned::get_ref) {
        Some(DeValue::String(id)) => vec![id.to_string()],
        Some(DeValue::Array(items)) => {
            items.iter().filter_map(|i| i.get_ref().as_str().map(str::to_owned)).collect()
        }
        _ => Vec::new(),
    };
    let unknown = ids.iter().find(|id| !sources.contains_key(*id));
    if ids.is_empty() || unknown.is_some() {
        let name = unknown.map_or("no source", String::as_str);
        reader.problem(
            &value.map_or_else(|| whole.clone(), Spanned::span),
            format!("every figure names a source of this file; found: {name}"),
            "no such source",
            vec![format!("known: {}", sources.keys().cloned().collect::<Vec<_>>().join(", "))],
        );
    }
    ids
}

/// FNV-1a over the text, 64 bits, in hexadecimal: enough to tell two editions of a table apart.
fn checksum(text: &str) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in text.bytes() {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    format!("{hash:016x}")
}
