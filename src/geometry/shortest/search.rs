//! Paths of the full curvature all along, as chains of arcs: a few arcs are made as short as they get, then twice as
//! many, until more of them gain nothing.

use std::f64::consts::TAU;

use super::chain::{Goal, Link};
use super::shorter::{Aim, Arcs, Least};
use super::{just_reached, net};

/// A path this short is no longer than any that turns all round.
const SHORT: f64 = 4.0;
const CLOSING_STEPS: u32 = 10;
/// Steps and least gain of a few arcs and of many.
const FEW: (u32, f64) = (12, 1e-2);
const MORE: (u32, f64) = (30, 5e-5);
/// The same where the goal is only just reached, which leaves the length little to move in: of a few arcs, and of many.
const REACHED: (u32, f64) = (30, 1e-5);
const MANY: (u32, f64) = (20, 1e-6);
/// Twice as many arcs that gain less than this share are enough: the next would gain a quarter of it.
const LITTLE_GAIN: f64 = 9e-4;
/// As many arcs whose lengths differ by less than this share are the same.
const ALIKE: f64 = 1e-5;
const MOST_ARCS: usize = 257;
/// How much longer than another path 3, 5, 9, 17 and 33 arcs may be and still become shorter as more of them.
const HOPE: [f64; 5] = [1.4, 1.15, 1.05, 1.02, 1.01];

/// The shortest chain of arcs that is found to a goal whose place has z = 0 and y from 0, whose direction has z from 0,
/// and which looks ahead no less than the start; and how many chains were compared. None that is longer than `below`
/// need be given.
pub(super) fn chain(goal: &Goal, below: f64) -> (Option<Vec<Link>>, usize) {
    let aim = Aim::new(goal, Least::Length);
    let short = just_reached::chain(goal).and_then(|arcs| arcs.lowered(&aim, REACHED.0, REACHED.1));
    let mut compared = usize::from(short.is_some());
    let mut round: Option<Arcs> = None;
    if short.as_ref().is_none_or(|short| short.value(&aim) > SHORT) {
        for links in net::starts(goal) {
            let closed = Arcs::new(links, 1.0, &aim).closed(&aim, CLOSING_STEPS);
            let Some(arcs) = closed.and_then(|arcs| arcs.lowered(&aim, FEW.0, FEW.1)) else {
                continue;
            };
            compared += 1;
            let shorter = round.as_ref().is_none_or(|known| arcs.value(&aim) < known.value(&aim));
            if shorter && arcs.links.iter().all(|link| link.run < TAU) {
                round = Some(arcs);
            }
        }
    }
    let mut best = None;
    let mut least = below;
    let mut known = Vec::new();
    for arcs in [short, round].into_iter().flatten() {
        let Some(arcs) = refined(arcs, &aim.roughly(), least, &mut known) else { continue };
        let value = arcs.value(&aim);
        if value < least {
            (least, best) = (value, Some(arcs.exactly_closed(&aim).links));
        }
    }
    (best, compared)
}

/// Twice as many arcs as long as that helps; none where that leads to a chain that is known.
fn refined(mut arcs: Arcs, aim: &Aim, below: f64, known: &mut Vec<(usize, f64)>) -> Option<Arcs> {
    if arcs.links.len() >= MOST_ARCS {
        return arcs.lowered(aim, MANY.0, MANY.1);
    }
    let others = known.len();
    while arcs.links.len() < MOST_ARCS {
        let few = arcs.links.len();
        let (before, hope) = (arcs.value(aim), HOPE[(few / 4).min(4)]);
        let same = |&(count, value): &(usize, f64)| {
            count == few && (value - before).abs() < ALIKE * before
        };
        if known[..others].iter().any(same) {
            return None;
        }
        known.push((few, before));
        if before > below * hope {
            break;
        }
        let more = Arcs::new(halved(&arcs.links), 1.0, aim).nearly_closed(aim);
        let Some(more) = more.and_then(|more| more.lowered(aim, MORE.0, MORE.1)) else { break };
        let gain = before - more.value(aim);
        if gain <= 0.0 {
            break;
        }
        arcs = more;
        if few > 3 && gain < LITTLE_GAIN * before {
            break;
        }
    }
    Some(arcs)
}

/// A short arc in place of each joint, with half the twist before and half after it.
pub(super) fn halved(links: &[Link]) -> Vec<Link> {
    let between: Vec<f64> =
        links.windows(2).map(|pair| (0.25 * pair[0].run.min(pair[1].run)).min(0.3)).collect();
    let taken = |at: usize| 0.5 * between.get(at).copied().unwrap_or(0.0);
    let mut halved = Vec::with_capacity(2 * links.len());
    for (at, link) in links.iter().enumerate() {
        let Some(before) = at.checked_sub(1) else {
            halved.push(Link::arc(link.twist, link.run - taken(at)));
            continue;
        };
        let twist = 0.5 * libm::remainder(link.twist, TAU);
        halved.push(Link::arc(twist, 2.0 * taken(before)));
        halved.push(Link::arc(twist, link.run - taken(before) - taken(at)));
    }
    halved
}
