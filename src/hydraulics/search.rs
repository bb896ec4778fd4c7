//! The place at which a rising or falling quantity is zero: where a margin is used up, where a flow is restored.

use super::HydraulicsError;
use super::argument::{finite, within};
use super::root::rising_root;

/// Narrowest bracket, as a share of the width of the bounds, that rounding leaves within reach.
const NARROWEST: f64 = 1.0e-14;

/// A place where a quantity is zero, with the bracket that holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zero {
    /// The middle of the bracket.
    pub at: f64,
    /// Lower end of the bracket.
    pub low: f64,
    /// Upper end of the bracket.
    pub high: f64,
    /// Steps the search took.
    pub steps: u32,
}

/// Where a rising quantity is zero.
///
/// # What it gives
/// The place, the bracket that holds it and the count of steps.
///
/// # Formula
/// Bracketing with inverse quadratic steps where they help and halving elsewhere, until the bracket is
/// narrower than `share` of the bounds' width.
///
/// # Valid for
/// `bounds` with the lower one first; `share` 1e-14 to 0.5; a `quantity` that is zero or below at the lower
/// bound, zero or above at the upper one, and does not fall in between.
///
/// # Source
/// T. R. Chandrupatla, Advances in Engineering Software 28 (1997) p. 145. Standing: from-memory.
///
/// # Notes
/// A quantity that jumps across zero has its place at the jump.
///
/// ```
/// use hosewright::hydraulics::{HydraulicsError, search::rising_zero};
/// let found = rising_zero("length", (0.0, 3.0), 1e-12, |x| Ok::<f64, HydraulicsError>(x * x - 2.0))?;
/// assert!((found.at - core::f64::consts::SQRT_2).abs() < 1e-11);
/// # Ok::<(), HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NoAnswer`] when the bounds do not hold a zero, [`HydraulicsError::NotConverged`],
/// [`HydraulicsError::NotFinite`] for a bound or a quantity that is no number,
/// [`HydraulicsError::OutOfRange`], and whatever `quantity` refuses.
pub fn rising_zero<E: From<HydraulicsError>>(
    what: &'static str,
    bounds: (f64, f64),
    share: f64,
    mut quantity: impl FnMut(f64) -> Result<f64, E>,
) -> Result<Zero, E> {
    let low = finite("the lower bound", bounds.0)?;
    let high = within("the upper bound", bounds.1, low, f64::MAX)?;
    let share = within("the width of the bracket", share, NARROWEST, 0.5)?;
    let width = finite("the width between the bounds", high - low)?;
    // Places are counted from 1 to 2, since the search closes its bracket relative to the place itself.
    let place = |count: f64| if count >= 2.0 { high } else { low + (count - 1.0) * width };
    let mut refused = None;
    let found = rising_root(what, (1.0, 2.0), share, |count| {
        let value = quantity(place(count)).map_err(|error| {
            refused = Some(error);
            HydraulicsError::NotRepresentable { what }
        })?;
        finite(what, value)
    });
    match (found, refused) {
        (Ok(root), _) => {
            let (low, high) = (place(root.below), place(root.above));
            Ok(Zero { at: low + 0.5 * (high - low), low, high, steps: root.steps })
        }
        (Err(_), Some(error)) => Err(error),
        (Err(error), None) => Err(in_place(error, place).into()),
    }
}

/// An error of the search with the caller's own places in it.
fn in_place(error: HydraulicsError, place: impl Fn(f64) -> f64) -> HydraulicsError {
    match error {
        HydraulicsError::NoAnswer { what, low, high } => {
            HydraulicsError::NoAnswer { what, low: place(low), high: place(high) }
        }
        HydraulicsError::NotConverged { what, steps, low, high } => {
            HydraulicsError::NotConverged { what, steps, low: place(low), high: place(high) }
        }
        other => other,
    }
}

/// Where a falling quantity is zero.
///
/// # What it gives
/// As [`rising_zero`].
///
/// # Formula
/// [`rising_zero`] of the quantity's opposite.
///
/// # Valid for
/// As [`rising_zero`], with the quantity zero or above at the lower bound and zero or below at the upper one.
///
/// # Source
/// As [`rising_zero`].
///
/// # Notes
/// A margin that shrinks with height: its zero is the height up to which it holds.
///
/// ```
/// use hosewright::hydraulics::{HydraulicsError, atmosphere::pressure_pa, search::falling_zero};
/// // Up to which height does the air press with at least 80 kPa?
/// let found = falling_zero("height", (0.0, 11_000.0), 1e-12, |h| Ok::<f64, HydraulicsError>(pressure_pa(h)? - 80e3))?;
/// assert!((found.at - 1949.0).abs() < 1.0);
/// # Ok::<(), HydraulicsError>(())
/// ```
///
/// # Errors
/// As [`rising_zero`].
pub fn falling_zero<E: From<HydraulicsError>>(
    what: &'static str,
    bounds: (f64, f64),
    share: f64,
    mut quantity: impl FnMut(f64) -> Result<f64, E>,
) -> Result<Zero, E> {
    rising_zero(what, bounds, share, |place| quantity(place).map(|value| -value))
}
