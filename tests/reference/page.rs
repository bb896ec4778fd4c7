//! The page of published figures: written from what the tests compare, so that it says what is so.

mod functions;

use core::fmt::Write;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::compared::Compared;
use super::{geometry, heat, hydraulics, makeup, rating, sheet, tube};
use crate::house::{assert_stored, files_below, read};

const PAGE: &str = "REFERENCE.md";

/// Standings in the order of trust, as the sources of the tables name them.
const STANDINGS: [&str; 6] =
    ["cross-checked", "read", "quoted-elsewhere", "common-practice", "from-memory", "demo"];

fn files() -> Vec<&'static geometry::case::CaseFile> {
    let mut all = geometry::FILES.to_vec();
    all.extend([&tube::BEND_TABLE, &heat::EXCHANGER, &heat::OIL]);
    all.extend([&makeup::LENGTH_AND_MASS, &makeup::STOCK, &sheet::SHEET, &tube::TUBE]);
    all.push(&rating::STRENGTH);
    all
}

/// Every figure of every file, sorted by what it is about.
fn everything() -> Vec<Compared> {
    let mut all: Vec<Compared> = files().iter().flat_map(|file| file.compared()).collect();
    all.extend(hydraulics::compared());
    all.extend(crate::fluids::compared());
    all.sort_by(|a, b| a.subject.cmp(&b.subject));
    all
}

/// A number with seven digits at most, without zeros at the end.
fn shown(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    let exact = format!("{value:.6e}");
    let (digits, power) = exact.split_once('e').unwrap_or((&exact, "0"));
    let power: i32 = power.parse().unwrap_or_default();
    if (-4..9).contains(&power) {
        let decimals = usize::try_from(6 - power).unwrap_or(0);
        return trimmed(&format!("{value:.decimals$}"));
    }
    format!("{}e{power}", trimmed(digits))
}

fn trimmed(digits: &str) -> String {
    if !digits.contains('.') {
        return digits.to_owned();
    }
    digits.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A difference with two digits; what is noise of the last places is nothing.
fn off(one: &Compared) -> String {
    let off = one.off();
    let noise = off.abs() <= 1e-9 * one.printed.abs().max(1e-3);
    if noise { "0".to_owned() } else { shown(format!("{off:.1e}").parse().unwrap_or(off)) }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

fn source(one: &Compared) -> String {
    let place = cell(&one.place);
    let place = match &one.url {
        Some(url) => format!("[{}]({url})", if place.is_empty() { "copy" } else { &place }),
        None => place,
    };
    format!("{}: {place}", cell(&one.document))
}

fn row(one: &Compared) -> String {
    let wrong = one.differs.as_ref().map_or(String::new(), |d| format!("; {}", cell(d)));
    format!(
        "| {}: {} | {} {} | {} | {} | {} | {}{wrong} | {} | {} |\n",
        cell(&one.name),
        cell(&one.what),
        one.printed,
        one.unit,
        shown(one.ours),
        off(one),
        one.within,
        cell(&one.because),
        source(one),
        one.standing,
    )
}

fn counts(all: &[Compared]) -> String {
    let mut of: BTreeMap<&str, Vec<&Compared>> = BTreeMap::new();
    for one in all {
        of.entry(&one.subject).or_default().push(one);
    }
    let documents = |all: &[&Compared]| {
        all.iter().map(|one| one.document.as_str()).collect::<BTreeSet<&str>>().len()
    };
    let mut out = format!("| about | figures | documents | {} |\n", STANDINGS.join(" | "));
    let _ = writeln!(out, "|---|{}", "--:|".repeat(2 + STANDINGS.len()));
    let mut total = [0; STANDINGS.len()];
    for (subject, figures) in &of {
        let _ = write!(out, "| {subject} | {} | {} |", figures.len(), documents(figures));
        for (standing, sum) in STANDINGS.iter().zip(&mut total) {
            let count = figures.iter().filter(|one| one.standing == *standing).count();
            *sum += count;
            let _ = write!(out, " {count} |");
        }
        out.push('\n');
    }
    let whole: Vec<&Compared> = all.iter().collect();
    let sums: Vec<String> = total.iter().map(ToString::to_string).collect();
    let (figures, documents) = (all.len(), documents(&whole));
    let _ = writeln!(out, "| all | {figures} | {documents} | {} |", sums.join(" | "));
    out
}

fn ends(path: &str, with: &str) -> bool {
    Path::new(path).extension().is_some_and(|ending| ending == with)
}

/// Rows of each file of answers that general-purpose libraries gave.
fn oracles() -> String {
    let mut out = String::from("| file | rows |\n|---|--:|\n");
    for path in files_below("tests/oracle").iter().filter(|path| ends(path, "csv")) {
        let text = read(path);
        let rows = text.lines().filter(|l| !l.starts_with('#')).count().saturating_sub(1);
        let _ = writeln!(out, "| [{path}]({path}) | {rows} |");
    }
    out
}

fn page() -> String {
    let all = everything();
    let mut out = format!("{INTRODUCTION}\n{}", counts(&all));
    let retyped = read("tests/reference/tables.toml").matches("[[row]]").count();
    let _ = write!(
        out,
        "\nBesides, {retyped} rows of published tables were typed a second time and agree with the tables \
         ([tests/reference/tables.toml](tests/reference/tables.toml)).\n"
    );
    let mut last = "";
    for one in &all {
        if one.subject != last {
            let _ = write!(out, "\n## {}\n\n{HEAD}", one.subject);
            last = &one.subject;
        }
        out.push_str(&row(one));
    }
    let _ = write!(out, "\n{ORACLES}\n{}\n{}", oracles(), functions::section());
    out
}

const INTRODUCTION: &str = "# Published figures beside ours

Written by the tests, which also hold it in step: `UPDATE=1 cargo test --test main -- reference::page`.
*Printed* is what the document says, in its unit; where it is known to be wrong, the figure that is right, and the
reason tells both. *Ours* is what the program gives for the same input, *off* how far that lies above, *within* how far
it may lie and why. *Standing* is how far the source is to be trusted: `read` in the document itself, `quoted-elsewhere`
by another one, `cross-checked` between two, `demo` where the figure was worked out for the test.

## How many
";

const HEAD: &str = "| what | printed | ours | off | within | because | source | standing |
|---|--:|--:|--:|--:|---|---|---|
";

const ORACLES: &str = "## Answers of general-purpose libraries

Worked out by other people's libraries for numbers in general, stored, compared by the tests, and worked out again before
anything lands ([tests/oracle/README.md](tests/oracle/README.md)).
";

#[test]
fn the_page_says_what_the_tests_compare() {
    assert_stored(PAGE, &page());
}

#[test]
fn every_figure_on_the_page_is_met() {
    let faults: Vec<String> = everything().iter().filter_map(Compared::fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let unknown = |one: &Compared| !STANDINGS.contains(&one.standing.as_str());
    assert!(!everything().iter().any(unknown), "a standing is not counted");
}

#[test]
fn every_file_of_published_figures_is_on_the_page() {
    let all = everything();
    // Tables typed again and lists of what is left out hold no figure of ours.
    let others = ["tables.toml", "not-covered.toml", "inventory.toml"];
    for path in files_below("tests/reference").iter().filter(|path| ends(path, "toml")) {
        let name = path.trim_start_matches("tests/reference/");
        if others.iter().any(|other| name.ends_with(other)) {
            continue;
        }
        let first = read(path).lines().find_map(|l| Some(l.strip_prefix("name = \"")?.to_owned()));
        let first = first.map(|name| name.trim_end_matches('"').to_owned()).unwrap_or_default();
        assert!(all.iter().any(|one| one.name == first), "{path}: \"{first}\" is not on the page");
    }
}

#[test]
fn numbers_are_shown_short() {
    let cases = [(0.0, "0"), (1291.0, "1291"), (-0.000_25, "-0.00025"), (1.5e-7, "1.5e-7")];
    for (value, text) in cases.into_iter().chain([(235.619_449, "235.6194"), (2.2e9, "2.2e9")]) {
        assert_eq!(shown(value), text);
    }
}
