//! Leak tests with gas: what temperature explains, the leak rate with its band, and the energy that is stored.

pub mod hole;
pub mod liquid;
pub mod passage;

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result, within};

/// A gas in a closed volume, as it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasState {
    /// Absolute pressure in Pa, above 0.
    pub pressure_pa: f64,
    /// Temperature in K, above 0.
    pub temperature_k: f64,
}

impl GasState {
    /// Pressure over temperature, in Pa/K: as much gas as there is in a volume that stays the same.
    fn amount(&self) -> Result<f64, HydraulicsError> {
        let pressure = positive("the absolute pressure", self.pressure_pa)?;
        result("the amount", pressure / positive("the temperature", self.temperature_k)?)
    }
}

/// Pressure of a closed gas after its temperature has changed.
///
/// # What it gives
/// The absolute pressure in Pa at which nothing has leaked.
///
/// # Formula
/// p2 = p1 T2/T1
///
/// # Valid for
/// Absolute pressures and temperatures above 0, a volume that stays the same, a gas near enough to ideal: air within
/// 1 % up to 20 bar at room temperature.
///
/// # Source
/// Gas law (Gay-Lussac), any text on thermodynamics. Standing: common-practice.
///
/// # Notes
/// One kelvin is 0.34 % of the absolute pressure: 4 mbar at 0.2 bar on the gauge, more than most leaks lose.
///
/// ```
/// use hosewright::hydraulics::leak::{GasState, pressure_after_pa};
/// let start = GasState { pressure_pa: 121_325.0, temperature_k: 291.15 };
/// assert!((pressure_after_pa(&start, 294.15)? - 122_575.1).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn pressure_after_pa(start: &GasState, temperature_k: f64) -> Result<f64, HydraulicsError> {
    let after = positive("the temperature at the end", temperature_k)?;
    result("the pressure", start.amount()? * after)
}

/// A closed volume of gas read twice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasDecay {
    /// All that stands under the pressure, the hose of the gauge included, in m³; above 0.
    pub volume_m3: f64,
    /// What was read first.
    pub start: GasState,
    /// What was read at the end.
    pub end: GasState,
    /// Time between both in s, above 0.
    pub time_s: f64,
}

/// By how much readings may be wrong, each to either side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingError {
    /// Of each pressure, in Pa; zero or above.
    pub pressure_pa: f64,
    /// Of each temperature, in K; zero or above.
    pub temperature_k: f64,
    /// Of the volume, as a share of it; zero or above, below 1.
    pub volume_share: f64,
}

/// A rate with the band it may lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Banded {
    /// The rate itself.
    pub rate: f64,
    /// Least that the errors allow.
    pub low: f64,
    /// Most that the errors allow.
    pub high: f64,
}

/// Leak rate of a closed volume of gas.
///
/// # What it gives
/// The leak rate in Pa·m³/s as measured at `reference_k`, positive outwards, with the band of the errors. Over the
/// absolute pressure of the air it is the volume that leaks each second at that temperature.
///
/// # Formula
/// q = (p1/T1 - p2/T2) V T0/t; the band takes every error at its worst.
///
/// # Valid for
/// As [`GasDecay`], [`ReadingError`] and [`pressure_after_pa`] have it; `reference_k` above 0.
///
/// # Source
/// Gas law; the same balance in amounts of substance is eq. 1065.644-1 of 40 CFR 1065.644, vacuum-decay leak rate
/// (read in copies). Standing: read.
///
/// # Notes
/// Both readings have to be absolute: what the barometer does between them is a change of the gauge, not of the gas.
/// The temperature meant is that of the gas; the wall lags behind it and the air beside it.
///
/// ```
/// use hosewright::hydraulics::leak::{GasDecay, GasState, ReadingError, leak_rate_pa_m3_s};
/// let at = |pressure_pa| GasState { pressure_pa, temperature_k: 293.15 };
/// let decay = GasDecay { volume_m3: 1e-3, start: at(121_325.0), end: at(120_325.0), time_s: 600.0 };
/// let gauge = ReadingError { pressure_pa: 100.0, temperature_k: 0.0, volume_share: 0.0 };
/// let leak = leak_rate_pa_m3_s(&decay, &gauge, 293.15)?;
/// assert!((leak.rate - 1.0 / 600.0).abs() < 1e-12);
/// assert!((leak.low - 0.8 / 600.0).abs() < 1e-12 && (leak.high - 1.2 / 600.0).abs() < 1e-12);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn leak_rate_pa_m3_s(
    decay: &GasDecay,
    error: &ReadingError,
    reference_k: f64,
) -> Result<Banded, HydraulicsError> {
    let volume = positive("the volume", decay.volume_m3)?;
    let per_s =
        positive("the reference temperature", reference_k)? / positive("the time", decay.time_s)?;
    let [low_start, start, high_start] = amounts(&decay.start, error)?;
    let [low_end, end, high_end] = amounts(&decay.end, error)?;
    let share = within("the error of the volume", error.volume_share, 0.0, 0.99)?;
    let most = |lost: f64, sign: f64| lost * (1.0 + share * sign * lost.signum());
    let rate = |lost: f64| result("the leak rate", lost * volume * per_s);
    Ok(Banded {
        rate: rate(start - end)?,
        low: rate(most(low_start - high_end, -1.0))?,
        high: rate(most(high_start - low_end, 1.0))?,
    })
}

/// The amount of gas at the bad, the read and the good end of its errors.
fn amounts(state: &GasState, error: &ReadingError) -> Result<[f64; 3], HydraulicsError> {
    let pressure = not_negative("the error of the pressure", error.pressure_pa)?;
    let temperature = not_negative("the error of the temperature", error.temperature_k)?;
    let moved = |sign: f64| {
        GasState {
            pressure_pa: state.pressure_pa + sign * pressure,
            temperature_k: state.temperature_k - sign * temperature,
        }
        .amount()
    };
    Ok([moved(-1.0)?, moved(0.0)?, moved(1.0)?])
}

/// Energy that a compressed gas sets free when its container fails.
///
/// # What it gives
/// The energy in J.
///
/// # Formula
/// E = p V/(k - 1) (1 - (p0/p)^((k - 1)/k))
///
/// # Valid for
/// Absolute pressures, `pressure_pa` not below `outside_pa`; `volume_m3` above 0; `heat_ratio` from 1.01 to 1.7.
///
/// # Source
/// Isentropic expansion of an ideal gas to the pressure outside, any text on thermodynamics; manuals of laboratories
/// use it for tests with gas. Standing: quoted-elsewhere.
///
/// # Notes
/// Held against [`liquid::stored_j`] it says why a strength test is made with liquid.
///
/// ```
/// use hosewright::hydraulics::leak::gas_energy_j;
/// // One litre of air at 10 bar on the gauge: as much as a kilogram has that fell 139 m.
/// let energy = gas_energy_j(1_101_325.0, 101_325.0, 1e-3, 1.4)?;
/// assert!((energy - 1360.8).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn gas_energy_j(
    pressure_pa: f64,
    outside_pa: f64,
    volume_m3: f64,
    heat_ratio: f64,
) -> Result<f64, HydraulicsError> {
    let outside = positive("the pressure outside", outside_pa)?;
    let pressure = within("the absolute pressure", pressure_pa, outside, f64::MAX)?;
    let k = within("the ratio of specific heats", heat_ratio, 1.01, 1.7)?;
    let part = -libm::expm1((k - 1.0) / k * libm::log(outside / pressure));
    result("the energy", pressure * positive("the volume", volume_m3)? / (k - 1.0) * part)
}

/// Time to wait before the second reading, longer for a large tank.
///
/// # What it gives
/// The time in s.
///
/// # Formula
/// t = t0 + t1 ceil((V - V0)/V1) above V0, t0 up to it
///
/// # Valid for
/// `capacity_m3` zero or above; the rule's own figures above 0.
///
/// # Source
/// US Coast Guard, laboratory examination 11 (fuel system static pressure test, paragraph c), whose figures are
/// arguments. Standing: read.
///
/// # Notes
/// A part of a step counts as a whole one.
///
/// ```
/// use hosewright::hydraulics::leak::{WaitRule, wait_s};
/// let rule = WaitRule { least_s: 300.0, above_m3: 0.189, step_m3: 0.0379, each_s: 60.0 };
/// assert_eq!(wait_s(&rule, 0.1)?, 300.0);
/// assert_eq!(wait_s(&rule, 0.2)?, 360.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::NotRepresentable`].
pub fn wait_s(rule: &WaitRule, capacity_m3: f64) -> Result<f64, HydraulicsError> {
    let capacity = not_negative("the capacity", capacity_m3)?;
    let least = positive("the least time", rule.least_s)?;
    let above = finite("the capacity from which it is longer", rule.above_m3)?;
    let steps = (capacity - above) / positive("the step of the capacity", rule.step_m3)?;
    let more = positive("the time for each step", rule.each_s)?;
    // Rounding of gallons must not make a whole step out of nothing.
    result("the time", least + more * (steps - 1e-9).ceil().max(0.0))
}

/// A rule for the time to wait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaitRule {
    /// Least time in s.
    pub least_s: f64,
    /// Capacity up to which it is enough, in m³.
    pub above_m3: f64,
    /// Step of the capacity above that, in m³.
    pub step_m3: f64,
    /// More time for each step or part of one, in s.
    pub each_s: f64,
}
