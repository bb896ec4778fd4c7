//! How far the working pressure, with its surges, stays from the rated pressure.

use super::{RatingError, above_zero, not_below_zero};

/// Pressure in a line against the pressure it is rated for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressureMargin {
    /// Highest pressure in the line, surge included, Pa gauge.
    pub highest_pa: f64,
    /// Pressure still to spare, Pa; below zero where the rating is passed.
    pub margin_pa: f64,
    /// Share of the rated pressure in use; above 1 where the rating is passed.
    pub used_fraction: f64,
}

/// # What it gives
///
/// The highest pressure in a line and how it stands to the rated one.
///
/// # Formula
///
/// `highest = working + surge`, `margin = rated - highest`, `used = highest / rated`.
///
/// # Valid for
///
/// Gauge pressures in pascals: working and surge from 0, `rated_pa` above 0 and already derated for
/// temperature.
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// Whether a rating already covers surges is for the table it came from to say; pass 0 then.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::rating::pressure::pressure_margin;
///
/// let found = pressure_margin(300e3, 100e3, 1000e3)?;
/// assert_eq!(found.margin_pa, 600e3);
/// assert!((found.used_fraction - 0.4).abs() < 1e-12);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn pressure_margin(
    working_pa: f64,
    surge_pa: f64,
    rated_pa: f64,
) -> Result<PressureMargin, RatingError> {
    not_below_zero("working_pa", working_pa)?;
    not_below_zero("surge_pa", surge_pa)?;
    above_zero("rated_pa", rated_pa)?;
    let highest_pa = working_pa + surge_pa;
    Ok(PressureMargin {
        highest_pa,
        margin_pa: rated_pa - highest_pa,
        used_fraction: highest_pa / rated_pa,
    })
}
