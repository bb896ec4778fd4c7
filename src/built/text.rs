//! The machine as built, for a person at a terminal.

use super::{Built, Drift, Planned};
use crate::diagnostic::visible;
use crate::report::Layout;
use crate::report::grid::{Grid, wrapped};
use crate::report::units::value;

/// What was read, then what could not be used.
pub fn text(built: &Built, layout: Layout) -> String {
    let mut out = wrapped("What was read, against the plan", layout.width, 0);
    if built.drift.is_empty() {
        let help =
            "no reading of the record says how long, where, at which angle, how much or how fast";
        out.push_str(&wrapped(help, layout.width, 2));
    } else {
        out.push_str(&drift(&built.drift, layout));
    }
    for one in built.drift.iter().filter(|d| d.note.is_some() || d.at_mm.is_some()) {
        out.push_str(&wrapped(&note(one), layout.width, 2));
    }
    if !built.not_used.is_empty() {
        out.push_str("Not used\n");
    }
    for (entry, why) in &built.not_used {
        out.push_str(&wrapped(&visible(&format!("entry {entry}: {why}")), layout.width, 2));
    }
    out
}

fn drift(drift: &[Drift], layout: Layout) -> String {
    let head = ["of", "what", "planned", "built", "off by", "right", "verdict", "entry"];
    let mut grid = Grid::new(&head, &[2, 3, 4, 7]);
    for one in drift {
        let shown = |n: f64| value(n, one.unit, layout.system);
        let error = one.error.map_or(String::new(), |e| format!(" ± {}", shown(e)));
        let place = one.at_mm.is_some();
        let (planned, right) = wanted(one, &shown);
        grid.rows.push(vec![
            visible(&one.of),
            one.what.to_owned(),
            planned,
            if place { "see below".to_owned() } else { format!("{}{error}", shown(one.built)) },
            one.difference().map_or(String::new(), |d| {
                let sign = if d > 0.0 && !place { "+" } else { "" };
                format!("{sign}{}{}", shown(d), if place { error.as_str() } else { "" })
            }),
            right,
            one.verdict.word().to_owned(),
            one.entry.to_string(),
        ]);
    }
    grid.to_text(layout.width)
}

/// What was planned, and what is right.
fn wanted(one: &Drift, shown: &impl Fn(f64) -> String) -> (String, String) {
    let within = |t: Option<f64>| t.map_or("not given".to_owned(), |t| format!("± {}", shown(t)));
    match one.planned {
        Planned::Number { value, tolerance } => (shown(value), within(tolerance)),
        Planned::Window { value, least, most: Some(most) } => {
            (shown(value), format!("{} to {}", shown(least), shown(most)))
        }
        Planned::Window { value, least, most: None } | Planned::AtLeast { value, least } => {
            (shown(value), format!("at least {}", shown(least)))
        }
        Planned::Between { least, most } => {
            (String::new(), format!("{} to {}", shown(least), shown(most)))
        }
        Planned::Place { tolerance, .. } => ("see below".to_owned(), within(tolerance)),
        Planned::Nothing => (String::new(), "not given".to_owned()),
    }
}

fn note(one: &Drift) -> String {
    let corner = |at: [f64; 3]| at.map(|c| format!("{:.1}", c + 0.0)).join(", ");
    let mut said = Vec::new();
    if let (Planned::Place { at_mm, .. }, Some(read)) = (&one.planned, one.at_mm) {
        said.push(format!("planned at ({}) mm, read at ({}) mm", corner(*at_mm), corner(read)));
    }
    said.extend(one.note.clone());
    visible(&format!("{}, {}: {}", one.of, one.what, said.join("; ")))
}
