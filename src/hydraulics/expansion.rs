//! What a filled system gains when it warms, and the bottle that has to take it.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result, within};

/// Volume that a filled system gains between two densities.
///
/// # What it gives
/// The gain in m³; below 0 when the liquid shrinks.
///
/// # Formula
/// dV = V (ρ1/ρ2 - 1)
///
/// # Valid for
/// `volume_m3` of the filled system zero or above; both densities in kg/m³, above 0, of one and the same mass.
///
/// # Source
/// Conservation of mass. Standing: common-practice.
///
/// # Notes
/// Hoses and metal grow as well and take up a little of it; leaving that out is the cautious side.
///
/// ```
/// use hosewright::hydraulics::expansion::gain_m3;
/// assert!((gain_m3(6.2e-3, 1076.0, 1008.0)? - 0.418e-3).abs() < 5e-7);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn gain_m3(
    volume_m3: f64,
    density_before_kg_m3: f64,
    density_after_kg_m3: f64,
) -> Result<f64, HydraulicsError> {
    let volume = not_negative("the volume", volume_m3)?;
    let before = positive("the density before", density_before_kg_m3)?;
    let after = positive("the density after", density_after_kg_m3)?;
    result("the gain of volume", volume * ((before - after) / after))
}

/// Least bottle that takes the gain and keeps a rule that counts in shares of the system.
///
/// # What it gives
/// The free volume in m³ that the bottle needs above its cold mark.
///
/// # Formula
/// The larger of dV and s V, s the share the rule asks for
///
/// # Valid for
/// `volume_m3` of the system and `gain_m3` zero or above (a liquid that shrinks needs no room);
/// `rule_share` 0 to 1, 0 where no rule holds.
///
/// # Source
/// The rule is the caller's. Standing: common-practice.
///
/// # Notes
/// A margin above it, and what stays below the cold mark, come on top.
///
/// ```
/// use hosewright::hydraulics::expansion::least_bottle_m3;
/// assert!((least_bottle_m3(6.2e-3, 0.418e-3, 0.10)? - 0.62e-3).abs() < 1e-12);
/// assert_eq!(least_bottle_m3(6.2e-3, 0.418e-3, 0.0)?, 0.418e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::OutOfRange`].
pub fn least_bottle_m3(
    volume_m3: f64,
    gain_m3: f64,
    rule_share: f64,
) -> Result<f64, HydraulicsError> {
    let volume = not_negative("the volume", volume_m3)?;
    let gain = finite("the gain of volume", gain_m3)?;
    let share = within("the share the rule asks for", rule_share, 0.0, 1.0)?;
    Ok(gain.max(share * volume))
}
