//! What a hose, tube or fitting can stand: pressure, vacuum, temperature, bending, and what mates with what.
//!
//! Limits and table values are handed in; nothing here knows a plan or a table. Pressures and stresses
//! are pascals, lengths millimetres, temperatures degrees Celsius.

pub mod bend;
pub mod derate;
pub mod mating;
pub mod pressure;
pub mod temperature;
pub mod tube;
pub mod vacuum;

/// Why a rating could not be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RatingError {
    /// A number is infinite or not a number.
    #[error("{what} is not a finite number")]
    NotFinite {
        /// The argument at fault.
        what: &'static str,
    },
    /// A number that must be above zero is not.
    #[error("{what} must be above zero, but is {value}")]
    NotAboveZero {
        /// The argument at fault.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// A number lies outside the range the formula holds for.
    #[error("{what} must be {}, but is {value}", crate::bounds::Bounds { least: *least, most: *most })]
    OutOfRange {
        /// The argument at fault.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Lowest value accepted.
        least: f64,
        /// Highest value accepted.
        most: f64,
    },
    /// The wall is half the outside diameter or more, so nothing is left of the bore.
    #[error("a wall of {wall_mm} mm leaves no bore in a tube of {outside_mm} mm")]
    NoBore {
        /// Outside diameter.
        outside_mm: f64,
        /// Wall.
        wall_mm: f64,
    },
    /// No wall is thick enough: the pressure reaches the strength of the material.
    #[error("no wall holds {pressure_pa} Pa with a strength of {strength_pa} Pa")]
    NoWallHolds {
        /// Pressure asked for.
        pressure_pa: f64,
        /// Strength given.
        strength_pa: f64,
    },
    /// A curve has no points, or its temperatures do not rise.
    #[error("a derating curve needs points with rising temperatures and factors from 0 up")]
    CurveNotRising,
    /// A temperature lies outside the curve; nothing is guessed beyond its ends.
    #[error(
        "{temperature_c} degC is outside the curve, which runs from {least_c} to {most_c} degC"
    )]
    OffTheCurve {
        /// Temperature asked for.
        temperature_c: f64,
        /// First temperature of the curve.
        least_c: f64,
        /// Last temperature of the curve.
        most_c: f64,
    },
    /// A name needed for comparing two ends was left empty.
    #[error("the {what} of an end is not given")]
    NotGiven {
        /// What is missing.
        what: &'static str,
    },
}

/// Refuses a number that is infinite or not a number.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, RatingError> {
    if value.is_finite() { Ok(value) } else { Err(RatingError::NotFinite { what }) }
}

/// Refuses a number that is not finite and above zero.
pub(crate) fn above_zero(what: &'static str, value: f64) -> Result<f64, RatingError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(RatingError::NotAboveZero { what, value })
    }
}

/// Refuses a number outside `least ..= most`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    least: f64,
    most: f64,
) -> Result<f64, RatingError> {
    if finite(what, value)? >= least && value <= most {
        Ok(value)
    } else {
        Err(RatingError::OutOfRange { what, value, least, most })
    }
}

/// Refuses a number below zero.
pub(crate) fn not_below_zero(what: &'static str, value: f64) -> Result<f64, RatingError> {
    within(what, value, 0.0, f64::MAX)
}
