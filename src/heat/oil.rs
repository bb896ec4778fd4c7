//! Specific heat and thermal conductivity of petroleum oils.

use super::HeatError;
use super::argument::within;

/// Lightest and heaviest specific gravity of the tables the rules were drawn from.
const GRAVITIES: (f64, f64) = (0.75, 0.96);
/// Zero degrees Celsius in K.
const ICE_K: f64 = 273.15;
/// J/(kg K) in one kilocalorie (international table) per kg and K.
const CALORIE_J: f64 = 4186.8;

/// Specific heat of a petroleum oil.
///
/// # What it gives
/// The specific heat in J/(kg K).
///
/// # Formula
/// c = 4186.8 (0.4024 + 0.00081 t) / √s, t in °C, s the specific gravity at 15 °C; printed for t in °F as
/// c = (0.388 + 0.00045 t) / √s Btu/(lb °F)
///
/// # Valid for
/// Mineral oils and fuels as liquids: `specific_gravity` 0.75 to 0.96, `temperature_k` 255.15 to 477.15 (0 to 400 °F).
///
/// # Source
/// C. S. Cragoe, Thermal Properties of Petroleum Products, Bureau of Standards Miscellaneous Publication
/// 97 (1929). Standing: quoted-elsewhere for the rule, from-memory for its range.
///
/// # Notes
/// Good to a few per cent. Esters, silicones and water-based hydraulic liquids do not follow it.
///
/// ```
/// use hosewright::heat::oil::specific_heat_j_kg_k;
/// assert!((specific_heat_j_kg_k(0.875, 373.15)? - 2163.6).abs() < 0.1);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::OutOfRange`].
pub fn specific_heat_j_kg_k(specific_gravity: f64, temperature_k: f64) -> Result<f64, HeatError> {
    let gravity = within("the specific gravity", specific_gravity, GRAVITIES.0, GRAVITIES.1)?;
    let celsius = within("the temperature in K", temperature_k, 255.15, 477.15)? - ICE_K;
    Ok(CALORIE_J * (0.4024 + 0.000_81 * celsius) / gravity.sqrt())
}

/// Thermal conductivity of a petroleum oil.
///
/// # What it gives
/// The conductivity in W/(m K).
///
/// # Formula
/// k = 0.1172 (1 - 0.00054 t) / s, t in °C, s the specific gravity at 15 °C; printed for t in °F as
/// k = 0.813 (1 - 0.0003 (t - 32)) / s Btu in/(h ft² °F)
///
/// # Valid for
/// Mineral oils and fuels as liquids: `specific_gravity` 0.75 to 0.96, `temperature_k` 273.15 to 423.15.
///
/// # Source
/// As [`specific_heat_j_kg_k`].
///
/// # Notes
/// Good to about a tenth.
///
/// ```
/// use hosewright::heat::oil::conductivity_w_m_k;
/// assert!((conductivity_w_m_k(0.875, 373.15)? - 0.1267).abs() < 1e-4);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::OutOfRange`].
pub fn conductivity_w_m_k(specific_gravity: f64, temperature_k: f64) -> Result<f64, HeatError> {
    let gravity = within("the specific gravity", specific_gravity, GRAVITIES.0, GRAVITIES.1)?;
    let celsius = within("the temperature in K", temperature_k, 273.15, 423.15)? - ICE_K;
    Ok(0.1172 * (1.0 - 0.000_54 * celsius) / gravity)
}
