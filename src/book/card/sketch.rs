//! The sketch of a card: the line laid straight, end A on the left, with what is marked on it.

use maud::Markup;

use super::{Card, words};
use crate::book::canvas::{Anchor, Canvas, Point};
use crate::solve::makeup::MakeupFacts;
use crate::units::Quantity;

const SIZE_MM: Point = [184.0, 52.0];
const LEFT_MM: f64 = 26.0;
const RIGHT_MM: f64 = 158.0;
/// Height of the centre line, mm from the top.
const AXIS_MM: f64 = 24.0;
/// Half the width of the hose in the sketch, mm.
const HALF_MM: f64 = 2.4;

/// The sketch; lengths along it are true to each other.
pub fn sketch(card: &Card<'_>) -> Option<Markup> {
    let makeup = card.facts().makeup.as_ref().ok()?;
    let title = format!("Line {} laid straight, end A on the left", card.planned().id);
    let mut canvas = Canvas::new(SIZE_MM, title);
    let scale = Scale { assembly_mm: makeup.cut.assembly_mm };
    hose(&mut canvas, card, &scale);
    marks(&mut canvas, card, &scale);
    dimensions(&mut canvas, makeup, &scale);
    Some(canvas.figure("Not to scale across. Marks count from A along the line."))
}

/// From mm along the line to mm of paper.
struct Scale {
    assembly_mm: f64,
}

impl Scale {
    fn x(&self, station_mm: f64) -> f64 {
        LEFT_MM + (RIGHT_MM - LEFT_MM) * (station_mm / self.assembly_mm).clamp(0.0, 1.0)
    }
}

/// Bare hose and its two ends.
fn hose(canvas: &mut Canvas, card: &Card<'_>, scale: &Scale) {
    let assembly_mm = scale.assembly_mm;
    let beyond = [0, 1].map(|end| cut_off_mm(card, end).max(0.0));
    let (left, right) = (scale.x(beyond[0]), scale.x(assembly_mm - beyond[1]));
    for side in [-HALF_MM, HALF_MM] {
        canvas.line([left, AXIS_MM + side], [right, AXIS_MM + side], "");
    }
    for (end, (x, seat, out)) in
        [(left, LEFT_MM, -1.0), (right, RIGHT_MM, 1.0)].into_iter().enumerate()
    {
        canvas.line([x, AXIS_MM - HALF_MM], [x, AXIS_MM + HALF_MM], "");
        fitting(canvas, card, end, [x, seat, out]);
    }
}

/// An end: its stem to the measuring point, then the way its seat points.
fn fitting(canvas: &mut Canvas, card: &Card<'_>, end: usize, [x, seat, out]: [f64; 3]) {
    let letter = ["A", "B"][end];
    canvas.line([x, AXIS_MM], [seat, AXIS_MM], "thick");
    let angle = card.planned().ends[end].as_ref().map_or(0.0, |e| e.angle.si());
    let tip = [seat + out * 6.0 * libm::cos(angle), AXIS_MM - 6.0 * libm::sin(angle)];
    canvas.line([seat, AXIS_MM], tip, "thick");
    let name = if end == 0 { [2.0, AXIS_MM - 9.0] } else { [SIZE_MM[0] - 2.0, AXIS_MM - 9.0] };
    let anchor = if end == 0 { Anchor::Start } else { Anchor::End };
    canvas.text(name, letter, anchor, "big");
    canvas.text([name[0], AXIS_MM + 8.0], &words::port(card, end), anchor, "");
}

/// Length of fitting beyond the hose, mm; below zero over a spigot, 0 where it is not known.
fn cut_off_mm(card: &Card<'_>, end: usize) -> f64 {
    let geometry = card.facts().geometry.as_ref().ok();
    geometry.and_then(|g| g.cut_off_mm[end]).unwrap_or(0.0)
}

/// Clips and sleeves.
fn marks(canvas: &mut Canvas, card: &Card<'_>, scale: &Scale) {
    for sleeve in &card.planned().sleeves {
        let (from, to) = (scale.x(sleeve.start_mm), scale.x(sleeve.end_mm));
        let (top, height) = (AXIS_MM - HALF_MM - 1.3, 2.0 * (HALF_MM + 1.3));
        canvas.rectangle([from, top], [to - from, height], "thin dash");
        let words = format!("{} {:.0} to {:.0}", sleeve.kind, sleeve.start_mm, sleeve.end_mm);
        canvas.text([0.5 * (from + to), AXIS_MM + 9.0], &words, Anchor::Middle, "small");
    }
    let mut last = f64::NEG_INFINITY;
    for (index, station) in words::held_mm(card).iter().enumerate() {
        let x = scale.x(*station);
        canvas.line([x, AXIS_MM - HALF_MM - 1.0], [x, AXIS_MM + HALF_MM + 1.0], "thick");
        // Words that would stand on one another go one line up.
        let crowded = x - last < 11.0 && index % 2 == 1;
        let y = AXIS_MM - HALF_MM - if crowded { 6.0 } else { 2.4 };
        canvas.text([x, y], &format!("{station:.0}"), Anchor::Middle, "");
        last = x;
    }
}

/// The assembly over the sketch, the bare hose under it.
fn dimensions(canvas: &mut Canvas, makeup: &MakeupFacts, scale: &Scale) {
    let (from, to) = (scale.x(0.0), scale.x(makeup.cut.assembly_mm));
    let words = format!("assembly {:.0} mm, seat to seat", makeup.cut.assembly_mm);
    dimension(canvas, [from, to], AXIS_MM + 15.0, &words);
    let words = format!("cut {:.0} mm, {}", makeup.cut.cut_mm, words::of_ends(makeup));
    canvas.text([0.5 * (from + to), AXIS_MM + 22.5], &words, Anchor::Middle, "");
}

fn dimension(canvas: &mut Canvas, [from, to]: [f64; 2], y: f64, words: &str) {
    for x in [from, to] {
        canvas.line([x, AXIS_MM + HALF_MM + 8.5], [x, y + 1.0], "thin");
    }
    canvas.line([from, y], [to, y], "thin");
    canvas.arrow_head([from, y], [-1.0, 0.0], 2.2, "filled");
    canvas.arrow_head([to, y], [1.0, 0.0], 2.2, "filled");
    canvas.text([0.5 * (from + to), y - 1.2], words, Anchor::Middle, "");
}
