//! A short stretch of hose as a power series, and how its end moves with its beginning.

use nalgebra::Vector3;

use super::clamped::Clamped;

/// Highest power of the series.
pub(super) const ORDER: usize = 12;
/// Highest power of the series of changes: they only steer Newton's steps.
const CHANGE_ORDER: usize = 6;
/// Directions of change: two of the tangent, two of its rate, three of the force; one lane is spare.
pub(super) const LANES: usize = 8;

/// Tangent and moment of a stretch in powers of the share of the stretch, 0 to 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series {
    pub(super) length: f64,
    pub(super) tangent: [Vector3<f64>; ORDER + 1],
    pub(super) moment: [Vector3<f64>; ORDER + 1],
}

/// The state of the hose at a place.
#[derive(Debug, Clone, Copy)]
pub(super) struct State {
    pub(super) tangent: Vector3<f64>,
    pub(super) moment: Vector3<f64>,
    /// Way from the beginning of the stretch.
    pub(super) way: Vector3<f64>,
}

/// Inverse of a small whole number.
#[expect(clippy::cast_precision_loss, reason = "no higher than the order of the series")]
fn over(k: usize) -> f64 {
    1.0 / k as f64
}

/// Slope of the pull over the share of a stretch.
fn slope(clamped: &Clamped, length: f64) -> Vector3<f64> {
    -clamped.weight * length
}

impl Series {
    /// `t' = m x t` and `m' = t x pull` from a place on, where the pull is linear in the place.
    pub(super) fn new(
        clamped: &Clamped,
        force: &Vector3<f64>,
        (place, length): (f64, f64),
        tangent: Vector3<f64>,
        moment: Vector3<f64>,
    ) -> Self {
        let (pull, slope) = (clamped.pull(place, force), slope(clamped, length));
        let (mut t, mut m) = ([Vector3::zeros(); ORDER + 1], [Vector3::zeros(); ORDER + 1]);
        t[0] = tangent;
        m[0] = moment;
        for k in 0..ORDER {
            let turn: Vector3<f64> = (0..=k).map(|j| m[j].cross(&t[k - j])).sum();
            let mut push = t[k].cross(&pull);
            if k > 0 {
                push += t[k - 1].cross(&slope);
            }
            t[k + 1] = turn * (length * over(k + 1));
            m[k + 1] = push * (length * over(k + 1));
        }
        Self { length, tangent: t, moment: m }
    }

    /// Tangent, moment and way at a share of the stretch.
    pub(super) fn at(&self, share: f64) -> State {
        let (mut tangent, mut moment, mut way) =
            (Vector3::zeros(), Vector3::zeros(), Vector3::zeros());
        for k in (0..=ORDER).rev() {
            tangent = tangent * share + self.tangent[k];
            moment = moment * share + self.moment[k];
            way = way * share + self.tangent[k] * over(k + 1);
        }
        State { tangent, moment, way: way * (share * self.length) }
    }

    /// What the last term adds at the end of the stretch.
    pub(super) fn last_term(&self) -> State {
        let (tangent, moment) = (self.tangent[ORDER], self.moment[ORDER]);
        State { tangent, moment, way: tangent * (self.length * over(ORDER + 1)) }
    }
}

/// Changes of a vector in every direction of change.
pub(super) type Lanes = [[f64; LANES]; 3];

/// How the end of a stretch changes in every direction of change.
#[derive(Debug, Clone, Copy)]
pub(super) struct Change {
    pub(super) tangent: Lanes,
    pub(super) moment: Lanes,
    pub(super) way: Lanes,
}

/// Adds `factor` times a fixed vector crossed with lanes.
pub(super) fn add_cross(into: &mut Lanes, fixed: &Vector3<f64>, lanes: &Lanes, factor: f64) {
    for (i, j, k) in [(0, 1, 2), (1, 2, 0), (2, 0, 1)] {
        let (a, b) = (fixed[j] * factor, fixed[k] * factor);
        for lane in 0..LANES {
            into[i][lane] += a * lanes[k][lane] - b * lanes[j][lane];
        }
    }
}

/// The series of all changes, term by term beside those of the stretch itself.
pub(super) fn change(
    series: &Series,
    (pull, weight): (&Vector3<f64>, &Vector3<f64>),
    tangent: &Lanes,
    moment: &Lanes,
) -> Change {
    let length = series.length;
    let slope = -weight * length;
    let mut t = [[[0.0; LANES]; 3]; CHANGE_ORDER + 1];
    let mut m = [[[0.0; LANES]; 3]; CHANGE_ORDER + 1];
    t[0] = *tangent;
    m[0] = *moment;
    for k in 0..CHANGE_ORDER {
        let factor = length * over(k + 1);
        let mut turn = [[0.0; LANES]; 3];
        for j in 0..=k {
            // m x dt + dm x t = m x dt - t x dm
            add_cross(&mut turn, &series.moment[j], &t[k - j], factor);
            add_cross(&mut turn, &series.tangent[k - j], &m[j], -factor);
        }
        let mut push = [[0.0; LANES]; 3];
        add_cross(&mut push, pull, &t[k], -factor);
        if k > 0 {
            add_cross(&mut push, &slope, &t[k - 1], -factor);
        }
        // The force pulls against the tangent: t x (-df), lanes 4 to 6.
        let force = -(series.tangent[k] * factor).cross_matrix();
        for (row, place) in push.iter_mut().enumerate() {
            for axis in 0..3 {
                place[4 + axis] += force[(row, axis)];
            }
        }
        t[k + 1] = turn;
        m[k + 1] = push;
    }
    summed(length, &t, &m)
}

fn summed(length: f64, t: &[Lanes; CHANGE_ORDER + 1], m: &[Lanes; CHANGE_ORDER + 1]) -> Change {
    let zero = [[0.0; LANES]; 3];
    let mut sum = Change { tangent: zero, moment: zero, way: zero };
    for k in (0..=CHANGE_ORDER).rev() {
        let share = length * over(k + 1);
        for row in 0..3 {
            for lane in 0..LANES {
                sum.tangent[row][lane] += t[k][row][lane];
                sum.moment[row][lane] += m[k][row][lane];
                sum.way[row][lane] += t[k][row][lane] * share;
            }
        }
    }
    sum
}
