//! Three arcs of every kind that can be shortest, and where they end: the searches for shorter paths start from those
//! that end nearest.
//!
//! Laid forward, not stored. In the shortest arcs the long piece goes on bending to the side to which the one before has
//! turned, and the last as much again: with both twists alike the arcs leave four numbers, as many as a goal has.

use std::sync::LazyLock;

use nalgebra::Vector3;

use super::chain::{Goal, Link, end};
use super::shorter::{Aim, Arcs, Least};

/// Chains of each kind, and how many of them a search starts from.
const LOOPS: (u32, usize) = (400, 2);
const HOOKS: (u32, usize) = (600, 2);
const ROUNDS: (u32, usize) = (100, 2);
/// Ends farther off than this are no start.
const FARTHEST: f64 = 4.2;

/// A chain and the goal it ends at, in the axes in which a goal stands.
#[derive(Debug, Clone)]
struct Knot {
    links: [Link; 3],
    goal: Goal,
}

static NETS: LazyLock<[(Vec<Knot>, usize); 3]> = LazyLock::new(|| {
    [(LOOPS, loops as Kind), (HOOKS, hooks), (ROUNDS, rounds)].map(|((chains, starts), kind)| {
        ((1..=chains).filter_map(|index| knot(kind(&|axis| share(index, axis)))).collect(), starts)
    })
});

/// Numbers from 0 to 1 to the twist and the three runs.
type Kind = fn(&dyn Fn(u32) -> f64) -> (f64, [f64; 3]);

/// A long arc between two short ones.
fn loops(share: &dyn Fn(u32) -> f64) -> (f64, [f64; 3]) {
    let last = 0.25 + 1.5 * share(0);
    let first = last * (0.4 + 0.6 * share(4));
    let middle = 5.8 - 0.9 * (first + last) + 1.2 * (share(2) - 0.5);
    (0.8 + 2.3 * share(1), [first, middle, last])
}

/// A long arc after a short one, with little between.
fn hooks(share: &dyn Fn(u32) -> f64) -> (f64, [f64; 3]) {
    let last = 1.9 + 3.8 * share(0);
    let first = (6.4 - last).clamp(0.2, 2.7) * (0.05 + 0.95 * share(4));
    (0.3 + 2.4 * share(1), [first, 0.02 + 0.9 * share(2) * share(3), last])
}

/// Nearly a full turn in nearly one plane.
fn rounds(share: &dyn Fn(u32) -> f64) -> (f64, [f64; 3]) {
    let whole = 5.3 + 1.7 * share(0);
    let (first, last) = (0.2 + 0.2 * share(2), 0.1 + 0.3 * share(4));
    (0.7 * share(1) * share(3), [first, 1.0 - first - last, last].map(|part| part * whole))
}

/// A sequence that fills the cube evenly, without chance: powers of the root of x^6 = x + 1.
fn share(index: u32, axis: u32) -> f64 {
    let step = (0..=axis).fold(1.0, |step, _| step / 1.134_724_138_401_519_5);
    (0.5 + f64::from(index) * step).fract()
}

/// The chain made as short as it gets, and turned as goals stand.
fn knot((twist, runs): (f64, [f64; 3])) -> Option<Knot> {
    let links = [Link::arc(0.0, runs[0]), Link::arc(twist, runs[1]), Link::arc(twist, runs[2])];
    let laid = placed(links);
    if laid.goal.at.norm() > FARTHEST {
        return None;
    }
    let aim = Aim::new(&laid.goal, Least::Length);
    let short =
        Arcs::new(laid.links.to_vec(), 1.0, &aim).closed(&aim, 12)?.lowered(&aim, 12, 1e-3)?;
    let laid = placed(<[Link; 3]>::try_from(short.links).ok()?);
    let ahead = laid.goal.at.dot(&laid.goal.direction);
    Some(if laid.goal.at.x > ahead { placed(backwards(&laid.links)) } else { laid })
}

fn backwards(links: &[Link; 3]) -> [Link; 3] {
    let [first, middle, last] = *links;
    [
        Link::arc(0.0, last.run),
        Link::arc(-last.twist, middle.run),
        Link::arc(-middle.twist, first.run),
    ]
}

fn placed(mut links: [Link; 3]) -> Knot {
    let end = end(&links);
    let turn = -libm::atan2(end.at.z, end.at.y);
    let (sin, cos) = libm::sincos(turn);
    let seen = |v: &Vector3<f64>| Vector3::new(v.x, v.y * cos - v.z * sin, v.y * sin + v.z * cos);
    let mut goal = Goal { at: seen(&end.at), direction: seen(&end.tangent) };
    links[0].twist += turn;
    if goal.direction.z < 0.0 {
        goal.direction.z = -goal.direction.z;
        for link in &mut links {
            link.twist = -link.twist;
        }
    }
    Knot { links, goal }
}

/// The chains that end nearest to a goal, a few of each kind.
pub(super) fn starts(goal: &Goal) -> Vec<Vec<Link>> {
    let off = |knot: &Knot| {
        (knot.goal.at - goal.at).norm_squared()
            + (knot.goal.direction - goal.direction).norm_squared()
    };
    let nearest = |(net, count): &'static (Vec<Knot>, usize)| {
        let mut nearest: Vec<(f64, &Knot)> = Vec::with_capacity(count + 1);
        for knot in net {
            let off = off(knot);
            if nearest.len() < *count || nearest.last().is_some_and(|(last, _)| off < *last) {
                let at = nearest.partition_point(|(near, _)| *near <= off);
                nearest.insert(at, (off, knot));
                nearest.truncate(*count);
            }
        }
        nearest
    };
    NETS.iter().flat_map(nearest).map(|(_, knot)| knot.links.to_vec()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::chain::length;
    use super::super::tests::{end_of, stood};
    use super::{Knot, Link, NETS, backwards, share, starts};
    use crate::geometry::tests::drawn;

    #[test]
    fn each_knot_ends_at_its_goal_which_stands_as_goals_do() {
        for net in NETS.iter() {
            for knot in &net.0 {
                let end = end_of(&knot.links);
                assert!((end.at - knot.goal.at).amax() < 1e-8);
                assert!((end.direction - knot.goal.direction).amax() < 1e-8);
                assert!(end.at.z.abs() < 1e-9 && end.at.y > -1e-9 && end.direction.z > -1e-9);
                assert!(
                    end.at.x <= end.at.dot(&end.direction) + 1e-8,
                    "the end that looks ahead less is first"
                );
                assert!(knot.links.iter().all(|link| link.run > 0.0));
            }
        }
    }

    /// Chains, the mean distance of their ends, and the mean length, of each kind. Where these change, what is measured
    /// of the shortest paths between near ends has to be measured again.
    const SPREAD: [(usize, f64, f64); 3] =
        [(398, 1.39873, 5.91472), (600, 1.93788, 5.16552), (100, 0.63691, 6.13892)];

    #[test]
    fn each_kind_is_spread_as_it_was_measured() {
        for ((net, _), (count, distance, run)) in NETS.iter().zip(SPREAD) {
            let mean = |of: fn(&Knot) -> f64| {
                net.iter().map(of).sum::<f64>() / f64::from(u32::try_from(net.len()).unwrap())
            };
            let found = (mean(|knot| knot.goal.at.norm()), mean(|knot| length(&knot.links)));
            assert_eq!(net.len(), count);
            assert!((found.0 - distance).abs() < 1e-4 && (found.1 - run).abs() < 1e-4, "{found:?}");
        }
    }

    #[test]
    fn the_nearest_two_of_each_kind_are_given() {
        for index in 1..200 {
            let goal = stood(&end_of(&[0, 1, 2].map(|axis| {
                Link::arc(drawn(index, axis, (0.0, 3.0)), drawn(index, axis + 2, (0.1, 2.0)))
            })));
            let given = starts(&goal);
            let off = |links: &[Link]| {
                let end = end_of(links);
                (end.at - goal.at).norm_squared() + (end.direction - goal.direction).norm_squared()
            };
            for ((net, count), given) in NETS.iter().zip(given.chunks(2)) {
                let farthest = given.iter().map(|links| off(links)).fold(0.0, f64::max);
                let nearer = net.iter().filter(|knot| off(&knot.links) < farthest - 1e-7).count();
                assert!(given.len() == *count && nearer < *count, "{index}: {nearer} are nearer");
            }
        }
    }

    #[test]
    fn a_chain_run_backwards_is_as_long_and_turns_as_much() {
        let there = [Link::arc(0.0, 1.0), Link::arc(0.4, 2.0), Link::arc(-0.9, 0.5)];
        let back = backwards(&there);
        assert!((length(&back) - length(&there)).abs() < 1e-15);
        let (one, other) = (end_of(&there), end_of(&back));
        assert!((one.at.norm() - other.at.norm()).abs() < 1e-12);
        assert!((one.direction.x - other.direction.x).abs() < 1e-12);
        // Seen from the far end, looking back, the start stands as far ahead.
        assert!((one.at.dot(&one.direction) - other.at.x).abs() < 1e-12);
    }

    #[test]
    fn numbers_are_spread_over_each_axis_and_every_pair_of_them() {
        for (one, other) in [(0, 1), (1, 2), (2, 3), (3, 4), (0, 4)] {
            let mut cells = [[0; 8]; 8];
            let cell =
                |index, axis| (0..8).rev().find(|at| share(index, axis) >= 0.125 * f64::from(*at));
            for index in 1..=640 {
                let at =
                    [one, other].map(|axis| usize::try_from(cell(index, axis).unwrap()).unwrap());
                cells[at[0]][at[1]] += 1;
            }
            let held = cells.as_flattened();
            assert!(held.iter().all(|cell| (4..=16).contains(cell)), "{one} {other}: {held:?}");
        }
    }
}
