//! What a bend costs beyond the same length of straight bore.

use super::HydraulicsError;
use super::argument::{positive, result, within};
use super::curved::{dean, laminar_ratio};
use super::friction::{LAMINAR_UP_TO, TURBULENT_FROM};
use core::f64::consts::PI;

/// Radius over bore at which the inside of the bend has no radius left.
const TIGHTEST: f64 = 0.5;

fn checked_shape(angle_rad: f64, radius_over_bore: f64) -> Result<(), HydraulicsError> {
    positive("the bend angle", angle_rad)?;
    within("the bend angle", angle_rad, 0.0, PI)?;
    within("the bend radius over the bore", radius_over_bore, TIGHTEST, f64::MAX)?;
    Ok(())
}

/// Turbulent loss coefficient of a round bend beyond the friction of its own arc (Rennels).
///
/// # What it gives
/// K on the bore's velocity head, to be added to straight friction over the arc length.
///
/// # Formula
/// (0.10 + 2.4 f) sin(a/2) + 6.6 f (√sin(a/2) + sin(a/2)) / (r/d)^(4a/π). The first term of the full
/// formula, f a (r/d), is the arc's straight friction and is left out so that it is not counted twice.
///
/// # Valid for
/// Turbulent flow; `friction_factor` Darcy's, above 0; `angle_rad` above 0 up to π; `radius_over_bore`
/// (centre-line radius over bore) from 0.5, where the inner wall has no radius left.
///
/// # Source
/// D. C. Rennels and H. M. Hudson, Pipe Flow: A Practical and Comprehensive Guide, 1st ed. (2012), ch. 15.
/// Standing: quoted-elsewhere.
///
/// # Notes
/// For a smooth 20 mm tube within some 13 % of two other published methods from r/d 1 to 10. Bends
/// closer together than about 10 bores do not simply add. A kinked hose has no formula.
///
/// ```
/// use hosewright::hydraulics::bend::bend_excess_k;
/// // 90 degrees, r/d 2, drawn 20 mm tube at Re 50000: 0.227 with its arc friction
/// let f = 0.0211;
/// let quarter = core::f64::consts::FRAC_PI_2;
/// assert!((bend_excess_k(f, quarter, 2.0)? + f * quarter * 2.0 - 0.227).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn bend_excess_k(
    friction_factor: f64,
    angle_rad: f64,
    radius_over_bore: f64,
) -> Result<f64, HydraulicsError> {
    let f = positive("the friction factor", friction_factor)?;
    checked_shape(angle_rad, radius_over_bore)?;
    let half = libm::sin(0.5 * angle_rad);
    let easing = libm::pow(radius_over_bore, 4.0 * angle_rad / PI);
    result(
        "the bend's loss coefficient",
        (0.10 + 2.4 * f) * half + 6.6 * f * (half.sqrt() + half) / easing,
    )
}

/// Laminar loss coefficient of a bend beyond the friction of its own arc (White's curved friction).
///
/// # What it gives
/// K on the bore's velocity head, to be added to straight friction over the arc length.
///
/// # Formula
/// (64/Re) (W - 1) a (r/d), W = [`laminar_ratio`] at De = Re √(d/(2 r)).
///
/// # Valid for
/// `reynolds` above 0 up to 2000; `angle_rad` above 0 up to π; `radius_over_bore` from 0.5.
///
/// # Source
/// As [`laminar_ratio`], applied to the arc.
///
/// # Notes
/// White's factor belongs to flow developed in the curve: on the high side for one short bend.
///
/// ```
/// use hosewright::hydraulics::bend::laminar_excess_k;
/// assert_eq!(laminar_excess_k(10.0, 1.0, 5.0)?, 0.0);
/// assert!(laminar_excess_k(1000.0, 1.0, 5.0)? > 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn laminar_excess_k(
    reynolds: f64,
    angle_rad: f64,
    radius_over_bore: f64,
) -> Result<f64, HydraulicsError> {
    checked_shape(angle_rad, radius_over_bore)?;
    positive("the Reynolds number", reynolds)?;
    let re = within("the Reynolds number", reynolds, 0.0, LAMINAR_UP_TO)?;
    let more = laminar_ratio(dean(re, 1.0, 2.0 * radius_over_bore)?)? - 1.0;
    result("the bend's loss coefficient", 64.0 / re * more * angle_rad * radius_over_bore)
}

/// Loss coefficient of a bend beyond the straight friction of its arc, at any Reynolds number.
///
/// # What it gives
/// K on the bore's velocity head, to be added to straight friction over the arc length.
///
/// # Formula
/// Re ≤ 2000: [`laminar_excess_k`]. Re ≥ 4000: [`bend_excess_k`]. Between: the laminar value at 2000 and
/// the turbulent value at the given factor, mixed in proportion to ln Re.
///
/// # Valid for
/// `reynolds` above 0; `friction_factor` Darcy's at that Reynolds number (of [`super::friction::darcy`]);
/// `angle_rad` above 0 up to π; `radius_m` (centre line) at least half of `bore_m`, both in m.
///
/// # Source
/// The two formulas named; the mix is an own interpolation, standing common-practice.
///
/// # Notes
/// Continuous at 2000 and at 4000. Beyond r/d of about 10 no published method is good to better than 30 %.
///
/// ```
/// use hosewright::hydraulics::bend::bend_loss;
/// let quarter = core::f64::consts::FRAC_PI_2;
/// let k = bend_loss(50_000.0, 0.0211, quarter, 0.040, 0.020)?;
/// assert!((k - 0.1604).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
pub fn bend_loss(
    reynolds: f64,
    friction_factor: f64,
    angle_rad: f64,
    radius_m: f64,
    bore_m: f64,
) -> Result<f64, HydraulicsError> {
    let re = positive("the Reynolds number", reynolds)?;
    let f = positive("the friction factor", friction_factor)?;
    let ratio = positive("the bend radius", radius_m)? / positive("the bore", bore_m)?;
    if re <= LAMINAR_UP_TO {
        return laminar_excess_k(re, angle_rad, ratio);
    }
    let turbulent = bend_excess_k(f, angle_rad, ratio)?;
    if re >= TURBULENT_FROM {
        return Ok(turbulent);
    }
    let slow = laminar_excess_k(LAMINAR_UP_TO, angle_rad, ratio)?;
    let share = libm::log(re / LAMINAR_UP_TO) / libm::log(TURBULENT_FROM / LAMINAR_UP_TO);
    Ok(slow + share * (turbulent - slow))
}
