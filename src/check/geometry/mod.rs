//! Checks of the shape of a line.

pub mod bend_radius;
pub mod high_point;
pub mod low_point;
pub mod measured_place;
pub mod route;
pub mod slack;
pub mod straight_after_end;
pub mod support_spacing;
