//! The combined cases of the examples: a whole assessment with the matrix against one without, in one run.
#![expect(clippy::disallowed_macros, reason = "a bench is a program: it prints its table")]
#![expect(clippy::disallowed_methods, reason = "it reads the example plans")]
#![expect(clippy::expect_used, reason = "a bench stops where it cannot go on")]

mod row;

use std::hint::black_box;
use std::time::Instant;

use hosewright::assess::read_and_assess;
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

/// Runs of each kind; the median is printed.
const RUNS: usize = 11;

/// Median time of an assessment in ms, and the combinations that it solved.
fn median_ms(text: &str, tables: &Tables) -> (f64, usize) {
    let file = SourceText::new("plan.toml", text);
    let mut solved = 0;
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let started = Instant::now();
            let assessment = read_and_assess(&file, tables).expect("the example reads");
            solved = assessment.facts.network.combined.iter().map(|g| g.solved).sum();
            black_box(&assessment);
            started.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[RUNS / 2], solved)
}

/// A plan without its matrix: every section of it taken out.
fn without_matrix(text: &str) -> String {
    let mut inside = false;
    let mut kept = String::new();
    for line in text.lines() {
        if line.starts_with('[') {
            inside = line.starts_with("[matrix]") || line.starts_with("[[matrix.");
        }
        if !inside {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

fn main() {
    let tables = Tables::builtin();
    println!(
        "{:20} {:>9} {:>9} {:>12} {:>7}",
        "plan", "with ms", "less ms", "combinations", "ratio"
    );
    for example in ["01-amphibian", "02-river-launch", "03-press"] {
        let path = format!("{}/examples/{example}/plan.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("the example is there");
        let (with, solved) = median_ms(&text, &tables);
        let (less, _) = median_ms(&without_matrix(&text), &tables);
        println!("{example:20} {with:9.1} {less:9.1} {solved:12} {:7.2}", with / less);
        let what = format!("{example} with {solved} combined cases");
        row::row(&what, with / 1e3, "the same without them", less / 1e3);
    }
}
