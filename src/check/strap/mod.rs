//! Straps of sheet: their flat length, their holes, their corners.

pub mod corner;
pub mod flat_length;
pub mod hole;
