//! Vapour pressure of fuels and mixtures, the floor of any suction line.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};

/// One pound-force per square inch in Pa.
const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
/// One conventional millimetre of mercury in Pa.
const MMHG_PA: f64 = 133.322_387_415;
/// Degrees Rankine in a kelvin.
const RANKINE_PER_K: f64 = 1.8;
/// 0 °C in K.
const ZERO_C_K: f64 = 273.15;

/// The two constants of a vapour-pressure line: ln(p in psia) = a - b / (T in °R).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VapourLine {
    /// Constant a.
    pub a: f64,
    /// Constant b in °R.
    pub b: f64,
}

impl VapourLine {
    /// True vapour pressure on the line.
    ///
    /// # What it gives
    /// The absolute pressure in Pa.
    ///
    /// # Formula
    /// p = 6894.757 exp(a - b/(1.8 T))
    ///
    /// # Valid for
    /// `temperature_k` above 0 K; the constants' own data lie around 0 to 60 °C.
    ///
    /// # Source
    /// US EPA, AP-42, 5th ed., section 7.1. Standing: cross-checked.
    ///
    /// # Notes
    /// Equation and printed table of that document differ by up to 2 %.
    ///
    /// ```
    /// use hosewright::hydraulics::vapour::gasoline_line;
    /// let winter = gasoline_line(13.0, 3.0)?;
    /// assert!((winter.pressure_pa(288.706)? / 6894.757 - 6.95).abs() < 0.05);
    /// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
    /// ```
    ///
    /// # Errors
    /// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
    pub fn pressure_pa(&self, temperature_k: f64) -> Result<f64, HydraulicsError> {
        let rankine = RANKINE_PER_K * positive("the temperature", temperature_k)?;
        result("the vapour pressure", PSI_PA * libm::exp(self.a - self.b / rankine))
    }
}

/// Vapour-pressure line of a gasoline from its Reid vapour pressure.
///
/// # What it gives
/// A [`VapourLine`].
///
/// # Formula
/// a = 15.64 - 1.854 √S - (0.8742 - 0.3280 √S) ln R; b = 8742 - 1042 √S - (1049 - 179.4 √S) ln R
///
/// # Valid for
/// `reid_psi` (psi, the test's figure) 1 to 20; `slope` S of the distillation curve at 10 % evaporated,
/// °F per volume per cent, 0 to 10. Gasoline without ethanol.
///
/// # Source
/// US EPA, AP-42, 5th ed., section 7.1, figure 7.1-15. Standing: cross-checked (constants of its table
/// 7.1-2 are reproduced for Reid pressures 7, 10 and 13). The ends of the range are this program's, standing common-practice.
///
/// # Notes
/// Reid's pressure is measured with air at 37.8 °C and is lower than the true vapour pressure there.
///
/// ```
/// use hosewright::hydraulics::vapour::gasoline_line;
/// let line = gasoline_line(10.0, 3.0)?;
/// assert!((line.a - 11.724).abs() < 5e-4 && (line.b - 5237.3).abs() < 0.05);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn gasoline_line(reid_psi: f64, slope: f64) -> Result<VapourLine, HydraulicsError> {
    let ln_reid = libm::log(within("the Reid vapour pressure in psi", reid_psi, 1.0, 20.0)?);
    let root = within("the distillation slope", slope, 0.0, 10.0)?.sqrt();
    Ok(VapourLine {
        a: 15.64 - 1.854 * root - (0.8742 - 0.3280 * root) * ln_reid,
        b: 8742.0 - 1042.0 * root - (1049.0 - 179.4 * root) * ln_reid,
    })
}

/// True vapour pressure of a gasoline.
///
/// # What it gives
/// The absolute pressure in Pa.
///
/// # Formula
/// [`gasoline_line`], then [`VapourLine::pressure_pa`].
///
/// # Valid for
/// As those; `temperature_k` in K.
///
/// # Source
/// As those.
///
/// # Notes
/// Dissolved air comes out well above this pressure. Ethanol added to a blend raises it.
///
/// ```
/// use hosewright::hydraulics::vapour::gasoline_pa;
/// // Reid 9 psi at 110 °F
/// assert!((gasoline_pa(9.0, 3.0, 316.483)? - 78_000.0).abs() < 100.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// As those.
pub fn gasoline_pa(reid_psi: f64, slope: f64, temperature_k: f64) -> Result<f64, HydraulicsError> {
    gasoline_line(reid_psi, slope)?.pressure_pa(temperature_k)
}

/// Vapour pressure by Antoine's three constants in millimetres of mercury and °C.
///
/// # What it gives
/// The absolute pressure in Pa.
///
/// # Formula
/// log10(p in mmHg) = a - b/(t + c), t in °C
///
/// # Valid for
/// The range of the constants, which the caller knows; `temperature_k` above 0 K and t + c above 0.
///
/// # Source
/// Antoine 1888; constants in this form in US EPA, AP-42, section 7.1. Standing: quoted-elsewhere.
///
/// # Notes
/// Other tables use kPa, bar or natural logarithms: such constants must be converted first.
///
/// ```
/// use hosewright::hydraulics::vapour::antoine_pa;
/// // water near its normal boiling point
/// assert!((antoine_pa(8.07131, 1730.63, 233.426, 373.15)? - 101_325.0).abs() < 200.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn antoine_pa(a: f64, b: f64, c: f64, temperature_k: f64) -> Result<f64, HydraulicsError> {
    let celsius = positive("the temperature", temperature_k)? - ZERO_C_K;
    let below = positive("the temperature in °C plus Antoine's c", celsius + c)?;
    result("the vapour pressure", MMHG_PA * libm::exp10(a - b / below))
}

/// Vapour pressure of a mixture by Raoult.
///
/// # What it gives
/// The absolute pressure in Pa.
///
/// # Formula
/// p = Σ x p over the parts: each mole share x times that part's own vapour pressure p.
///
/// # Valid for
/// `parts`: pairs of (mole share, vapour pressure in Pa), both zero or above; shares that add up to 1 within 1e-6.
///
/// # Source
/// Raoult 1887; any textbook. Standing: common-practice.
///
/// # Notes
/// Good to some 3 % for glycol in water, wrong for ethanol in gasoline.
///
/// ```
/// use hosewright::hydraulics::vapour::raoult_pa;
/// // half glycol by volume at 100 °C: water's share 0.755, glycol hardly boils
/// assert!((raoult_pa(&[(0.755, 101_420.0), (0.245, 0.0)])? - 76_572.1).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::OutOfRange`] when the
/// shares do not add up, [`HydraulicsError::NotRepresentable`].
pub fn raoult_pa(parts: &[(f64, f64)]) -> Result<f64, HydraulicsError> {
    let mut shares = 0.0;
    let mut pressure = 0.0;
    for &(share, part_pa) in parts {
        shares += not_negative("a mole share", share)?;
        pressure += share * not_negative("a vapour pressure", part_pa)?;
    }
    within("the sum of mole shares", shares, 1.0 - 1e-6, 1.0 + 1e-6)?;
    result("the vapour pressure", pressure)
}
