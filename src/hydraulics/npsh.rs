//! Head that a pump finds at its inlet above the liquid's vapour pressure.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result};

/// Net positive suction head available at a pump inlet.
///
/// # What it gives
/// The head in m of liquid; below zero it boils before it reaches the pump.
///
/// # Formula
/// head = (surface - vapour - loss) / (ρ g) + level
///
/// # Valid for
/// `surface_pa_abs` and `vapour_pa_abs` (Pa **absolute**) zero or above; `loss_pa` (Pa) of the suction line zero or
/// above; `level_above_inlet_m` (m) positive where the liquid stands above the pump, negative for a lift;
/// `density_kg_m3` and `gravity_m_s2` above 0.
///
/// # Source
/// E.g. Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, ch. 12. Standing: quoted-elsewhere.
///
/// # Notes
/// The velocity head cancels: do not subtract it. Judge at the hottest liquid, highest place and lowest
/// level, and again at the coldest liquid, where friction is largest.
///
/// ```
/// use hosewright::hydraulics::npsh::npsh_available_m;
/// let head = npsh_available_m(101_325.0, 26_200.0, 865.0, -1.8, 0.0, 9.807)?;
/// assert!((head - 7.056).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn npsh_available_m(
    surface_pa_abs: f64,
    vapour_pa_abs: f64,
    density_kg_m3: f64,
    level_above_inlet_m: f64,
    loss_pa: f64,
    gravity_m_s2: f64,
) -> Result<f64, HydraulicsError> {
    let surface = not_negative("the absolute pressure on the surface", surface_pa_abs)?;
    let vapour = not_negative("the vapour pressure", vapour_pa_abs)?;
    let loss = not_negative("the suction line's loss", loss_pa)?;
    let level = finite("the level above the inlet", level_above_inlet_m)?;
    let weight = positive("the density", density_kg_m3)? * positive("gravity", gravity_m_s2)?;
    result("the head", (surface - vapour - loss) / weight + level)
}
