//! Flow coefficients of valves and restrictors: Kv, Cv, K and the orifice.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};
use super::reynolds::area_m2;

/// Density of water in the definition of Kv, kg/m³.
const WATER_KG_M3: f64 = 1000.0;
/// Pressure in the definition of Kv: one bar, in Pa.
const BAR_PA: f64 = 1.0e5;
/// Seconds in the hour of Kv's m³/h.
const HOUR_S: f64 = 3600.0;
/// One gallon (US) is 231 cubic inches, in m³.
const GALLON_US_M3: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;
/// One pound-force per square inch in Pa, from the exact pound, standard gravity and inch.
const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);

/// Loss coefficient of a valve from its Kv.
///
/// # What it gives
/// K on `bore_m`.
///
/// # Formula
/// Kv is the flow in m³/h of water (1000 kg/m³) at 1 bar. With A = π d²/4:
/// K = 2 dp / (ρ v²) = 2 · 1e5/1000 · A² (3600/Kv)², that is 1.599e9 d⁴/Kv² (d in m).
///
/// # Valid for
/// Turbulent flow; `kv_m3_h` and `bore_m` (m) above 0.
///
/// # Source
/// Definition of Kv (IEC 60534-1; standing from-memory); the constant is derived here, not quoted.
///
/// # Notes
/// Handbooks round the constant to 1.6e9.
///
/// ```
/// use hosewright::hydraulics::valve::k_from_kv;
/// assert!((k_from_kv(500.0, 0.154)? - 3.5967).abs() < 5e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn k_from_kv(kv_m3_h: f64, bore_m: f64) -> Result<f64, HydraulicsError> {
    let kv = positive("the flow coefficient Kv", kv_m3_h)?;
    let per = area_m2(bore_m)? * HOUR_S / kv;
    result("the loss coefficient", 2.0 * BAR_PA / WATER_KG_M3 * per * per)
}

/// Kv of a valve from its loss coefficient.
///
/// # What it gives
/// Kv in m³/h.
///
/// # Formula
/// The inverse of [`k_from_kv`]: Kv = 3600 A √(2 · 1e5/1000 / K)
///
/// # Valid for
/// `k` and `bore_m` (m) above 0.
///
/// # Source
/// As [`k_from_kv`].
///
/// # Notes
/// No loss at all has no finite Kv, so K = 0 is refused.
///
/// ```
/// use hosewright::hydraulics::valve::{k_from_kv, kv_from_k};
/// assert!((k_from_kv(kv_from_k(3.6, 0.154)?, 0.154)? - 3.6).abs() < 1e-14);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn kv_from_k(k: f64, bore_m: f64) -> Result<f64, HydraulicsError> {
    let k = positive("the loss coefficient", k)?;
    result(
        "the flow coefficient Kv",
        HOUR_S * area_m2(bore_m)? * (2.0 * BAR_PA / WATER_KG_M3 / k).sqrt(),
    )
}

/// Kv from Cv.
///
/// # What it gives
/// Kv in m³/h at 1 bar.
///
/// # Formula
/// Cv is the flow in gallons (US) per minute at 1 psi, so
/// Kv = Cv · 231 in³ · 60 / 1 m³ · √(1 bar / 1 psi), about 0.865 Cv, from the exact inch, pound and gravity.
///
/// # Valid for
/// `cv` above 0.
///
/// # Source
/// Definitions of both; the same water (1000 kg/m³) is taken in both. Standing: from-memory.
///
/// # Notes
/// The definition of Cv at 60 °F water (999.0 kg/m³) would change the result by 0.05 %.
///
/// ```
/// use hosewright::hydraulics::valve::kv_from_cv;
/// assert!((kv_from_cv(1.0)? - 0.865).abs() < 1e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn kv_from_cv(cv: f64) -> Result<f64, HydraulicsError> {
    let cv = positive("the flow coefficient Cv", cv)?;
    result("the flow coefficient Kv", cv * (GALLON_US_M3 * 60.0) * (BAR_PA / PSI_PA).sqrt())
}

/// Pressure loss of a valve by its Kv.
///
/// # What it gives
/// The loss in Pa, zero or above.
///
/// # Formula
/// dp = 1e5 (ρ/1000) (3600 Q/Kv)²
///
/// # Valid for
/// Turbulent flow; `kv_m3_h` and `density_kg_m3` (kg/m³) above 0, `flow_m3_s` (m³/s) zero or above.
///
/// # Source
/// Definition of Kv.
///
/// # Notes
/// Thick oil in a small valve flows less than this says.
///
/// ```
/// use hosewright::hydraulics::valve::kv_drop_pa;
/// assert!((kv_drop_pa(2.5, 2.5 / 3600.0, 1000.0)? - 1.0e5).abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn kv_drop_pa(
    kv_m3_h: f64,
    flow_m3_s: f64,
    density_kg_m3: f64,
) -> Result<f64, HydraulicsError> {
    let kv = positive("the flow coefficient Kv", kv_m3_h)?;
    let share = HOUR_S * not_negative("the flow", flow_m3_s)? / kv;
    let density = positive("the density", density_kg_m3)?;
    result("the pressure loss", BAR_PA * (density / WATER_KG_M3) * share * share)
}

/// Flow through a sharp-edged orifice in a bore, from the pressure difference at its taps.
///
/// # What it gives
/// The flow in m³/s.
///
/// # Formula
/// Q = Cd A √( 2 dp / (ρ (1 - b⁴)) ), A of the orifice, b = orifice over bore
///
/// # Valid for
/// A discharge coefficient (0 to 1) that fits the Reynolds number; orifice smaller than the bore (both m);
/// `drop_pa` (Pa) zero or above, `density_kg_m3` (kg/m³) above 0. Liquid that does not boil in the throat.
///
/// # Source
/// E.g. Cengel and Cimbala, Fluid Mechanics, Example 8-10. Standing: quoted-elsewhere.
///
/// # Notes
/// The lasting loss is less than the difference at the taps, for part is regained downstream.
///
/// ```
/// use hosewright::hydraulics::valve::orifice_flow_m3_s;
/// let q = orifice_flow_m3_s(0.61, 0.03, 0.04, 13_825.0, 788.4)?;
/// assert!((q - 0.003_088).abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn orifice_flow_m3_s(
    discharge_coefficient: f64,
    orifice_m: f64,
    bore_m: f64,
    drop_pa: f64,
    density_kg_m3: f64,
) -> Result<f64, HydraulicsError> {
    positive("the discharge coefficient", discharge_coefficient)?;
    let cd = within("the discharge coefficient", discharge_coefficient, 0.0, 1.0)?;
    let area = area_m2(orifice_m)?;
    let b = orifice_m / positive("the bore", bore_m)?;
    let squared = b * b;
    let approach = positive("one less (orifice over bore)^4", 1.0 - squared * squared)?;
    let drop = not_negative("the pressure difference", drop_pa)?;
    let density = positive("the density", density_kg_m3)?;
    result("the flow", cd * area * (2.0 * drop / (density * approach)).sqrt())
}
