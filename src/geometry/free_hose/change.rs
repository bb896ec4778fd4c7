//! How the end of a stretch changes with its beginning and with the force: the series of the changes.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

#[cfg(test)]
mod tests;

use nalgebra::Vector3;

use super::series::{OVER, Series, TIMES};

/// Highest power of the series of changes that only steer Newton's steps.
pub(super) const ROUGH: usize = 8;
/// The same where they must tell which way is down, though a change of the shape may cost hardly any energy.
pub(super) const FINE: usize = 12;
/// Directions of change: two of the tangent, two of its rate, three of the force; one lane is spare.
const LANES: usize = 8;
/// The first lane of the force.
pub(super) const FORCE: usize = 4;

/// Changes of a number in every direction of change.
type Lane = [f64; LANES];
/// Changes of a vector in every direction of change.
pub(super) type Lanes = [Lane; 3];

/// No change.
pub(super) const NONE: Lanes = [[0.0; LANES]; 3];

/// How the end of a stretch changes in every direction of change.
#[derive(Debug, Clone, Copy)]
pub(super) struct Change {
    pub(super) tangent: Lanes,
    pub(super) rate: Lanes,
    pub(super) way: Lanes,
}

#[inline(always)]
fn add(into: &mut Lane, lane: &Lane, factor: f64) {
    for (into, change) in into.iter_mut().zip(lane) {
        *into += change * factor;
    }
}

/// Adds `factor` times the products of a fixed vector with changes.
#[inline(always)]
fn add_dot(into: &mut Lane, fixed: &Vector3<f64>, lanes: &Lanes, factor: f64) {
    for (lane, fixed) in lanes.iter().zip(fixed) {
        add(into, lane, fixed * factor);
    }
}

/// Adds `factor` times the products of a fixed vector with the changes of the force.
#[inline(always)]
fn add_force(into: &mut Lane, fixed: &Vector3<f64>, factor: f64) {
    for (into, fixed) in into[FORCE..].iter_mut().zip(fixed) {
        *into += fixed * factor;
    }
}

/// Everything that a change is reckoned from.
pub(super) struct Reckoning<'a> {
    pub(super) series: &'a Series,
    /// What pulls at the beginning of the stretch.
    pub(super) pull: Vector3<f64>,
    pub(super) weight: Vector3<f64>,
    /// Changes at the beginning.
    pub(super) tangent: Lanes,
    pub(super) rate: Lanes,
    /// Highest power.
    pub(super) order: usize,
}

impl Reckoning<'_> {
    /// The changes at the end, from their series term by term beside those of the stretch itself.
    #[inline(always)]
    pub(super) fn change(&self) -> Change {
        let Self { series, pull, weight, order, .. } = self;
        let length = series.length;
        let slope = -weight * length;
        let mut tangent = [NONE; FINE + 1];
        let mut factor = [[0.0; LANES]; FINE - 1];
        tangent[0] = self.tangent;
        tangent[1] = self.rate.map(|lane| lane.map(|rate| rate * length));
        // The force pulls against the tangent.
        let mut held = [0.0; LANES];
        add_dot(&mut held, &series.tangent[1], &self.rate, 1.0 / length);
        add_dot(&mut held, pull, &self.tangent, -1.0);
        add_force(&mut held, &series.tangent[0], 1.0);
        for k in 0..order - 1 {
            let along = &mut factor[k];
            add(along, &held, 2.0);
            add_dot(along, pull, &tangent[k], 3.0);
            add_force(along, &series.tangent[k], -3.0);
            if k > 0 {
                add_dot(along, &slope, &tangent[k - 1], 3.0);
            }
            held = [0.0; LANES];
            add_dot(&mut held, weight, &tangent[k], length * OVER[k + 1]);
            let mut term = self.turned(&factor[..=k], &tangent[..=k]);
            if k == 0 {
                for (axis, lane) in term.iter_mut().enumerate() {
                    lane[FORCE + axis] += 1.0;
                }
            }
            let over = -length * length * OVER[k + 1] * OVER[k + 2];
            tangent[k + 2] = term.map(|lane| lane.map(|change| change * over));
        }
        summed(length, &tangent[..=*order])
    }

    /// Changes of the products of factor and tangent whose powers add up to that of the last.
    #[inline(always)]
    fn turned(&self, factor: &[Lane], tangent: &[Lanes]) -> Lanes {
        let last = factor.len() - 1;
        let mut sum = NONE;
        for (j, factor) in factor.iter().enumerate() {
            let (fixed, lanes) = (self.series.factor[j], &tangent[last - j]);
            let other = &self.series.tangent[last - j];
            for (axis, sum) in sum.iter_mut().enumerate() {
                add(sum, &lanes[axis], fixed);
                add(sum, factor, other[axis]);
            }
        }
        sum
    }
}

#[inline(always)]
fn summed(length: f64, terms: &[Lanes]) -> Change {
    let mut sum = Change { tangent: NONE, rate: NONE, way: NONE };
    for (k, term) in terms.iter().enumerate().rev() {
        let (share, steep) = (length * OVER[k + 1], TIMES[k] / length);
        for (axis, lane) in term.iter().enumerate() {
            add(&mut sum.tangent[axis], lane, 1.0);
            add(&mut sum.rate[axis], lane, steep);
            add(&mut sum.way[axis], lane, share);
        }
    }
    sum
}
