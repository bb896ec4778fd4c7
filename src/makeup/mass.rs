//! Mass and volume of a line and what is in it, and where a set of masses balances.

use super::{MakeupError, above_zero, finite, not_below_zero};

/// Area of a circle, mm2.
fn circle_mm2(diameter_mm: f64) -> f64 {
    0.25 * std::f64::consts::PI * diameter_mm * diameter_mm
}

/// # What it gives
///
/// The volume of a bore, in millilitres.
///
/// # Formula
///
/// `pi d^2 / 4` times the length.
///
/// # Valid for
///
/// `bore_mm` above 0, `length_mm` from 0.
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// Fittings hold a little more or less than the bore they replace.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::mass::volume_ml;
///
/// assert!((volume_ml(10.0, 1000.0)? - 78.5398).abs() < 1e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn volume_ml(bore_mm: f64, length_mm: f64) -> Result<f64, MakeupError> {
    above_zero("bore_mm", bore_mm)?;
    not_below_zero("length_mm", length_mm)?;
    Ok(circle_mm2(bore_mm) * length_mm / 1000.0)
}

/// # What it gives
///
/// The mass of fluid in a metre of line, in grams.
///
/// # Formula
///
/// `density pi d^2 / 4`
///
/// # Valid for
///
/// `bore_mm` above 0, `density_kg_m3` above 0.
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// One mm2 of bore holds 1 ml per metre.
///
/// # Errors
///
/// Refuses numbers that are not finite and above zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::mass::fluid_g_per_m;
///
/// assert!((fluid_g_per_m(12.7, 1070.0)? - 135.5443).abs() < 1e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn fluid_g_per_m(bore_mm: f64, density_kg_m3: f64) -> Result<f64, MakeupError> {
    above_zero("bore_mm", bore_mm)?;
    above_zero("density_kg_m3", density_kg_m3)?;
    Ok(circle_mm2(bore_mm) * density_kg_m3 / 1000.0)
}

/// # What it gives
///
/// The mass of a metre of bare tube, in grams.
///
/// # Formula
///
/// `density pi (D^2 - d^2) / 4`, with `d = D - 2 wall`.
///
/// # Valid for
///
/// `outside_mm`, `wall_mm` and `density_kg_m3` above 0, the wall under half the outside diameter.
///
/// # Source
///
/// Definition.
///
/// # Notes
///
/// Nuts and sleeves are extra.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::mass::tube_g_per_m;
///
/// assert!((tube_g_per_m(12.7, 0.889, 2700.0)? - 89.0640).abs() < 1e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn tube_g_per_m(outside_mm: f64, wall_mm: f64, density_kg_m3: f64) -> Result<f64, MakeupError> {
    above_zero("outside_mm", outside_mm)?;
    above_zero("wall_mm", wall_mm)?;
    above_zero("density_kg_m3", density_kg_m3)?;
    let bore_mm = above_zero("bore left by the wall, mm", outside_mm - 2.0 * wall_mm)?;
    Ok((circle_mm2(outside_mm) - circle_mm2(bore_mm)) * density_kg_m3 / 1000.0)
}

/// # What it gives
///
/// The dry mass of an assembly, in grams.
///
/// # Formula
///
/// `g_per_m` times the cut length, plus the two fittings.
///
/// # Valid for
///
/// `g_per_m`, `cut_mm` and `fittings_g` from 0.
///
/// # Source
///
/// Definition; the mass per metre comes from a table or a weighed sample.
///
/// # Notes
///
/// Sleeves and clips are extra.
///
/// # Errors
///
/// Refuses numbers that are not finite or below zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::mass::assembly_g;
///
/// assert_eq!(assembly_g(250.0, 800.0, 90.0)?, 290.0);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn assembly_g(g_per_m: f64, cut_mm: f64, fittings_g: f64) -> Result<f64, MakeupError> {
    not_below_zero("g_per_m", g_per_m)?;
    not_below_zero("cut_mm", cut_mm)?;
    not_below_zero("fittings_g", fittings_g)?;
    Ok(g_per_m * cut_mm / 1000.0 + fittings_g)
}

/// Total of a set of masses and the place they balance at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// All masses together, kg.
    pub mass_kg: f64,
    /// Sum of mass times arm, kg m.
    pub moment_kg_m: f64,
    /// Moment over mass, m.
    pub arm_m: f64,
}

/// # What it gives
///
/// Total mass, moment and balance point of masses `(kg, arm in m)`.
///
/// # Formula
///
/// `moment = sum(mass arm)`, `arm = moment / sum(mass)`.
///
/// # Valid for
///
/// Masses from 0 with a total above 0; any finite arms, of which those ahead of the datum are below zero.
///
/// # Source
///
/// FAA-H-8083-1, weight and balance (from-memory).
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// Refuses numbers that are not finite, masses below zero, and an empty or massless list.
///
/// # Example
///
/// ```
/// use hosewright::makeup::mass::balance;
///
/// let found = balance(&[(2.0, 1.0), (2.0, -0.5)])?;
/// assert_eq!(found.arm_m, 0.25);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn balance(masses: &[(f64, f64)]) -> Result<Balance, MakeupError> {
    let (mut mass_kg, mut moment_kg_m) = (0.0, 0.0);
    for (mass, arm_m) in masses {
        mass_kg += not_below_zero("a mass", *mass)?;
        moment_kg_m += mass * finite("an arm", *arm_m)?;
    }
    above_zero("the total mass", mass_kg)?;
    Ok(Balance { mass_kg, moment_kg_m, arm_m: moment_kg_m / mass_kg })
}
