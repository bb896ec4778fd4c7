//! Uncertainty kernels: what each input does to a result, the worst case, drawn samples and their statistics.
//!
//! Inputs are moved by **shifts**: multiples of the amount behind their `±`, from -1 to 1. Every function takes
//! and gives bare numbers in whatever unit the result has; nothing here knows a plan or a table.
//!
//! Conventions:
//!
//! * an amount is the half-width of a rectangular distribution: every value within it is as likely as any
//!   other, which is what is taken where nothing but the bounds is known;
//! * the inputs are independent of each other.
//!
//! A kernel never returns a number it cannot stand behind: it refuses with an [`UncertaintyError`].

pub mod draw;
pub mod effect;
pub mod sample;

/// Why an uncertainty kernel refused: what was given and what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum UncertaintyError {
    /// The argument is infinite or not a number.
    #[error("{what} is {given}; a finite number is needed")]
    NotFinite {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// There are too few numbers to say anything.
    #[error("{has} {what} are too few; {least} or more are needed")]
    TooFew {
        /// What there is too little of.
        what: &'static str,
        /// How many there are.
        has: usize,
        /// The fewest that are enough.
        least: usize,
    },
    /// The argument lies outside the range in which the formula is stated.
    #[error("{what} is {given}; it must be {}", crate::bounds::Bounds { least: *low, most: *high })]
    OutOfRange {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
        /// Lowest allowed value.
        low: f64,
        /// Highest allowed value.
        high: f64,
    },
    /// The answer is too large to be written as a number.
    #[error("{what} cannot be written as a finite number for these arguments")]
    NotRepresentable {
        /// The result's name in words.
        what: &'static str,
    },
}

/// Passes a finite number on.
fn finite(what: &'static str, given: f64) -> Result<f64, UncertaintyError> {
    if given.is_finite() { Ok(given) } else { Err(UncertaintyError::NotFinite { what, given }) }
}

/// Passes a result on only when it can be written as a finite number.
fn result(what: &'static str, value: f64) -> Result<f64, UncertaintyError> {
    if value.is_finite() { Ok(value) } else { Err(UncertaintyError::NotRepresentable { what }) }
}
