//! The machine as built, for programs and spreadsheets.

use serde_json::{Value, json};

use super::{Built, Drift, Planned};
use crate::diagnostic::visible;
use crate::report::spreadsheet::rows;

/// What is planned and the least and the most that is right.
fn bounds(planned: &Planned) -> [Option<f64>; 3] {
    match *planned {
        Planned::Number { value, tolerance } => {
            [Some(value), tolerance.map(|t| value - t), tolerance.map(|t| value + t)]
        }
        Planned::Window { value, least, most } => [Some(value), Some(least), most],
        Planned::Between { least, most } => [None, Some(least), Some(most)],
        Planned::AtLeast { value, least } => [Some(value), Some(least), None],
        Planned::Place { tolerance, .. } => [None, None, tolerance],
        Planned::Nothing => [None; 3],
    }
}

/// Drift and what could not be used.
pub fn json(built: &Built) -> Value {
    json!({
        "drift": built.drift.iter().map(one).collect::<Vec<_>>(),
        "not_used": built.not_used.iter().map(|(entry, why)| {
            json!({ "entry": entry, "why": visible(why) })
        }).collect::<Vec<_>>(),
        "verdict": built.worst(),
    })
}

fn one(drift: &Drift) -> Value {
    let [planned, least, most] = bounds(&drift.planned);
    let planned_at = match drift.planned {
        Planned::Place { at_mm, .. } => Some(at_mm),
        _ => None,
    };
    json!({
        "of": drift.of, "what": drift.what, "unit": drift.unit, "planned": planned, "least": least,
        "most": most, "built": drift.built, "error": drift.error, "difference": drift.difference(),
        "planned_at_mm": planned_at, "at_mm": drift.at_mm, "verdict": drift.verdict,
        "entry": drift.entry, "note": drift.note,
    })
}

/// One row for each reading.
pub fn csv(built: &Built) -> String {
    let head = [
        "of",
        "what",
        "unit",
        "planned",
        "least",
        "most",
        "built",
        "error",
        "difference",
        "verdict",
        "entry",
        "note",
    ];
    let number = |n: Option<f64>| n.map_or(String::new(), |n| n.to_string());
    let row = |drift: &Drift| {
        let [planned, least, most] = bounds(&drift.planned).map(number);
        vec![
            visible(&drift.of),
            drift.what.to_owned(),
            drift.unit.to_owned(),
            planned,
            least,
            most,
            drift.built.to_string(),
            number(drift.error),
            number(drift.difference()),
            drift.verdict.to_string(),
            drift.entry.to_string(),
            visible(drift.note.as_deref().unwrap_or_default()),
        ]
    };
    rows(&head, built.drift.iter().map(row))
}
