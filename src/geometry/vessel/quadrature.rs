//! Integrals along the axis of a vessel, between places where the cut changes its kind.

use std::f64::consts::FRAC_PI_2;

use crate::geometry::GeometryError;

/// Wanted agreement of one round with the next.
const AGREE: f64 = 1e-10;
/// Nodes beyond this stand so near an end that they no longer count.
const REACH: f64 = 3.4;
/// Halvings of the step before an interval is divided.
const MOST_ROUNDS: u32 = 7;
/// Divisions of an interval before the integral is given up.
const MOST_DIVISIONS: u32 = 24;

/// An integral, and by how much its last round changed it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Integral {
    /// The value.
    pub value: f64,
    /// Size of the last change, in the unit of the value.
    pub change: f64,
}

impl Integral {
    /// The sum of two.
    pub fn plus(self, other: Self) -> Self {
        Self { value: self.value + other.value, change: self.change + other.change }
    }
}

/// Integrates by the double-exponential rule, which holds where the function leaves an end like a root.
///
/// Two rounds must agree to 1e-10 of the value, or to `scale` times 1e-14 where the value is small beside it.
///
/// # Errors
/// [`GeometryError::NotSettled`] where they do not.
pub fn integrate(
    function: &dyn Fn(f64) -> f64,
    from: f64,
    to: f64,
    scale: f64,
) -> Result<Integral, GeometryError> {
    divided(function, from, to, scale, 0)
}

fn divided(
    function: &dyn Fn(f64) -> f64,
    from: f64,
    to: f64,
    scale: f64,
    divisions: u32,
) -> Result<Integral, GeometryError> {
    if let Some(found) = whole(function, from, to, scale) {
        return Ok(found);
    }
    let middle = 0.5 * (from + to);
    if divisions == MOST_DIVISIONS || middle <= from || middle >= to {
        return Err(GeometryError::NotSettled { what: "the volume of a vessel" });
    }
    let left = divided(function, from, middle, scale, divisions + 1)?;
    Ok(left.plus(divided(function, middle, to, scale, divisions + 1)?))
}

/// The integral over one interval, if it settles.
fn whole(function: &dyn Fn(f64) -> f64, from: f64, to: f64, scale: f64) -> Option<Integral> {
    let (half, middle) = (0.5 * (to - from), 0.5 * (from + to));
    // Both nodes at a distance from the middle; their distance from the ends keeps its digits.
    let pair = |t: f64| {
        let lead = FRAC_PI_2 * libm::sinh(t);
        let near = 2.0 * half / (1.0 + libm::exp(2.0 * lead));
        let weight = FRAC_PI_2 * libm::cosh(t) / (libm::cosh(lead) * libm::cosh(lead));
        weight * (function(from + near) + function(to - near))
    };
    let mut step = 0.5;
    let mut sum = FRAC_PI_2 * function(middle);
    let mut at = step;
    while at < REACH {
        sum += pair(at);
        at += step;
    }
    let mut last = sum * step * half;
    for _ in 0..MOST_ROUNDS {
        let mut at = 0.5 * step;
        while at < REACH {
            sum += pair(at);
            at += step;
        }
        step *= 0.5;
        let now = sum * step * half;
        let change = (now - last).abs();
        if change <= AGREE * now.abs() + 1e-14 * scale {
            return Some(Integral { value: now, change });
        }
        last = now;
    }
    None
}
