//! Reads a table file: TOML in, a table or all its problems out.

use core::ops::Range;
use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;
use toml::de::DeValue;

use super::checksum::checksum;
use super::column;
use super::file::{Between, Cell, Cells, Citations, Document, Fact, Parts, Row, TableFile};
use crate::diagnostic::{Diagnostic, SourceText};
use crate::document::{self, Key, Kind, Placed, Reader, Section, Shape};
use crate::source::Standing;

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
    let between = header.choice("between", &Between::WORDS)?.value;
    let name = header.name("name")?.value;
    let cites = Citations::new(format!("{}/{name}", written_kind.value), read_sources(root));
    let columns = read_columns(root);
    let facts = read_facts(root, &cites);
    let names: Arc<[String]> = columns.keys().cloned().collect();
    let rows = read_rows(root, &columns, &names, &cites);
    let parts = Parts {
        kind: written_kind.value,
        name,
        title: header.words("title")?.value,
        key: header.names("key").into_iter().map(|k| k.value).collect(),
        between,
        note: header.words("note").map(|n| n.value),
        columns,
        facts,
        rows,
        origin: file.name.clone(),
        checksum: checksum(&file.text),
    };
    Some(parts.assemble(cites))
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
    names: &Arc<[String]>,
    cites: &Citations,
) -> Vec<Row> {
    let Some(rows) = root.section("rows", &ROWS) else {
        return Vec::new();
    };
    rows.array("list")
        .into_iter()
        .filter_map(|v| read_row(root, v, columns, cites, names))
        .collect()
}

fn read_row(
    root: &Section<'_>,
    value: &Spanned<DeValue<'_>>,
    columns: &BTreeMap<String, String>,
    cites: &Citations,
    names: &Arc<[String]>,
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
    let values = names.iter().map(|name| cells.remove(name)).collect();
    Some(Row {
        cells: Cells::new(names, values),
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
