//! The flat pattern of a strap as a drawing at full size.

use std::f64::consts::FRAC_PI_2;

use super::way;
use crate::assess::Assessment;
use crate::plan::Strap;
use crate::report::caution::{ALWAYS, SHEET};
use crate::report::drawing::{Anchor, Drawing, Stroke};
use crate::solve::strap::{FlatBend, FlatFacts, FlatHole};

/// Height of small type, mm.
const TYPE_MM: f64 = 2.2;
/// Half the length of a sight mark, mm.
const SIGHT_MM: f64 = 1.2;
/// A bend narrower than this has no room for its words, mm.
const ROOM_MM: f64 = 3.2;

/// Draws a strap from end A at the left, seen from the side of the lining.
///
/// # Errors
/// Says why there is no flat strip.
pub fn pattern(assessment: &Assessment, strap: usize) -> Result<Drawing, String> {
    let (plan, facts) = (&assessment.plan.straps[strap], &assessment.facts.straps[strap]);
    let flat = facts.flat.as_ref()?;
    let named = plan.name.as_ref().map_or(String::new(), |n| format!(", {n}"));
    let title = format!("{}: flat pattern of strap {}{named}", assessment.plan.name, plan.id);
    let size = format!(
        "Strip {:.1} x {} x {} mm. Seen from the side of the lining: up is towards you. Figures are mm from end A; \
         above a line where a bend begins, below where it ends. Short marks across the edges: sight lines of the brake.",
        flat.length_mm, plan.width_mm, plan.thickness_mm
    );
    let mut drawing = Drawing::new(title, vec![size, SHEET.to_owned(), ALWAYS.to_owned()]);
    strip(&mut drawing, plan, flat);
    for (index, bend) in flat.bends.iter().enumerate() {
        draw_bend(&mut drawing, plan, index, bend);
    }
    for hole in &flat.holes {
        draw_hole(&mut drawing, plan, hole);
    }
    Ok(drawing)
}

fn strip(drawing: &mut Drawing, plan: &Strap, flat: &FlatFacts) {
    let (length_mm, width_mm) = (flat.length_mm, plan.width_mm);
    drawing.rectangle([0.0, 0.0], [length_mm, width_mm], Stroke::Outline);
    let middle = 0.5 * width_mm;
    drawing.line([0.0, middle], [length_mm, middle], Stroke::Centre);
    for (x, end, anchor) in [(1.0, "A", Anchor::Start), (length_mm - 1.0, "B", Anchor::End)] {
        drawing.text([x, 1.0], TYPE_MM, end, anchor);
    }
    let words = format!("{length_mm:.1}");
    drawing.dimension([0.0, 0.0], [length_mm, 0.0], -14.0, words);
}

/// A figure that is read from the right, beside a line.
fn figure(drawing: &mut Drawing, x: f64, y: f64, mm: f64, anchor: Anchor) {
    drawing.text_turned([x + 0.4 * TYPE_MM, y], TYPE_MM, format!("{mm:.1}"), anchor, FRAC_PI_2);
}

fn draw_bend(drawing: &mut Drawing, plan: &Strap, index: usize, bend: &FlatBend) {
    let (from_mm, to_mm, width_mm) = (bend.area.from_mm, bend.area.to_mm, plan.width_mm);
    for x in [from_mm, to_mm] {
        drawing.line([x, 0.0], [x, width_mm], Stroke::Bend);
    }
    figure(drawing, from_mm, width_mm + 1.5, from_mm, Anchor::Start);
    figure(drawing, to_mm, -1.5, to_mm, Anchor::End);
    if let Some(x) = bend.sight_mm {
        // Short, so that it is not taken for a line to bend along.
        for (outside, inside) in [(-SIGHT_MM, SIGHT_MM), (width_mm + SIGHT_MM, width_mm - SIGHT_MM)]
        {
            drawing.line([x, outside], [x, inside], Stroke::Centre);
        }
    }
    if to_mm - from_mm >= ROOM_MM {
        let words = format!("{} {} {:.0}", index + 1, way(bend), bend.bend.angle_rad.to_degrees());
        let x = 0.5 * (from_mm + to_mm) + 0.4 * TYPE_MM;
        drawing.text_turned([x, width_mm - 1.0], TYPE_MM, words, Anchor::End, FRAC_PI_2);
    }
}

fn draw_hole(drawing: &mut Drawing, plan: &Strap, hole: &FlatHole) {
    let (x, y, radius) = (hole.from_a_mm, 0.5 * plan.width_mm, 0.5 * hole.diameter_mm);
    drawing.circle([x, y], radius, Stroke::Hole);
    let reach = radius + 2.0;
    drawing.line([x, y - reach], [x, y + reach], Stroke::Centre);
    figure(drawing, x, plan.width_mm + 1.5, x, Anchor::Start);
    let words = format!("dia {}", hole.diameter_mm);
    drawing.text([x, y - reach - TYPE_MM], TYPE_MM, words, Anchor::Middle);
}
