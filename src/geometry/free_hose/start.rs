//! Where the search begins: places along the hose, and shapes that close roughly.

#[cfg(test)]
mod tests;

use core::f64::consts::PI;
use std::rc::Rc;

use nalgebra::{Vector2, Vector3};

use super::chain::Chain;
use super::clamped::{Clamped, Square};
use super::shooting::Joints;
use crate::geometry::direction::{any_square, square_part};

/// A hose bent over less than this share of its length at its ends is straight between them.
const SHORT_BEND: f64 = 0.12;
/// A little out of any plane, so that a shape which would rather leave the plane can.
pub(super) const OUT_OF_PLANE: f64 = 0.03;
/// Bulges closer than this are one.
const ALIKE: f64 = 1e-9;
/// Stretches beyond which a hose is a straight with kinks.
const MOST_STRETCHES: f64 = 5000.0;

/// How far a shape bulges, and where to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bulge {
    /// Direction times size, in tangents of length 1.
    pub(super) aside: Vector3<f64>,
    /// Half waves along the hose.
    pub(super) waves: f64,
}

/// Places from 0 to 1: half of them where the ends bend, if they bend there only.
pub(super) fn places(clamped: &Clamped, pieces: u32) -> Rc<[f64]> {
    let bend = clamped.bend_share();
    let even = |node: u32| f64::from(node) / f64::from(pieces);
    if bend > SHORT_BEND {
        return (0..=pieces).map(even).collect();
    }
    let crowd = |s: f64| {
        s + 1.0 - libm::exp(-0.5 * s / bend) + libm::exp(-0.5 * (1.0 - s) / bend)
            - libm::exp(-0.5 / bend)
    };
    let whole = crowd(1.0);
    let place = |node: u32| {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if crowd(middle) < even(node) * whole {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    };
    let mut places: Vec<f64> = (1..pieces).map(place).collect();
    places.insert(0, 0.0);
    places.push(1.0);
    places.into()
}

/// The direction between two, `share` of the way from the first.
fn between(first: &Vector3<f64>, second: &Vector3<f64>, share: f64) -> Vector3<f64> {
    let angle = crate::geometry::angle_between(first, second);
    let aside = square_part(second, first).unwrap_or_else(|| any_square(first));
    first * libm::cos(angle * share) + aside * libm::sin(angle * share)
}

/// The tangent of a curve through both ends with their directions, not of length 1.
fn rough_tangent(clamped: &Clamped, s: f64, bend: f64) -> Vector3<f64> {
    let Clamped { leaves, arrives, chord, .. } = clamped;
    if bend < SHORT_BEND && clamped.spare() < 0.3 {
        let along = chord.normalize();
        let out = between(&along, leaves, libm::exp(-s / bend));
        let back = between(&along, arrives, libm::exp(-(1.0 - s) / bend));
        return out + back - along;
    }
    leaves * (1.0 - 4.0 * s + 3.0 * s * s)
        + arrives * (3.0 * s * s - 2.0 * s)
        + chord * (6.0 * s * (1.0 - s))
}

/// A chain between the ends with a bulge, and a little out of its plane.
pub(super) fn shape(clamped: &Clamped, places: &Rc<[f64]>, bulge: &Bulge, lean: f64) -> Chain {
    let bend = clamped.bend_share();
    let side = match clamped.hinge {
        Some(_) => clamped.line().cross(&bulge.aside.try_normalize(1e-6).unwrap_or_default()),
        None => any_lean(clamped),
    };
    let tangent = |&s: &f64| {
        let wave =
            bulge.aside * libm::sin(bulge.waves * PI * s) + side * (lean * libm::sin(PI * s));
        let rough = rough_tangent(clamped, s, bend) + wave;
        let size = rough.norm();
        if size > 1e-6 { rough / size } else { any_square(&clamped.leaves) }
    };
    let mut tangents: Vec<Vector3<f64>> = places.iter().map(tangent).collect();
    if let [first, .., last] = tangents.as_mut_slice() {
        *first = clamped.leaves;
        *last = clamped.arrives;
    }
    Chain { places: Rc::clone(places), tangents, force: Vector3::zeros() }
}

/// Direction out of the plane the ends lie in, as far as they lie in one.
fn any_lean(clamped: &Clamped) -> Vector3<f64> {
    let out = clamped.leaves.cross(&clamped.chord)
        + clamped.arrives.cross(&clamped.chord) * 0.7
        + clamped.leaves.cross(&clamped.arrives) * 0.4;
    let size = out.norm();
    if size > 1e-3 { out / size } else { any_square(&clamped.line()) }
}

/// Two directions square to the hose on the whole, the first where it would bulge.
fn sides(clamped: &Clamped) -> Square {
    let line = clamped.line();
    let first = square_part(&clamped.bulge(), &line).unwrap_or_else(|| any_square(&line));
    Square { first, second: line.cross(&first) }
}

/// A bulge of some size and two half waves, at an angle from where the hose would bulge.
fn bulge(clamped: &Clamped, size: f64, angle: f64, waves: f64) -> Bulge {
    let size = size * clamped.spare().max(1e-6).sqrt();
    let parts = Vector2::new(libm::cos(angle), libm::sin(angle)) * size;
    Bulge { aside: sides(clamped).vector(&parts), waves }
}

/// Bulges to begin with, the most likely first, all turned by an angle; of two mirror images one.
pub(super) fn bulges(clamped: &Clamped, turned: f64) -> Vec<Bulge> {
    let quarter = |quarter: u8| {
        let angle = 0.5 * PI * f64::from(quarter) + turned;
        bulge(clamped, 2.0, angle, 2.0)
    };
    let mut bulges = vec![quarter(0)];
    if clamped.round() {
        return bulges;
    }
    if clamped.hinge.is_none() {
        bulges.push(Bulge { aside: Vector3::zeros(), waves: 2.0 });
    }
    let plane = clamped.plane().filter(|_| !clamped.loose());
    for next in (1..4).map(quarter) {
        let image = plane.map(|square| next.aside - square * (2.0 * square.dot(&next.aside)));
        let alike = |bulge: &Bulge| image.is_some_and(|image| (bulge.aside - image).norm() < ALIKE);
        if !bulges.iter().any(alike) {
            bulges.push(next);
        }
    }
    bulges
}

/// More bulges, for shapes of higher energy: waves of every number in both planes.
pub(super) fn more_bulges(clamped: &Clamped) -> Vec<Bulge> {
    let mut bulges = bulges(clamped, 0.0);
    for waves in [1.0, 2.0, 3.0, 4.0] {
        for turn in 0..8 {
            let angle = 0.25 * PI * f64::from(turn) + 0.1 * waves;
            bulges.extend([1.0, 2.0, 3.5].map(|size| bulge(clamped, size, angle, waves)));
        }
    }
    bulges
}

/// Joints for the stretches out of a chain: as many as its bending and its pull ask for.
///
/// `None` where these are too many.
pub(super) fn joints(clamped: &Clamped, chain: &Chain, reach: f64) -> Option<Joints> {
    let rates = rates(chain);
    let need = |node: usize| {
        let pull = clamped.pull(chain.places[node], &chain.force).norm();
        rates[node].norm().max(pull.sqrt()).max(3.0)
    };
    let mut sums = vec![0.0];
    for node in 1..chain.places.len() {
        let length = chain.places[node] - chain.places[node - 1];
        let before = sums.last().copied().unwrap_or(0.0);
        sums.push(before + 0.5 * length * (need(node) + need(node - 1)));
    }
    let whole = sums.last().copied().unwrap_or(1.0);
    let stretches = (whole / reach).ceil().max(4.0);
    if stretches > MOST_STRETCHES {
        return None;
    }
    let mut joints = Joints {
        places: vec![0.0],
        tangents: vec![clamped.leaves],
        rates: vec![rates[0]],
        force: chain.force,
    };
    let mut node = 0;
    let mut number = 1.0;
    while number < stretches {
        let want = whole * number / stretches;
        while node + 2 < sums.len() && sums[node + 1] < want {
            node += 1;
        }
        let share = (want - sums[node]) / (sums[node + 1] - sums[node]);
        let tangent =
            (chain.tangents[node] * (1.0 - share) + chain.tangents[node + 1] * share).normalize();
        let rate = rates[node] * (1.0 - share) + rates[node + 1] * share;
        joints.places.push(chain.places[node] * (1.0 - share) + chain.places[node + 1] * share);
        joints.tangents.push(tangent);
        joints.rates.push(rate - tangent * rate.dot(&tangent));
        number += 1.0;
    }
    joints.places.push(1.0);
    joints.tangents.push(clamped.arrives);
    joints.rates.push(Vector3::zeros());
    Some(joints)
}

/// Rates of the tangents of a chain: slopes of the parabola through three neighbours.
fn rates(chain: &Chain) -> Vec<Vector3<f64>> {
    let Chain { places, tangents, .. } = chain;
    let last = places.len() - 1;
    let rate = |node: usize| {
        let middle = node.clamp(1, last - 1);
        let (before, after) =
            (places[middle] - places[middle - 1], places[middle + 1] - places[middle]);
        let one = (tangents[middle] - tangents[middle - 1]) / before;
        let two = (tangents[middle + 1] - tangents[middle]) / after;
        let bend = (two - one) / (before + after);
        let at = places[node] - places[middle];
        let slope = (one * after + two * before) / (before + after) + bend * (2.0 * at);
        slope - tangents[node] * slope.dot(&tangents[node])
    };
    (0..=last).map(rate).collect()
}

/// A finer chain of the same shape.
pub(super) fn finer(chain: &Chain) -> Chain {
    let (mut places, mut tangents) = (Vec::new(), Vec::new());
    for (at, (place, tangent)) in chain.places.iter().zip(&chain.tangents).enumerate() {
        if at > 0 {
            places.push(0.5 * (chain.places[at - 1] + place));
            tangents.push(between(&chain.tangents[at - 1], tangent, 0.5));
        }
        places.push(*place);
        tangents.push(*tangent);
    }
    Chain { places: places.into(), tangents, force: chain.force }
}
