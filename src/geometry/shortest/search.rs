//! Helicoidal arcs between two given poses: known arcs that end near the goal, drawn to it.

use std::sync::LazyLock;

use nalgebra::{Matrix5, Vector3, Vector5};

use super::chain::{Goal, Link, closed};
use super::helicoidal::{End, Helicoid};

/// Known arcs tried, the nearest first.
const TRIES: usize = 6;
/// Arcs laid forward.
const LAID_ARCS: u32 = 4000;
const MOST_STEPS: u32 = 40;
/// An arc that ends this close to the goal is drawn to it exactly when it becomes a chain.
const ARRIVED: f64 = 1e-8;
/// Step of the differences that stand for slopes.
const STEP: f64 = 1e-6;

/// How shortest helicoidal arcs begin whose goals lie evenly within four radii: `rho`, its slope, the hand and the
/// phase. They were found by this search from many arcs of every kind, and only decide where it starts.
const KNOWN_ARCS: &str = include_str!("known_arcs.csv");

/// A helicoidal arc that starts at the origin along x, its first normal turned by `twist` from y.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    helicoid: Helicoid,
    twist: f64,
    pub(super) length: f64,
}

/// A known arc and the goal it ends at, with the goal's place above x and its direction at z from 0.
#[derive(Debug, Clone, Copy)]
struct Known {
    found: Found,
    goal: Goal,
}

static KNOWN: LazyLock<Vec<Known>> = LazyLock::new(|| {
    let rows = KNOWN_ARCS.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.filter_map(|line| {
        let mut numbers = line.split(',').map(|cell| cell.parse::<f64>().ok());
        let mut next = || numbers.next().flatten();
        let helicoid = Helicoid { rho: next()?, slope: next()?, hand: next()?, phase: next()? };
        Some(placed(helicoid, &helicoid.end()?))
    })
    .collect()
});

/// Arcs of every size and torsion laid forward. Where a short piece of hose has to twist as much as it can, the
/// goals that need a helicoidal arc lie in a thin shell, which no even net of goals meets.
static LAID: LazyLock<Vec<Laid>> = LazyLock::new(|| {
    let mut laid = Vec::new();
    for index in 0..LAID_ARCS {
        // A sequence that fills the cube evenly, without chance: powers of the root of x^6 = x + 1.
        let share = |axis: u32| {
            let step = (0..=axis).fold(1.0, |step, _| step / 1.134_724_138_401_519_5);
            (0.5 + f64::from(index) * step).fract()
        };
        let size = 0.25 * libm::pow(16.0, share(0));
        let spread = libm::pow(300.0, share(1) - 1.0);
        let (slope, hand) = (4.0 * share(2) - 2.0, 3.0 * share(3) * share(3));
        // Small multipliers where the arc gains on the goal, large ones where it falls behind.
        let helicoid = if index % 2 == 0 {
            let rho = 3.0 * size * size * spread;
            Helicoid { rho, slope: size * slope, hand: rho * rho * 2.0 * hand / size, phase: 0.0 }
        } else {
            let rho = 0.3 / spread;
            Helicoid {
                rho,
                slope: 2.0 * rho * slope / size,
                hand: rho * rho * 2.0 * hand / size,
                phase: 0.0,
            }
        };
        let helicoid = Helicoid { phase: 0.05 * libm::pow(140.0, share(4)), ..helicoid };
        let Some(end) = helicoid.end() else { continue };
        if (0.2..5.0).contains(&end.length) && end.at.norm() < 4.0 {
            let known = placed(helicoid, &end);
            laid.push(Laid { known, bends: bends(&known.goal) });
        }
    }
    laid
});

/// A known arc, and how both ends lean off the chord.
#[derive(Debug, Clone, Copy)]
struct Laid {
    known: Known,
    bends: [f64; 6],
}

/// How the directions lean off the chord, over its length, in axes of the chord; and the size of the chord. Short
/// arcs of one shape have one and the same lean, whatever their size.
fn bends(goal: &Goal) -> [f64; 6] {
    let apart = goal.at.norm().max(1e-9);
    let chord = goal.at / apart;
    let first = Vector3::x() - chord * chord.x;
    let last = goal.direction - chord * chord.dot(&goal.direction);
    let along = first.try_normalize(1e-12).unwrap_or_else(|| super::any_square(&chord));
    let across = chord.cross(&along);
    let scale = 1.0 / apart.min(2.0);
    [
        first.norm() * scale,
        last.dot(&along) * scale,
        last.dot(&across).abs() * scale,
        0.3 * libm::log(apart),
        0.5 * chord.x,
        0.5 * chord.dot(&goal.direction),
    ]
}

fn placed(mut helicoid: Helicoid, end: &End) -> Known {
    let mut twist = -libm::atan2(end.at.z, end.at.y);
    let mut goal = Goal { at: about_x(&end.at, twist), direction: about_x(&end.tangent, twist) };
    if goal.direction.z < 0.0 {
        helicoid.hand = -helicoid.hand;
        twist = -twist;
        goal.direction.z = -goal.direction.z;
    }
    Known { found: Found { helicoid, twist, length: end.length }, goal }
}

fn about_x(vector: &Vector3<f64>, angle: f64) -> Vector3<f64> {
    let (sin, cos) = libm::sincos(angle);
    Vector3::new(vector.x, vector.y * cos - vector.z * sin, vector.y * sin + vector.z * cos)
}

/// Helicoidal arcs shorter than `below`, the shortest first, to a goal whose place has z = 0 and y from 0, and
/// whose direction has z from 0.
pub(super) fn arcs(goal: &Goal, below: f64) -> Vec<Found> {
    let off = |known: &Known| {
        (known.goal.at - goal.at).norm_squared()
            + (known.goal.direction - goal.direction).norm_squared()
    };
    let mut nearest = nearest(KNOWN.iter().map(|known| (off(known), known)));
    let lean = bends(goal);
    let off =
        |laid: &Laid| -> f64 { laid.bends.iter().zip(&lean).map(|(a, b)| (a - b) * (a - b)).sum() };
    nearest.extend(self::nearest(LAID.iter().map(|laid| (off(laid), &laid.known))));
    let drawn = nearest.iter().filter_map(|known| drawn(&known.found, goal));
    let mut found: Vec<Found> = drawn.filter(|arc| arc.length < below).collect();
    found.sort_by(|a, b| a.length.total_cmp(&b.length));
    found.dedup_by(|a, b| (a.length - b.length).abs() < 1e-4);
    found
}

/// The few known arcs that are least off.
fn nearest<'a>(all: impl Iterator<Item = (f64, &'a Known)>) -> Vec<&'a Known> {
    let mut nearest: Vec<(f64, &Known)> = Vec::with_capacity(TRIES + 1);
    for (far, known) in all {
        if nearest.len() == TRIES && nearest.last().is_some_and(|(last, _)| far >= *last) {
            continue;
        }
        let at = nearest.partition_point(|(near, _)| *near <= far);
        nearest.insert(at, (far, known));
        nearest.truncate(TRIES);
    }
    nearest.into_iter().map(|(_, known)| known).collect()
}

/// The arc as a chain of plane arcs that ends at the goal.
pub(super) fn as_chain(found: &Found, goal: &Goal, parts: u32) -> Option<Vec<Link>> {
    let mut twist = found.twist;
    let mut links = Vec::new();
    for part in found.helicoid.parts(parts)? {
        links.push(Link::arc(twist, part.run));
        twist = part.twist;
    }
    closed(links, goal)
}

/// An arc on its way to the goal: where it ends and how far off that is.
#[derive(Debug, Clone, Copy)]
struct Attempt {
    found: Found,
    end: End,
    off: Vector5<f64>,
}

/// The goal with two directions square to its own.
#[derive(Debug, Clone, Copy)]
struct Target {
    goal: Goal,
    across: [Vector3<f64>; 2],
}

impl Target {
    fn seen(&self, at: &Vector3<f64>, turned: &Vector3<f64>) -> Vector5<f64> {
        Vector5::new(at.x, at.y, at.z, turned.dot(&self.across[0]), turned.dot(&self.across[1]))
    }

    fn attempt(&self, found: Found) -> Option<Attempt> {
        if found.helicoid.rho < 1e-6 || found.helicoid.phase <= 0.0 {
            return None;
        }
        let end = found.helicoid.end()?;
        let at = about_x(&end.at, found.twist) - self.goal.at;
        let turned = about_x(&end.tangent, found.twist) - self.goal.direction;
        let off = self.seen(&at, &turned);
        let found = Found { length: end.length, ..found };
        off.iter().all(|part| part.is_finite()).then_some(Attempt { found, end, off })
    }

    /// How the end moves with each of the five unknowns.
    fn slopes(&self, attempt: &Attempt) -> Option<Matrix5<f64>> {
        let mut slopes = Matrix5::zeros();
        for unknown in 0..3 {
            let mut change = Vector5::zeros();
            change[unknown] = STEP;
            let next = self.attempt(changed(&attempt.found, &change))?;
            slopes.set_column(unknown, &((next.off - attempt.off) / STEP));
        }
        let turned = |v: &Vector3<f64>| about_x(v, attempt.found.twist);
        let End { at, tangent, normal, rate, .. } = &attempt.end;
        let (at, tangent, normal) = (turned(at), turned(tangent), turned(normal));
        let x = Vector3::x();
        slopes.set_column(3, &self.seen(&x.cross(&at), &x.cross(&tangent)));
        slopes.set_column(4, &self.seen(&(tangent * *rate), &(normal * *rate)));
        Some(slopes)
    }
}

/// The unknowns are numbers of the shape, whatever the size of the multipliers: the logarithm of `rho`, its slope
/// over `rho`, the torsion, the first plane and the phase.
fn changed(found: &Found, change: &Vector5<f64>) -> Found {
    let Helicoid { rho, slope, hand, phase } = found.helicoid;
    let next = rho * libm::exp(change[0].clamp(-2.0, 2.0));
    let helicoid = Helicoid {
        rho: next,
        slope: (slope / rho + change[1]) * next,
        hand: (hand / (rho * rho) + change[2]) * next * next,
        phase: phase + change[4],
    };
    Found { helicoid, twist: found.twist + change[3], ..*found }
}

/// Damped Newton steps from a known arc to the goal. After a good step the slopes are only brought up to date with
/// what the step taught (Broyden); after a poor one they are worked out again.
fn drawn(known: &Found, goal: &Goal) -> Option<Found> {
    let first = super::any_square(&goal.direction);
    let target = Target { goal: *goal, across: [first, goal.direction.cross(&first)] };
    let mut now = target.attempt(*known)?;
    let mut slopes = target.slopes(&now)?;
    let (mut damping, mut fresh) = (1e-4, true);
    for _ in 0..MOST_STEPS {
        if now.off.amax() < ARRIVED {
            let facing = about_x(&now.end.tangent, now.found.twist).dot(&goal.direction) > 0.0;
            return facing.then_some(now.found);
        }
        let next = damped(&slopes, &now.off, damping)
            .and_then(|change| Some((change, target.attempt(changed(&now.found, &change))?)));
        let (before, after) =
            (now.off.norm(), next.as_ref().map_or(f64::INFINITY, |(_, next)| next.off.norm()));
        if let Some((change, next)) = next.filter(|_| after < before) {
            let taught = next.off - now.off - slopes * change;
            slopes += taught * change.transpose() / change.norm_squared();
            now = next;
            damping = (damping * 0.02).max(1e-15);
        }
        if after < 0.5 * before {
            fresh = false;
        } else if fresh {
            damping *= 20.0;
            if damping > 1e4 {
                return None;
            }
        } else {
            slopes = target.slopes(&now)?;
            fresh = true;
        }
    }
    None
}

fn damped(slopes: &Matrix5<f64>, off: &Vector5<f64>, damping: f64) -> Option<Vector5<f64>> {
    let mut square = slopes.transpose() * slopes;
    for at in 0..5 {
        square[(at, at)] += damping * (square[(at, at)] + 1e-3);
    }
    Some(square.cholesky()?.solve(&-(slopes.transpose() * off)))
}
