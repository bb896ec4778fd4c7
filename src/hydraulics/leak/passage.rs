//! The long thin passage through which a gas test may have lost what it lost, and what it lets through in service.

use super::super::HydraulicsError;
use super::super::argument::{not_negative, positive, result, within};
use super::hole::{Even, Gas};
use super::{GasDecay, GasState};

/// How easily a thin passage lets a gas through.
///
/// # What it gives
/// The constant C in m³/(Pa s) of q = C (p1² - p2²), the leak rate q in Pa·m³/s.
///
/// # Formula
/// C = V/(2 p0 t) ln(((p1 - p0)(p2 + p0))/((p1 + p0)(p2 - p0))), the differences turned round for a gas that goes in
///
/// # Valid for
/// As [`super::hole::jet_area_m2`]; laminar flow of a gas that stays as warm as the wall.
///
/// # Source
/// Balance of mass with the law of Hagen and Poiseuille for an ideal gas, q = π d⁴ (p1² - p2²)/(256 η L), as texts on
/// leak testing have it. Standing: quoted-elsewhere.
///
/// # Notes
/// A scratch over a sealing face or a porous hose is nearer to this than to a sharp hole. What it lets through in service
/// follows from C alone; the width needs a length besides.
///
/// ```
/// use hosewright::hydraulics::leak::passage::passage_m3_pa_s;
/// use hosewright::hydraulics::leak::{GasDecay, GasState};
/// let at = |pressure_pa| GasState { pressure_pa, temperature_k: 293.15 };
/// let decay = GasDecay { volume_m3: 1e-3, start: at(200e3), end: at(199.9e3), time_s: 100.0 };
/// // 1 mPa m³/s over 200² - 100² kPa²
/// assert!((passage_m3_pa_s(&decay, 100e3)? * 3e10 / 1e-3 - 1.0).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// As [`super::hole::jet_area_m2`], without [`HydraulicsError::NotConverged`].
pub fn passage_m3_pa_s(decay: &GasDecay, outside_pa: f64) -> Result<f64, HydraulicsError> {
    let even = Even::new(decay, outside_pa)?;
    let [first, last] = even.away;
    let sum = |away: f64| {
        if even.inwards { 2.0 * even.outside - away } else { 2.0 * even.outside + away }
    };
    let log = libm::log(first / last) - libm::log(sum(first) / sum(last));
    result("the constant of the passage", even.volume / (2.0 * even.outside * even.time) * log)
}

/// Leak rate of a gas through a passage.
///
/// # What it gives
/// The leak rate in Pa·m³/s.
///
/// # Formula
/// q = C (p1² - p2²)
///
/// # Valid for
/// Absolute pressures, `downstream_pa` zero or above and at most `upstream_pa`; C of the same gas at the same temperature.
///
/// # Source
/// As [`passage_m3_pa_s`].
///
/// # Notes
/// Over the pressure behind the passage it is the volume that arrives there.
///
/// ```
/// use hosewright::hydraulics::leak::passage::passage_leak_pa_m3_s;
/// assert!((passage_leak_pa_m3_s(1e-13, 101_325.0, 71_325.0)? - 5.179_5e-4).abs() < 1e-8);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn passage_leak_pa_m3_s(
    passage_m3_pa_s: f64,
    upstream_pa: f64,
    downstream_pa: f64,
) -> Result<f64, HydraulicsError> {
    let constant = not_negative("the constant of the passage", passage_m3_pa_s)?;
    let upstream = not_negative("the pressure before the passage", upstream_pa)?;
    let downstream = within("the pressure behind the passage", downstream_pa, 0.0, upstream)?;
    result("the leak rate", constant * (upstream - downstream) * (upstream + downstream))
}

/// Flow of a liquid through a passage that gas has gone through.
///
/// # What it gives
/// The flow in m³/s.
///
/// # Formula
/// Q = 2 C η dp/μ, since π d⁴/(128 L) = 2 C η; η of the gas, μ of the liquid
///
/// # Valid for
/// `passage_m3_pa_s` and `difference_pa` zero or above, viscosities above 0.
///
/// # Source
/// As [`passage_m3_pa_s`], with the law of Hagen and Poiseuille for the liquid.
///
/// # Notes
/// Liquid often stays out of a passage that lets gas through: surface tension holds it. This is the most that comes.
///
/// ```
/// use hosewright::hydraulics::leak::passage::passage_flow_m3_s;
/// assert!((passage_flow_m3_s(1e-13, 1.8e-5, 3e5, 1e-3)? - 1.08e-9).abs() < 1e-15);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn passage_flow_m3_s(
    passage_m3_pa_s: f64,
    gas_viscosity_pa_s: f64,
    difference_pa: f64,
    liquid_viscosity_pa_s: f64,
) -> Result<f64, HydraulicsError> {
    let constant = not_negative("the constant of the passage", passage_m3_pa_s)?;
    let gas = positive("the viscosity of the gas", gas_viscosity_pa_s)?;
    let difference = not_negative("the difference of pressure", difference_pa)?;
    let liquid = positive("the viscosity of the liquid", liquid_viscosity_pa_s)?;
    result("the flow", 2.0 * constant * gas * difference / liquid)
}

/// A round passage as wide as a constant asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Its bore in m.
    pub bore_m: f64,
    /// Reynolds number of the gas in it at the start of the test.
    pub reynolds: f64,
    /// Mean free path of the gas over its bore, at the lower pressure.
    pub knudsen: f64,
}

/// Bore of a round passage of a length, and whether the law holds in it.
///
/// # What it gives
/// The bore, the Reynolds number and the share of the mean free path.
///
/// # Formula
/// d = (256 η L C/π)^(1/4); Re = 4 m/(π d η) with m = q/(R T); λ = η/p sqrt(π R T/2)
///
/// # Valid for
/// `passage_m3_pa_s` and `length_m` above 0; a Reynolds number below 2000 and a mean free path below a hundredth of the
/// bore, else it is refused.
///
/// # Source
/// As [`passage_m3_pa_s`]; mean free path by the kinetic theory of gases (texts on vacuum technique, from-memory).
///
/// # Notes
/// A passage of ten times the length is 1.8 times as wide.
///
/// ```
/// use hosewright::hydraulics::leak::GasState;
/// use hosewright::hydraulics::leak::hole::Gas;
/// use hosewright::hydraulics::leak::passage::passage_of_length;
/// let air = Gas { constant_j_kg_k: 287.0, heat_ratio: 1.4, viscosity_pa_s: 1.82e-5 };
/// let start = GasState { pressure_pa: 121_325.0, temperature_k: 293.15 };
/// let found = passage_of_length(&air, 1e-13, 3e-3, &start, 101_325.0)?;
/// assert!((found.bore_m - 25.8e-6).abs() < 0.1e-6 && found.reynolds < 20.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn passage_of_length(
    gas: &Gas,
    passage_m3_pa_s: f64,
    length_m: f64,
    start: &GasState,
    outside_pa: f64,
) -> Result<Passage, HydraulicsError> {
    let constant = positive("the constant of the passage", passage_m3_pa_s)?;
    let length = positive("the length of the passage", length_m)?;
    let viscosity = positive("the viscosity of the gas", gas.viscosity_pa_s)?;
    let rt = positive("the gas constant", gas.constant_j_kg_k)?
        * positive("the temperature", start.temperature_k)?;
    let fourth = 256.0 * viscosity * length * constant / core::f64::consts::PI;
    let bore = positive("the bore of the passage", fourth.sqrt().sqrt())?;
    let outside = positive("the pressure outside", outside_pa)?;
    let inside = positive("the absolute pressure", start.pressure_pa)?;
    let (high, low) = (inside.max(outside), inside.min(outside));
    let mass = passage_leak_pa_m3_s(constant, high, low)? / rt;
    let reynolds = 4.0 * mass / (core::f64::consts::PI * bore * viscosity);
    let path = viscosity / low * (core::f64::consts::FRAC_PI_2 * rt).sqrt();
    Ok(Passage {
        bore_m: bore,
        reynolds: within("the Reynolds number of the passage", reynolds, 0.0, 2000.0)?,
        knudsen: within("the mean free path over the bore of the passage", path / bore, 0.0, 0.01)?,
    })
}
