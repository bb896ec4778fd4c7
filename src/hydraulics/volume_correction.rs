//! Density of petroleum liquids with temperature (API 2540 / ASTM D1250-80, table 54B and its relatives).

use super::HydraulicsError;
use super::argument::within;

/// Kind of petroleum liquid; each has its own constants and its own range of density.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PetroleumGroup {
    /// Gasolines, 653 to 770 kg/m³ at 15 °C.
    Gasoline,
    /// Between gasoline and jet fuel, 770 to 787.5 kg/m³ at 15 °C.
    Transition,
    /// Jet fuel and kerosene, 787.5 to 838.5 kg/m³ at 15 °C.
    Jet,
    /// Diesel and fuel oil, 838.5 to 1075 kg/m³ at 15 °C.
    FuelOil,
    /// Crude oil, 610.5 to 1075 kg/m³ at 15 °C.
    Crude,
    /// Lubricating and hydraulic mineral oil, 801 to 1164 kg/m³ at 15 °C.
    Lubricating,
}

/// K0, K1, K2 of a group and its lowest and highest density at 15 °C.
struct Constants {
    k0: f64,
    k1: f64,
    k2: f64,
    low: f64,
    high: f64,
}

impl PetroleumGroup {
    const fn constants(self) -> Constants {
        let (k0, k1, k2, low, high) = match self {
            Self::Gasoline => (346.4228, 0.4388, 0.0, 653.0, 770.0),
            Self::Transition => (2680.3206, 0.0, -0.003_363_12, 770.0, 787.5),
            Self::Jet => (594.5418, 0.0, 0.0, 787.5, 838.5),
            Self::FuelOil => (186.9696, 0.4862, 0.0, 838.5, 1075.0),
            Self::Crude => (613.9723, 0.0, 0.0, 610.5, 1075.0),
            Self::Lubricating => (0.0, 0.6278, 0.0, 801.0, 1164.0),
        };
        Constants { k0, k1, k2, low, high }
    }
}

/// Factor by which the density at 15 °C changes at another temperature.
///
/// # What it gives
/// Density at the temperature over density at 15 °C.
///
/// # Formula
/// exp( -α Δ (1 + 0.8 α Δ) ), Δ = t - 15 °C, α = K0/ρ² + K1/ρ + K2 with ρ the density at 15 °C
///
/// # Valid for
/// `density_15_kg_m3` within the group's range (see [`PetroleumGroup`]); `temperature_k` from 223.15 to 423.15 K
/// (-50 to 150 °C; the printed tables are narrower for the light groups).
///
/// # Source
/// API Standard 2540 / ASTM D1250-80, tables 54A, 54B, 54D: constants per °C on 15 °C. Standing:
/// cross-checked. The ends of the temperature range: from-memory.
///
/// # Notes
/// The edition of 2004 prints other constants, per °F on 60 °F: mixing them up nearly halves the expansion.
///
/// ```
/// use hosewright::hydraulics::volume_correction::{PetroleumGroup, volume_correction};
/// let factor = volume_correction(PetroleumGroup::Gasoline, 740.0, 303.15)?;
/// assert!((factor - 0.98152).abs() < 5e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn volume_correction(
    group: PetroleumGroup,
    density_15_kg_m3: f64,
    temperature_k: f64,
) -> Result<f64, HydraulicsError> {
    let of = group.constants();
    let rho = within("the density at 15 °C", density_15_kg_m3, of.low, of.high)?;
    let kelvin = within("the temperature in K", temperature_k, 223.15, 423.15)?;
    let warmer = kelvin - 288.15;
    let alpha = of.k0 / (rho * rho) + of.k1 / rho + of.k2;
    let stretch = alpha * warmer;
    Ok(libm::exp(-stretch * (1.0 + 0.8 * stretch)))
}

/// Density of a petroleum liquid at a temperature.
///
/// # What it gives
/// The density in kg/m³.
///
/// # Formula
/// ρ15 times [`volume_correction`].
///
/// # Valid for
/// As [`volume_correction`].
///
/// # Source
/// As [`volume_correction`].
///
/// # Notes
/// At the vapour or room pressure; high pressure packs it by its bulk modulus besides.
///
/// ```
/// use hosewright::hydraulics::volume_correction::{PetroleumGroup, density_kg_m3};
/// assert_eq!(density_kg_m3(PetroleumGroup::Jet, 800.0, 288.15)?, 800.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// As [`volume_correction`].
pub fn density_kg_m3(
    group: PetroleumGroup,
    density_15_kg_m3: f64,
    temperature_k: f64,
) -> Result<f64, HydraulicsError> {
    Ok(density_15_kg_m3 * volume_correction(group, density_15_kg_m3, temperature_k)?)
}
