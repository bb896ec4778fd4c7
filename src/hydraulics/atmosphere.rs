//! Pressure of the standard atmosphere at a height, for suction, vents and boiling.

use super::HydraulicsError;
use super::argument::within;

/// Heights in which the lapse-rate layer is used here, in m (geopotential).
const LOWEST_M: f64 = -2001.0;
const HIGHEST_M: f64 = 11_000.0;
/// Sea-level pressure of the standard, Pa.
const SEA_LEVEL_PA: f64 = 101_325.0;
/// Sea-level temperature of the standard, K.
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature per metre, K/m.
const LAPSE_K_PER_M: f64 = 0.0065;
/// Gravity over (gas constant of air times lapse rate), of the standard's own constants.
const EXPONENT: f64 = 9.806_65 / (287.052_87 * LAPSE_K_PER_M);
/// The earth's radius of the standard, m.
const EARTH_RADIUS_M: f64 = 6_356_766.0;

/// Pressure of the standard atmosphere.
///
/// # What it gives
/// The absolute pressure in Pa.
///
/// # Formula
/// p = 101325 (1 - 0.0065 H/288.15)^n, n = 9.80665/(287.05287 · 0.0065) = 5.25588
///
/// # Valid for
/// `geopotential_m`: geopotential height in m, -2001 (geometric -2000) to 11000.
///
/// # Source
/// ISO 2533:1975 = US Standard Atmosphere 1976, lowest layer. Standing: cross-checked.
///
/// # Notes
/// The day's true pressure differs by several per cent. A map height is geometric: see [`geopotential_m`].
///
/// ```
/// use hosewright::hydraulics::atmosphere::pressure_pa;
/// assert!((pressure_pa(2000.0)? - 79_495.2).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn pressure_pa(geopotential_m: f64) -> Result<f64, HydraulicsError> {
    Ok(pressure_at(temperature_k(geopotential_m)?))
}

/// Pressure where the standard day has this temperature.
fn pressure_at(temperature_k: f64) -> f64 {
    SEA_LEVEL_PA * libm::pow(temperature_k / SEA_LEVEL_K, EXPONENT)
}

/// Height at which the standard atmosphere has a pressure.
///
/// # What it gives
/// The geopotential height in m; [`geometric_m`] makes a map height of it.
///
/// # Formula
/// H = 288.15/0.0065 (1 - (p/101325)^(1/n)), n as in [`pressure_pa`]
///
/// # Valid for
/// `pressure_pa` (absolute, Pa): what [`pressure_pa`] gives from 11000 to -2001 m, 22632.1 to 127788.2.
///
/// # Source
/// As [`pressure_pa`], solved for the height.
///
/// # Notes
/// The pressure altitude that an altimeter set to 1013.25 hPa shows.
///
/// ```
/// use hosewright::hydraulics::atmosphere::height_of_pressure_m;
/// assert!((height_of_pressure_m(79_495.2)? - 2000.0).abs() < 0.01);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn height_of_pressure_m(pressure_pa: f64) -> Result<f64, HydraulicsError> {
    let at = |height: f64| pressure_at(SEA_LEVEL_K - LAPSE_K_PER_M * height);
    let pressure = within("the pressure", pressure_pa, at(HIGHEST_M), at(LOWEST_M))?;
    let ratio = libm::pow(pressure / SEA_LEVEL_PA, 1.0 / EXPONENT);
    // Rounding must not carry an end of the range past itself, or the way back would be refused.
    Ok((SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - ratio)).clamp(LOWEST_M, HIGHEST_M))
}

/// Temperature of the standard atmosphere.
///
/// # What it gives
/// The temperature in K.
///
/// # Formula
/// T = 288.15 - 0.0065 H
///
/// # Valid for
/// `geopotential_m`: geopotential height in m, -2001 (geometric -2000) to 11000.
///
/// # Source
/// As [`pressure_pa`].
///
/// # Notes
/// A standard day only; a hot day is the one that matters for fuel.
///
/// ```
/// use hosewright::hydraulics::atmosphere::temperature_k;
/// assert_eq!(temperature_k(0.0)?, 288.15);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn temperature_k(geopotential_m: f64) -> Result<f64, HydraulicsError> {
    let height = within("the height", geopotential_m, LOWEST_M, HIGHEST_M)?;
    Ok(SEA_LEVEL_K - LAPSE_K_PER_M * height)
}

/// Geopotential height of a geometric one.
///
/// # What it gives
/// The geopotential height in m.
///
/// # Formula
/// H = r Z / (r + Z), r = 6356766 m
///
/// # Valid for
/// `geometric_m` in m, -2001 to 11019 (where H is 11000).
///
/// # Source
/// As [`pressure_pa`].
///
/// # Notes
/// At 3000 m they differ by 1.4 m: 0.02 % of the pressure.
///
/// ```
/// use hosewright::hydraulics::atmosphere::geopotential_m;
/// assert!((geopotential_m(3000.0)? - 2998.585).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn geopotential_m(geometric_m: f64) -> Result<f64, HydraulicsError> {
    let z = within("the height", geometric_m, LOWEST_M, 11_019.0)?;
    Ok(EARTH_RADIUS_M * z / (EARTH_RADIUS_M + z))
}

/// Geometric height of a geopotential one.
///
/// # What it gives
/// The geometric height in m: what a map shows.
///
/// # Formula
/// Z = r H / (r - H), r = 6356766 m
///
/// # Valid for
/// `geopotential_m` in m, -2001 to 11000.
///
/// # Source
/// As [`pressure_pa`].
///
/// # Notes
/// The way back of [`geopotential_m`].
///
/// ```
/// use hosewright::hydraulics::atmosphere::geometric_m;
/// assert!((geometric_m(11_000.0)? - 11_019.07).abs() < 5e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn geometric_m(geopotential_m: f64) -> Result<f64, HydraulicsError> {
    let h = within("the height", geopotential_m, LOWEST_M, HIGHEST_M)?;
    Ok(EARTH_RADIUS_M * h / (EARTH_RADIUS_M - h))
}
