//! A table of figures with its sources, for a person, a program or a spreadsheet.

use core::fmt::Write;

use serde_json::{Map, Value, json};

use super::grid::{Grid, wrapped};
use super::spreadsheet;
use crate::table::{Cell, Row, TableFile, Tables};

/// The kinds, or the tables of a kind.
pub fn list(tables: &Tables, kind: Option<&str>, width: usize) -> String {
    let mut out = String::new();
    for k in tables.kinds().into_iter().filter(|k| kind.is_none_or(|wanted| wanted == *k)) {
        let _ = writeln!(out, "{k}");
        for name in tables.names(k) {
            let title = tables.get(k, name).map_or("", |t| t.title.as_str());
            out.push_str(&wrapped(&format!("{name}: {title}"), width, 2));
        }
    }
    out
}

/// The same list as data.
pub fn list_json(tables: &Tables, kind: Option<&str>) -> Value {
    let mut all = Map::new();
    for k in tables.kinds().into_iter().filter(|k| kind.is_none_or(|wanted| wanted == *k)) {
        let titles: Map<String, Value> = tables
            .names(k)
            .into_iter()
            .map(|n| (n.to_owned(), json!(tables.get(k, n).map(|t| t.title.clone()))))
            .collect();
        all.insert(k.to_owned(), Value::Object(titles));
    }
    Value::Object(all)
}

/// The same list for a spreadsheet.
pub fn list_csv(tables: &Tables, kind: Option<&str>) -> String {
    let kinds = tables.kinds().into_iter().filter(|k| kind.is_none_or(|wanted| wanted == *k));
    let of_kind = |k: &str| -> Vec<Vec<String>> {
        let title = |n: &str| tables.get(k, n).map_or(String::new(), |t| t.title.clone());
        tables.names(k).into_iter().map(|n| vec![k.to_owned(), n.to_owned(), title(n)]).collect()
    };
    spreadsheet::rows(&["kind", "name", "title"], kinds.flat_map(of_kind))
}

/// One table as text.
pub fn text(table: &TableFile, width: usize) -> String {
    let mut out = wrapped(&format!("{}: {}", table.id(), table.title), width, 0);
    if let Some(note) = &table.note {
        out.push_str(&wrapped(note, width, 2));
    }
    for (name, fact) in &table.facts {
        let sources = fact.sources.join(", ");
        let text = format!("{} = {} [{sources}]", name, fact.value.to_text());
        out.push_str(&wrapped(&text, width, 2));
    }
    out.push_str(&rows_text(table, width));
    for row in table.rows.iter().filter(|r| r.note.is_some()) {
        let name = key_text(table, row);
        let note = row.note.as_deref().unwrap_or_default();
        out.push_str(&wrapped(&format!("{name}: {note}"), width, 2));
    }
    out.push_str("Sources\n");
    for (id, source) in &table.sources {
        let text = format!("{id}: {} ({})", source.cite_text(), source.standing);
        out.push_str(&wrapped(&text, width, 2));
        if let Some(url) = &source.url {
            out.push_str(&wrapped(url, width, 4));
        }
    }
    let origin = format!("read from {}, checksum {}", table.origin, table.checksum);
    out.push_str(&wrapped(&origin, width, 0));
    out
}

/// Columns in the order a builder expects: the key first.
fn columns(table: &TableFile) -> Vec<&str> {
    let rest = table.columns.keys().filter(|c| !table.key.contains(c));
    table.key.iter().chain(rest).map(String::as_str).collect()
}

fn key_text(table: &TableFile, row: &Row) -> String {
    let cells = table.key.iter().filter_map(|k| row.cells.get(k)).map(Cell::to_text);
    cells.collect::<Vec<_>>().join(" ")
}

fn rows_text(table: &TableFile, width: usize) -> String {
    let mut grid = Grid::default();
    let columns = columns(table);
    let mut head: Vec<String> = columns
        .iter()
        .map(|c| match table.columns.get(*c).map(String::as_str) {
            None | Some("text" | "-") => (*c).to_owned(),
            Some(unit) => format!("{c} {unit}"),
        })
        .collect();
    head.push("source".into());
    for row in &table.rows {
        let mut cells: Vec<String> =
            columns.iter().map(|c| row.cells.get(c).map_or(String::new(), Cell::to_text)).collect();
        let standing = row.standing.map_or(String::new(), |s| format!(" ({s})"));
        cells.push(format!("{}{standing}", row.sources.join(", ")));
        grid.rows.push(cells);
    }
    grid.to_text_with(&head, width)
}

/// One table as data.
pub fn json(table: &TableFile) -> Value {
    let sources: Map<String, Value> = table
        .sources
        .iter()
        .map(|(id, s)| {
            let value = json!({
                "document": s.document, "edition": s.edition, "place": s.place, "url": s.url,
                "read_on": s.read_on, "standing": s.standing,
            });
            (id.clone(), value)
        })
        .collect();
    json!({
        "kind": table.kind, "name": table.name, "title": table.title, "note": table.note,
        "key": table.key, "columns": table.columns, "sources": sources,
        "facts": table.facts.iter().map(|(n, f)| (n.clone(), json!({
            "value": cell(&f.value), "source": f.sources, "standing": f.standing,
        }))).collect::<Map<_, _>>(),
        "rows": table.rows.iter().map(row_json).collect::<Vec<_>>(),
        "origin": table.origin, "checksum": table.checksum,
    })
}

fn row_json(row: &Row) -> Value {
    let mut map: Map<String, Value> =
        row.cells.iter().map(|(name, c)| (name.to_owned(), cell(c))).collect();
    map.insert("source".into(), json!(row.sources));
    map.insert("standing".into(), json!(row.standing));
    map.insert("note".into(), json!(row.note));
    Value::Object(map)
}

fn cell(cell: &Cell) -> Value {
    match cell {
        Cell::Number(n) => json!(n),
        Cell::Text(t) => json!(t),
        Cell::Flag(f) => json!(f),
        Cell::List(l) => json!(l),
    }
}

/// One table for a spreadsheet.
pub fn csv(table: &TableFile) -> String {
    let columns = columns(table);
    let mut head = columns.clone();
    head.extend(["source", "standing", "note"]);
    spreadsheet::rows(
        &head,
        table.rows.iter().map(|row| {
            let mut cells: Vec<String> = columns
                .iter()
                .map(|c| row.cells.get(c).map_or(String::new(), Cell::to_text))
                .collect();
            cells.push(row.sources.join(" "));
            cells.push(row.standing.map_or(String::new(), |s| s.to_string()));
            cells.push(row.note.clone().unwrap_or_default());
            cells
        }),
    )
}
