//! Friction of a bore that runs in a long curve or a coil: Dean number, laminar and turbulent factors, transition.

use super::HydraulicsError;
use super::argument::{positive, result, within};

/// Dean number below which a curve costs no more than a straight bore.
const DEAN_STRAIGHT: f64 = 11.6;
/// Dean number up to which White's formula is stated.
const DEAN_UP_TO: f64 = 2000.0;
/// Bore over coil diameter up to which Schmidt's transition is stated: one seventh, printed as 0.14.
const CURVATURE_UP_TO: f64 = 0.143;

/// Bore over coil diameter, both positive and the bore the smaller.
fn curvature(bore_m: f64, coil_diameter_m: f64) -> Result<f64, HydraulicsError> {
    let coil = positive("the coil diameter", coil_diameter_m)?;
    let ratio = positive("the bore", bore_m)? / coil;
    within("the bore over the coil diameter", ratio, 0.0, 1.0)
}

/// Dean number of a curved bore.
///
/// # What it gives
/// The Dean number, on the curve's centre-line **diameter**.
///
/// # Formula
/// De = Re √(d/Dc), Dc = 2 R
///
/// # Valid for
/// `reynolds` above 0; `bore_m` (m) above 0 and at most `coil_diameter_m` (m), which is twice the bend radius.
///
/// # Source
/// Definition, as used with White 1929.
///
/// # Notes
/// Some papers put the radius in; their numbers are √2 larger.
///
/// ```
/// use hosewright::hydraulics::curved::dean;
/// assert!((dean(250.0, 0.02, 0.1)? - 111.803_398_9).abs() < 1e-7);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn dean(reynolds: f64, bore_m: f64, coil_diameter_m: f64) -> Result<f64, HydraulicsError> {
    let re = positive("the Reynolds number", reynolds)?;
    result("the Dean number", re * curvature(bore_m, coil_diameter_m)?.sqrt())
}

/// How many times a curve's laminar friction exceeds that of a straight bore (White).
///
/// # What it gives
/// The ratio of friction factors, 1 or above.
///
/// # Formula
/// 1 / ( 1 - (1 - (11.6/De)^0.45)^(1/0.45) ); 1 below De = 11.6.
///
/// # Valid for
/// Laminar flow, developed in the curve; `dean` above 0, up to 2000, on the coil diameter ([`dean()`]).
///
/// # Source
/// C. M. White, Proceedings of the Royal Society A 123 (1929) p. 645. Standing: quoted-elsewhere.
///
/// # Notes
/// In a short bend the flow has no time to develop, so this errs to the high side there.
///
/// ```
/// use hosewright::hydraulics::curved::laminar_ratio;
/// assert_eq!(laminar_ratio(5.0)?, 1.0);
/// assert!((laminar_ratio(111.803_398_9)? * 64.0 / 250.0 - 0.406_328).abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn laminar_ratio(dean: f64) -> Result<f64, HydraulicsError> {
    let de = positive("the Dean number", dean)?;
    within("the Dean number", de, 0.0, DEAN_UP_TO)?;
    if de <= DEAN_STRAIGHT {
        return Ok(1.0);
    }
    let inner = 1.0 - libm::pow(DEAN_STRAIGHT / de, 0.45);
    Ok(1.0 / (1.0 - libm::pow(inner, 1.0 / 0.45)))
}

/// How many times a coil's laminar friction exceeds that of a straight bore (Schmidt).
///
/// # What it gives
/// The ratio of friction factors, for comparison with [`laminar_ratio`].
///
/// # Formula
/// 1 + 0.14 r^0.97 Re^(1 - 0.644 r^0.312), r = d/Dc
///
/// # Valid for
/// Re from 100 to the coil's transition ([`coil_transition`]); `bore_m`, `coil_diameter_m` in m.
///
/// # Source
/// E. F. Schmidt, Chemie Ingenieur Technik 39 (1967) p. 781. Standing: quoted-elsewhere.
///
/// # Notes
/// The curvature range of the transition formula is not enforced here: published check values lie outside it.
///
/// ```
/// use hosewright::hydraulics::curved::schmidt_laminar_ratio;
/// assert!((schmidt_laminar_ratio(250.0, 0.02, 0.1)? * 64.0 / 250.0 - 0.474_607).abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn schmidt_laminar_ratio(
    reynolds: f64,
    bore_m: f64,
    coil_diameter_m: f64,
) -> Result<f64, HydraulicsError> {
    let r = curvature(bore_m, coil_diameter_m)?;
    let re = within("the Reynolds number", reynolds, 100.0, schmidt_transition(r))?;
    let power = 1.0 - 0.644 * libm::pow(r, 0.312);
    Ok(1.0 + 0.14 * libm::pow(r, 0.97) * libm::pow(re, power))
}

/// How many times a coil's turbulent friction exceeds that of a straight bore (Schmidt).
///
/// # What it gives
/// The ratio of friction factors, 1 or above.
///
/// # Formula
/// Re below 22000: 1 + (28800/Re) r^0.62; from there: 1 + 0.0823 (1 + r) r^0.53 Re^0.25; r = d/Dc
///
/// # Valid for
/// Re from the coil's transition ([`coil_transition`]) to 150000; `bore_m`, `coil_diameter_m` in m.
///
/// # Source
/// E. F. Schmidt, Chemie Ingenieur Technik 39 (1967) p. 781. Standing: quoted-elsewhere.
///
/// # Notes
/// The two branches do not meet exactly at 22000; the roughness enters through the straight factor.
/// The lower end is not enforced, for the published check values begin at 10000.
///
/// ```
/// use hosewright::hydraulics::curved::schmidt_turbulent_ratio;
/// assert!((schmidt_turbulent_ratio(10_000.0, 0.01, 0.02)? - 2.873_93).abs() < 1e-5);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn schmidt_turbulent_ratio(
    reynolds: f64,
    bore_m: f64,
    coil_diameter_m: f64,
) -> Result<f64, HydraulicsError> {
    let r = curvature(bore_m, coil_diameter_m)?;
    let re = within("the Reynolds number", reynolds, 2300.0, 150_000.0)?;
    Ok(if re < 22_000.0 {
        1.0 + 28_800.0 / re * libm::pow(r, 0.62)
    } else {
        1.0 + 0.0823 * (1.0 + r) * libm::pow(r, 0.53) * libm::pow(re, 0.25)
    })
}

/// Reynolds numbers at which published formulas put a coil's transition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoilTransition {
    /// Schmidt's value: the one to use.
    pub schmidt: f64,
    /// Ito's value; none outside its curvature range.
    pub ito: Option<f64>,
    /// Seth and Stahel's value.
    pub seth_stahel: f64,
}

impl CoilTransition {
    /// Lowest and highest of the published values.
    #[must_use]
    pub fn band(&self) -> (f64, f64) {
        let low = self.schmidt.min(self.seth_stahel);
        let high = self.schmidt.max(self.seth_stahel);
        self.ito.map_or((low, high), |ito| (low.min(ito), high.max(ito)))
    }
}

fn schmidt_transition(r: f64) -> f64 {
    2300.0 * (1.0 + 8.6 * libm::pow(r, 0.45))
}

/// Reynolds number at which flow in a coil turns turbulent.
///
/// # What it gives
/// Three published values and their band.
///
/// # Formula
/// r = d/Dc. Schmidt: 2300 (1 + 8.6 r^0.45). Ito: 20000 r^0.32. Seth and Stahel: 1900 (1 + 8 √r).
///
/// # Valid for
/// Bore over coil diameter up to 0.14 (taken as one seventh). Ito's from 0.00116 to the same end; below that his
/// power law falls to zero with the curvature, which a straight bore does not, so it is left out.
///
/// # Source
/// Schmidt 1967, Ito 1959, Seth and Stahel 1969. Standing: quoted-elsewhere (Schmidt: cross-checked).
///
/// # Notes
/// A curve delays the transition: a coil may be laminar at Re 6000. The values differ by 40 %, so print the band.
///
/// ```
/// use hosewright::hydraulics::curved::coil_transition;
/// let at = coil_transition(0.01, 0.07)?;
/// assert!((at.schmidt - 10_540.09).abs() < 0.01);
/// assert!(at.band().0 < 7_650.0 && at.band().1 > 10_700.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn coil_transition(
    bore_m: f64,
    coil_diameter_m: f64,
) -> Result<CoilTransition, HydraulicsError> {
    let r = within(
        "the bore over the coil diameter",
        curvature(bore_m, coil_diameter_m)?,
        0.0,
        CURVATURE_UP_TO,
    )?;
    Ok(CoilTransition {
        schmidt: schmidt_transition(r),
        ito: (r >= 0.00116).then(|| 20_000.0 * libm::pow(r, 0.32)),
        seth_stahel: 1900.0 * (1.0 + 8.0 * r.sqrt()),
    })
}
