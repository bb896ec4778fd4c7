//! Mean velocity and Reynolds number of a round bore.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result};

/// Area of a round bore in m².
///
/// # What it gives
/// The flow area in m².
///
/// # Formula
/// A = π d² / 4
///
/// # Valid for
/// Any bore above 0, `bore_m` in m.
///
/// # Source
/// Geometry.
///
/// # Notes
/// Use the smallest true bore, never a nominal size.
///
/// ```
/// use hosewright::hydraulics::reynolds::area_m2;
/// assert!((area_m2(0.01)? - 7.853_981_633_974_483e-5).abs() < 1e-19);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`]; [`HydraulicsError::NotRepresentable`]
/// when the square overflows or vanishes.
pub fn area_m2(bore_m: f64) -> Result<f64, HydraulicsError> {
    let bore_m = positive("the bore", bore_m)?;
    let area = core::f64::consts::FRAC_PI_4 * bore_m * bore_m;
    if area.is_normal() {
        Ok(area)
    } else {
        Err(HydraulicsError::NotRepresentable { what: "the flow area" })
    }
}

/// Mean velocity in a round bore.
///
/// # What it gives
/// The mean velocity in m/s; its sign is the flow's.
///
/// # Formula
/// v = Q / (π d² / 4)
///
/// # Valid for
/// `flow_m3_s` in m³/s of either sign or zero; `bore_m` in m, above 0.
///
/// # Source
/// Continuity.
///
/// # Notes
/// Check velocity limits in the smallest throat, not in the hose.
///
/// ```
/// use hosewright::hydraulics::reynolds::velocity_m_s;
/// // 120 L/h through 6 mm
/// assert!((velocity_m_s(0.120 / 3600.0, 0.006)? - 1.1789).abs() < 1e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn velocity_m_s(flow_m3_s: f64, bore_m: f64) -> Result<f64, HydraulicsError> {
    let flow = finite("the flow", flow_m3_s)?;
    result("the velocity", flow / area_m2(bore_m)?)
}

/// Reynolds number of a round bore.
///
/// # What it gives
/// The Reynolds number, never negative: the size of the velocity counts, not its direction.
///
/// # Formula
/// Re = |v| d / ν
///
/// # Valid for
/// `velocity_m_s` in m/s; `bore_m` in m, above 0; `kinematic_viscosity_m2_s` in m²/s, above 0 (1 mm²/s = 1e-6).
///
/// # Source
/// Definition.
///
/// # Notes
/// Zero velocity gives zero, which the friction formulas refuse: no flow has no friction factor.
///
/// ```
/// use hosewright::hydraulics::reynolds::reynolds;
/// // 10 ft/s in a 1 in bore of 100 mm²/s oil
/// assert!((reynolds(3.048, 0.0254, 1.0e-4)? - 774.192).abs() < 1e-9);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn reynolds(
    velocity_m_s: f64,
    bore_m: f64,
    kinematic_viscosity_m2_s: f64,
) -> Result<f64, HydraulicsError> {
    let velocity = finite("the velocity", velocity_m_s)?.abs();
    let bore = positive("the bore", bore_m)?;
    let viscosity = positive("the kinematic viscosity", kinematic_viscosity_m2_s)?;
    result("the Reynolds number", velocity * bore / viscosity)
}

/// Kinematic from dynamic viscosity.
///
/// # What it gives
/// ν in m²/s.
///
/// # Formula
/// ν = μ / ρ
///
/// # Valid for
/// `viscosity_pa_s` in Pa s, zero or above; `density_kg_m3` in kg/m³, above 0.
///
/// # Source
/// Definition.
///
/// # Notes
/// 1 cP = 0.001 Pa s; 1 cSt = 1e-6 m²/s.
///
/// ```
/// use hosewright::hydraulics::reynolds::kinematic_m2_s;
/// assert!((kinematic_m2_s(0.001, 1000.0)? - 1e-6).abs() < 1e-18);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn kinematic_m2_s(viscosity_pa_s: f64, density_kg_m3: f64) -> Result<f64, HydraulicsError> {
    let viscosity = not_negative("the viscosity", viscosity_pa_s)?;
    result("the kinematic viscosity", viscosity / positive("the density", density_kg_m3)?)
}
