//! Checks of the numbers handed to a heat kernel, so that every kernel refuses in the same words.

use super::HeatError;

/// Passes a finite number on.
///
/// # Errors
/// [`HeatError::NotFinite`] for an infinity or a NaN.
pub(super) fn finite(what: &'static str, given: f64) -> Result<f64, HeatError> {
    if given.is_finite() { Ok(given) } else { Err(HeatError::NotFinite { what, given }) }
}

/// Passes a number above zero on.
///
/// # Errors
/// [`HeatError::NotFinite`] or [`HeatError::NotPositive`].
pub(super) fn positive(what: &'static str, given: f64) -> Result<f64, HeatError> {
    if finite(what, given)? > 0.0 { Ok(given) } else { Err(HeatError::NotPositive { what, given }) }
}

/// Passes a number between two bounds (both allowed) on.
///
/// # Errors
/// [`HeatError::NotFinite`] or [`HeatError::OutOfRange`].
pub(super) fn within(
    what: &'static str,
    given: f64,
    low: f64,
    high: f64,
) -> Result<f64, HeatError> {
    if (low..=high).contains(&finite(what, given)?) {
        Ok(given)
    } else {
        Err(HeatError::OutOfRange { what, given, low, high })
    }
}

/// Passes a number that is zero or above on.
///
/// # Errors
/// [`HeatError::NotFinite`] or [`HeatError::OutOfRange`].
pub(super) fn not_negative(what: &'static str, given: f64) -> Result<f64, HeatError> {
    within(what, given, 0.0, f64::MAX)
}

/// Passes a result on only when it can be written as a finite number.
///
/// # Errors
/// [`HeatError::NotRepresentable`] when the arithmetic overflowed.
pub(super) fn result(what: &'static str, value: f64) -> Result<f64, HeatError> {
    if value.is_finite() { Ok(value) } else { Err(HeatError::NotRepresentable { what }) }
}
