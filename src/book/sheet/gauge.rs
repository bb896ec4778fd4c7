//! Gauges of bends: quarter circles a hose is held against, and the bends of each tube to bend a wire along.

use core::f64::consts::FRAC_PI_2;
use std::collections::{BTreeMap, BTreeSet};

use crate::book::Book;
use crate::geometry::bend_table::TubeBend;
use crate::plan::Carrier;
use crate::report::drawing::{Anchor, Drawing, Point, Stroke};
use crate::solve::LineFacts;
use crate::solve::geometry::AllowedRadius;

/// Radii beyond this have no room on a page, mm.
const LARGEST_MM: f64 = 130.0;
/// Straight legs beside a bend, mm.
const LEG_MM: f64 = 22.0;
/// Room between two bends on the sheet, mm.
const GAP_MM: f64 = 12.0;
/// Height of type, mm.
const TYPE_MM: f64 = 2.6;

/// Quarter circles of the least bend radius of each hose, to its centre line; none where none is known.
pub fn radii(book: &Book<'_>) -> Option<Drawing> {
    let lines = book.assessment.plan.lines.iter().zip(&book.assessment.facts.lines);
    let hoses = lines.filter(|(planned, _)| matches!(planned.carrier, Carrier::Hose(_)));
    let mut kinds: BTreeMap<i64, BTreeSet<&str>> = BTreeMap::new();
    for (_, facts) in hoses {
        let allowed = facts.geometry.as_ref().ok().and_then(|g| g.allowed.as_ref());
        let radius_mm = allowed.map_or(f64::NAN, AllowedRadius::drawn_mm);
        if radius_mm > 0.0 && radius_mm <= LARGEST_MM {
            kinds.entry(tenths(radius_mm)).or_default().insert(&facts.carrier);
        }
    }
    if kinds.is_empty() {
        return None;
    }
    let mut notes = vec![format!(
        "Hold the middle of the hose against the arc of its kind: a hose that lies inside the arc is bent too tight. \
         Radii over {LARGEST_MM:.0} mm are left out."
    )];
    let title = format!("{}: gauge of least bend radii", book.assessment.plan.name);
    let mut drawing = Drawing::new(title, Vec::new());
    for (tenths, of_radius) in kinds {
        #[expect(clippy::cast_precision_loss, reason = "less than 1300 tenths")]
        let radius = tenths as f64 / 10.0;
        drawing.arc([0.0, 0.0], radius, 0.0, FRAC_PI_2, Stroke::Outline);
        let at = [radius + 0.4 * TYPE_MM, -0.5 * TYPE_MM];
        drawing.text_turned(at, TYPE_MM, format!("{radius}"), Anchor::End, FRAC_PI_2);
        let names: Vec<&str> = of_radius.into_iter().collect();
        notes.push(format!("{radius} mm: {}", names.join(", ")));
    }
    drawing.notes = notes;
    drawing.line([0.0, 0.0], [0.0, 4.0], Stroke::Centre);
    drawing.line([0.0, 0.0], [4.0, 0.0], Stroke::Centre);
    Some(drawing)
}

/// A length in whole tenths of a millimetre, so that equal radii are one.
fn tenths(mm: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and LARGEST_MM")]
    let whole = (mm * 10.0).round() as i64;
    whole
}

/// For each rigid tube its bends side by side, each laid flat, in the order in which they are made.
pub fn bends(book: &Book<'_>) -> Vec<Drawing> {
    book.assessment.facts.lines.iter().filter_map(|line| of_tube(book, line)).collect()
}

fn of_tube(book: &Book<'_>, line: &LineFacts) -> Option<Drawing> {
    let tube = line.tube.as_ref()?.as_ref().ok()?;
    let side = tube.side();
    if side.rows.is_empty() {
        return None;
    }
    let notes = vec![format!(
        "Bend a wire along each, or hold the bent tube against it: the lines are its centre line. The turn is from \
         the bend before, clockwise for who looks along the tube from end {}. Not the angle a bender is set to: the \
         card has that.",
        side.end
    )];
    let title = format!("{}: wire gauge of line {}", book.assessment.plan.name, line.id);
    let mut drawing = Drawing::new(title, notes);
    let mut left = 0.0;
    for (index, row) in side.rows.iter().enumerate() {
        left += one(&mut drawing, left, index + 1, &row.bend) + GAP_MM;
    }
    Some(drawing)
}

/// Draws a bend from a place to the right; how wide it came out, mm.
fn one(drawing: &mut Drawing, left: f64, number: usize, bend: &TubeBend) -> f64 {
    let (radius, angle) = (bend.radius_mm, bend.angle_rad);
    // The tube comes from the left and turns upwards.
    let start: Point = [LEG_MM, 0.0];
    let centre = [start[0], radius];
    let end = [start[0] + radius * libm::sin(angle), radius - radius * libm::cos(angle)];
    let tip = [end[0] + LEG_MM * libm::cos(angle), end[1] + LEG_MM * libm::sin(angle)];
    // Beyond a right angle the arc or its leg lies further right or left than its ends.
    let reach = if angle > FRAC_PI_2 { start[0] + radius } else { tip[0] };
    let shift = (-tip[0]).max(0.0);
    let moved = |p: Point| [p[0] + left + shift, p[1]];
    drawing.line(moved([0.0, 0.0]), moved(start), Stroke::Outline);
    drawing.arc(moved(centre), radius, -FRAC_PI_2, angle, Stroke::Outline);
    drawing.line(moved(end), moved(tip), Stroke::Outline);
    let words = [
        format!("bend {number}: {:.1} deg", angle.to_degrees()),
        format!("radius {radius:.0}, turn {:.0}", bend.rotation_rad.to_degrees()),
    ];
    let mut y = -1.8 * TYPE_MM;
    for line in &words {
        drawing.text(moved([0.0, y]), TYPE_MM, line, Anchor::Start);
        y -= 1.5 * TYPE_MM;
    }
    let written = words.iter().map(|w| crate::report::drawing::text_width_mm(w, TYPE_MM));
    shift + reach.max(tip[0]).max(written.fold(0.0, f64::max))
}
