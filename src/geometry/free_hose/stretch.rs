//! One stretch between two joints in their coordinates, and its part in the equations.

use nalgebra::Vector3;

use super::band::{self, Block, COMMON, Closing, Row, product, times};
use super::clamped::{Clamped, Square};
use super::series::{Change, LANES, Lanes, Series, State, change};
use super::shooting::Joints;

/// A stretch in the coordinates of its joints: `x` of the tangent, `y` of its rate, `f` of the force.
pub(super) struct Stretch {
    /// End tangent with x, y, f and end rate with x, y, f.
    tangent: Parts,
    rate: Parts,
    pub(super) way: [[f64; LANES]; 3],
    /// Inverse of the end tangent with y.
    aim: Block,
    pub(super) begins: Square,
    pub(super) ends: Square,
}

/// Changes of two components.
pub(super) struct Parts {
    x: Block,
    y: Block,
    f: [[f64; 3]; 2],
}

/// What does not fit at the end of a stretch.
#[derive(Clone, Copy)]
pub(super) struct Misfit {
    /// The tangents do not even point the same way.
    pub(super) back: bool,
    pub(super) tangent: [f64; 2],
    /// End rate in the coordinates of the joint there.
    pub(super) rate: [f64; 2],
    pub(super) way: Vector3<f64>,
}

impl Parts {
    fn new(square: &Square, lanes: &Lanes) -> Self {
        let mut rows = [[0.0; LANES]; 2];
        for (row, side) in rows.iter_mut().zip([&square.first, &square.second]) {
            for (lane, place) in row.iter_mut().enumerate() {
                *place =
                    side.x * lanes[0][lane] + side.y * lanes[1][lane] + side.z * lanes[2][lane];
            }
        }
        let block = |at: usize| [[rows[0][at], rows[0][at + 1]], [rows[1][at], rows[1][at + 1]]];
        let f = rows.map(|row| [row[4], row[5], row[6]]);
        Self { x: block(0), y: block(2), f }
    }
}

fn column(lanes: &mut Lanes, lane: usize, vector: &Vector3<f64>) {
    for (row, place) in lanes.iter_mut().enumerate() {
        place[lane] = vector[row];
    }
}

/// Changes of the rate `m x t`.
fn rate_change(end: &State, change: &Change) -> Lanes {
    let mut rate = [[0.0; LANES]; 3];
    for (i, j, k) in [(0, 1, 2), (1, 2, 0), (2, 0, 1)] {
        for lane in 0..LANES {
            rate[i][lane] = change.moment[j][lane] * end.tangent[k]
                - change.moment[k][lane] * end.tangent[j]
                + end.moment[j] * change.tangent[k][lane]
                - end.moment[k] * change.tangent[j][lane];
        }
    }
    rate
}

impl Stretch {
    pub(super) fn new(
        clamped: &Clamped,
        joints: &Joints,
        at: usize,
        series: &Series,
        (begins, ends): (Square, Square),
    ) -> Option<Self> {
        let (tangent, rate) = (joints.tangents[at], joints.rates[at]);
        let (mut t, mut m) = ([[0.0; LANES]; 3], [[0.0; LANES]; 3]);
        for (lane, side) in [&begins.first, &begins.second].into_iter().enumerate() {
            column(&mut t, lane, side);
            column(&mut m, lane, &side.cross(&rate));
            column(&mut m, lane + 2, &tangent.cross(side));
        }
        let pull = clamped.pull(joints.places[at], &joints.force);
        let change = change(series, (&pull, &clamped.weight), &t, &m);
        let tangent = Parts::new(&ends, &change.tangent);
        let rate = Parts::new(&ends, &rate_change(&series.at(1.0), &change));
        let aim = band::inverse(&tangent.y)?;
        Some(Self { tangent, rate, way: change.way, aim, begins, ends })
    }

    pub(super) fn misfit(&self, end: &State, next: &Vector3<f64>) -> Misfit {
        // A tangent that points back has no parts square to the next one either.
        let back = end.tangent.dot(next) < 0.5;
        Misfit {
            back,
            tangent: self.ends.parts(&(end.tangent - next)),
            rate: self.ends.parts(&end.moment.cross(&end.tangent)),
            way: end.way,
        }
    }

    /// Rate at the beginning that makes the end meet.
    pub(super) fn rate_step(
        &self,
        misfit: &Misfit,
        x: [f64; 2],
        x_next: [f64; 2],
        force: &[f64; COMMON],
    ) -> [f64; 2] {
        let along = times(&self.tangent.x, x);
        let mut want = [0.0; 2];
        for i in 0..2 {
            let f = &self.tangent.f[i];
            let pushed = f[0] * force[0] + f[1] * force[1] + f[2] * force[2];
            want[i] = x_next[i] - along[i] - pushed - misfit.tangent[i];
        }
        times(&self.aim, want)
    }

    /// Adds the stretch to the equations of its joints and of the force.
    pub(super) fn add_to(
        &self,
        rows: &mut [Row],
        at: usize,
        closing: &mut Closing,
        misfit: &Misfit,
        rate: [f64; 2],
    ) {
        let along = product(&self.aim, &self.tangent.x);
        let back = product(&self.rate.y, &self.aim);
        let missed = times(&self.aim, misfit.tangent);
        let passed = times(&self.rate.y, missed);
        let mut pushed = [[0.0; 3]; 2];
        for axis in 0..3 {
            let column = times(&self.aim, [self.tangent.f[0][axis], self.tangent.f[1][axis]]);
            pushed[0][axis] = column[0];
            pushed[1][axis] = column[1];
        }
        if at > 0 {
            let row = &mut rows[at - 1];
            for i in 0..2 {
                for j in 0..2 {
                    row.own[i][j] += 0.5 * (along[i][j] + along[j][i]);
                    row.next[i][j] = -self.aim[i][j];
                }
                for axis in 0..3 {
                    row.common[i][axis] += pushed[i][axis];
                }
                row.given[i] += rate[i] - missed[i];
            }
        }
        if let Some(row) = rows.get_mut(at) {
            for i in 0..2 {
                for j in 0..2 {
                    row.own[i][j] += 0.5 * (back[i][j] + back[j][i]);
                }
                for axis in 0..3 {
                    let through = times(&self.rate.y, [pushed[0][axis], pushed[1][axis]]);
                    row.common[i][axis] += self.rate.f[i][axis] - through[i];
                }
                row.given[i] -= misfit.rate[i] - passed[i];
            }
        }
        for i in 0..3 {
            let way = &self.way[i];
            for axis in 0..3 {
                let through = way[2] * pushed[0][axis] + way[3] * pushed[1][axis];
                closing.own[i][axis] -= way[4 + axis] - through;
            }
            closing.given[i] += misfit.way[i] - way[2] * missed[0] - way[3] * missed[1];
        }
    }
}
