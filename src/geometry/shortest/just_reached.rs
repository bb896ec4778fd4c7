//! Goals that a short curve of the full curvature reaches, or just reaches: the path to them is what an arc, a straight
//! and an arc become when the ends are drawn together.

use std::f64::consts::TAU;

use super::arc_straight_arc::{SHORT_ARCS, gentle, settled};
use super::chain::{Goal, Link, length};
use super::shorter::{Aim, Arcs, Least};

/// How much farther apart the ends are put from one try to the next, and how often.
const APART: f64 = 1.3;
const MOST_TRIES: u32 = 24;
/// Chains that are tried from ends farther and farther apart.
const STARTS: u32 = 3;
const ARCS: u32 = 5;
const CLOSING_STEPS: u32 = 12;
const LOWERING_STEPS: u32 = 20;
const NO_GAIN: f64 = 1e-10;
/// Arcs are halved so often where they nearly reach the goal.
const HALVINGS: u32 = 7;
/// Five arcs that end farther apart than this from the goal do not reach it as many arcs.
const NEARLY: f64 = 1.06;
/// Half the arcs leave at least this share of what is wanting, from the first halving and from later ones.
const LEFT: [f64; 2] = [0.65, 0.5];
/// Arcs that reach this near are at the goal but for rounding.
const ROUNDING: f64 = 3e-10;

/// A short chain to the goal, closed but not yet as short as it gets.
pub(super) fn chain(goal: &Goal) -> Option<Arcs> {
    let apart = Aim::new(goal, Least::Apart);
    let mut arcs = start(goal, &apart)?;
    let mut before = f64::INFINITY;
    for halving in 0..HALVINGS {
        if arcs.apart > 1.0 {
            arcs = arcs.lowered(&apart, LOWERING_STEPS, NO_GAIN)?;
        }
        if arcs.apart <= 1.0 + ROUNDING {
            let aim = Aim::new(goal, Least::Length);
            let found = Arcs::new(arcs.links.clone(), arcs.apart.max(1.0), &aim);
            if let Some(found) = found.closed(&aim, LOWERING_STEPS) {
                return Some(found);
            }
            arcs.apart = 1.0;
        }
        let left = LEFT[usize::from(halving > 1)];
        if arcs.apart > NEARLY || (halving > 0 && arcs.apart - 1.0 > left * (before - 1.0)) {
            return None;
        }
        before = arcs.apart;
        let halved = super::search::halved(&arcs.links);
        arcs = Arcs::new(halved, arcs.apart, &apart).closed(&apart, CLOSING_STEPS)?;
    }
    None
}

/// Arcs that turn evenly from the plane of the first to that of the second arc of the path between ends farther apart.
fn start(goal: &Goal, aim: &Aim) -> Option<Arcs> {
    let (mut apart, mut starts) = (1.0, 0);
    for _ in 0..MOST_TRIES {
        apart *= APART;
        let wide = Goal { at: goal.at * apart, direction: goal.direction };
        let Some(path) = settled(&wide, SHORT_ARCS).filter(gentle) else { continue };
        let closed = Arcs::new(evenly(&path), apart, aim).closed(aim, CLOSING_STEPS);
        starts += 1;
        if closed.is_some() || starts == STARTS {
            return closed;
        }
    }
    None
}

fn evenly(path: &[Link; 3]) -> Vec<Link> {
    let twist = libm::remainder(path[2].twist, TAU);
    let [first, straight, last] = path.map(|link| link.run);
    let middle = (straight + 0.2 * first.min(last)).min(0.5);
    let share = (length(path) - middle) / (first + last);
    let (first, last) = (0.5 * share * first, 0.5 * share * last);
    // The straight line of least squares through planes of 0, 0, 1/2, 1 and 1 of the twist.
    let runs = [first, first, middle, last, last].into_iter().zip(0..ARCS);
    runs.map(|(run, at)| {
        Link::arc(if at == 0 { path[0].twist - 0.1 * twist } else { 0.3 * twist }, run)
    })
    .collect()
}
