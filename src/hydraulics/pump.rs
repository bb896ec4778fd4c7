//! Pumps at another speed, and the power they take. The duty point is the network's business ([`super::network`]).

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result, within};

/// What a rotary pump does at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Flow in m³/s, zero or above.
    pub flow_m3_s: f64,
    /// Pressure rise in Pa.
    pub rise_pa: f64,
    /// Shaft power in W, zero or above.
    pub power_w: f64,
}

/// A point of a centrifugal pump's curve moved to another speed.
///
/// # What it gives
/// Flow, rise and shaft power of the same point at `speed_ratio` times the speed.
///
/// # Formula
/// Q ~ n, dp ~ n², P ~ n³
///
/// # Valid for
/// Flow and power zero or above, `speed_ratio` (new speed over old) above 0. The efficiency is taken as unchanged, which
/// holds for moderate changes.
///
/// # Source
/// Affinity laws; e.g. Crane Technical Paper 410, Example 7-33. Standing: quoted-elsewhere.
///
/// # Notes
/// It moves **one point** along dp ~ Q². In a system with lift the new duty point is another point of the curve: move the
/// whole curve and let [`super::network`] find where it meets the system.
///
/// ```
/// use hosewright::hydraulics::pump::{Duty, at_speed};
/// let duty = Duty { flow_m3_s: 2e-4, rise_pa: 40e3, power_w: 20.0 };
/// let half = at_speed(duty, 0.5)?;
/// assert_eq!((half.flow_m3_s, half.rise_pa, half.power_w), (1e-4, 10e3, 2.5));
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn at_speed(duty: Duty, speed_ratio: f64) -> Result<Duty, HydraulicsError> {
    let ratio = positive("the ratio of speeds", speed_ratio)?;
    let flow = not_negative("the flow", duty.flow_m3_s)?;
    let rise = finite("the pressure rise", duty.rise_pa)?;
    let power = not_negative("the power", duty.power_w)?;
    Ok(Duty {
        flow_m3_s: result("the flow", flow * ratio)?,
        rise_pa: result("the pressure rise", rise * ratio * ratio)?,
        power_w: result("the power", power * ratio * ratio * ratio)?,
    })
}

/// Pressure rise that stands for a head of the pumped liquid.
///
/// # What it gives
/// The rise in Pa.
///
/// # Formula
/// dp = ρ g H
///
/// # Valid for
/// `density_kg_m3` (kg/m³) and `gravity_m_s2` (m/s²) above 0, `head_m` in m.
///
/// # Source
/// Hydrostatics; any textbook. Standing: common-practice.
///
/// # Notes
/// A pump's head is the same for every thin liquid, its pressure is not: curves in metres need the density of the case.
///
/// ```
/// use hosewright::hydraulics::pump::rise_of_head_pa;
/// assert_eq!(rise_of_head_pa(1000.0, 9.81, 10.0)?, 98_100.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn rise_of_head_pa(
    density_kg_m3: f64,
    gravity_m_s2: f64,
    head_m: f64,
) -> Result<f64, HydraulicsError> {
    let weight = positive("the density", density_kg_m3)? * positive("gravity", gravity_m_s2)?;
    result("the pressure rise", weight * finite("the head", head_m)?)
}

/// Power that a pump takes at its shaft.
///
/// # What it gives
/// The power in W.
///
/// # Formula
/// P = dp Q / η, which is ρ g Q H / η with dp = ρ g H
///
/// # Valid for
/// Flow (m³/s) and rise (Pa) zero or above, `efficiency` above 0 up to 1.
///
/// # Source
/// Definition of the efficiency; e.g. Crane Technical Paper 410, Example 7-34. Standing: quoted-elsewhere.
///
/// # Notes
/// Divide once more by the efficiencies of motor and drive for what the battery gives. What is lost heats the liquid.
///
/// ```
/// use hosewright::hydraulics::pump::shaft_power_w;
/// assert_eq!(shaft_power_w(1e-3, 50e3, 0.5)?, 100.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn shaft_power_w(
    flow_m3_s: f64,
    rise_pa: f64,
    efficiency: f64,
) -> Result<f64, HydraulicsError> {
    let useful = not_negative("the flow", flow_m3_s)? * not_negative("the pressure rise", rise_pa)?;
    positive("the efficiency", efficiency)?;
    result("the power", useful / within("the efficiency", efficiency, 0.0, 1.0)?)
}
