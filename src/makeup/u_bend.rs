//! Length of a hose that hangs in a U and follows an end that travels along its legs.

use super::{MakeupError, above_zero, not_below_zero};

/// Where the fixed end of a travelling U stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FixedEnd {
    /// Level with the middle of the travel.
    AtMidTravel,
    /// Level with one end of the travel.
    AtEndOfTravel,
}

/// # What it gives
///
/// The length of hose, in millimetres, between the fittings of a U whose one end travels along its legs.
///
/// # Formula
///
/// Fixed end at mid travel `2 a + pi R + T / 2`, at an end of the travel `2 a + pi R + T`.
///
/// # Valid for
///
/// `radius_mm` (centre line) above 0; `travel_mm` and `straight_mm` (least straight at each end) from 0.
///
/// # Source
///
/// Derived here: the two legs differ by the offset of the ends and the shorter keeps the straight.
///
/// # Notes
///
/// Shortening under pressure is not included; divide by one less its share.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::u_bend::{FixedEnd, u_bend_length_mm};
///
/// let length_mm = u_bend_length_mm(120.0, 200.0, 60.0, FixedEnd::AtMidTravel)?;
/// assert!((length_mm - 596.9911).abs() < 1e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn u_bend_length_mm(
    radius_mm: f64,
    travel_mm: f64,
    straight_mm: f64,
    fixed_end: FixedEnd,
) -> Result<f64, MakeupError> {
    above_zero("radius_mm", radius_mm)?;
    not_below_zero("travel_mm", travel_mm)?;
    not_below_zero("straight_mm", straight_mm)?;
    let spare_mm = match fixed_end {
        FixedEnd::AtMidTravel => 0.5 * travel_mm,
        FixedEnd::AtEndOfTravel => travel_mm,
    };
    Ok(2.0 * straight_mm + std::f64::consts::PI * radius_mm + spare_mm)
}
