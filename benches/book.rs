//! Time and bytes of a book beside the time of the check that it rests on, in one run.
#![expect(clippy::disallowed_macros, reason = "a bench is a program: it prints its table")]
#![expect(clippy::disallowed_methods, reason = "it reads the example plans")]
#![expect(clippy::expect_used, reason = "a bench stops where it cannot go on")]

mod fastest;
mod made_up;
mod row;

use fastest::fastest;
use hosewright::assess::{Assessment, read_and_assess};
use hosewright::book::{Book, Look, html};
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

/// Runs of each; the fastest counts.
const RUNS: usize = 5;
/// What was asked for: bytes and seconds of the largest example, seconds of a thousand lines.
const WANTED: &str = "wanted: the largest example under 50 ms and 1 MB, 1000 lines under 2 s";

fn measured(name: &str, text: &str, tables: &Tables, runs: usize) {
    let file = SourceText::new("plan.toml", text);
    let (check, assessment): (f64, Assessment) =
        fastest(runs, || read_and_assess(&file, tables).expect("the plan reads"));
    let book = Book::of(&assessment, tables, text, Look::default());
    let (write, page) = fastest(runs, || html(&book));
    let lines = assessment.plan.lines.len();
    println!(
        "{name:24} {lines:6} {:9.1} {:9.1} {:7.2} {:9} {:9}",
        check * 1e3,
        write * 1e3,
        write / check,
        page.len() / 1000,
        page.len() / lines.max(1)
    );
    let what = format!("book of {name}, {lines} lines, {} kB", page.len() / 1000);
    row::row(&what, write, "its check", check);
}

fn main() {
    let tables = Tables::builtin();
    println!(
        "{:24} {:>6} {:>9} {:>9} {:>7} {:>9} {:>10}",
        "book", "lines", "check ms", "write ms", "ratio", "kB", "bytes/line"
    );
    for example in ["01-amphibian", "02-river-launch", "03-press"] {
        let path = format!("{}/examples/{example}/plan.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("the example is there");
        measured(example, &text, &tables, RUNS);
    }
    for (rows, coolers) in [(5, 23), (20, 23), (1, 123), (1, 498)] {
        let name = format!("{rows} rows of {coolers}");
        measured(&name, &made_up::plan(rows, coolers), &tables, 1);
    }
    println!("{WANTED}");
}
