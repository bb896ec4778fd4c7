//! What is left to do by the record: the state of every line, and what comes next.

use core::fmt::Write;

use serde_json::{Value, json};

use super::grid::{Grid, wrapped};
use super::{Format, Layout, spreadsheet};
use crate::assess::Assessment;
use crate::diagnostic::visible;
use crate::finding::{Finding, Verdict};
use crate::signed::{Job, LineState, Recheck, Signed, Stage};

/// Stands wherever the record is summed up.
pub const NO_APPROVAL: &str = "This is what people wrote down of their own work. It is no legal sign-off and no \
approval: who must inspect what, and who may sign, is for national rules and for the inspector.";
/// What can be entered of a line so that nothing is blank.
const NAMES: &str = "Values that a card asks for are cut, assembly, clock, \"caps on\" and \"caps off\" (2 caps); a test asks for its pressure.";

/// Whether something fails in check on a line.
pub fn fails(findings: &[Finding], line: &str) -> bool {
    findings.iter().any(|f| f.verdict == Verdict::Fail && f.is_about(line))
}

/// How many lines are in each state, and how many tests were made.
pub fn counts(signed: &Signed) -> String {
    let count = |word: &str| signed.lines.iter().filter(|l| l.word() == word).count();
    let words = ["planned"].into_iter().chain(Stage::ALL.map(Stage::word)).chain(["re-check due"]);
    let counted = words.filter(|w| count(w) > 0).map(|w| format!("{} {w}", count(w)));
    let lines: Vec<String> = counted.collect();
    let made = signed.tests.iter().filter(|t| t.made.is_some()).count();
    let tests = match signed.tests.len() {
        0 => String::new(),
        all => format!("; {made} of {all} flow tests made"),
    };
    let all = signed.lines.len();
    let lines_word = if all == 1 { "line" } else { "lines" };
    format!("{all} {lines_word}: {}{tests}", lines.join(", "))
}

/// The state of every line and what is next.
pub fn left(
    assessment: &Assessment,
    signed: &Signed,
    file: &str,
    format: Format,
    layout: Layout,
) -> String {
    let jobs = signed.jobs(|line| fails(&assessment.findings, line));
    match format {
        Format::Text => text(signed, &jobs, file, layout),
        Format::Json => format!("{:#}\n", data(signed, &jobs, file)),
        Format::Csv => table(signed, &jobs),
    }
}

/// Number of the entry of a step.
fn number(signed: &Signed, line: &LineState, stage: Stage) -> Option<u64> {
    let entry = line.done.get(&stage).and_then(|at| signed.read.entries.get(*at));
    entry.map(|e| e.number)
}

fn text(signed: &Signed, jobs: &[Job], file: &str, layout: Layout) -> String {
    let mut out = String::new();
    let say = |out: &mut String, text: &str, indent: usize| {
        out.push_str(&wrapped(&visible(text), layout.width, indent));
    };
    let entries = signed.read.entries.len();
    let holds = if signed.is_whole() { "the chain holds" } else { "THE RECORD DOES NOT HOLD" };
    let entries_word = if entries == 1 { "entry" } else { "entries" };
    say(&mut out, &format!("{file}: {entries} {entries_word}, {holds}"), 0);
    say(&mut out, &counts(signed), 0);
    let mut grid = Grid::new(
        &["line", "state", "cut", "made", "tested", "fitted", "tightened", "inspected", "two"],
        &[2, 3, 4, 5, 6, 7],
    );
    for line in &signed.lines {
        let mut row = vec![visible(&line.id), line.word().to_owned()];
        let steps = Stage::ALL.map(|stage| number(signed, line, stage));
        row.extend(steps.map(|n| n.map_or("-".to_owned(), |n| n.to_string())));
        row.push(two(line));
        grid.rows.push(row);
    }
    let _ = writeln!(out);
    out.push_str(&grid.to_text(layout.width));
    let _ = writeln!(out);
    if jobs.is_empty() {
        say(&mut out, "Nothing is left that the record knows of.", 0);
    } else {
        say(&mut out, "Next, in this order:", 0);
        for job in jobs {
            say(&mut out, &format!("{}: {}", job.place, job.work.words()), 2);
        }
    }
    let _ = writeln!(out);
    say(&mut out, "Numbers in the table are those of entries; \"two\": two people look at it.", 0);
    say(&mut out, NAMES, 0);
    say(&mut out, NO_APPROVAL, 0);
    out
}

/// Why two people look at a line; nothing where they do not.
fn two(line: &LineState) -> String {
    line.double.as_ref().map(|why| why.value.clone()).unwrap_or_default()
}

fn data(signed: &Signed, jobs: &[Job], file: &str) -> Value {
    let line = |line: &LineState| {
        let done = Stage::ALL.map(|stage| (stage.word().to_owned(), number(signed, line, stage)));
        let readings = line.rights.iter().map(|right| {
            let read = line.readings.get(&right.reading).map(|(_, text)| text);
            json!({ "what": right.reading.word(), "right": right.words(), "is": read })
        });
        json!({
            "line": line.id,
            "state": line.word(),
            "next": line.next().map(Stage::word),
            "entries": done.into_iter().collect::<std::collections::BTreeMap<_, _>>(),
            "two_people": line.double.as_ref().map(|why| &why.value),
            "recheck": recheck(line),
            "readings": readings.collect::<Vec<_>>(),
            "worked_on_by": line.workers,
            "inspected_by": line.inspectors,
        })
    };
    let tests = signed.tests.iter().map(|test| {
        let made = test.made.and_then(|at| signed.read.entries.get(at));
        json!({ "test": test.name, "entry": made.map(|e| e.number) })
    });
    let jobs = jobs.iter().map(|j| json!({ "where": j.place, "do": j.work.words() }));
    json!({
        "record": file,
        "holds": signed.is_whole(),
        "counts": counts(signed),
        "lines": signed.lines.iter().map(line).collect::<Vec<_>>(),
        "tests": tests.collect::<Vec<_>>(),
        "next": jobs.collect::<Vec<_>>(),
        "note": NO_APPROVAL,
    })
}

/// Why a line is to be looked at again, in words.
fn recheck(line: &LineState) -> Option<String> {
    line.recheck.as_ref().map(|recheck| match recheck {
        Recheck::Lapsed(numbers) => {
            let numbers: Vec<String> = numbers.iter().map(u64::to_string).collect();
            format!("void: {}", numbers.join(", "))
        }
        Recheck::WorkedOn(number) => format!("worked on after it was inspected: {number}"),
    })
}

fn table(signed: &Signed, jobs: &[Job]) -> String {
    let head = [
        "line",
        "state",
        "cut",
        "made",
        "tested",
        "fitted",
        "tightened",
        "inspected",
        "two_people",
        "recheck",
        "next",
    ];
    let rows = signed.lines.iter().map(|line| {
        let mut row = vec![visible(&line.id), line.word().to_owned()];
        let steps = Stage::ALL.map(|stage| number(signed, line, stage));
        row.extend(steps.map(|n| n.map_or(String::new(), |n| n.to_string())));
        row.push(two(line));
        row.push(recheck(line).unwrap_or_default());
        let job = jobs.iter().find(|j| j.place == line.id);
        row.push(job.map_or(String::new(), |j| visible(&j.work.words())));
        row
    });
    spreadsheet::rows(&head, rows)
}

/// Why the pack is not written.
pub fn refused(reasons: &[String], format: Format, layout: Layout) -> String {
    match format {
        Format::Json => {
            let reasons: Vec<String> = reasons.iter().map(|r| visible(r)).collect();
            format!("{:#}\n", json!({ "written": false, "missing": reasons, "note": NO_APPROVAL }))
        }
        Format::Csv => {
            let rows = reasons.iter().enumerate();
            spreadsheet::rows(
                &["number", "missing"],
                rows.map(|(at, r)| vec![(at + 1).to_string(), visible(r)]),
            )
        }
        Format::Text => {
            let count = reasons.len();
            let things = if count == 1 { "thing is" } else { "things are" };
            let head = format!("The pack is not written: {count} {things} missing or wrong.");
            let mut out = wrapped(&head, layout.width, 0);
            for reason in reasons {
                out.push_str(&wrapped(&visible(reason), layout.width, 2));
            }
            out.push_str(&wrapped(NO_APPROVAL, layout.width, 0));
            out
        }
    }
}
