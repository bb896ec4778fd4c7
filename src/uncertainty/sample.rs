//! What a list of drawn results says: mean, standard deviation, quantiles.

use super::{UncertaintyError, finite, result};

/// What a list of results says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Statistics {
    /// The mean.
    pub mean: f64,
    /// The standard deviation of a single result.
    pub deviation: f64,
    /// Of the results, 5 % lie below this.
    pub low: f64,
    /// Of the results, 5 % lie above this.
    pub high: f64,
}

/// Mean, standard deviation and the range that holds 90 % of a list of results.
///
/// # What it gives
/// All of them in the unit of the results.
///
/// # Formula
/// ȳ = Σy/n; s = √(Σ(y - ȳ)²/(n - 1)); quantiles as [`quantile`].
///
/// # Valid for
/// Two results or more, all of them finite.
///
/// # Source
/// Mean and experimental standard deviation: JCGM 100:2008, 4.2.1 and 4.2.2; probabilistically symmetric
/// interval: JCGM 101:2008, 7.7. Standing: from-memory.
///
/// # Notes
/// JCGM 101 asks for some 10⁶ trials where two digits are to be stated; a few hundred show which results are in
/// danger. The standard deviation from n results is itself known to about 1/√(2n) of its size.
///
/// ```
/// use hosewright::uncertainty::sample::statistics;
/// let found = statistics(&[4.0, 1.0, 3.0, 2.0, 5.0])?;
/// assert_eq!(found.mean, 3.0);
/// assert!((found.low - 1.2).abs() < 1e-12 && (found.high - 4.8).abs() < 1e-12);
/// assert!((found.deviation * found.deviation - 2.5).abs() < 1e-12);
/// # Ok::<(), hosewright::uncertainty::UncertaintyError>(())
/// ```
///
/// # Errors
/// [`UncertaintyError::TooFew`], [`UncertaintyError::NotFinite`], [`UncertaintyError::NotRepresentable`].
pub fn statistics(results: &[f64]) -> Result<Statistics, UncertaintyError> {
    let has = results.len();
    if has < 2 {
        return Err(UncertaintyError::TooFew { what: "results", has, least: 2 });
    }
    let mut sorted = Vec::with_capacity(has);
    for value in results {
        sorted.push(finite("a result", *value)?);
    }
    sorted.sort_by(f64::total_cmp);
    let count = number(has);
    let mean = result("the mean", sorted.iter().sum::<f64>() / count)?;
    let squares: f64 = sorted.iter().map(|v| (v - mean) * (v - mean)).sum();
    Ok(Statistics {
        mean,
        deviation: result("the standard deviation", (squares / (count - 1.0)).sqrt())?,
        low: quantile(&sorted, 0.05)?,
        high: quantile(&sorted, 0.95)?,
    })
}

/// The value below which a share of sorted results lies.
///
/// # What it gives
/// The value, in the unit of the results.
///
/// # Formula
/// Straight between the results on either side of the place 1 + (n - 1) p of the sorted list.
///
/// # Valid for
/// One result or more, sorted, finite; `share` 0 to 1.
///
/// # Source
/// Definition 7 of R. J. Hyndman and Y. Fan, The American Statistician 50 (1996) p. 361. Standing: from-memory.
///
/// # Notes
/// The lowest and the highest result are the quantiles of 0 and 1.
///
/// ```
/// use hosewright::uncertainty::sample::quantile;
/// assert_eq!(quantile(&[1.0, 2.0, 4.0], 0.75)?, 3.0);
/// # Ok::<(), hosewright::uncertainty::UncertaintyError>(())
/// ```
///
/// # Errors
/// [`UncertaintyError::TooFew`], [`UncertaintyError::NotFinite`], [`UncertaintyError::OutOfRange`].
pub fn quantile(sorted: &[f64], share: f64) -> Result<f64, UncertaintyError> {
    let share = finite("the share", share)?;
    if !(0.0..=1.0).contains(&share) {
        let what = "the share";
        return Err(UncertaintyError::OutOfRange { what, given: share, low: 0.0, high: 1.0 });
    }
    let Some(last) = sorted.len().checked_sub(1) else {
        return Err(UncertaintyError::TooFew { what: "results", has: 0, least: 1 });
    };
    let place = share * number(last);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the last place"
    )]
    let below = (place.floor() as usize).min(last);
    let above = (below + 1).min(last);
    let (from, to) = (finite("a result", sorted[below])?, finite("a result", sorted[above])?);
    let part = place - place.floor();
    Ok((1.0 - part) * from + part * to)
}

#[expect(clippy::cast_precision_loss, reason = "no list has 2^53 results")]
fn number(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::{quantile, statistics};

    #[test]
    fn equal_results_have_no_deviation_and_one_result_is_refused() {
        let found = statistics(&[7.0; 20]).unwrap();
        assert_eq!((found.mean, found.deviation, found.low, found.high), (7.0, 0.0, 7.0, 7.0));
        assert!(statistics(&[7.0]).is_err());
        assert!(statistics(&[1.0, f64::NAN]).is_err());
        assert!(statistics(&[f64::MAX, f64::MAX]).is_err());
    }

    #[test]
    fn a_share_outside_0_to_1_is_refused() {
        assert!(quantile(&[1.0], 1.1).is_err());
        assert!(quantile(&[], 0.5).is_err());
        assert_eq!(quantile(&[1.0, 2.0], 1.0), Ok(2.0));
    }
}
