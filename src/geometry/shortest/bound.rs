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

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI};

    use nalgebra::Vector3;

    use super::super::tests::end_of;
    use super::{Goal, arc_and_straight, least_possible, to_point, two_arcs};
    use crate::geometry::shortest::Link;
    use crate::geometry::tests::drawn;

    #[test]
    fn a_point_is_reached_by_the_arcs_and_straights_that_lead_there() {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
        // Ahead; a quarter turn; half a turn; the far side of the first circle; over the shoulder.
        assert!(near(to_point(3.0, 0.0), 3.0) && near(to_point(1.0, 1.0), FRAC_PI_2));
        assert!(near(to_point(0.0, 2.0), PI) && near(to_point(-1.0, 2.0), PI + 1.0));
        // The centre stands at (0, 1): the point is (2, 2) from it and the tangent to it the root of 7 long.
        let tangent = libm::sqrt(7.0);
        let turned = 0.5 * FRAC_PI_2 + FRAC_PI_2 - libm::atan2(tangent, 1.0);
        assert!(near(to_point(2.0, 3.0), tangent + turned));
    }

    #[test]
    fn words_laid_to_a_point_come_back_by_name() {
        for index in 1..400 {
            let (alpha, run) = (drawn(index, 0, (0.01, 6.2)), drawn(index, 1, (0.0, 5.0)));
            let end = end_of(&[Link::arc(0.0, alpha), Link::straight(run)]).at;
            let known = arc_and_straight(end.x, end.y);
            assert!((known.unwrap_or(0.0) - alpha - run).abs() < 1e-7, "{index}: {known:?}");
            // Right, then left.
            let beta = drawn(index, 2, (0.01, 6.2));
            let end = end_of(&[Link::arc(PI, alpha), Link::arc(PI, beta)]).at;
            let ways = [1.0, -1.0].map(|side| two_arcs(end.x, end.y, side));
            let off = |way: &Option<f64>| (way.unwrap_or(0.0) - alpha - beta).abs();
            assert!(ways.iter().any(|way| off(way) < 1e-6), "{index}: {ways:?}");
        }
        assert_eq!((arc_and_straight(0.0, 1.5), two_arcs(0.0, 3.0, 1.0)), (None, None));
    }

    #[test]
    fn no_laid_word_is_shorter_and_the_way_over_the_shoulder_is_two_arcs() {
        let mut inside = 0;
        for index in 1..4000 {
            let runs =
                [(0, 3.2), (1, 6.2), (2, 3.2)].map(|(axis, most)| drawn(index, axis, (0.0, most)));
            let turned = PI * f64::from(index % 2);
            let links =
                [Link::arc(turned, runs[0]), Link::arc(PI, runs[1]), Link::straight(runs[2])];
            let end = end_of(&links).at;
            let way = to_point(end.x, end.y.abs());
            let whole: f64 = runs.iter().sum();
            assert!(way <= whole + 1e-9, "{index}: {way} over {whole}");
            assert!(way >= end.norm() * (1.0 - 1e-12), "{index}");
            // Within the circle that is turned away from, no arc and straight arrive.
            if end.x * end.x + (end.y.abs() - 1.0) * (end.y.abs() - 1.0) < 0.9 {
                let round = arc_and_straight(end.x, -end.y.abs()).unwrap_or(f64::INFINITY);
                assert!(way <= round + 1e-12, "{index}");
                inside += 1;
            }
        }
        assert!(inside > 100, "{inside}");
    }

    #[test]
    fn the_largest_of_turn_distance_and_both_ways_to_the_points() {
        let bound = |at: [f64; 3], direction: [f64; 3]| {
            least_possible(&Goal { at: at.into(), direction: Vector3::from(direction).normalize() })
        };
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        // A little way and half a turn; behind, facing alike, from either end; a point to which only one end turns.
        assert!(near(bound([0.0, 0.1, 0.0], [-1.0, 0.0, 0.0]), to_point(0.0, 0.1)));
        assert!(near(bound([0.0, 2.0, 0.0], [-1.0, 0.0, 0.0]), PI));
        assert!(near(bound([9.0, 0.0, 0.0], [1.0, 0.0, 0.0]), 9.0));
        assert!(near(bound([9.0, 0.0, 0.0], [-1.0, 0.0, 0.0]), to_point(-9.0, 0.0)));
        assert!(near(bound([-9.0, 3.0, 4.0], [-1.0, 0.0, 0.0]), to_point(-9.0, 5.0)));
        assert!(near(bound([4.0, 3.0, 4.0], [0.0, 0.0, 1.0]), to_point(4.0, 5.0)));
    }
}
