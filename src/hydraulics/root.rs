//! Root of a rising function between two bounds, by Chandrupatla's bracketing method.

use super::HydraulicsError;

/// Steps after which the search gives up; halving alone needs fewer for any bounds used here.
const MOST_STEPS: u32 = 200;

/// The bracket left when a search ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Root {
    /// Where the function is zero or below.
    pub(super) below: f64,
    /// Where the function is zero or above.
    pub(super) above: f64,
    /// Steps taken.
    pub(super) steps: u32,
}

/// A place and the function's value there.
#[derive(Clone, Copy)]
struct Point {
    at: f64,
    value: f64,
}

/// Closes the bracket of a rising function to `relative` of its place.
///
/// T. R. Chandrupatla, Advances in Engineering Software 28 (1997) p. 145 (standing: from-memory):
/// inverse quadratic steps where three points allow it, halving elsewhere, so the count of steps is bounded.
///
/// # Errors
/// [`HydraulicsError::NoAnswer`] when the bounds do not enclose a root,
/// [`HydraulicsError::NotConverged`] after 200 steps, and any error of the function itself.
pub(super) fn rising_root(
    what: &'static str,
    bounds: (f64, f64),
    relative: f64,
    mut function: impl FnMut(f64) -> Result<f64, HydraulicsError>,
) -> Result<Root, HydraulicsError> {
    let mut point = |at: f64| function(at).map(|value| Point { at, value });
    let (low, high) = bounds;
    let (mut newest, mut other) = (point(low)?, point(high)?);
    if newest.value > 0.0 || other.value < 0.0 {
        return Err(HydraulicsError::NoAnswer { what, low, high });
    }
    let mut share = 0.5;
    for steps in 0..MOST_STEPS {
        let next = point(newest.at + share * (other.at - newest.at))?;
        let third = if (next.value > 0.0) == (newest.value > 0.0) {
            newest
        } else {
            core::mem::replace(&mut other, newest)
        };
        newest = next;
        let nearest = relative * newest.at.abs().max(other.at.abs());
        let least = 0.5 * nearest / (other.at - newest.at).abs();
        if newest.value == 0.0 || least >= 0.5 {
            return Ok(bracket(newest, other, steps + 1));
        }
        share = next_share(newest, other, third).clamp(least, 1.0 - least);
    }
    let left = bracket(newest, other, MOST_STEPS);
    Err(HydraulicsError::NotConverged {
        what,
        steps: left.steps,
        low: left.below,
        high: left.above,
    })
}

fn bracket(newest: Point, other: Point, steps: u32) -> Root {
    let (below, above) = if newest.value == 0.0 {
        (newest.at, newest.at)
    } else if newest.value < 0.0 {
        (newest.at, other.at)
    } else {
        (other.at, newest.at)
    };
    Root { below, above, steps }
}

/// Share of the way from the newest point to the other at which to look next.
fn next_share(newest: Point, other: Point, third: Point) -> f64 {
    let place = (newest.at - other.at) / (third.at - other.at);
    let height = (newest.value - other.value) / (third.value - other.value);
    if height * height < place && (1.0 - height) * (1.0 - height) < 1.0 - place {
        let first =
            newest.value / (other.value - newest.value) * third.value / (other.value - third.value);
        let second = (third.at - newest.at) / (other.at - newest.at) * newest.value
            / (third.value - newest.value)
            * other.value
            / (third.value - other.value);
        first + second
    } else {
        0.5
    }
}

#[cfg(test)]
mod tests {
    use super::{HydraulicsError, rising_root};

    #[test]
    fn a_cubic_root_is_enclosed_to_the_asked_width_in_few_steps() {
        let root = rising_root("root", (0.0, 10.0), 1e-13, |x| Ok(x * x * x - 2.0)).unwrap();
        let known = libm::cbrt(2.0);
        assert!(root.below <= known * (1.0 + 1e-15) && known * (1.0 - 1e-15) <= root.above);
        assert!(root.above - root.below <= 1e-12 && root.steps < 20);
    }

    #[test]
    fn bounds_that_hold_no_root_are_refused() {
        let refused = rising_root("root", (2.0, 3.0), 1e-12, Ok);
        assert!(matches!(refused, Err(HydraulicsError::NoAnswer { .. })));
    }

    #[test]
    fn an_end_that_is_the_root_is_found() {
        let root = rising_root("root", (0.0, 3.0), 1e-12, Ok).unwrap();
        assert!(root.below <= 0.0 && root.above <= 1e-12);
    }
}
