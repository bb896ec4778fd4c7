//! Bend radii counted to the inside or to the centre line, and what bending does to a tube's wall.

use super::{RatingError, above_zero, not_below_zero, within};

/// # What it gives
///
/// The radius of the centre line, in millimetres, of a bend whose radius is given to its inside.
///
/// # Formula
///
/// `centre line = inside + outside diameter / 2`
///
/// # Valid for
///
/// `inside_radius_mm` from 0, `outside_mm` (outside diameter of the hose) above 0.
///
/// # Source
///
/// Definition. AC 43.13-1B, figure 9-10 measures hose bends to the inside (read), while tube bends are
/// counted to the centre line: keep the datum with the number.
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::rating::bend::centre_line_from_inside_mm;
///
/// assert_eq!(centre_line_from_inside_mm(100.0, 17.0)?, 108.5);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn centre_line_from_inside_mm(
    inside_radius_mm: f64,
    outside_mm: f64,
) -> Result<f64, RatingError> {
    not_below_zero("inside_radius_mm", inside_radius_mm)?;
    above_zero("outside_mm", outside_mm)?;
    Ok(inside_radius_mm + 0.5 * outside_mm)
}

/// # What it gives
///
/// The radius to the inside of a bend, in millimetres, from the radius of its centre line.
///
/// # Formula
///
/// `inside = centre line - outside diameter / 2`
///
/// # Valid for
///
/// `centre_line_radius_mm` from half of `outside_mm`, which is above 0.
///
/// # Source
///
/// As [`centre_line_from_inside_mm`].
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// [`RatingError::OutOfRange`] where the inside of the bend would pass its centre, and refusals of
/// unusable numbers.
///
/// # Example
///
/// ```
/// use hosewright::rating::bend::inside_from_centre_line_mm;
///
/// assert_eq!(inside_from_centre_line_mm(108.5, 17.0)?, 100.0);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn inside_from_centre_line_mm(
    centre_line_radius_mm: f64,
    outside_mm: f64,
) -> Result<f64, RatingError> {
    let half_mm = half_outside_mm(centre_line_radius_mm, outside_mm)?;
    Ok(centre_line_radius_mm - half_mm)
}

/// Half the outside diameter, once the bend is known not to fold over its own centre.
fn half_outside_mm(centre_line_radius_mm: f64, outside_mm: f64) -> Result<f64, RatingError> {
    let half_mm = 0.5 * above_zero("outside_mm", outside_mm)?;
    within("centre_line_radius_mm", centre_line_radius_mm, half_mm, f64::MAX)?;
    Ok(half_mm)
}

/// How the wall of a tube changes in a bend, as shares of the straight wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallChange {
    /// Share lost at the outside of the bend.
    pub thinning_fraction: f64,
    /// Share gained at the inside of the bend.
    pub thickening_fraction: f64,
}

/// # What it gives
///
/// The share of the wall lost outside and gained inside a bend, by geometry alone.
///
/// # Formula
///
/// `thinning = h / (R + h)`, `thickening = h / (R - h)`, with `h` half the outside diameter and `R` the
/// radius of the centre line.
///
/// # Valid for
///
/// `R` above `h`.
///
/// # Source
///
/// Constant volume of the wall with the neutral axis on the centre line; derived here.
///
/// # Notes
///
/// Leaves out flattening and the shift of the neutral axis.
///
/// # Errors
///
/// Refuses numbers that are not finite and radii not above half the outside diameter.
///
/// # Example
///
/// ```
/// use hosewright::rating::bend::wall_change;
///
/// let change = wall_change(12.7, 38.1)?;
/// assert!((change.thinning_fraction - 1.0 / 7.0).abs() < 1e-12);
/// assert!((change.thickening_fraction - 0.2).abs() < 1e-12);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn wall_change(outside_mm: f64, centre_line_radius_mm: f64) -> Result<WallChange, RatingError> {
    let half_mm = half_outside_mm(centre_line_radius_mm, outside_mm)?;
    let inside_mm = above_zero("radius to the inside", centre_line_radius_mm - half_mm)?;
    Ok(WallChange {
        thinning_fraction: half_mm / (centre_line_radius_mm + half_mm),
        thickening_fraction: half_mm / inside_mm,
    })
}

/// How round a bent tube stayed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roundness {
    /// Difference of the largest and smallest diameter as a share of the nominal one.
    pub ovality_fraction: f64,
    /// Smallest diameter as a share of the nominal one.
    pub least_fraction: f64,
}

/// # What it gives
///
/// How far a tube was flattened in a bend, from three diameters.
///
/// # Formula
///
/// `ovality = (largest - smallest) / nominal`, `least = smallest / nominal`.
///
/// # Valid for
///
/// Diameters above 0, the largest not under the smallest.
///
/// # Source
///
/// Definition. FAA-H-8083-30, chapter on fluid lines, judges a bend by the smallest diameter against the
/// original one (cross-checked); the limit is handed to whoever judges.
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::rating::bend::roundness;
///
/// let found = roundness(12.7, 12.95, 12.25)?;
/// assert!((found.ovality_fraction - 0.055118).abs() < 1e-6);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn roundness(
    nominal_mm: f64,
    largest_mm: f64,
    smallest_mm: f64,
) -> Result<Roundness, RatingError> {
    above_zero("nominal_mm", nominal_mm)?;
    above_zero("smallest_mm", smallest_mm)?;
    within("largest_mm", largest_mm, smallest_mm, f64::MAX)?;
    Ok(Roundness {
        ovality_fraction: (largest_mm - smallest_mm) / nominal_mm,
        least_fraction: smallest_mm / nominal_mm,
    })
}
