//! Loss of rated pressure with temperature, read from a curve that is never carried past its ends.

use super::{RatingError, finite, not_below_zero};

/// # What it gives
///
/// The share of the rated pressure left at a temperature.
///
/// # Formula
///
/// Straight lines between the points `(temperature_c, factor)` of the curve.
///
/// # Valid for
///
/// Temperatures between the first and the last point, both included; points with rising temperatures
/// and factors from 0.
///
/// # Source
///
/// Linear interpolation; the curve is handed in with its own source.
///
/// # Notes
///
/// A curve of one point answers for that temperature alone.
///
/// # Errors
///
/// [`RatingError::OffTheCurve`] outside the points, [`RatingError::CurveNotRising`] for an unusable
/// curve, [`RatingError::NotFinite`].
///
/// # Example
///
/// ```
/// use hosewright::rating::derate::derating_factor;
///
/// let curve = [(20.0, 1.0), (100.0, 0.8)];
/// assert!((derating_factor(&curve, 60.0)? - 0.9).abs() < 1e-12);
/// assert!(derating_factor(&curve, 101.0).is_err());
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn derating_factor(curve: &[(f64, f64)], temperature_c: f64) -> Result<f64, RatingError> {
    finite("temperature_c", temperature_c)?;
    let (first, last) = checked_ends(curve)?;
    if temperature_c < first || temperature_c > last {
        return Err(RatingError::OffTheCurve { temperature_c, least_c: first, most_c: last });
    }
    let single = curve.first().map_or(0.0, |(_, factor)| *factor);
    let steps = curve.iter().zip(curve.iter().skip(1));
    let step = steps.into_iter().find(|(_, (to_c, _))| temperature_c <= *to_c);
    Ok(step.map_or(single, |((from_c, from), (to_c, to))| {
        let share = (temperature_c - from_c) / (to_c - from_c);
        from + (to - from) * share
    }))
}

fn checked_ends(curve: &[(f64, f64)]) -> Result<(f64, f64), RatingError> {
    let sound = |(temperature_c, factor): &(f64, f64)| {
        temperature_c.is_finite() && factor.is_finite() && *factor >= 0.0
    };
    let rising = curve.iter().zip(curve.iter().skip(1)).all(|(a, b)| a.0 < b.0);
    match (curve.first(), curve.last()) {
        (Some(first), Some(last)) if rising && curve.iter().all(sound) => Ok((first.0, last.0)),
        _ => Err(RatingError::CurveNotRising),
    }
}

/// # What it gives
///
/// The rated pressure that is left at a temperature, in pascals.
///
/// # Formula
///
/// `rated_pa` times [`derating_factor`].
///
/// # Valid for
///
/// `rated_pa` from 0; temperatures on the curve.
///
/// # Source
///
/// Definition of a derating factor.
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// As [`derating_factor`], and refusals of an unusable pressure.
///
/// # Example
///
/// ```
/// use hosewright::rating::derate::derated_pa;
///
/// let curve = [(20.0, 1.0), (100.0, 0.8)];
/// assert!((derated_pa(10e6, &curve, 100.0)? - 8e6).abs() < 1e-6);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn derated_pa(
    rated_pa: f64,
    curve: &[(f64, f64)],
    temperature_c: f64,
) -> Result<f64, RatingError> {
    not_below_zero("rated_pa", rated_pa)?;
    Ok(rated_pa * derating_factor(curve, temperature_c)?)
}
