//! Flow kernels: plain-number formulas for liquids in hoses and tubes, one formula family per file.
//!
//! Every function takes and gives bare `f64` in SI units; the unit is in the name
//! (`bore_m`, `flow_m3_s`, `pressure_pa`). Nothing here knows a plan, a table or a unit type.
//! Limits and tabulated values are arguments; only a formula's own coefficients live beside the formula.
//!
//! Conventions, the places where two correct programs can differ:
//!
//! * the friction factor is **Darcy's** (four times Fanning's): laminar flow gives 64/Re;
//! * Colebrook's constants are exactly 2.51 and 3.7;
//! * every loss coefficient K stands on **one named bore**; [`loss::k_at_other_bore`] moves it;
//! * Dean's number uses the bend's centre-line **diameter**, twice the bend radius;
//! * gravity is an argument, because published examples round it differently.
//!
//! A kernel never returns a number it cannot stand behind: it refuses with a [`HydraulicsError`].

mod argument;
pub mod atmosphere;
pub mod bend;
mod colebrook;
pub mod curved;
pub mod darcy_weisbach;
pub mod expansion;
pub mod flow_test;
pub mod friction;
pub mod insert;
pub mod leak;
mod logarithm;
pub mod loss;
pub mod network;
pub mod npsh;
pub mod pump;
pub mod reynolds;
mod root;
pub mod run;
pub mod search;
pub mod sizing;
mod sudden;
pub mod surge;
pub mod tank;
pub mod tee;
pub mod valve;
pub mod vapour;
pub mod viscosity;
pub mod volume_correction;

/// Why a kernel refused: what was given and what is allowed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum HydraulicsError {
    /// The argument is infinite or not a number.
    #[error("{what} is {given}; a finite number is needed")]
    NotFinite {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// The argument must be above zero.
    #[error("{what} is {given}; it must be greater than zero")]
    NotPositive {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// The argument may be zero but not below it.
    #[error("{what} is {given}; it must not be negative")]
    Negative {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// The argument lies outside the range in which the formula is stated.
    #[error("{what} is {given}; this formula holds {}", crate::bounds::Bounds { least: *low, most: *high })]
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
    /// Two lists that belong together differ in length.
    #[error("{what}: {left} and {right} entries; the lists must be of one length")]
    LengthsDiffer {
        /// Which lists.
        what: &'static str,
        /// Length of the first list.
        left: usize,
        /// Length of the list that differs.
        right: usize,
    },
    /// The answer is too large or too small to be written as a number.
    #[error("{what} cannot be written as a finite number for these arguments")]
    NotRepresentable {
        /// The result's name in words.
        what: &'static str,
    },
    /// No answer exists between the bounds in which the formulas hold.
    #[error("no {what} between {low} and {high} gives the wanted value")]
    NoAnswer {
        /// What was looked for.
        what: &'static str,
        /// Lowest value tried.
        low: f64,
        /// Highest value tried.
        high: f64,
    },
    /// The search used up its steps before it met its own tolerance.
    #[error("the search for {what} stopped after {steps} steps, still between {low} and {high}")]
    NotConverged {
        /// What was looked for.
        what: &'static str,
        /// Steps taken.
        steps: u32,
        /// Lower end of the remaining bracket.
        low: f64,
        /// Upper end of the remaining bracket.
        high: f64,
    },
}
