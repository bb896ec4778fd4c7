//! Whole plans of 100 lines and more: time of a check beside that of reading its TOML alone, in one run.
//!
//! `cargo bench --bench plan -- --most LINES` goes up to so many lines, 10 000 if nothing is said. Memory is the
//! greatest the process held, where the system tells it.
#![expect(clippy::disallowed_macros, reason = "a bench is a program: it prints its table")]
#![expect(clippy::disallowed_methods, reason = "it asks the system how much memory it holds")]
#![expect(clippy::expect_used, reason = "a bench stops where it cannot go on")]

mod fastest;
mod made_up;
mod row;

use fastest::fastest;
use hosewright::assess::read_and_assess;
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

/// Coolers of a row, which make fifty lines.
const COOLERS: usize = 23;
const LINES_OF_A_ROW: usize = 50;
/// Lines of the plans.
const LINES: [usize; 4] = [100, 1_000, 10_000, 100_000];

fn real(count: usize) -> f64 {
    f64::from(u32::try_from(count).expect("a plan of fewer than 2^32 lines"))
}

/// The most memory that this process has held, MB; none where the system does not say.
fn held_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kb: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kb / 1e3)
}

/// The number after `--most`.
fn most() -> usize {
    let mut arguments = std::env::args().skip_while(|a| a != "--most").skip(1);
    arguments.next().and_then(|number| number.parse().ok()).unwrap_or(10_000)
}

fn main() {
    let tables = Tables::builtin();
    println!(
        "{:>7} {:>9} {:>11} {:>11} {:>7} {:>7} {:>8} {:>8}",
        "lines", "plan kB", "TOML ms", "check ms", "ratio", "growth", "held MB", "kB/line"
    );
    let mut before: Option<(f64, f64)> = None;
    for lines in LINES.into_iter().filter(|lines| *lines <= most()) {
        let text = made_up::plan(lines / LINES_OF_A_ROW, COOLERS);
        let runs = (2_000 / lines).max(1);
        let (toml, _) = fastest(runs, || text.parse::<toml::Table>().expect("the plan is TOML"));
        let file = SourceText::new("plan.toml", &text);
        let (check, _) = fastest(runs, || read_and_assess(&file, &tables).expect("the plan reads"));
        let growth = before.map_or(String::new(), |(lines_before, check_before)| {
            let growth = libm::log(check / check_before) / libm::log(real(lines) / lines_before);
            format!("{growth:.2}")
        });
        let (held, each) = held_mb().map_or((String::new(), String::new()), |mb| {
            (format!("{mb:.0}"), format!("{:.0}", mb * 1e3 / real(lines)))
        });
        println!(
            "{lines:7} {:9.0} {:11.2} {:11.1} {:7.1} {growth:>7} {held:>8} {each:>8}",
            real(text.len()) / 1e3,
            toml * 1e3,
            check * 1e3,
            check / toml
        );
        let what = format!("check of a plan of {lines} lines");
        row::row(&what, check, "its TOML read", toml);
        before = Some((real(lines), check));
    }
}
