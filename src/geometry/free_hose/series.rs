//! A short stretch of hose as a power series.
//!
//! The moment is square to the tangent, so `t' = m x t` and `m' = t x pull` are one equation of the tangent alone,
//! `t'' = pull - (t.pull + |t'|^2) t`. Since `|t'|^2 / 2 - t.pull` grows by `t.weight` only, the factor of the tangent
//! is `3 t.pull + 2 (|t'|^2 / 2 - t.pull)`, which has no squares.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

#[cfg(test)]
pub(super) mod tests;

use core::array::from_fn;

use nalgebra::Vector3;

use super::change::FINE;
use super::clamped::Clamped;
use super::shooting::Joints;
use crate::wide::{Work, widest};

/// Highest power of the series.
pub(super) const ORDER: usize = 20;
/// Stretches that are reckoned side by side.
const ABREAST: usize = 4;

/// A stretch in powers of its share, 0 to 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series {
    pub(super) length: f64,
    pub(super) tangent: [Vector3<f64>; ORDER + 1],
    /// What the tangent is multiplied by in its equation; as far as the changes need it.
    pub(super) factor: [f64; FINE - 1],
}

/// The state of the hose at a place.
#[derive(Debug, Clone, Copy)]
pub(super) struct State {
    pub(super) tangent: Vector3<f64>,
    /// Change of the tangent along the hose.
    pub(super) rate: Vector3<f64>,
    /// Way from the beginning of the stretch.
    pub(super) way: Vector3<f64>,
}

/// Whole numbers.
pub(super) const TIMES: [f64; ORDER + 2] = {
    let mut times = [0.0; ORDER + 2];
    let mut k = 1;
    while k < times.len() {
        times[k] = times[k - 1] + 1.0;
        k += 1;
    }
    times
};

/// Inverses of whole numbers; that of none is not used.
pub(super) const OVER: [f64; ORDER + 2] = {
    let mut over = [0.0; ORDER + 2];
    let mut k = 1;
    while k < over.len() {
        over[k] = 1.0 / TIMES[k];
        k += 1;
    }
    over
};

/// One number of each stretch.
type Numbers = [f64; ABREAST];
/// One vector of each stretch.
type Vectors = [Numbers; 3];

/// Stretches side by side.
struct Abreast {
    length: Numbers,
    tangent: [Vectors; ORDER + 1],
    factor: [Numbers; ORDER - 1],
}

#[inline(always)]
fn dot(one: &Vectors, other: &Vectors) -> Numbers {
    from_fn(|at| one[0][at] * other[0][at] + one[1][at] * other[1][at] + one[2][at] * other[2][at])
}

#[inline(always)]
fn times(vectors: &Vectors, numbers: &Numbers) -> Vectors {
    vectors.map(|axis| from_fn(|at| axis[at] * numbers[at]))
}

/// The sum of the products of factors and tangents whose powers add up to that of the last.
#[inline(always)]
fn turned(factor: &[Numbers], tangent: &[Vectors]) -> Vectors {
    let mut sum = [[0.0; ABREAST]; 3];
    for (factor, tangent) in factor.iter().zip(tangent.iter().rev()) {
        for (sum, tangent) in sum.iter_mut().zip(tangent) {
            *sum = from_fn(|at| sum[at] + factor[at] * tangent[at]);
        }
    }
    sum
}

impl Abreast {
    /// The stretches from one on; places beyond the last are filled with it.
    #[inline(always)]
    fn new(clamped: &Clamped, joints: &Joints, first: usize) -> Self {
        let stretch: [usize; ABREAST] = from_fn(|at| (first + at).min(joints.places.len() - 2));
        let vectors = |of: &dyn Fn(usize) -> Vector3<f64>| -> Vectors {
            let each = stretch.map(of);
            from_fn(|axis| from_fn(|at| each[at][axis]))
        };
        let length = stretch.map(|at| joints.places[at + 1] - joints.places[at]);
        let pull = vectors(&|at| clamped.pull(joints.places[at], &joints.force));
        let weight = vectors(&|_| clamped.weight);
        let slope = times(&weight, &length.map(|length| -length));
        let rate = vectors(&|at| joints.rates[at]);
        let mut tangent = [[[0.0; ABREAST]; 3]; ORDER + 1];
        tangent[0] = vectors(&|at| joints.tangents[at]);
        tangent[1] = times(&rate, &length);
        let (bent, along) = (dot(&rate, &rate), dot(&pull, &tangent[0]));
        let mut held: Numbers = from_fn(|at| 0.5 * bent[at] - along[at]);
        let mut factor = [[0.0; ABREAST]; ORDER - 1];
        for k in 0..ORDER - 1 {
            let mut along = dot(&pull, &tangent[k]);
            if k > 0 {
                let more = dot(&slope, &tangent[k - 1]);
                along = from_fn(|at| along[at] + more[at]);
            }
            factor[k] = from_fn(|at| 3.0 * along[at] + 2.0 * held[at]);
            let raised = dot(&weight, &tangent[k]);
            held = from_fn(|at| raised[at] * length[at] * OVER[k + 1]);
            let mut term = turned(&factor[..=k], &tangent[..=k]).map(|axis| axis.map(|sum| -sum));
            if let Some(pulled) = [&pull, &slope].get(k) {
                term = from_fn(|axis| from_fn(|at| pulled[axis][at] + term[axis][at]));
            }
            let over = OVER[k + 1] * OVER[k + 2];
            tangent[k + 2] = times(&term, &length.map(|length| length * length * over));
        }
        Self { length, tangent, factor }
    }

    #[inline(always)]
    fn series(&self, at: usize) -> Series {
        let tangent = |k: usize| {
            let [x, y, z] = &self.tangent[k];
            Vector3::new(x[at], y[at], z[at])
        };
        Series {
            length: self.length[at],
            tangent: from_fn(tangent),
            factor: from_fn(|k| self.factor[k][at]),
        }
    }
}

/// Every stretch between joints, from its first joint on.
struct All<'a> {
    clamped: &'a Clamped,
    joints: &'a Joints,
}

impl Work for All<'_> {
    type Output = Vec<Series>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let count = self.joints.places.len() - 1;
        let mut all = Vec::with_capacity(count);
        for first in (0..count).step_by(ABREAST) {
            let abreast = Abreast::new(self.clamped, self.joints, first);
            for at in 0..ABREAST.min(count - first) {
                all.push(abreast.series(at));
            }
        }
        all
    }
}

impl Series {
    /// Every stretch between joints, from its first joint on.
    pub(super) fn all(clamped: &Clamped, joints: &Joints) -> Vec<Self> {
        widest(All { clamped, joints })
    }

    /// Tangent, rate and way at a share of the stretch.
    pub(super) fn at(&self, share: f64) -> State {
        let mut tangent = self.tangent[ORDER];
        let mut way = tangent * OVER[ORDER + 1];
        for k in (0..ORDER).rev() {
            tangent = tangent * share + self.tangent[k];
            way = way * share + self.tangent[k] * OVER[k + 1];
        }
        State { tangent, rate: self.rate(share), way: way * (share * self.length) }
    }

    /// Change of the tangent along the hose at a share of the stretch.
    pub(super) fn rate(&self, share: f64) -> Vector3<f64> {
        let mut rate = self.tangent[ORDER] * TIMES[ORDER];
        for k in (1..ORDER).rev() {
            rate = rate * share + self.tangent[k] * TIMES[k];
        }
        rate / self.length
    }

    /// What the last term adds at the end of the stretch.
    pub(super) fn last_term(&self) -> State {
        let tangent = self.tangent[ORDER];
        State {
            tangent,
            rate: tangent * (TIMES[ORDER] / self.length),
            way: tangent * (self.length * OVER[ORDER + 1]),
        }
    }
}
