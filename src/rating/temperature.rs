//! How far the coldest and hottest moments of a line stay from the range of its material.

use super::{RatingError, finite, within};

/// Temperatures of a line against the range it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemperatureMargin {
    /// Kelvin to spare at the cold end; below zero where it gets too cold.
    pub cold_margin_k: f64,
    /// Kelvin to spare at the hot end; below zero where it gets too hot.
    pub hot_margin_k: f64,
    /// True where both margins reach the wanted one.
    pub in_range: bool,
}

/// # What it gives
///
/// What is to spare at the cold and at the hot end of a material's range, and whether the wanted margin
/// is kept at both.
///
/// # Formula
///
/// `cold = coldest - lowest allowed`, `hot = highest allowed - hottest`.
///
/// # Valid for
///
/// Degrees Celsius; `coldest_c` not above `hottest_c`, `rated_least_c` not above `rated_most_c`;
/// `wanted_margin_k` from 0.
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// The hottest moment is often the soak after stopping, not the run.
///
/// # Errors
///
/// Refuses numbers that are not finite and ranges given the wrong way round.
///
/// # Example
///
/// ```
/// use hosewright::rating::temperature::temperature_margin;
///
/// let found = temperature_margin(-20.0, 110.0, -40.0, 125.0, 10.0)?;
/// assert_eq!((found.cold_margin_k, found.hot_margin_k), (20.0, 15.0));
/// assert!(found.in_range);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn temperature_margin(
    coldest_c: f64,
    hottest_c: f64,
    rated_least_c: f64,
    rated_most_c: f64,
    wanted_margin_k: f64,
) -> Result<TemperatureMargin, RatingError> {
    finite("coldest_c", coldest_c)?;
    within("hottest_c", hottest_c, coldest_c, f64::MAX)?;
    finite("rated_least_c", rated_least_c)?;
    within("rated_most_c", rated_most_c, rated_least_c, f64::MAX)?;
    within("wanted_margin_k", wanted_margin_k, 0.0, f64::MAX)?;
    let (cold_margin_k, hot_margin_k) = (coldest_c - rated_least_c, rated_most_c - hottest_c);
    Ok(TemperatureMargin {
        cold_margin_k,
        hot_margin_k,
        in_range: cold_margin_k.min(hot_margin_k) >= wanted_margin_k,
    })
}
