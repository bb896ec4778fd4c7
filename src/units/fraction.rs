//! A length as inches and a fraction, the way an inch rule shows it.

use core::fmt;

use super::decimal::nearest_whole;
use super::quantity::{Length, Quantity};
use super::unit::INCH;

/// A length rounded to a fraction of an inch, in lowest terms.
///
/// The value is always `whole + numerator / denominator`, so minus three eighths is held as
/// `-1 + 5/8` and written `-3/8 in`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InchFraction {
    /// Whole inches, rounded down.
    pub whole: i64,
    /// The part above the whole inches; 0 when there is none.
    pub numerator: u32,
    /// What the part is counted in; 1 when there is no part.
    pub denominator: u32,
    /// Rounded length less true length, mm.
    pub error_mm: f64,
}

/// Rounds a length to the nearest `1/denominator` of an inch, halves away from zero.
///
/// A denominator of 0 is taken as 1.
///
/// ```
/// use hosewright::units::{Length, Quantity, inch_fraction};
/// let cut = inch_fraction(Length::from_si(0.486), 32);
/// assert_eq!(cut.to_string(), "19 1/8 in");
/// assert!((cut.error_mm + 0.225).abs() < 1e-9);
/// ```
#[must_use]
pub fn inch_fraction(length: Length, denominator: u32) -> InchFraction {
    let parts = denominator.max(1);
    let exact = length.si() / INCH;
    let count = nearest_whole(exact * f64::from(parts));
    let step = i64::from(parts);
    let numerator = u32::try_from(count.rem_euclid(step)).unwrap_or(0);
    let divisor = common_divisor(numerator, parts);
    #[expect(
        clippy::cast_precision_loss,
        reason = "counts above 2^53 are far beyond any length of hose"
    )]
    let rounded = count as f64 / f64::from(parts);
    InchFraction {
        whole: count.div_euclid(step),
        numerator: numerator / divisor,
        denominator: parts / divisor,
        error_mm: (rounded - exact) * 25.4,
    }
}

/// The greatest number that divides both; `parts` is never zero.
fn common_divisor(numerator: u32, parts: u32) -> u32 {
    let (mut large, mut small) = (parts, numerator);
    while small != 0 {
        (large, small) = (small, large % small);
    }
    large
}

impl fmt::Display for InchFraction {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let total =
            i128::from(self.whole) * i128::from(self.denominator) + i128::from(self.numerator);
        let parts = u128::from(self.denominator.max(1));
        let minus = if total < 0 { "-" } else { "" };
        let (whole, part) = (total.unsigned_abs() / parts, total.unsigned_abs() % parts);
        match (whole, part) {
            (_, 0) => write!(out, "{minus}{whole} in"),
            (0, _) => write!(out, "{minus}{part}/{parts} in"),
            _ => write!(out, "{minus}{whole} {part}/{parts} in"),
        }
    }
}
