//! Checks of the shape of a line.

pub mod bend_radius;
pub mod clearance;
pub mod clock_angle;
pub mod elbow_direction;
pub mod engine_slack;
pub mod free_shape;
pub mod high_point;
pub mod low_point;
pub mod measured_place;
pub mod route;
pub mod slack;
pub mod straight_after_end;
pub mod straight_tube;
pub mod support_spacing;
