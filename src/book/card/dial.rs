//! The clock dial of a hose with two angled ends: A at six o'clock, B where it must point, seen from A.

use core::f64::consts::{FRAC_PI_2, TAU};

use maud::Markup;

use crate::book::canvas::{Anchor, Canvas, Point};
use crate::solve::clocking::ClockFacts;

const SIZE_MM: f64 = 46.0;
const RADIUS_MM: f64 = 17.0;

/// A dial with both hands and the room that B has.
pub fn dial(clock: &ClockFacts) -> Markup {
    let degrees = clock.angle_rad.to_degrees();
    let title = format!("Clock dial: B stands {degrees:.0} degrees counter-clockwise from A");
    let mut canvas = Canvas::new([SIZE_MM, SIZE_MM], title);
    let centre = [SIZE_MM / 2.0, SIZE_MM / 2.0];
    canvas.circle(centre, RADIUS_MM, "");
    for hour in 0..12 {
        let turn = f64::from(hour) / 12.0 * TAU;
        let inner = if hour % 3 == 0 { 0.86 } else { 0.93 };
        canvas.line(at(centre, turn, inner), at(centre, turn, 1.0), "thin");
    }
    if let Some(tolerance) = &clock.tolerance {
        let (from, to) = (clock.angle_rad - tolerance.value, clock.angle_rad + tolerance.value);
        canvas.line(centre, at(centre, from, 1.0), "thin dash");
        canvas.line(centre, at(centre, to, 1.0), "thin dash");
    }
    hand(&mut canvas, centre, 0.0, "A");
    hand(&mut canvas, centre, clock.angle_rad, "B");
    canvas.figure("Look along the hose from end A. The ends point from the hose to the seat.")
}

fn hand(canvas: &mut Canvas, centre: Point, turn: f64, letter: &str) {
    let tip = at(centre, turn, 0.84);
    canvas.line(centre, tip, "thick");
    canvas.arrow_head(tip, [tip[0] - centre[0], tip[1] - centre[1]], 3.0, "filled");
    let [x, y] = at(centre, turn, 1.2);
    canvas.text([x, y + 1.7], letter, Anchor::Middle, "big");
}

/// A point of the dial: turned counter-clockwise from six o'clock, at a share of the radius.
fn at(centre: Point, turn: f64, share: f64) -> Point {
    // On paper y goes down: six o'clock is at +90 degrees, and counter-clockwise lessens the angle.
    let angle = FRAC_PI_2 - turn;
    let radius = share * RADIUS_MM;
    [centre[0] + radius * libm::cos(angle), centre[1] + radius * libm::sin(angle)]
}
