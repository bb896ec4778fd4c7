//! Each search by itself: found together, one hides what another misses.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::super::tests::{end_of, three};
use super::{
    Goal, Link, around_chord, exactly, half_tangent, in_line, in_plane, last_arc, miss, same,
    settled, shared_corner, tangents, whole,
};
use crate::geometry::tests::drawn;

fn has(found: &[[Link; 3]], known: &[Link; 3]) -> bool {
    found.iter().any(|chain| same(chain, known))
}

/// All chains end at the goal but for rounding.
fn all_arrive(found: &[[Link; 3]], goal: &Goal) -> bool {
    found.iter().all(|chain| miss(goal, chain) < 1e-7 * (1.0 + goal.at.norm()))
}

#[test]
fn the_last_arc_of_a_chain_is_laid_into_its_plane() {
    for index in 0..500 {
        let angle = |axis| drawn(index, axis, (0.05, TAU - 0.05));
        let known = three(angle(0), angle(1), drawn(index, 2, (0.0, 5.0)), angle(3), angle(4));
        let goal = end_of(&known);
        let [first, line, last] = known;
        let laid = last_arc(&goal, first.twist, first.run, line.run, last.run).unwrap();
        assert!(same(&laid, &known), "{index}");
        assert!(libm::sin(0.5 * (laid[2].twist - last.twist)).abs() < 1e-6, "{index}");
        assert!(last_arc(&goal, first.twist, first.run, line.run + 0.01, last.run).is_none());
        assert!(last_arc(&goal, first.twist, first.run, -1.0, last.run).is_none());
    }
}

#[test]
fn an_arc_of_half_a_turn_or_hardly_any_is_laid_too() {
    for index in 0..200 {
        let angle = |axis| drawn(index, axis, (0.05, TAU - 0.05));
        for beta in [PI, PI - 1e-9, PI + 1e-9, 1e-6, TAU - 1e-6] {
            let known = three(angle(0), angle(1), drawn(index, 2, (0.0, 5.0)), angle(3), beta);
            let laid = last_arc(&end_of(&known), known[0].twist, known[0].run, known[1].run, beta);
            assert!(laid.is_some_and(|laid| same(&laid, &known)), "{index}: {beta}");
        }
    }
}

#[test]
fn in_a_plane_every_tangent_of_two_circles_is_found() {
    for index in 0..500 {
        let arc = |axis| drawn(index, axis, (0.01, TAU - 0.01));
        for (first, last) in [(0.0, 0.0), (0.0, PI), (PI, 0.0), (PI, PI)] {
            let known = three(first, arc(0), drawn(index, 1, (0.01, 6.0)), last, arc(2));
            let mut goal = end_of(&known);
            (goal.at.z, goal.direction.z) = (0.0, 0.0);
            let found = in_plane(&goal);
            assert!(has(&found, &known), "{index}: {known:?}");
            assert!(all_arrive(&found, &goal), "{index}");
            // Circles that are farther apart than two radii have four tangents, others two.
            let outside = goal.at.norm() > 4.0;
            assert!(found.len() <= 4 && (!outside || found.len() == 4), "{index}");
        }
    }
    let off = Goal { at: [3.0, 0.0, 0.5].into(), direction: [1.0, 0.0, 0.0].into() };
    assert!(in_plane(&off).is_empty());
}

#[test]
fn one_corner_of_both_arcs_is_found_in_and_out_of_the_plane() {
    let mut checked = 0;
    for index in 0..2000 {
        // Where one arc is over half a turn its tangent runs back, as far as the straight and the other tangent.
        let (alpha, beta) =
            (drawn(index, 0, (PI + 0.2, TAU - 0.1)), drawn(index, 1, (0.05, TAU - 0.1)));
        let tau = |angle: f64| libm::tan(0.5 * angle);
        let straight = -tau(alpha) - tau(beta);
        if !(0.05..20.0).contains(&straight) {
            continue;
        }
        let (twist, turned) = (drawn(index, 2, (0.0, TAU)), drawn(index, 3, (0.1, PI - 0.1)));
        for (first, last) in [(alpha, beta), (beta, alpha)] {
            let known = three(twist, first, straight, turned, last);
            let goal = end_of(&known);
            let found = shared_corner(&goal);
            assert!(all_arrive(&found, &goal), "{index}");
            // The straight leaves the plane to either side, each the mirror of the other.
            let alike = found
                .iter()
                .any(|chain| chain.iter().zip(&known).all(|(a, b)| (a.run - b.run).abs() < 1e-6));
            assert!(alike, "{index}: {known:?} and {found:?}");
            checked += 1;
        }
    }
    assert!(checked > 500, "{checked}");
    let apart = end_of(&three(0.3, 1.0, 2.0, 1.0, 1.0));
    assert!(shared_corner(&apart).is_empty());
}

#[test]
fn on_one_line_the_arcs_meet_in_one_corner() {
    for index in 0..300 {
        // Facing ahead: two arcs alike, beyond half a turn, with twice their tangent between.
        let alpha = drawn(index, 0, (PI + 0.1, TAU - 0.1));
        let ahead = three(0.0, alpha, -2.0 * libm::tan(0.5 * alpha), PI, alpha);
        // Facing back: the tangents of the half arcs are one over the other, with either sign.
        let first = drawn(index, 1, (0.1, TAU - 0.1));
        for sign in [1.0, -1.0] {
            let tau = libm::tan(0.5 * first);
            let other = 2.0 * libm::atan(sign / tau);
            let beta = if other < 0.0 { other + TAU } else { other };
            let straight = -tau - sign / tau;
            if straight < 0.0 || (beta - TAU).abs() < 1e-3 {
                continue;
            }
            let back = [0.0, PI].map(|turned| three(0.0, first, straight, turned, beta));
            // Of the two ways to turn, the one that ends facing back on the line.
            let Some(back) = back.into_iter().find(|chain| end_of(chain).direction.x < -1.0 + 1e-9)
            else {
                continue;
            };
            let goal = end_of(&back);
            if goal.at.y.abs() < 1e-9 {
                assert!(has(&in_line(&goal), &back), "{index}: {back:?}");
                assert!(all_arrive(&in_line(&goal), &goal));
            }
        }
        let goal = end_of(&ahead);
        if goal.at.y.abs() < 1e-9 && goal.direction.x > 1.0 - 1e-9 {
            assert!(has(&in_line(&goal), &ahead), "{index}: {ahead:?}");
        }
    }
}

#[test]
fn numbers_with_a_known_product_and_difference() {
    for (x, product) in [(3.0, 1.0), (-3.0, 1.0), (0.5, 1.0), (-4.0, -1.0), (1e8, 1.0), (5.0, -1.0)]
    {
        for (sum, y) in tangents(x, product) {
            assert!((sum * y - product).abs() < 1e-12 * (1.0 + product.abs()), "{x}: {sum} {y}");
            assert!((sum - y - x).abs() <= 1e-15 * x.abs(), "{x}: {sum} {y}");
        }
        assert_eq!(tangents(x, product).len(), 2);
    }
    assert!(tangents(1.0, -1.0).is_empty());
}

#[test]
fn next_to_the_chord_each_pair_of_short_and_long_arcs_is_found() {
    for index in 0..500 {
        for (signs, first, last) in [
            ((1.0, 1.0), (0.05, 2.0), (0.05, 2.0)),
            ((1.0, -1.0), (0.05, 2.0), (TAU - 2.0, TAU - 0.05)),
            ((-1.0, 1.0), (TAU - 2.0, TAU - 0.05), (0.05, 2.0)),
            ((-1.0, -1.0), (TAU - 2.0, TAU - 0.05), (TAU - 2.0, TAU - 0.05)),
        ] {
            let (alpha, beta) = (drawn(index, 0, first), drawn(index, 1, last));
            let (twist, turned) = (drawn(index, 2, (0.0, TAU)), drawn(index, 3, (0.0, TAU)));
            let known = three(twist, alpha, drawn(index, 4, (40.0, 400.0)), turned, beta);
            let goal = end_of(&known);
            let found = settled(&goal, signs).unwrap();
            assert!(same(&found, &known), "{index} {signs:?}: {found:?} is not {known:?}");
        }
    }
}

#[test]
fn around_the_chord_arcs_near_half_a_turn_are_closed() {
    for index in 0..500 {
        let half = |axis| PI + drawn(index, axis, (-1e-3, 1e-3));
        let (twist, turned) = (drawn(index, 2, (0.0, TAU)), drawn(index, 3, (0.0, TAU)));
        // Two of half a turn have many paths side by side.
        let other = PI + drawn(index, 4, (0.4, PI - 0.1)) * if index % 2 == 0 { 1.0 } else { -1.0 };
        for (alpha, beta) in [(half(0), other), (other, half(1))] {
            let known = three(twist, alpha, 60.0, turned, beta);
            let goal = end_of(&known);
            let found = around_chord(&goal);
            assert!(has(&found, &known), "{index}: {known:?}");
            assert!(all_arrive(&found, &goal));
        }
    }
}

#[test]
fn a_chain_that_nearly_ends_at_the_goal_is_closed_exactly() {
    for index in 0..300 {
        let arc = |axis| drawn(index, axis, (0.2, FRAC_PI_2));
        let known = three(arc(0), arc(1), 2.0, arc(2), arc(3));
        let goal = end_of(&known);
        let mut moved = known;
        moved[0].run += 1e-4;
        moved[1].run -= 1e-4;
        moved[2].twist += 1e-4;
        let closed = exactly(&goal, &moved).unwrap();
        assert!(miss(&goal, &closed) < 1e-13, "{index}");
        assert!((0..3).all(|at| (closed[at].run - known[at].run).abs() < 1e-3), "{index}");
    }
}

#[test]
fn both_ends_of_a_full_turn_are_no_turn() {
    for (angle, known) in [
        (0.0, Some(0.0)),
        (-1e-12, Some(0.0)),
        (TAU - 1e-12, Some(0.0)),
        (TAU + 1e-12, Some(0.0)),
        (1e-10, Some(1e-10)),
        (3.0, Some(3.0)),
        (-1e-10, None),
        (TAU + 1e-10, None),
    ] {
        assert_eq!(whole(angle), known);
    }
}

#[test]
fn half_a_tangent_and_how_it_changes_with_the_cosine() {
    for angle in [0.1, 1.0, 2.0, 3.0] {
        let at = |angle: f64| half_tangent(libm::cos(angle), 1.0).unwrap();
        let (tau, slope) = at(angle);
        assert!((tau - libm::tan(0.5 * angle)).abs() < 1e-12 * (1.0 + tau));
        let by = 1e-6;
        let change =
            (at(angle + by).0 - at(angle - by).0) / (libm::cos(angle + by) - libm::cos(angle - by));
        assert!((slope / change - 1.0).abs() < 1e-5, "{angle}: {slope} {change}");
        let (long, rise) = half_tangent(libm::cos(angle), -1.0).unwrap();
        assert!((long + tau).abs() < 1e-15 && (rise + slope).abs() < 1e-15 * slope.abs());
    }
    assert_eq!(half_tangent(-1.0, 1.0), None);
    // A finite tangent too long for anything to be told by it.
    assert_eq!(half_tangent(-1.0 + 1e-15, 1.0), None);
    assert_eq!(half_tangent(1.0, 1.0), Some((0.0, 0.0)));
}

#[test]
fn chains_are_the_same_whose_runs_and_planes_are() {
    let one = three(1.0, 0.5, 2.0, 0.3, 0.7);
    assert!(same(&one, &three(1.0 + TAU, 0.5, 2.0, 0.3, 0.7 + 1e-7)));
    assert!(!same(&one, &three(1.1, 0.5, 2.0, 0.3, 0.7)));
    assert!(!same(&one, &three(1.0, 0.5, 2.1, 0.3, 0.7)));
    assert!(!same(&one, &three(1.0, 0.5, 2.0, 0.3, 0.8)));
    // Where nothing turns at first, how it would turn does not matter.
    assert!(same(&three(1.0, 0.0, 2.0, 0.3, 0.7), &three(2.0, 0.0, 2.0, 0.3, 0.7)));
}

#[test]
fn a_straight_a_little_below_nothing_is_rounding_for_far_goals_only() {
    // Half a turn and half a turn back, and a goal farther off by the size of the rounding.
    let known = three(0.0, 1.0, 0.0, 0.4, 1.0);
    let goal = end_of(&known);
    let laid = |straight: f64| last_arc(&goal, 0.0, 1.0, straight, 1.0);
    assert!(laid(-2e-5).is_some_and(|links| links[1].run == 0.0));
    assert!(laid(-2e-4).is_none());
}
