//! A printed sheet: what its scale bars measure, and whether it may be used.

use crate::finding::Verdict;
use crate::plan::Plan;
use crate::solve::Facts;
use crate::source::Sourced;
use crate::table::{Tables, limit};
use crate::units::{Length, Quantity};

/// Length of the bar that is measured, mm.
pub const BAR_MM: f64 = 100.0;

/// A printed bar that was measured.
#[derive(Clone, Debug)]
pub struct Bar {
    /// What it measures, mm.
    pub measures_mm: f64,
    /// How far it may be off, mm; none where the table has no such rule.
    pub most_off_mm: Option<Sourced<f64>>,
    /// The verdict.
    pub verdict: Verdict,
}

/// Judges a printed bar.
pub fn bar(tables: &Tables, measures_mm: f64) -> Bar {
    let most_off_mm = allowed_mm(tables);
    let verdict = match &most_off_mm {
        None => Verdict::Open,
        // A hair's breadth of rounding is not held against the printer.
        Some(most) if (measures_mm - BAR_MM).abs() <= most.value + 1e-9 => Verdict::Ok,
        Some(_) => Verdict::Fail,
    };
    Bar { measures_mm, most_off_mm, verdict }
}

fn allowed_mm(tables: &Tables) -> Option<Sourced<f64>> {
    limit::installation::<Length>(tables, "printed-bar").map(|a| a.map(|a| a.si() * 1e3))
}

/// What was measured on the printed bars, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The bar along the strip.
    pub along_mm: Option<f64>,
    /// The bar across the strip.
    pub across_mm: Option<f64>,
}

/// What the bars say of the sheet.
#[derive(Clone, Debug)]
pub struct Printed {
    /// What was measured.
    pub measured: Measured,
    /// How far a bar may be off, mm.
    pub allowed: Option<Sourced<f64>>,
    /// Why the sheet is refused, one sentence each; none if it may be used.
    pub refused: Vec<String>,
}

/// Judges the bars of the sheets of some straps.
pub fn printed(
    plan: &Plan,
    facts: &Facts,
    straps: &[usize],
    tables: &Tables,
    measured: Measured,
) -> Printed {
    let allowed = allowed_mm(tables);
    let sides = [(measured.along_mm, "along"), (measured.across_mm, "across")];
    let mut refused = Vec::new();
    for (bar_mm, side) in sides.into_iter().filter_map(|(mm, side)| Some((mm?, side))) {
        if bar(tables, bar_mm).verdict == Verdict::Ok {
            continue;
        }
        let size = |strap: &usize| {
            let flat = facts.straps[*strap].flat.as_ref().ok()?;
            let true_mm =
                if side == "along" { flat.length_mm } else { plan.straps[*strap].width_mm };
            let out_mm = true_mm * bar_mm / BAR_MM;
            let word = if out_mm < true_mm { "short" } else { "too long" };
            let word = if side == "across" {
                word.replace("short", "too narrow").replace("too long", "too wide")
            } else {
                word.to_owned()
            };
            Some(format!(
                "{}: a {true_mm:.1} mm strip would come out {out_mm:.1} mm, {:.1} mm {word}",
                plan.straps[*strap].id,
                (out_mm - true_mm).abs()
            ))
        };
        let strips: Vec<String> = straps.iter().filter_map(size).collect();
        refused.push(format!(
            "the 100 mm bar {side} the strip measures {bar_mm:.1} mm: do not use this sheet. {}",
            strips.join("; ")
        ));
    }
    Printed { measured, allowed, refused }
}
