//! One stretch between two joints in their coordinates, and its part in the equations.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

use nalgebra::{Matrix2, Matrix2x3, Matrix3, Matrix3x2, Vector2, Vector3};

use super::band::{self, Closing, Row};
use super::change::{FORCE, Lanes, NONE, Reckoning};
use super::clamped::{Clamped, Square};
use super::series::{Series, State};
use super::shooting::Joints;
use crate::wide::{Work, widest};

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
    #[inline(always)]
    fn new(square: &Square, lanes: &Lanes) -> Self {
        let part = |side: &Vector3<f64>, lane: usize| {
            side.x * lanes[0][lane] + side.y * lanes[1][lane] + side.z * lanes[2][lane]
        };
        let sides = [&square.first, &square.second];
        Self {
            x: Matrix2::from_fn(|row, lane| part(sides[row], lane)),
            y: Matrix2::from_fn(|row, lane| part(sides[row], 2 + lane)),
            f: Matrix2x3::from_fn(|row, lane| part(sides[row], FORCE + lane)),
        }
    }
}

impl Way {
    #[inline(always)]
    fn new(lanes: &Lanes) -> Self {
        Self {
            x: Matrix3x2::from_fn(|row, lane| lanes[row][lane]),
            y: Matrix3x2::from_fn(|row, lane| lanes[row][2 + lane]),
            f: Matrix3::from_fn(|row, lane| lanes[row][FORCE + lane]),
        }
    }
}

#[inline(always)]
fn column(lanes: &mut Lanes, lane: usize, vector: &Vector3<f64>) {
    for (row, place) in lanes.iter_mut().enumerate() {
        place[lane] = vector[row];
    }
}

/// Every stretch between joints, with its changes up to a power.
struct All<'a> {
    clamped: &'a Clamped,
    joints: &'a Joints,
    series: &'a [Series],
    squares: &'a [Square],
    order: usize,
}

impl Work for All<'_> {
    type Output = Option<Vec<Stretch>>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self { clamped, joints, series, squares, order } = self;
        let mut all = Vec::with_capacity(series.len());
        for (at, series) in series.iter().enumerate() {
            let squares = (squares[at], squares[at + 1]);
            all.push(Stretch::new(clamped, joints, (at, series), squares, order)?);
        }
        Some(all)
    }
}

impl Stretch {
    /// Every stretch between joints, from its series; `None` where the end of one cannot be aimed.
    pub(super) fn all(
        clamped: &Clamped,
        joints: &Joints,
        series: &[Series],
        squares: &[Square],
        order: usize,
    ) -> Option<Vec<Self>> {
        widest(All { clamped, joints, series, squares, order })
    }

    #[inline(always)]
    fn new(
        clamped: &Clamped,
        joints: &Joints,
        (at, series): (usize, &Series),
        (begins, ends): (Square, Square),
        order: usize,
    ) -> Option<Self> {
        let (tangent, rate) = (joints.tangents[at], joints.rates[at]);
        let (mut turn, mut bend) = (NONE, NONE);
        for (lane, side) in [&begins.first, &begins.second].into_iter().enumerate() {
            column(&mut turn, lane, side);
            column(&mut bend, lane, &(tangent * -rate.dot(side)));
            column(&mut bend, lane + 2, side);
        }
        let reckoning = Reckoning {
            series,
            pull: clamped.pull(joints.places[at], &joints.force),
            weight: clamped.weight,
            tangent: turn,
            rate: bend,
            order,
        };
        let change = reckoning.change();
        let tangent = Parts::new(&ends, &change.tangent);
        let rate = Parts::new(&ends, &change.rate);
        let aim = band::inverse(&tangent.y)?;
        Some(Self { tangent, rate, way: Way::new(&change.way), aim, begins, ends })
    }

    pub(super) fn misfit(&self, end: &State, next: &Vector3<f64>) -> Misfit {
        // A tangent that points back has no parts square to the next one either.
        let back = end.tangent.dot(next) < 0.5;
        Misfit {
            back,
            tangent: self.ends.parts(&(end.tangent - next)),
            rate: self.ends.parts(&end.rate),
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
