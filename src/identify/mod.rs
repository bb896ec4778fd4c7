//! Measured pipes told apart: how well a reading fits, who goes where, and what to measure next.
//!
//! Windows, nominal values and shares are handed in; nothing here knows a plan or a table.

pub mod assignment;
pub mod information;
mod marginal;
pub mod reading;
pub mod thread;

/// Why nothing could be told from readings.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum IdentifyError {
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
    /// A window whose end does not lie above its start.
    #[error("a window from {low} to {high} holds nothing")]
    EmptyWindow {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// A table of weights whose rows are not all of the same length.
    #[error("row {row} has {has} columns, and the first has {wanted}")]
    NotATable {
        /// The row at fault, from 0.
        row: usize,
        /// Its columns.
        has: usize,
        /// Columns of the first row.
        wanted: usize,
    },
    /// Shares of what may be do not sum to one.
    #[error("shares must sum to 1, but sum to {sum}")]
    NotShares {
        /// Their sum.
        sum: f64,
    },
    /// The search for chances did not come to rest.
    #[error("the chances still move by {change} after {rounds} rounds")]
    NotConverged {
        /// Largest change of the last round.
        change: f64,
        /// Rounds made.
        rounds: usize,
    },
}

/// Refuses a number that is not finite and above zero.
pub(crate) fn above_zero(what: &'static str, value: f64) -> Result<f64, IdentifyError> {
    if !value.is_finite() {
        Err(IdentifyError::NotFinite { what })
    } else if value > 0.0 {
        Ok(value)
    } else {
        Err(IdentifyError::NotAboveZero { what, value })
    }
}

/// Refuses a number that is infinite or not a number.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, IdentifyError> {
    if value.is_finite() { Ok(value) } else { Err(IdentifyError::NotFinite { what }) }
}
