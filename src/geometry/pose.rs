//! A place on a centre line together with the direction of travel there.

use nalgebra::{Point3, Vector3};

use super::direction::unit;
use super::{GeometryError, finite};

/// Where a centre line begins or ends, and which way it runs there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// The point.
    pub at: Point3<f64>,
    /// Direction of travel, of length 1: out of the first port, into the second.
    pub direction: Vector3<f64>,
}

impl Pose {
    /// The pose with its direction brought to length 1 exactly.
    pub(crate) fn checked(&self) -> Result<Self, GeometryError> {
        finite("the point of a pose", self.at.coords.norm())?;
        Ok(Self { at: self.at, direction: unit("the direction of a pose", &self.direction)? })
    }

    /// The pose `ahead_mm` further on, straight.
    pub(crate) fn moved(&self, ahead_mm: f64) -> Self {
        Self { at: self.at + self.direction * ahead_mm, direction: self.direction }
    }

    /// The same line travelled the other way.
    pub(crate) fn turned(&self) -> Self {
        Self { at: self.at, direction: -self.direction }
    }
}
