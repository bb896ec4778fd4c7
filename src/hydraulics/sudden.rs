//! Coefficients of sudden changes of the bore: narrowing and widening, laminar and turbulent.

use super::HydraulicsError;
use super::argument::{positive, result, within};
use super::friction::LAMINAR_UP_TO;
use super::loss::k_at_other_bore;

/// Hooper's laminar contraction is stated up to this Reynolds number of the wide bore.
const HOOPER_LAMINAR_UP_TO: f64 = 2500.0;

/// Small bore over large bore, above 0 and at most 1.
fn beta(small_bore_m: f64, large_bore_m: f64) -> Result<f64, HydraulicsError> {
    let small = positive("the small bore", small_bore_m)?;
    let large = positive("the large bore", large_bore_m)?;
    within("the small bore over the large bore", small / large, 0.0, 1.0)
}

/// Fourth power, by products alone.
pub(super) fn fourth(x: f64) -> f64 {
    (x * x) * (x * x)
}

/// Turbulent coefficient of a sudden, sharp narrowing (Rennels).
///
/// # What it gives
/// K on the **small** bore.
///
/// # Formula
/// b = d/D, λ = 1 + 0.622 (1 - 0.215 b² - 0.785 b⁵), K = 0.0696 (1 - b⁵) λ² + (λ - 1)²
///
/// # Valid for
/// Turbulent flow, sharp edge; both bores in m, `small_bore_m` at most `large_bore_m`.
///
/// # Source
/// Rennels and Hudson, Pipe Flow (2012), ch. 10. Standing: quoted-elsewhere.
///
/// # Notes
/// A rounded edge costs far less. A narrowing from a tank (b → 0) gives 0.57.
///
/// ```
/// use hosewright::hydraulics::loss::sudden_contraction_k;
/// assert!((sudden_contraction_k(0.001, 10.0)? - 0.570).abs() < 5e-4);
/// assert_eq!(sudden_contraction_k(0.01, 0.01)?, 0.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn sudden_contraction_k(small_bore_m: f64, large_bore_m: f64) -> Result<f64, HydraulicsError> {
    let b = beta(small_bore_m, large_bore_m)?;
    let fifth = fourth(b) * b;
    let lambda = 1.0 + 0.622 * (1.0 - 0.215 * b * b - 0.785 * fifth);
    Ok(0.0696 * (1.0 - fifth) * lambda * lambda + (lambda - 1.0) * (lambda - 1.0))
}

/// Turbulent coefficient of a sudden widening (Borda and Carnot).
///
/// # What it gives
/// K on the **small** bore.
///
/// # Formula
/// K = (1 - b²)², b = d/D
///
/// # Valid for
/// Turbulent flow; both bores in m, `small_bore_m` at most `large_bore_m`.
///
/// # Source
/// Borda-Carnot, from the momentum balance; any textbook. Standing: common-practice.
///
/// # Notes
/// An outlet into a tank (b → 0) gives 1: the whole velocity head.
///
/// ```
/// use hosewright::hydraulics::loss::sudden_expansion_k;
/// assert_eq!(sudden_expansion_k(0.01, 0.02)?, 0.5625);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn sudden_expansion_k(small_bore_m: f64, large_bore_m: f64) -> Result<f64, HydraulicsError> {
    let b = beta(small_bore_m, large_bore_m)?;
    Ok((1.0 - b * b) * (1.0 - b * b))
}

/// Laminar coefficient of a sudden narrowing (Hooper).
///
/// # What it gives
/// K on the **large** bore.
///
/// # Formula
/// K = (1.2 + 160/Re) (1/b⁴ - 1), Re in the large bore
///
/// # Valid for
/// `large_bore_reynolds` above 0 up to 2500; both bores in m, small at most large.
///
/// # Source
/// W. B. Hooper, Calculate head loss caused by change in pipe size, Chemical Engineering, Nov. 1988.
/// Standing: quoted-elsewhere.
///
/// # Notes
/// Published for pipe reducers: an extrapolation at bores below 25 mm.
///
/// ```
/// use hosewright::hydraulics::loss::{k_at_other_bore, laminar_contraction_k};
/// let k = laminar_contraction_k(500.0, 0.008, 0.010)?;
/// assert!((k - 1.52 * (1.0 / 0.4096 - 1.0)).abs() < 1e-12);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn laminar_contraction_k(
    large_bore_reynolds: f64,
    small_bore_m: f64,
    large_bore_m: f64,
) -> Result<f64, HydraulicsError> {
    positive("the Reynolds number", large_bore_reynolds)?;
    let re = within("the Reynolds number", large_bore_reynolds, 0.0, HOOPER_LAMINAR_UP_TO)?;
    let b = beta(small_bore_m, large_bore_m)?;
    result("the loss coefficient", (1.2 + 160.0 / re) * (1.0 / fourth(b) - 1.0))
}

/// Laminar coefficient of a sudden widening (Hooper).
///
/// # What it gives
/// K on the **small** bore.
///
/// # Formula
/// K = 2 (1 - b⁴), b = d/D
///
/// # Valid for
/// Laminar flow in the small bore (Re up to 4000 as published); both bores in m, small at most large.
///
/// # Source
/// As [`laminar_contraction_k`]. Standing: quoted-elsewhere.
///
/// # Notes
/// Twice the turbulent outlet: the laminar stream carries twice the kinetic energy of its mean velocity.
///
/// ```
/// use hosewright::hydraulics::loss::laminar_expansion_k;
/// assert_eq!(laminar_expansion_k(0.01, 0.02)?, 1.875);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn laminar_expansion_k(small_bore_m: f64, large_bore_m: f64) -> Result<f64, HydraulicsError> {
    Ok(2.0 * (1.0 - fourth(beta(small_bore_m, large_bore_m)?)))
}

/// A laminar coefficient carried on past Re 2000 at constant pressure loss per velocity head at 2000.
///
/// The step's loss is held at its laminar value until the turbulent formula overtakes it, so that it
/// never falls while the flow rises.
fn held(reynolds: f64, laminar_at_end: f64, turbulent: f64) -> f64 {
    let back = LAMINAR_UP_TO / reynolds;
    turbulent.max(laminar_at_end * back * back)
}

/// Coefficient of a sudden narrowing at any Reynolds number.
///
/// # What it gives
/// K on the **small** bore.
///
/// # Formula
/// Re ≤ 2000: [`laminar_contraction_k`], moved to the small bore. Above: [`sudden_contraction_k`], but not
/// less than the laminar pressure loss at Re 2000: max(K, K2000 (2000/Re)²).
///
/// # Valid for
/// `large_bore_reynolds` above 0 (upstream bore); both bores in m, small at most large.
///
/// # Source
/// The two formulas named; the join is an own choice, standing common-practice.
///
/// # Notes
/// Continuous, and the pressure loss never falls while the flow rises.
///
/// ```
/// use hosewright::hydraulics::loss::{contraction_k, sudden_contraction_k};
/// assert_eq!(contraction_k(1.0e5, 0.007, 0.010)?, sudden_contraction_k(0.007, 0.010)?);
/// assert!(contraction_k(500.0, 0.007, 0.010)? > 1.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn contraction_k(
    large_bore_reynolds: f64,
    small_bore_m: f64,
    large_bore_m: f64,
) -> Result<f64, HydraulicsError> {
    let re = positive("the Reynolds number", large_bore_reynolds)?;
    let on_large = laminar_contraction_k(re.min(LAMINAR_UP_TO), small_bore_m, large_bore_m)?;
    let laminar = k_at_other_bore(on_large, large_bore_m, small_bore_m)?;
    if re <= LAMINAR_UP_TO {
        return Ok(laminar);
    }
    let turbulent = sudden_contraction_k(small_bore_m, large_bore_m)?;
    Ok(held(re, laminar, turbulent))
}

/// Coefficient of a sudden widening at any Reynolds number.
///
/// # What it gives
/// K on the **small** bore.
///
/// # Formula
/// Re ≤ 2000: [`laminar_expansion_k`]. Above: [`sudden_expansion_k`], but not less than the laminar
/// pressure loss at Re 2000: max(K, K2000 (2000/Re)²).
///
/// # Valid for
/// `small_bore_reynolds` above 0 (upstream bore); both bores in m, small at most large.
///
/// # Source
/// The two formulas named; the join is an own choice, standing common-practice.
///
/// # Notes
/// Continuous, and the pressure loss never falls while the flow rises.
///
/// ```
/// use hosewright::hydraulics::loss::{expansion_k, sudden_expansion_k};
/// assert_eq!(expansion_k(1.0e5, 0.007, 0.010)?, sudden_expansion_k(0.007, 0.010)?);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn expansion_k(
    small_bore_reynolds: f64,
    small_bore_m: f64,
    large_bore_m: f64,
) -> Result<f64, HydraulicsError> {
    let re = positive("the Reynolds number", small_bore_reynolds)?;
    let laminar = laminar_expansion_k(small_bore_m, large_bore_m)?;
    if re <= LAMINAR_UP_TO {
        return Ok(laminar);
    }
    let turbulent = sudden_expansion_k(small_bore_m, large_bore_m)?;
    Ok(held(re, laminar, turbulent))
}
