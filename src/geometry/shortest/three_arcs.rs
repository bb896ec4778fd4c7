//! Three arcs in one plane, each bending against the one before it.

use std::f64::consts::{PI, TAU};

use super::chain::{Goal, Link, closed};

/// An angle this little below a full turn is no turn: rounding.
const NO_TURN: f64 = 1e-11;

/// Chains of three arcs to the goal: in the plane of the poses where they have one, otherwise drawn from there
/// with twists between the arcs.
pub(super) fn candidates(goal: &Goal) -> Vec<Vec<Link>> {
    let plane = (goal.direction.x * goal.direction.x + goal.direction.y * goal.direction.y).sqrt();
    if plane < 0.1 {
        return Vec::new();
    }
    let heading = libm::atan2(goal.direction.y, goal.direction.x);
    let mut found = Vec::new();
    for side in [1.0, -1.0] {
        for runs in left_right_left(goal.at.x, side * goal.at.y, side * heading) {
            let first = if side > 0.0 { 0.0 } else { PI };
            let links = runs.into_iter().zip([first, PI, PI]);
            let links = links.map(|(run, twist)| Link::arc(twist, run)).collect();
            found.extend(closed(links, goal).filter(|links| links.iter().all(|l| l.run < TAU)));
        }
    }
    found
}

/// Arcs of the two ways to go left, right and left: the middle circle touches both others from either side.
fn left_right_left(x: f64, y: f64, heading: f64) -> Vec<[f64; 3]> {
    let (sin, cos) = libm::sincos(heading);
    // Centres of the first and the last circle.
    let (first, last) = ((0.0, 1.0), (x - sin, y + cos));
    let (across, up) = (last.0 - first.0, last.1 - first.1);
    let apart = (across * across + up * up).sqrt();
    if apart > 4.0 || apart <= 0.0 {
        return Vec::new();
    }
    let high = (4.0 - 0.25 * apart * apart).sqrt();
    let turn = |angle: f64| {
        let angle = angle - (angle / TAU).floor() * TAU;
        if TAU - angle < NO_TURN { 0.0 } else { angle }
    };
    [1.0, -1.0]
        .into_iter()
        .map(|side| {
            let middle = (
                first.0 + 0.5 * across - side * high * up / apart,
                first.1 + 0.5 * up + side * high * across / apart,
            );
            let seen =
                |from: (f64, f64)| libm::atan2(middle.1 - from.1, middle.0 - from.0) + 0.5 * PI;
            let (leaves, joins) = (seen(first), seen(last));
            [turn(leaves), turn(leaves - joins), turn(heading - joins)]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::tests::end_of;
    use super::{Link, candidates, left_right_left};
    use crate::geometry::tests::drawn;

    #[test]
    fn three_laid_arcs_are_found_whichever_way_they_begin() {
        for index in 1..400 {
            let runs = [(0.05, 3.0), (0.1, 6.2), (0.05, 3.0)];
            let runs: Vec<f64> = runs
                .into_iter()
                .zip(0..)
                .map(|(bounds, axis)| drawn(index, axis, bounds))
                .collect();
            for first in [0.0, PI] {
                let goal = end_of(
                    &[first, PI, PI]
                        .into_iter()
                        .zip(&runs)
                        .map(|(twist, run)| Link::arc(twist, *run))
                        .collect::<Vec<_>>(),
                );
                let found = candidates(&goal);
                let same = |links: &Vec<Link>| {
                    links.iter().zip(&runs).all(|(link, run)| (link.run - run).abs() < 1e-6)
                };
                assert!(found.iter().any(same), "{index}: {runs:?} not in {found:?}");
            }
        }
    }

    #[test]
    fn centres_over_four_apart_have_no_circle_between() {
        assert!(left_right_left(4.1, 0.0, 0.0).is_empty());
        assert_eq!(left_right_left(3.9, 0.0, 0.0).len(), 2);
        assert!(left_right_left(0.0, 0.0, 0.0).is_empty());
    }
}
