//! A thread told from readings.

use core::fmt::Write;

use serde_json::json;

use super::caution::ALWAYS;
use super::grid::{Grid, wrapped};
use super::{Format, Layout, spreadsheet};
use crate::identify::thread::{Confusion, Next, Side};
use crate::pile::{Candidate, ThreadTold};
use crate::table::thread::ThreadSize;

/// What was told, in a format.
pub fn write(told: &ThreadTold, format: Format, layout: Layout) -> String {
    match format {
        Format::Text => text(told, layout),
        Format::Json => data(told),
        Format::Csv => {
            let head =
                ["family", "thread", "sizes", "side", "chance_percent", "standing", "source"];
            spreadsheet::rows(&head, told.candidates.iter().map(row))
        }
    }
}

fn row(candidate: &Candidate) -> Vec<String> {
    let first = candidate.sizes.first();
    let of = |pick: fn(&ThreadSize) -> String| first.map(pick).unwrap_or_default();
    vec![
        of(|s| s.family.clone()),
        of(|s| s.thread.clone()),
        sizes(candidate),
        sides(candidate),
        format!("{:.1}", 100.0 * candidate.share),
        of(|s| s.cite.standing.to_string()),
        of(|s| s.cite.text.to_string()),
    ]
}

fn sizes(candidate: &Candidate) -> String {
    let all: Vec<&str> = candidate.sizes.iter().map(|s| s.size.as_str()).collect();
    all.join(", ")
}

fn sides(candidate: &Candidate) -> String {
    let word = |side: &Side| if *side == Side::Male { "male" } else { "female" };
    candidate.sides.iter().map(word).collect::<Vec<_>>().join(" or ")
}

fn text(told: &ThreadTold, layout: Layout) -> String {
    let mut out = wrapped(&verdict(told), layout.width, 0);
    let head = ["family", "thread", "sizes", "side", "chance %", "standing"];
    let mut grid = Grid::new(&head, &[4]);
    for candidate in &told.candidates {
        let mut cells = row(candidate);
        cells.truncate(head.len());
        grid.rows.push(cells);
    }
    out.push_str(&grid.to_text(layout.width));
    let traps = traps(told);
    if !traps.is_empty() {
        out.push_str("\nTraps\n");
    }
    for trap in traps {
        out.push_str(&wrapped(&trap, layout.width, 2));
    }
    if let Some(next) = next(told) {
        let _ = write!(out, "\n{}", wrapped(&next, layout.width, 0));
    }
    let _ = write!(out, "\n{}", wrapped(ALWAYS, layout.width, 0));
    out
}

/// What is told, in a sentence.
fn verdict(told: &ThreadTold) -> String {
    let first = told.candidates.first().and_then(|c| c.sizes.first());
    match (told.candidates.len(), first) {
        (0, _) | (_, None) => {
            format!("no thread of {} fits these readings", told.families.join(", "))
        }
        (1, Some(size)) => format!("{} of {}", size.thread, size.family),
        (number, _) => format!("cannot tell from these readings: {number} are possible"),
    }
}

/// What the possible threads are easily taken for.
fn traps(told: &ThreadTold) -> Vec<String> {
    let name = |s: &ThreadSize| format!("{} of {}", s.thread, s.family);
    let mut said = Vec::new();
    for candidate in &told.candidates {
        let Some(own) = candidate.sizes.first() else { continue };
        for (other, how) in &candidate.confused {
            let what = match how {
                Confusion::OtherSeat => "screw together and do not seal",
                Confusion::NearThread => "start on one another and jam or strip",
            };
            let standing = own.cite.standing.max(other.cite.standing);
            // Both of a pair may be possible; it is one trap.
            let (mut a, mut b) = (name(own), name(other));
            if b < a {
                std::mem::swap(&mut a, &mut b);
            }
            let text = format!("{a} and {b} {what} ({standing})");
            if !said.contains(&text) {
                said.push(text);
            }
        }
    }
    said
}

fn next(told: &ThreadTold) -> Option<String> {
    let (what, bits) = told.next?;
    let what = match what {
        Next::Pitch => "the pitch, with a gauge",
        Next::Cone => "the angle of the cone",
        Next::Diameter => "the diameter over or between the crests",
        Next::Side => "whether it is male or female",
    };
    Some(format!("Read {what} next: it is expected to take away {bits:.2} bits of doubt."))
}

fn data(told: &ThreadTold) -> String {
    let one = |c: &Candidate| {
        json!({
            "family": c.sizes.first().map(|s| s.family.as_str()),
            "thread": c.sizes.first().map(|s| s.thread.as_str()),
            "seat": c.sizes.first().and_then(|s| s.seat.as_deref()),
            "sizes": c.sizes.iter().map(|s| s.size.as_str()).collect::<Vec<_>>(),
            "side": sides(c),
            "chance": c.share,
            "source": c.sizes.first().map(|s| s.cite.text.as_ref()),
            "standing": c.sizes.first().map(|s| s.cite.standing.to_string()),
        })
    };
    let value = json!({
        "says": verdict(told),
        "possible": told.candidates.iter().map(one).collect::<Vec<_>>(),
        "traps": traps(told),
        "next": next(told),
        "cautions": [ALWAYS],
    });
    format!("{value:#}\n")
}
