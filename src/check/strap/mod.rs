//! Straps of sheet: their flat length, their bends, their holes, their corners.

pub mod bend_radius;
pub mod corner;
pub mod flat_length;
pub mod hole;
