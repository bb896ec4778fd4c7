//! Checks of what is cut and from what.

pub mod cut_length;
pub mod reach;
pub mod stock;
