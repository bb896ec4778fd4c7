//! The record as text, data or a spreadsheet: entries, and what became of their chain.

use core::fmt::Write;
use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::grid::{Grid, wrapped};
use super::{Format, Layout, spreadsheet};
use crate::diagnostic::visible;
use crate::record::{Added, CardHead, Digest, Entry, Repair, Unread, Verified};
use crate::signed::{Bond, Void};

/// What the chain cannot tell.
const NOT_TOLD: &str = "Entries cut off at the end, and a record that was written anew, leave a chain that \
holds: hold the last entry against the card, or give its digits as --head.";
/// What stands in a column of a spreadsheet between two of several.
const BETWEEN: &str = "; ";
/// Columns of the entries in a spreadsheet.
const HEAD: [&str; 17] = [
    "number",
    "time",
    "by",
    "what",
    "line",
    "joint",
    "component",
    "values",
    "note",
    "photos",
    "covers",
    "before",
    "digest",
    "test",
    "said",
    "void",
    "clip",
];
/// Said where the plan cannot be read.
const NOT_HELD: &str =
    "The plan cannot be understood as it is, so which entries are void is not told.";

/// An entry that was added, with what goes onto the card.
pub fn added(file: &str, done: &Added, format: Format, layout: Layout) -> String {
    let entry = &done.entry;
    let repair = done.repair.as_ref().map(repaired);
    match format {
        Format::Csv => spreadsheet::rows(&HEAD, core::iter::once(row(entry, None))),
        Format::Json => {
            let data = json!({
                "record": file,
                "added": entry,
                "card": entry.digest.for_card(),
                "repair": repair,
            });
            format!("{data:#}\n")
        }
        Format::Text => {
            let place = place(entry);
            let of = if place.is_empty() { place } else { format!(" {place}") };
            let mut out = String::new();
            if let Some(repair) = repair {
                out.push_str(&wrapped(&format!("{file} was repaired: {repair}"), layout.width, 0));
            }
            let said = format!("entry {} added to {file}: {}{of}", entry.number, entry.what);
            out.push_str(&wrapped(&said, layout.width, 0));
            let _ = writeln!(out, "digest {}", entry.digest);
            let _ = writeln!(out, "on the card: {}", card(entry.number, &entry.digest));
            out
        }
    }
}

fn repaired(repair: &Repair) -> String {
    match repair {
        Repair::Completed => "the last entry lacked the end of its line, which it has now".into(),
        Repair::SetAside { bytes, file } => {
            let file = visible(&file.to_string_lossy());
            format!(
                "its last line broke off after {bytes} bytes; they are in {file} now, and the \
                 entry they began was never acknowledged"
            )
        }
    }
}

fn card(number: u64, digest: &Digest) -> String {
    format!("entry {number}, {}", digest.for_card())
}

/// What is shown of a record.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'r> {
    /// The file, as it can be shown.
    pub file: &'r str,
    /// The line of which alone the entries are shown.
    pub line: Option<&'r str>,
    /// The entries.
    pub entries: &'r [Entry],
    /// What each of them is bound to; none where the plan could not be read.
    pub bonds: Option<&'r [Bond]>,
    /// Lines that cannot be read.
    pub unread: &'r [Unread],
    /// What became of the chain of the whole record.
    pub verified: &'r Verified,
}

impl Shown<'_> {
    /// The entries, each with the reason why it is void.
    fn rows(&self) -> impl Iterator<Item = (&Entry, Option<&Void>)> {
        self.entries.iter().enumerate().map(|(at, entry)| {
            let bond = self.bonds.and_then(|bonds| bonds.get(at));
            let void = match bond {
                Some(Bond::Void(void)) => Some(void),
                _ => None,
            };
            (entry, void)
        })
    }
}

/// The entries of a record.
pub fn shown(shown: &Shown<'_>, format: Format, layout: Layout) -> String {
    match format {
        Format::Text => entries_text(shown, layout),
        Format::Csv => spreadsheet::rows(&HEAD, shown.rows().map(|(e, void)| row(e, void))),
        Format::Json => {
            let unread = shown.unread.iter().map(|u| fault(u.line, u.column, &u.why));
            let void = shown.rows().filter_map(|(entry, void)| {
                Some(json!({ "number": entry.number, "why": visible(&void?.to_string()) }))
            });
            let data = json!({
                "record": shown.file,
                "line": shown.line,
                "entries": shown.entries,
                "held_against_plan": shown.bonds.is_some(),
                "void": void.collect::<Vec<_>>(),
                "unread": unread.collect::<Vec<_>>(),
                "faults": faults(shown.verified),
            });
            format!("{data:#}\n")
        }
    }
}

fn entries_text(shown: &Shown<'_>, layout: Layout) -> String {
    let on = shown.line.map(|id| format!(" on line {} and its joints", visible(id)));
    let count = counted(shown.entries.len() as u64, "entry", "entries");
    let mut out = format!("{}: {count}{}\n", shown.file, on.unwrap_or_default());
    let mut grid = Grid::new(&["no", "time, UTC", "what", "on", "by", "read", "note"], &[0]);
    for (entry, void) in shown.rows() {
        let photos = entry.photos.keys().map(|name| format!("picture {name}"));
        let notes: Vec<String> = entry.note.iter().cloned().chain(photos).collect();
        let time = entry.time.to_string().replace('T', " ").replace('Z', "");
        let cells = [
            entry.number.to_string(),
            time,
            format!("{}{}", entry.what, if void.is_some() { " VOID" } else { "" }),
            place(entry),
            entry.by.clone(),
            pairs(&entry.values, " "),
            notes.join(BETWEEN),
        ];
        grid.rows.push(cells.iter().map(|cell| visible(cell)).collect());
    }
    if !shown.entries.is_empty() {
        out.push('\n');
        out.push_str(&grid.to_text(layout.width));
    }
    for (entry, void) in shown.rows() {
        if let Some(void) = void {
            let text = format!("entry {} is void: {void}", entry.number);
            out.push_str(&wrapped(&visible(&text), layout.width, 0));
        }
    }
    if shown.bonds.is_none() {
        out.push_str(&wrapped(NOT_HELD, layout.width, 0));
    }
    let lines =
        shown.unread.iter().map(|u| (u.line, u.column, format!("cannot be read: {}", u.why)));
    fault_lines(&mut out, lines, layout);
    chain_lines(&mut out, shown.verified, layout);
    out
}

/// What became of a chain, and of the digest on the card.
pub fn verified(
    file: &str,
    found: &Verified,
    sought: Option<&CardHead>,
    format: Format,
    layout: Layout,
) -> String {
    match format {
        Format::Csv => {
            let rows = found.faults.iter().map(|f| {
                vec![f.line.to_string(), f.column.to_string(), visible(&f.what.to_string())]
            });
            spreadsheet::rows(&["line", "column", "fault"], rows)
        }
        Format::Json => {
            let data = json!({
                "record": file,
                "holds": found.faults.is_empty(),
                "entries": found.entries,
                "head": found.head,
                "card": found.head.map(|h| h.for_card()),
                "sought": sought.map(ToString::to_string),
                "found": found.found,
                "faults": faults(found),
                "more_faults": found.more,
                "not_told": sought.is_none().then_some(NOT_TOLD),
            });
            format!("{data:#}\n")
        }
        Format::Text => {
            let count = counted(found.entries, "entry", "entries");
            let mut out = format!("{file}: {count}\n");
            chain_lines(&mut out, found, layout);
            if let Some(at) = found.found {
                let since = match found.entries.saturating_sub(at) {
                    0 => "the last there is".to_owned(),
                    since => format!("{} since", counted(since, "entry", "entries")),
                };
                out.push_str(&wrapped(
                    &format!("on the card: entry {at}, {since}"),
                    layout.width,
                    0,
                ));
            }
            if let Some(head) = found.head.filter(|_| found.faults.is_empty()) {
                let _ = writeln!(out, "last digest {head}");
                let _ = writeln!(out, "for the card: {}", card(found.entries, &head));
            }
            if sought.is_none() {
                out.push_str(&wrapped(NOT_TOLD, layout.width, 0));
            }
            out
        }
    }
}

/// Whether the chain holds, and where it does not.
fn chain_lines(out: &mut String, found: &Verified, layout: Layout) {
    if found.faults.is_empty() {
        out.push_str("the chain holds\n");
        return;
    }
    let count = counted((found.faults.len() + found.more) as u64, "fault", "faults");
    let _ = writeln!(out, "the chain does not hold: {count}");
    let lines = found.faults.iter().map(|f| (f.line, f.column, f.what.to_string()));
    fault_lines(out, lines, layout);
    if found.more > 0 {
        let _ = writeln!(out, "  ... and {} more", found.more);
    }
}

fn fault_lines(
    out: &mut String,
    lines: impl Iterator<Item = (usize, usize, String)>,
    layout: Layout,
) {
    for (line, column, what) in lines {
        let text = visible(&format!("line {line}, column {column}: {what}"));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn faults(found: &Verified) -> Vec<Value> {
    found.faults.iter().map(|f| fault(f.line, f.column, &f.what.to_string())).collect()
}

fn fault(line: usize, column: usize, message: &str) -> Value {
    json!({ "line": line, "column": column, "message": visible(message) })
}

fn counted(number: u64, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// What an entry is about: its line, its joint, its component, its test.
fn place(entry: &Entry) -> String {
    let clip = entry.clip.map(|number| format!("clip {number}"));
    let parts = [&entry.line, &clip, &entry.joint, &entry.component, &entry.test];
    let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
    visible(&parts.join(", "))
}

fn pairs<V: ToString>(map: &BTreeMap<String, V>, sign: &str) -> String {
    let pairs: Vec<String> =
        map.iter().map(|(name, value)| format!("{name}{sign}{}", value.to_string())).collect();
    pairs.join(BETWEEN)
}

fn row(entry: &Entry, void: Option<&Void>) -> Vec<String> {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let cells = [
        entry.number.to_string(),
        entry.time.to_string(),
        entry.by.clone(),
        entry.what.to_string(),
        text(&entry.line),
        text(&entry.joint),
        text(&entry.component),
        pairs(&entry.values, "="),
        text(&entry.note),
        pairs(&entry.photos, "="),
        pairs(&entry.covers, "="),
        entry.before.to_string(),
        entry.digest.to_string(),
        text(&entry.test),
        entry.said.join(BETWEEN),
        void.map(ToString::to_string).unwrap_or_default(),
        entry.clip.map_or(String::new(), |number| number.to_string()),
    ];
    cells.iter().map(|cell| visible(cell)).collect()
}
