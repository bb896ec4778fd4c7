//! A row of the table of speeds, in Markdown; `benches/table` gathers those of all benches.

use std::io::Write as _;

/// What was done and its time, and beside it something else done in the same run and its time, s.
pub fn row(what: &str, seconds: f64, beside: &str, other_seconds: f64) {
    let ratio = if other_seconds > seconds {
        format!("{:.1} times faster", other_seconds / seconds)
    } else {
        format!("{:.1} times as long", seconds / other_seconds)
    };
    let (ours, other) = (time(seconds), time(other_seconds));
    let _ = writeln!(std::io::stdout(), "| {what} | {ours} | {beside} | {other} | {ratio} |");
}

/// Three figures in the unit that suits them.
fn time(seconds: f64) -> String {
    let units = [(1.0, "s"), (1e-3, "ms"), (1e-6, "\u{b5}s"), (1e-9, "ns")];
    let (size, unit) = units.into_iter().find(|(size, _)| seconds >= *size).unwrap_or((1e-9, "ns"));
    let value = seconds / size;
    let digits = if value < 9.995 { 2 } else { usize::from(value < 99.95) };
    format!("{value:.digits$} {unit}")
}
