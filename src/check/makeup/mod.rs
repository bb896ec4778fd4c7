//! Checks of what is cut and from what.

pub mod bend_collision;
pub mod bend_straight;
pub mod bend_thinning;
pub mod cut_length;
pub mod reach;
pub mod stock;
