//! A length that no curve of curvature at most 1 between two poses goes below.

use std::f64::consts::{PI, TAU};

use super::chain::Goal;

/// Rounding taken off, so that the bound stays one.
const ROUNDING: f64 = 1e-12;

/// The largest of three: the angle between the directions, which the curve must turn through, and the shortest
/// curve that only has to reach the point, from either end.
///
/// A shortest curve to a point with a free direction lies in a plane and is an arc and a straight, or two arcs.
pub(super) fn least_possible(goal: &Goal) -> f64 {
    let turned = super::angle_between(&nalgebra::Vector3::x(), &goal.direction);
    let forth = to_point(goal.at.x, (goal.at.y * goal.at.y + goal.at.z * goal.at.z).sqrt());
    // Seen from the goal, backwards.
    let ahead = goal.at.dot(&goal.direction);
    let aside = (goal.at - goal.direction * ahead).norm();
    let back = to_point(ahead, aside);
    turned.max(forth).max(back).max(goal.at.norm()) * (1.0 - ROUNDING)
}

/// Shortest way from the origin, along x, to the point (x, y) with y from 0.
fn to_point(x: f64, y: f64) -> f64 {
    let mut least = f64::INFINITY;
    for up in [y, -y] {
        for length in [arc_and_straight(x, up), two_arcs(x, up, 1.0), two_arcs(x, up, -1.0)] {
            least = least.min(length.unwrap_or(f64::INFINITY));
        }
    }
    // Rounding leaves a point on the circle itself without a way: the chord is always a bound.
    if least.is_finite() { least } else { (x * x + y * y).sqrt() }
}

fn turn(angle: f64) -> f64 {
    let angle = angle - (angle / TAU).floor() * TAU;
    if TAU - angle < 1e-9 { 0.0 } else { angle }
}

/// Left, then straight.
fn arc_and_straight(x: f64, y: f64) -> Option<f64> {
    let square = x * x + y * (y - 2.0);
    if square < 0.0 {
        return None;
    }
    let straight = square.sqrt();
    // From the centre the point stands `atan(straight)` before where the tangent to it leaves.
    let seen = libm::atan2(y - 1.0, x);
    Some(straight + turn(seen - libm::atan2(straight, 1.0) + 0.5 * PI))
}

/// Right, then left, with the second circle on one of the two sides.
fn two_arcs(x: f64, y: f64, side: f64) -> Option<f64> {
    let (across, up) = (x, y + 1.0);
    let square = across * across + up * up;
    let apart = square.sqrt();
    if !(1.0..=3.0).contains(&apart) {
        return None;
    }
    // The second centre is 2 from the first, at (0, -1), and 1 from the point.
    let along = (square + 3.0) / (2.0 * apart);
    let off = side * (4.0 - along * along).max(0.0).sqrt();
    let centre = ((along * across - off * up) / apart, (along * up + off * across) / apart);
    let leaves = libm::atan2(centre.1, centre.0);
    let first = turn(0.5 * PI - leaves);
    let reached = libm::atan2(up - centre.1, across - centre.0);
    Some(first + turn(reached - leaves - PI))
}
