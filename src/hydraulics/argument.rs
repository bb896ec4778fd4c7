//! Checks of the numbers handed to a kernel, so that every kernel refuses in the same words.

use super::HydraulicsError;

/// Passes a finite number on.
///
/// # Errors
/// [`HydraulicsError::NotFinite`] for an infinity or a NaN.
pub(super) fn finite(what: &'static str, given: f64) -> Result<f64, HydraulicsError> {
    if given.is_finite() { Ok(given) } else { Err(HydraulicsError::NotFinite { what, given }) }
}

/// Passes a number above zero on.
///
/// # Errors
/// [`HydraulicsError::NotFinite`] or [`HydraulicsError::NotPositive`].
pub(super) fn positive(what: &'static str, given: f64) -> Result<f64, HydraulicsError> {
    if finite(what, given)? > 0.0 {
        Ok(given)
    } else {
        Err(HydraulicsError::NotPositive { what, given })
    }
}

/// Passes a number that is zero or above on.
///
/// # Errors
/// [`HydraulicsError::NotFinite`] or [`HydraulicsError::Negative`].
pub(super) fn not_negative(what: &'static str, given: f64) -> Result<f64, HydraulicsError> {
    if finite(what, given)? >= 0.0 {
        Ok(given)
    } else {
        Err(HydraulicsError::Negative { what, given })
    }
}

/// Passes a number between two bounds (both allowed) on.
///
/// # Errors
/// [`HydraulicsError::NotFinite`] or [`HydraulicsError::OutOfRange`].
pub(super) fn within(
    what: &'static str,
    given: f64,
    low: f64,
    high: f64,
) -> Result<f64, HydraulicsError> {
    if (low..=high).contains(&finite(what, given)?) {
        Ok(given)
    } else {
        Err(HydraulicsError::OutOfRange { what, given, low, high })
    }
}

/// Passes a result on only when it can be written as a finite number.
///
/// # Errors
/// [`HydraulicsError::NotRepresentable`] when the arithmetic overflowed.
pub(super) fn result(what: &'static str, value: f64) -> Result<f64, HydraulicsError> {
    if value.is_finite() { Ok(value) } else { Err(HydraulicsError::NotRepresentable { what }) }
}
