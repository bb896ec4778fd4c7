//! The clock protractor: slipped over the hose, A at six o'clock, it shows where B of each hose must point.

use core::f64::consts::FRAC_PI_2;

use crate::book::Book;
use crate::report::drawing::{Anchor, Drawing, Point, Stroke};

/// Radius of the disc, mm.
const DISC_MM: f64 = 45.0;
/// Degrees from tick to tick.
const TICK_DEG: u32 = 5;
/// Directions nearer than this, rad, have their words one behind the other.
const CROWDED_RAD: f64 = 0.12;
/// Height of type, mm.
const TYPE_MM: f64 = 3.0;

/// A hose with two angled ends.
struct Clocked<'a> {
    id: &'a str,
    angle_rad: f64,
}

/// The protractor; none where no hose has two angled ends.
pub fn protractor(book: &Book<'_>) -> Option<Drawing> {
    let mut clocked: Vec<Clocked<'_>> = Vec::new();
    let mut holes_mm: Vec<f64> = Vec::new();
    for line in &book.assessment.facts.lines {
        let clock = line.makeup.as_ref().ok().and_then(|m| m.clock.as_ref().ok());
        if let Some(Some(clock)) = clock {
            clocked.push(Clocked { id: &line.id, angle_rad: clock.angle_rad });
            holes_mm.extend(line.outside.as_ref().map(|o| o.value));
        }
    }
    if clocked.is_empty() {
        return None;
    }
    let notes = vec![
        "Cut out the disc and the circle of the hose. Slip it over the hose at end A, printed side towards A, with the \
         mark A along the end that points from the hose to its seat. The end at B must point along the mark of its \
         line. Angles count counter-clockwise, seen from A along the hose."
            .to_owned(),
    ];
    let title = format!("{}: clock protractor", book.assessment.plan.name);
    let mut drawing = Drawing::new(title, notes);
    disc(&mut drawing, &mut holes_mm);
    clocked.sort_by(|a, b| a.angle_rad.total_cmp(&b.angle_rad));
    hands(&mut drawing, &clocked);
    Some(drawing)
}

fn disc(drawing: &mut Drawing, holes_mm: &mut Vec<f64>) {
    drawing.circle([0.0, 0.0], DISC_MM, Stroke::Outline);
    holes_mm.sort_by(f64::total_cmp);
    holes_mm.dedup_by(|a, b| (*a - *b).abs() < 0.05);
    for hole in holes_mm.iter() {
        drawing.circle([0.0, 0.0], 0.5 * hole, Stroke::Hole);
    }
    for tick in 0..360 / TICK_DEG {
        let degrees = f64::from(tick * TICK_DEG);
        let (inner, label) = match degrees {
            d if d % 30.0 == 0.0 => (DISC_MM - 6.0, true),
            d if d % 10.0 == 0.0 => (DISC_MM - 4.0, false),
            _ => (DISC_MM - 2.5, false),
        };
        let turn = degrees.to_radians();
        drawing.line(at(turn, inner), at(turn, DISC_MM), Stroke::Thin);
        if label {
            let [x, y] = at(turn, DISC_MM - 10.0);
            drawing.text([x, y - 0.4 * TYPE_MM], TYPE_MM, format!("{degrees:.0}"), Anchor::Middle);
        }
    }
}

fn hands(drawing: &mut Drawing, clocked: &[Clocked<'_>]) {
    drawing.line(at(0.0, 12.0), at(0.0, DISC_MM), Stroke::Outline);
    drawing.text([1.5, -DISC_MM + 12.0], 4.0, "A", Anchor::Start);
    let mut last = f64::NEG_INFINITY;
    let mut row = 0_u32;
    for hose in clocked {
        row = if hose.angle_rad - last < CROWDED_RAD { row + 1 } else { 0 };
        last = hose.angle_rad;
        let end = DISC_MM + 4.0 + 9.0 * f64::from(row);
        drawing.line(at(hose.angle_rad, 20.0), at(hose.angle_rad, end), Stroke::Bend);
        let [x, y] = at(hose.angle_rad, end + 3.5);
        let words = format!("{} {:.0}", hose.id, hose.angle_rad.to_degrees());
        drawing.text([x, y - 0.4 * TYPE_MM], TYPE_MM, words, Anchor::Middle);
    }
}

/// A point of the disc: turned counter-clockwise from six o'clock.
fn at(turn: f64, radius_mm: f64) -> Point {
    let angle = turn - FRAC_PI_2;
    [radius_mm * libm::cos(angle), radius_mm * libm::sin(angle)]
}
