//! What goes to the bench: cut lengths, sharing out stock, masses and volumes, the order of a walk.
//!
//! Limits and table values are handed in. Lengths are millimetres, masses grams, volumes millilitres.

pub mod cut_length;
pub mod mass;
pub mod reach;
pub mod sheet;
mod springback;
pub mod stock;
pub mod tube;
pub mod u_bend;
pub mod walk;

/// Why a length, a cutting plan or a mass could not be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MakeupError {
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
    /// The two fittings are longer than the whole line.
    #[error(
        "the fittings take {cut_offs_mm:.1} mm of a line of {assembly_mm:.1} mm; no hose is left"
    )]
    NoHoseLeft {
        /// Both cut-offs together.
        cut_offs_mm: f64,
        /// Length of the assembly.
        assembly_mm: f64,
    },
    /// A list is shorter than it must be.
    #[error("{has} {what} are fewer than the {least} that are needed")]
    TooFew {
        /// What there is too little of.
        what: &'static str,
        /// How many there are.
        has: usize,
        /// The fewest that do.
        least: usize,
    },
    /// A tube has no shape that can be laid out.
    #[error("the tube cannot be laid out: {0}")]
    NoShape(#[from] crate::geometry::GeometryError),
    /// A list is longer than can be handled.
    #[error("{has} {what} are more than the {most} that can be handled")]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// How many there are.
        has: usize,
        /// The most that are handled.
        most: usize,
    },
}

/// Refuses a number that is infinite or not a number.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, MakeupError> {
    if value.is_finite() { Ok(value) } else { Err(MakeupError::NotFinite { what }) }
}

/// Refuses a number that is not finite and above zero.
pub(crate) fn above_zero(what: &'static str, value: f64) -> Result<f64, MakeupError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(MakeupError::NotAboveZero { what, value })
    }
}

/// Refuses a number outside `least ..= most`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    least: f64,
    most: f64,
) -> Result<f64, MakeupError> {
    if finite(what, value)? >= least && value <= most {
        Ok(value)
    } else {
        Err(MakeupError::OutOfRange { what, value, least, most })
    }
}

/// Refuses a number below zero.
pub(crate) fn not_below_zero(what: &'static str, value: f64) -> Result<f64, MakeupError> {
    within(what, value, 0.0, f64::MAX)
}
