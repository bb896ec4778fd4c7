//! One stretch between two joints in their coordinates, and its part in the equations.

use nalgebra::{Matrix2, Matrix2x3, Matrix3, Matrix3x2, Vector2, Vector3};

use super::band::{self, Closing, Row};
use super::clamped::{Clamped, Square};
use super::series::{Change, LANES, Lanes, Series, State, add_cross, change};
use super::shooting::Joints;

/// A stretch in the coordinates of its joints: `x` of the tangent, `y` of its rate, `f` of the force.
pub(super) struct Stretch {
    /// End tangent with x, y, f and end rate with x, y, f.
    tangent: Parts,
    rate: Parts,
    way: Way,
    /// Inverse of the end tangent with y.
    aim: Matrix2<f64>,
    pub(super) begins: Square,
    pub(super) ends: Square,
}

/// Changes of two components.
struct Parts {
    x: Matrix2<f64>,
    y: Matrix2<f64>,
    f: Matrix2x3<f64>,
}

/// Changes of the way from end to end.
struct Way {
    x: Matrix3x2<f64>,
    y: Matrix3x2<f64>,
    f: Matrix3<f64>,
}

/// What does not fit at the end of a stretch.
#[derive(Clone, Copy)]
pub(super) struct Misfit {
    /// The tangents do not even point the same way.
    pub(super) back: bool,
    pub(super) tangent: Vector2<f64>,
    /// End rate in the coordinates of the joint there.
    pub(super) rate: Vector2<f64>,
    pub(super) way: Vector3<f64>,
}

impl Parts {
    fn new(square: &Square, lanes: &Lanes) -> Self {
        let part = |side: &Vector3<f64>, lane: usize| {
            side.x * lanes[0][lane] + side.y * lanes[1][lane] + side.z * lanes[2][lane]
        };
        let sides = [&square.first, &square.second];
        Self {
            x: Matrix2::from_fn(|row, lane| part(sides[row], lane)),
            y: Matrix2::from_fn(|row, lane| part(sides[row], 2 + lane)),
            f: Matrix2x3::from_fn(|row, lane| part(sides[row], 4 + lane)),
        }
    }
}

impl Way {
    fn new(lanes: &Lanes) -> Self {
        Self {
            x: Matrix3x2::from_fn(|row, lane| lanes[row][lane]),
            y: Matrix3x2::from_fn(|row, lane| lanes[row][2 + lane]),
            f: Matrix3::from_fn(|row, lane| lanes[row][4 + lane]),
        }
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
    // m x dt - t x dm
    add_cross(&mut rate, &end.moment, &change.tangent, 1.0);
    add_cross(&mut rate, &end.tangent, &change.moment, -1.0);
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
        Some(Self { tangent, rate, way: Way::new(&change.way), aim, begins, ends })
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
        (x, x_next): (&Vector2<f64>, &Vector2<f64>),
        force: &Vector3<f64>,
    ) -> Vector2<f64> {
        self.aim * (x_next - self.tangent.x * x - self.tangent.f * force - misfit.tangent)
    }

    /// How the way from end to end changes in a step.
    pub(super) fn way_step(
        &self,
        misfit: &Misfit,
        (x, x_next): (&Vector2<f64>, &Vector2<f64>),
        force: &Vector3<f64>,
    ) -> Vector3<f64> {
        let y = self.rate_step(misfit, (x, x_next), force);
        misfit.way + self.way.x * x + self.way.y * y + self.way.f * force
    }

    /// Adds the stretch to the equations of its joints and of the force.
    pub(super) fn add_to(
        &self,
        (rows, closing): (&mut [Row], &mut Closing),
        at: usize,
        misfit: &Misfit,
        rate: &Vector2<f64>,
    ) {
        let (pushed, missed) = (self.aim * self.tangent.f, self.aim * misfit.tangent);
        // The blocks on the diagonal are symmetric but for what the short series of changes leave out.
        let even = |block: Matrix2<f64>| (block + block.transpose()) * 0.5;
        if at > 0 {
            let row = &mut rows[at - 1];
            row.own += even(self.aim * self.tangent.x);
            row.next = -self.aim;
            row.force += pushed;
            row.given += rate - missed;
        }
        if let Some(row) = rows.get_mut(at) {
            row.own += even(self.rate.y * self.aim);
            row.force += self.rate.f - self.rate.y * pushed;
            row.given -= misfit.rate - self.rate.y * missed;
        }
        closing.own -= self.way.f - self.way.y * pushed;
        closing.given += misfit.way - self.way.y * missed;
    }
}
