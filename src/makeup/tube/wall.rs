//! What bending does to the wall and the roundness of a tube.

use crate::makeup::{MakeupError, above_zero, within};

/// Change of the wall in a bend, as shares of the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallChange {
    /// Loss at the outside of the bend.
    pub thinning: f64,
    /// Gain at the inside of the bend.
    pub thickening: f64,
}

/// # What it gives
///
/// How much thinner the wall becomes outside of a bend and how much thicker inside.
///
/// # Formula
///
/// `thinning = (D / 2) / (R + D / 2)`, `thickening = (D / 2) / (R - D / 2)`
///
/// # Valid for
///
/// Outside diameter `outside_mm` above 0, radius of the centre line above half of it.
///
/// # Source
///
/// Derived here: each fibre keeps its volume and the centre line its length.
///
/// # Notes
///
/// The centre line of a real tube stretches a little, which thins the whole wall; a tube that goes oval
/// thins less.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::wall::wall_change;
///
/// let wall = wall_change(12.7, 38.1)?;
/// assert!((wall.thinning - 1.0 / 7.0).abs() < 1e-12 && (wall.thickening - 0.2).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn wall_change(outside_mm: f64, radius_mm: f64) -> Result<WallChange, MakeupError> {
    let half_mm = 0.5 * above_zero("outside diameter", outside_mm)?;
    within("radius of a bend", radius_mm, half_mm * (1.0 + 1e-9), f64::MAX)?;
    Ok(WallChange {
        thinning: half_mm / (radius_mm + half_mm),
        thickening: half_mm / (radius_mm - half_mm),
    })
}

/// # What it gives
///
/// The ovality of a bend as a share of the outside diameter before bending.
///
/// # Formula
///
/// `(largest - smallest) / outside`
///
/// # Valid for
///
/// Diameters above 0 in one unit, `smallest` up to `largest`.
///
/// # Source
///
/// Definition used in boiler and heat exchanger practice (quoted-elsewhere).
///
/// # Notes
///
/// Measured across the bend in two directions square to each other, with a caliper.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::wall::ovality;
///
/// assert!((100.0 * ovality(12.7, 12.25, 12.95)? - 5.5118).abs() < 1e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn ovality(outside_mm: f64, smallest_mm: f64, largest_mm: f64) -> Result<f64, MakeupError> {
    above_zero("outside diameter", outside_mm)?;
    above_zero("smallest diameter", smallest_mm)?;
    within("largest diameter", largest_mm, smallest_mm, f64::MAX)?;
    Ok((largest_mm - smallest_mm) / outside_mm)
}
