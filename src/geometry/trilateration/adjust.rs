//! The place that fits all tapes best, by least squares.

use nalgebra::{Matrix3, Point3, Vector3};

use super::{Tape, TrilaterationError};

/// Steps after which a search is given up.
const MOST_STEPS: u32 = 200;
/// A step this small against the size of the figure settles the search.
const SETTLED: f64 = 1e-12;
/// A step this small is taken without asking whether it helps: the sum of squares no longer tells.
const CLOSE: f64 = 1e-6;
/// Damping never becomes heavier than this against the weights.
const HEAVIEST: f64 = 1e12;

/// A place that was settled on.
#[derive(Debug, Clone, Copy)]
pub struct Adjusted {
    /// The place.
    pub at: Point3<f64>,
    /// Steps it took.
    pub steps: u32,
    /// Inverse of the sum of weighted squares of directions.
    inverse: Matrix3<f64>,
}

impl Adjusted {
    /// How the place moves when each tape reads one millimetre more.
    pub fn gains(&self, tapes: &[Tape]) -> Vec<Vector3<f64>> {
        let unit = finest_mm(tapes);
        let gain = |tape: &Tape| self.inverse * direction(tape, &self.at) * weight(tape, unit);
        tapes.iter().map(gain).collect()
    }
}

/// The size of the whole figure.
pub fn size_mm(tapes: &[Tape]) -> f64 {
    tapes.iter().map(|t| t.distance_mm).fold(0.0, f64::max)
}

/// The smallest tolerance, which the weights are counted in.
fn finest_mm(tapes: &[Tape]) -> f64 {
    tapes.iter().map(|t| t.tolerance_mm).fold(f64::INFINITY, f64::min)
}

fn weight(tape: &Tape, unit_mm: f64) -> f64 {
    let share = unit_mm / tape.tolerance_mm;
    share * share
}

/// From the known point to the place, of length 1; nothing where they are one.
fn direction(tape: &Tape, at: &Point3<f64>) -> Vector3<f64> {
    (at - tape.from).try_normalize(0.0).unwrap_or_default()
}

/// Sum of the weighted squares of what the tapes read too much.
fn cost(tapes: &[Tape], at: &Point3<f64>, unit_mm: f64) -> f64 {
    let square = |t: &Tape| t.residual_mm(at) * t.residual_mm(at) * weight(t, unit_mm);
    tapes.iter().map(square).sum()
}

/// Weighted squares of directions, and the pull of the residuals.
fn normal(tapes: &[Tape], at: &Point3<f64>, unit_mm: f64) -> (Matrix3<f64>, Vector3<f64>) {
    let mut squares = Matrix3::zeros();
    let mut pull = Vector3::zeros();
    for tape in tapes {
        let (along, weight) = (direction(tape, at), weight(tape, unit_mm));
        squares += along * along.transpose() * weight;
        pull += along * (weight * tape.residual_mm(at));
    }
    (squares, pull)
}

/// The place of the least sum of squares that a search from a start finds.
///
/// # Errors
/// [`TrilaterationError::NotSettled`] where it finds none.
pub fn adjusted(tapes: &[Tape], start: Point3<f64>) -> Result<Adjusted, TrilaterationError> {
    let unit_mm = finest_mm(tapes);
    let size_mm = size_mm(tapes);
    let (mut at, mut damping) = (start, 0.0_f64);
    for steps in 1..=MOST_STEPS {
        let (squares, pull) = normal(tapes, &at, unit_mm);
        let solved = |m: Matrix3<f64>| m.cholesky().map(|c| c.solve(&pull));
        let plain = solved(squares).unwrap_or_else(|| Vector3::repeat(f64::INFINITY));
        let left_mm = plain.norm();
        if left_mm <= CLOSE * size_mm {
            at += plain;
            if left_mm <= SETTLED * size_mm {
                return settled(tapes, at, steps);
            }
            continue;
        }
        let heavy = Matrix3::from_diagonal_element(damping * squares.trace());
        let next = solved(squares + heavy).map(|step| at + step);
        let cost = |at: &Point3<f64>| cost(tapes, at, unit_mm);
        if let Some(next) = next.filter(|next| cost(next) < cost(&at)) {
            at = next;
            damping = if damping < 1e-6 { 0.0 } else { damping / 8.0 };
        } else if damping < HEAVIEST {
            damping = (damping * 4.0).max(1e-5);
        } else {
            return Err(TrilaterationError::NotSettled { steps });
        }
    }
    Err(TrilaterationError::NotSettled { steps: MOST_STEPS })
}

fn settled(tapes: &[Tape], at: Point3<f64>, steps: u32) -> Result<Adjusted, TrilaterationError> {
    let squares = normal(tapes, &at, finest_mm(tapes)).0;
    let inverse = squares.cholesky().ok_or(TrilaterationError::NotSettled { steps })?.inverse();
    Ok(Adjusted { at, steps, inverse })
}
