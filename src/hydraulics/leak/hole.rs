//! The sharp hole through which a gas test lost what it lost, and what it lets through in service.

use super::super::HydraulicsError;
use super::super::argument::{not_negative, positive, result, within};
use super::{GasDecay, pressure_after_pa};

/// Nodes and weights of Gauss and Legendre on -1 to 1, five points (Abramowitz and Stegun, table 25.4).
const GAUSS: [(f64, f64); 5] = [
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (0.906_179_845_938_664, 0.236_926_885_056_189_08),
    (-0.906_179_845_938_664, 0.236_926_885_056_189_08),
];

/// A gas near enough to ideal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// Gas constant of its own in J/(kg K), above 0.
    pub constant_j_kg_k: f64,
    /// Ratio of specific heats, 1.01 to 1.7.
    pub heat_ratio: f64,
    /// Dynamic viscosity in Pa s, above 0.
    pub viscosity_pa_s: f64,
}

/// Mass flow of a gas through each square metre of a smooth opening.
///
/// # What it gives
/// The mass flow in kg/(s m²); a sharp hole lets through its coefficient of discharge of it.
///
/// # Formula
/// With r = p2/p1: G = p1 sqrt(2k/((k - 1) R T) (r^(2/k) - r^((k+1)/k))); at and below r = (2/(k+1))^(k/(k-1)) the flow is
/// choked and G = p1 sqrt(k/(R T)) (2/(k+1))^((k+1)/(2(k-1))).
///
/// # Valid for
/// Absolute pressures above 0, `downstream_pa` at most `upstream_pa`; a gas at rest before the opening.
///
/// # Source
/// Isentropic flow of an ideal gas through a converging nozzle, texts on fluid mechanics (worked examples in the tests).
/// Standing: cross-checked.
///
/// # Notes
/// Air is choked from 0.89 bar on the gauge outwards, and inwards under a vacuum of 0.48 bar.
///
/// ```
/// use hosewright::hydraulics::leak::hole::{Gas, mass_flux_kg_m2_s};
/// // A hole of 4 mm in a tyre at 220 kPa on the gauge, 25 degC, air at 94 kPa.
/// let air = Gas { constant_j_kg_k: 287.0, heat_ratio: 1.4, viscosity_pa_s: 1.8e-5 };
/// let hole_m2 = core::f64::consts::FRAC_PI_4 * 0.004 * 0.004;
/// let flow = hole_m2 * mass_flux_kg_m2_s(&air, 314e3, 298.0, 94e3)?;
/// assert!((flow * 60.0 - 0.554).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn mass_flux_kg_m2_s(
    gas: &Gas,
    upstream_pa: f64,
    upstream_k: f64,
    downstream_pa: f64,
) -> Result<f64, HydraulicsError> {
    let upstream = positive("the pressure before the opening", upstream_pa)?;
    let behind = positive("the pressure behind the opening", downstream_pa)?;
    let downstream = within("the pressure behind the opening", behind, 0.0, upstream)?;
    let flow = Opening::new(gas, upstream_k)?;
    result("the flow", flow.flux(upstream, upstream - downstream))
}

/// The constants of an opening at one temperature.
struct Opening {
    k: f64,
    rt: f64,
    critical: f64,
}

impl Opening {
    fn new(gas: &Gas, temperature_k: f64) -> Result<Self, HydraulicsError> {
        let k = within("the ratio of specific heats", gas.heat_ratio, 1.01, 1.7)?;
        let rt = positive("the gas constant", gas.constant_j_kg_k)?
            * positive("the temperature", temperature_k)?;
        let critical = libm::pow(2.0 / (k + 1.0), k / (k - 1.0));
        Ok(Self { k, rt: result("the temperature", rt)?, critical })
    }

    /// Flow from a pressure over a difference, which is exact where little is left of it.
    fn flux(&self, upstream: f64, difference: f64) -> f64 {
        let k = self.k;
        let ratio = 1.0 - difference / upstream;
        if ratio <= self.critical {
            let exponent = (k + 1.0) / (2.0 * (k - 1.0));
            return upstream * (k / self.rt).sqrt() * libm::pow(2.0 / (k + 1.0), exponent);
        }
        let log = libm::log1p(-difference / upstream);
        let part = libm::exp(2.0 / k * log) * -libm::expm1((k - 1.0) / k * log);
        upstream * (2.0 * k / ((k - 1.0) * self.rt) * part).sqrt()
    }
}

/// What a closed volume lost or took in, at the temperature it had at the start.
pub(super) struct Even {
    pub volume: f64,
    pub time: f64,
    temperature: f64,
    pub outside: f64,
    /// Distances from the pressure outside at the start and at the end, Pa.
    pub away: [f64; 2],
    /// Whether the gas goes in.
    pub inwards: bool,
}

impl Even {
    pub fn new(decay: &GasDecay, outside_pa: f64) -> Result<Self, HydraulicsError> {
        let outside = positive("the pressure outside", outside_pa)?;
        let start = positive("the absolute pressure", decay.start.pressure_pa)?;
        let end = pressure_after_pa(&decay.end, decay.start.temperature_k)?;
        let inwards = start < outside;
        let away = |pressure: f64| if inwards { outside - pressure } else { pressure - outside };
        let [first, last] = [away(start), away(end)];
        let what =
            "what is left at the end of the difference to the air, corrected for temperature,";
        if !(last > 0.0 && last < first) {
            return Err(HydraulicsError::OutOfRange { what, given: last, low: 0.0, high: first });
        }
        Ok(Self {
            volume: positive("the volume", decay.volume_m3)?,
            time: positive("the time", decay.time_s)?,
            temperature: positive("the temperature", decay.start.temperature_k)?,
            outside,
            away: [first, last],
            inwards,
        })
    }
}

/// The opening that explains a leak test with gas.
///
/// # What it gives
/// The area of the jet in m²: hole times coefficient of discharge.
///
/// # Formula
/// A = V/(R T t) times the integral of dp/G(p) from the end to the start, G as in [`mass_flux_kg_m2_s`]: out of the
/// volume, or out of the air into it.
///
/// # Valid for
/// A pressure that goes towards that of the air and has not reached it; the gas as warm as the wall all the time, the end
/// corrected to the temperature of the start.
///
/// # Source
/// Balance of mass with the flow of [`mass_flux_kg_m2_s`]; for a choked flow the closed form of texts on fluid mechanics.
/// Standing: cross-checked.
///
/// # Notes
/// No mean pressure is taken: half the gauge pressure may be gone.
///
/// ```
/// use hosewright::hydraulics::leak::hole::{Gas, hole_diameter_m, jet_area_m2};
/// use hosewright::hydraulics::leak::{GasDecay, GasState};
/// let air = Gas { constant_j_kg_k: 287.0, heat_ratio: 1.4, viscosity_pa_s: 1.8e-5 };
/// let at = |pressure_pa| GasState { pressure_pa, temperature_k: 293.15 };
/// let decay = GasDecay { volume_m3: 0.5e-3, start: at(121_325.0), end: at(116_325.0), time_s: 300.0 };
/// let hole = hole_diameter_m(jet_area_m2(&air, &decay, 101_325.0)?, 0.6)?;
/// assert!(hole > 25e-6 && hole < 35e-6); // three hundredths of a millimetre
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotConverged`], [`HydraulicsError::NotRepresentable`].
pub fn jet_area_m2(gas: &Gas, decay: &GasDecay, outside_pa: f64) -> Result<f64, HydraulicsError> {
    let even = Even::new(decay, outside_pa)?;
    let flow = Opening::new(gas, even.temperature)?;
    let flux = |away: f64| {
        let before = if even.inwards { even.outside } else { even.outside + away };
        flow.flux(before, away)
    };
    // From this distance on the flow is choked.
    let choked = if even.inwards {
        even.outside * (1.0 - flow.critical)
    } else {
        even.outside * (1.0 / flow.critical - 1.0)
    };
    let [first, last] = even.away;
    let edge = choked.clamp(last, first);
    let beyond = if even.inwards {
        (first - edge) / flux(choked)
    } else {
        let per_pa = flux(choked) / (even.outside + choked);
        libm::log((even.outside + first) / (even.outside + edge)) / per_pa
    };
    // The root of the distance takes the singular end away: the flow begins like it.
    let below = integral((last.sqrt(), edge.sqrt()), |root| {
        if root > 0.0 { 2.0 * root / flux(root * root) } else { 0.0 }
    })?;
    result("the area", even.volume / (flow.rt * even.time) * (beyond + below))
}

/// An integral over a smooth function, halved until it stands still.
fn integral((low, high): (f64, f64), f: impl Fn(f64) -> f64) -> Result<f64, HydraulicsError> {
    const MOST: u32 = 12;
    let panels = |count: u32| -> f64 {
        let half = 0.5 * (high - low) / f64::from(count);
        let panel = |index: u32| {
            let middle = low + half * f64::from(2 * index + 1);
            GAUSS.iter().map(|(node, weight)| weight * f(middle + half * node)).sum::<f64>() * half
        };
        (0..count).map(panel).sum()
    };
    let mut before = panels(1);
    for halvings in 1..=MOST {
        let now = panels(1 << halvings);
        if (now - before).abs() <= 1e-12 * now.abs() {
            return Ok(now);
        }
        before = now;
    }
    Err(HydraulicsError::NotConverged { what: "the area of the hole", steps: MOST, low, high })
}

/// Diameter of a round hole from the area of its jet.
///
/// # What it gives
/// The diameter in m.
///
/// # Formula
/// d = sqrt(4 A/(π c))
///
/// # Valid for
/// `area_m2` zero or above, `discharge` (coefficient of discharge) above 0, at most 1.
///
/// # Source
/// Definition of the coefficient of discharge.
///
/// # Notes
/// A sharp edge has about 0.6 under liquids and small differences of gas, up to 0.84 where gas is choked; a rounded one
/// nearly 1. The diameter moves by the root of it only.
///
/// ```
/// use hosewright::hydraulics::leak::hole::hole_diameter_m;
/// let jet = 0.6 * core::f64::consts::FRAC_PI_4 * 1e-8;
/// assert!((hole_diameter_m(jet, 0.6)? - 1e-4).abs() < 1e-16);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotPositive`].
pub fn hole_diameter_m(area_m2: f64, discharge: f64) -> Result<f64, HydraulicsError> {
    let area = not_negative("the area of the jet", area_m2)?;
    let share = within("the coefficient", positive("the coefficient", discharge)?, 0.0, 1.0)?;
    result("the diameter", (area / (core::f64::consts::FRAC_PI_4 * share)).sqrt())
}

/// Flow of a liquid through the jet of a hole.
///
/// # What it gives
/// The flow in m³/s.
///
/// # Formula
/// Q = A sqrt(2 dp/ρ)
///
/// # Valid for
/// `area_m2` of the jet and `difference_pa` zero or above, `density_kg_m3` above 0; the same hole, no thicker than wide.
///
/// # Source
/// Torricelli, any text on fluid mechanics. Standing: common-practice.
///
/// # Notes
/// Liquid stays away from the thinnest holes, so this is the most that comes.
///
/// ```
/// use hosewright::hydraulics::leak::hole::jet_flow_m3_s;
/// assert!((jet_flow_m3_s(1e-8, 5e5, 1000.0)? - 3.1623e-7).abs() < 1e-11);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn jet_flow_m3_s(
    area_m2: f64,
    difference_pa: f64,
    density_kg_m3: f64,
) -> Result<f64, HydraulicsError> {
    let area = not_negative("the area of the jet", area_m2)?;
    let difference = not_negative("the difference of pressure", difference_pa)?;
    let density = positive("the density", density_kg_m3)?;
    result("the flow", area * (2.0 * difference / density).sqrt())
}
