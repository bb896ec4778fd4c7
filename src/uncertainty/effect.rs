//! What each input alone does to a result, and what all of them can do together at the worst.

use super::{UncertaintyError, finite, result};

/// What a result becomes with one input alone at the lower and at the upper end of its amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// The result with the input at its value less its amount.
    pub low: f64,
    /// The result with the input at its value plus its amount.
    pub high: f64,
}

impl Ends {
    /// Changes of the result at the two ends.
    fn changes(self, nominal: f64) -> Result<[f64; 2], UncertaintyError> {
        let nominal = finite("the result", nominal)?;
        let low = finite("the result at the lower end", self.low)?;
        let high = finite("the result at the upper end", self.high)?;
        Ok([
            result("the change at the lower end", low - nominal)?,
            result("the change at the upper end", high - nominal)?,
        ])
    }
}

/// What a result can become at the worst when all inputs are off together.
///
/// # What it gives
/// The lowest and the highest value.
///
/// # Formula
/// y + Σ min(0, y₋ - y, y₊ - y) and y + Σ max(0, y₋ - y, y₊ - y), with y₋ and y₊ the result with one input at
/// either end of its amount.
///
/// # Valid for
/// Finite numbers. The sum is exact where the inputs act independently and evenly (a linear worst case); where
/// they strengthen each other the result can go a little further.
///
/// # Source
/// Linear worst-case addition of tolerances; common practice.
///
/// # Notes
/// A result that is lowest in the middle of a range, and not at one of its ends, is not seen to be so.
///
/// ```
/// use hosewright::uncertainty::effect::{Ends, worst_case};
/// let inputs = [Ends { low: 9.0, high: 11.0 }, Ends { low: 10.5, high: 9.5 }];
/// assert_eq!(worst_case(10.0, &inputs)?, [8.5, 11.5]);
/// # Ok::<(), hosewright::uncertainty::UncertaintyError>(())
/// ```
///
/// # Errors
/// [`UncertaintyError::NotFinite`], [`UncertaintyError::NotRepresentable`].
pub fn worst_case(nominal: f64, inputs: &[Ends]) -> Result<[f64; 2], UncertaintyError> {
    let (mut down, mut up) = (0.0, 0.0);
    for ends in inputs {
        let [low, high] = ends.changes(nominal)?;
        down += low.min(high).min(0.0);
        up += low.max(high).max(0.0);
    }
    Ok([
        result("the lowest value", finite("the result", nominal)? + down)?,
        result("the highest value", nominal + up)?,
    ])
}

/// Which part of a result's variance comes from which input.
///
/// # What it gives
/// One share for each input, together 1; all 0 where no input changes the result from end to end.
///
/// # Formula
/// h² / Σ h², with h = (y₊ - y₋)/2 for each input; the inputs' own distributions are alike and fall out.
///
/// # Valid for
/// Finite numbers; inputs that are independent, and a result that is close to linear in each of them.
///
/// # Source
/// Law of propagation of uncertainty, JCGM 100:2008, 5.1.2, with the changes found by moving each input as in
/// its 5.1.3 note 2. Standing: from-memory.
///
/// # Notes
/// An input that lowers the result at both ends alike has no share.
///
/// ```
/// use hosewright::uncertainty::effect::{Ends, shares};
/// let inputs = [Ends { low: 7.0, high: 13.0 }, Ends { low: 11.0, high: 9.0 }];
/// let found = shares(10.0, &inputs)?;
/// assert!((found[0] - 0.9).abs() < 1e-12 && (found[1] - 0.1).abs() < 1e-12);
/// # Ok::<(), hosewright::uncertainty::UncertaintyError>(())
/// ```
///
/// # Errors
/// [`UncertaintyError::NotFinite`], [`UncertaintyError::NotRepresentable`].
pub fn shares(nominal: f64, inputs: &[Ends]) -> Result<Vec<f64>, UncertaintyError> {
    let mut halves = Vec::with_capacity(inputs.len());
    for ends in inputs {
        let [low, high] = ends.changes(nominal)?;
        halves.push((0.5 * high - 0.5 * low).abs());
    }
    // Measured against the largest, so that no square is too large or too small to be written.
    let largest = halves.iter().copied().fold(0.0, f64::max);
    if largest == 0.0 {
        return Ok(halves);
    }
    let squares: Vec<f64> = halves.iter().map(|h| (h / largest) * (h / largest)).collect();
    let all: f64 = squares.iter().sum();
    Ok(squares.into_iter().map(|s| s / all).collect())
}

#[cfg(test)]
mod tests {
    use super::{Ends, shares, worst_case};
    use crate::uncertainty::UncertaintyError;

    #[test]
    fn an_input_that_works_one_way_only_is_counted_that_way_only() {
        let bent = Ends { low: 12.0, high: 11.0 };
        assert_eq!(worst_case(10.0, &[bent]), Ok([10.0, 12.0]));
        assert_eq!(worst_case(10.0, &[]), Ok([10.0, 10.0]));
    }

    #[test]
    fn what_is_no_number_is_refused_and_no_effect_has_no_share() {
        let wrong = Ends { low: f64::NAN, high: 1.0 };
        assert!(matches!(worst_case(1.0, &[wrong]), Err(UncertaintyError::NotFinite { .. })));
        assert!(worst_case(f64::INFINITY, &[]).is_err());
        let huge = Ends { low: -f64::MAX, high: f64::MAX };
        assert!(worst_case(f64::MAX, &[huge]).is_err());
        assert_eq!(shares(3.0, &[Ends { low: 3.0, high: 3.0 }]), Ok(vec![0.0]));
        let tiny = Ends { low: 0.0, high: 1e-200 };
        assert_eq!(shares(0.0, &[tiny, tiny]), Ok(vec![0.5, 0.5]));
    }
}
