//! Checks of the ends of a line.

pub mod gauge_protection;
pub mod mating;
