//! Pressure surge when a moving column of liquid is stopped, and the speed of its wave.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result};

/// Wave speed in a bore that does not give.
///
/// # What it gives
/// The wave speed in m/s: the liquid's own speed of sound, the upper bound for any line.
///
/// # Formula
/// c = √(K/ρ)
///
/// # Valid for
/// `bulk_modulus_pa` (Pa, **adiabatic**) and `density_kg_m3` (kg/m³) above 0; liquid free of gas.
///
/// # Source
/// E.g. Subramanya, 1000 Solved Problems in Fluid Mechanics, ch. 14. Standing: quoted-elsewhere.
///
/// # Notes
/// One per cent of free air lowers it several times over: give surges as a range.
///
/// ```
/// use hosewright::hydraulics::surge::wave_speed_rigid_m_s;
/// assert!((wave_speed_rigid_m_s(2.22e9, 998.0)? - 1491.5).abs() < 0.05);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn wave_speed_rigid_m_s(
    bulk_modulus_pa: f64,
    density_kg_m3: f64,
) -> Result<f64, HydraulicsError> {
    wave_speed(bulk_modulus_pa, density_kg_m3, 0.0)
}

/// Wave speed from the softness of the liquid and of the wall together (both in 1/Pa).
fn wave_speed(
    bulk_modulus_pa: f64,
    density_kg_m3: f64,
    wall_give_per_pa: f64,
) -> Result<f64, HydraulicsError> {
    let bulk = positive("the bulk modulus", bulk_modulus_pa)?;
    let density = positive("the density", density_kg_m3)?;
    let give = 1.0 / bulk + result("the give of the wall", wall_give_per_pa)?;
    result("the wave speed", (1.0 / (density * give)).sqrt())
}

/// The wall of an elastic tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElasticWall {
    /// Bore in m, above 0.
    pub bore_m: f64,
    /// Wall thickness in m, above 0.
    pub wall_m: f64,
    /// Young's modulus of the wall in Pa, above 0.
    pub modulus_pa: f64,
    /// Factor for how the tube is held lengthwise, above 0; near 1 (1 for a tube free to move at joints).
    pub restraint: f64,
}

/// Wave speed in a tube with a thin elastic wall (Korteweg).
///
/// # What it gives
/// The wave speed in m/s.
///
/// # Formula
/// c = √( 1 / (ρ (1/K + c1 D/(E t))) )
///
/// # Valid for
/// Thin metal or plastic tube; see [`ElasticWall`]. `bulk_modulus_pa` (Pa, adiabatic), `density_kg_m3` above 0.
///
/// # Source
/// Korteweg 1878; e.g. Subramanya, ch. 14, problems 14.14 to 14.18. Standing: quoted-elsewhere.
///
/// # Notes
/// A hose's layered wall has no one modulus: use [`wave_speed_expansion_m_s`].
///
/// ```
/// use hosewright::hydraulics::surge::{ElasticWall, wave_speed_elastic_m_s};
/// let tube = ElasticWall { bore_m: 0.013, wall_m: 0.0015, modulus_pa: 200.0e9, restraint: 1.0 };
/// assert!((wave_speed_elastic_m_s(2.19e9, 998.0, &tube)? - 1415.7).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn wave_speed_elastic_m_s(
    bulk_modulus_pa: f64,
    density_kg_m3: f64,
    wall: &ElasticWall,
) -> Result<f64, HydraulicsError> {
    let bore = positive("the bore", wall.bore_m)?;
    let thickness = positive("the wall thickness", wall.wall_m)?;
    let modulus = positive("the wall's modulus", wall.modulus_pa)?;
    let restraint = positive("the restraint factor", wall.restraint)?;
    wave_speed(bulk_modulus_pa, density_kg_m3, restraint * bore / thickness / modulus)
}

/// Wave speed in a hose from its measured volumetric expansion.
///
/// # What it gives
/// The wave speed in m/s.
///
/// # Formula
/// c = √( 1 / (ρ (1/K + x)) ), x = (ΔV/V)/Δp
///
/// # Valid for
/// `expansion_per_pa`: share of the hose's own volume gained per Pa, zero or above (1/Pa).
/// `bulk_modulus_pa` (Pa, adiabatic), `density_kg_m3` above 0.
///
/// # Source
/// The same continuity equation as Korteweg's, with the wall's give measured. Standing: common-practice.
///
/// # Notes
/// A rubber hose brings the speed down to some hundred m/s: softer surges that last longer.
///
/// ```
/// use hosewright::hydraulics::surge::wave_speed_expansion_m_s;
/// // 3 % more volume at 100 bar
/// let c = wave_speed_expansion_m_s(1.5e9, 860.0, 0.03 / 1.0e7)?;
/// assert!(c > 500.0 && c < 600.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn wave_speed_expansion_m_s(
    bulk_modulus_pa: f64,
    density_kg_m3: f64,
    expansion_per_pa: f64,
) -> Result<f64, HydraulicsError> {
    let give = not_negative("the volumetric expansion", expansion_per_pa)?;
    wave_speed(bulk_modulus_pa, density_kg_m3, give)
}

/// Surge of a sudden change of velocity (Joukowsky).
///
/// # What it gives
/// The rise of pressure in Pa upstream of a closing valve; negative where the velocity rises.
///
/// # Formula
/// dp = ρ c dv
///
/// # Valid for
/// A change completed within the wave's return time 2L/c ([`return_time_s`]). `velocity_change_m_s` is the
/// velocity **lost** (m/s); `density_kg_m3` and `wave_speed_m_s` above 0.
///
/// # Source
/// Joukowsky 1898; e.g. Daugherty and Franzini, ch. 13. Standing: quoted-elsewhere.
///
/// # Notes
/// It comes on top of the line pressure. Downstream of the valve the same drop may pull a vacuum.
///
/// ```
/// use hosewright::hydraulics::surge::joukowsky_pa;
/// assert_eq!(joukowsky_pa(1000.0, 1000.0, 1.5)?, 1.5e6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn joukowsky_pa(
    density_kg_m3: f64,
    wave_speed_m_s: f64,
    velocity_change_m_s: f64,
) -> Result<f64, HydraulicsError> {
    let density = positive("the density", density_kg_m3)?;
    let speed = positive("the wave speed", wave_speed_m_s)?;
    let change = finite("the change of velocity", velocity_change_m_s)?;
    result("the surge", density * speed * change)
}

/// Time in which the wave runs to the far end of the line and back.
///
/// # What it gives
/// The time in s; a closure within it counts as sudden.
///
/// # Formula
/// T = 2 L / c
///
/// # Valid for
/// `length_m` (m) zero or above, `wave_speed_m_s` (m/s) above 0.
///
/// # Source
/// As [`joukowsky_pa`].
///
/// # Notes
/// L reaches to the next place that holds its pressure: a tank, an accumulator, a large manifold.
///
/// ```
/// use hosewright::hydraulics::surge::return_time_s;
/// assert_eq!(return_time_s(5.0, 1000.0)?, 0.01);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn return_time_s(length_m: f64, wave_speed_m_s: f64) -> Result<f64, HydraulicsError> {
    let length = not_negative("the length", length_m)?;
    let speed = positive("the wave speed", wave_speed_m_s)?;
    result("the return time", 2.0 * length / speed)
}

/// Surge of a closure that takes a given time.
///
/// # What it gives
/// The rise of pressure in Pa.
///
/// # Formula
/// ρ c dv, times (2L/c)/t when the closure takes longer than 2L/c.
///
/// # Valid for
/// `closure_s` (s) zero or above; otherwise as [`joukowsky_pa`] and [`return_time_s`].
///
/// # Source
/// E.g. Subramanya, problem 14.18; Daugherty and Franzini, Example 13.4. Standing: quoted-elsewhere.
///
/// # Notes
/// An estimate, not a bound: real valves stop most of the flow in the last part of their travel.
///
/// ```
/// use hosewright::hydraulics::surge::closure_surge_pa;
/// let sudden = closure_surge_pa(1000.0, 1000.0, 1.0, 5.0, 0.0)?;
/// let slow = closure_surge_pa(1000.0, 1000.0, 1.0, 5.0, 0.1)?;
/// assert!((slow - 0.1 * sudden).abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// As [`joukowsky_pa`] and [`return_time_s`]; [`HydraulicsError::Negative`] for a negative time.
pub fn closure_surge_pa(
    density_kg_m3: f64,
    wave_speed_m_s: f64,
    velocity_change_m_s: f64,
    length_m: f64,
    closure_s: f64,
) -> Result<f64, HydraulicsError> {
    let full = joukowsky_pa(density_kg_m3, wave_speed_m_s, velocity_change_m_s)?;
    let back = return_time_s(length_m, wave_speed_m_s)?;
    let closure = not_negative("the closure time", closure_s)?;
    Ok(if closure <= back { full } else { full * (back / closure) })
}
