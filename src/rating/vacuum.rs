//! How far a suction line stays from the vacuum at which it collapses.

use super::{RatingError, not_below_zero};

/// Vacuum in a line against the vacuum it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VacuumMargin {
    /// Deepest vacuum below the surroundings, Pa; 0 where the line stays above them.
    pub vacuum_pa: f64,
    /// Vacuum still to spare, Pa; below zero where the line is asked for more than it stands.
    pub margin_pa: f64,
}

/// # What it gives
///
/// The deepest vacuum in a line and what is left to the vacuum it is rated for.
///
/// # Formula
///
/// `vacuum = max(outside - lowest inside, 0)`, `margin = rated - vacuum`.
///
/// # Valid for
///
/// Absolute pressures from 0 in pascals; `rated_vacuum_pa` from 0, counted downward from the
/// surroundings (0 for a hose with no vacuum rating).
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// With height the pressure around the line falls, and so does the vacuum a given inside pressure makes.
///
/// # Errors
///
/// Refuses numbers that are not finite or below zero.
///
/// # Example
///
/// ```
/// use hosewright::rating::vacuum::vacuum_margin;
///
/// let found = vacuum_margin(100e3, 70e3, 50e3)?;
/// assert_eq!(found.vacuum_pa, 30e3);
/// assert_eq!(found.margin_pa, 20e3);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn vacuum_margin(
    outside_pa_abs: f64,
    lowest_inside_pa_abs: f64,
    rated_vacuum_pa: f64,
) -> Result<VacuumMargin, RatingError> {
    not_below_zero("outside_pa_abs", outside_pa_abs)?;
    not_below_zero("lowest_inside_pa_abs", lowest_inside_pa_abs)?;
    not_below_zero("rated_vacuum_pa", rated_vacuum_pa)?;
    let vacuum_pa = (outside_pa_abs - lowest_inside_pa_abs).max(0.0);
    Ok(VacuumMargin { vacuum_pa, margin_pa: rated_vacuum_pa - vacuum_pa })
}
