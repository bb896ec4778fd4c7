//! Which way is up in the machine's own axes when it stands or flies nose up or leaning.

use nalgebra::Vector3;

use super::direction::unit;
use super::{GeometryError, finite};

/// How far the axes may be off square: they are usually typed as whole numbers.
const SQUARE_TOLERANCE: f64 = 1e-6;

/// The machine's own directions, each of length 1 and square to the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Attitude {
    forward: Vector3<f64>,
    right: Vector3<f64>,
    up: Vector3<f64>,
}

impl Attitude {
    /// Takes the three directions of the machine standing level: forward, right (starboard) and up.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`] or [`GeometryError::NotFinite`] for a direction that is not of
    /// length 1, [`GeometryError::AxesNotSquare`] where they are not square to each other or where
    /// right and left were swapped.
    pub fn new(
        forward: Vector3<f64>,
        right: Vector3<f64>,
        up: Vector3<f64>,
    ) -> Result<Self, GeometryError> {
        let forward = unit("forward", &forward)?;
        let right = unit("right", &right)?;
        let up = unit("up", &up)?;
        if (forward.cross(&right) + up).norm() > SQUARE_TOLERANCE {
            return Err(GeometryError::AxesNotSquare);
        }
        Ok(Self { forward, right, up })
    }

    /// # What it gives
    ///
    /// The true upward direction, of length 1, in the machine's axes. The scalar product of a point
    /// with it is the height of the point.
    ///
    /// # Formula
    ///
    /// `sin(p) forward - cos(p) sin(r) right + cos(p) cos(r) up`, with `p` nose up and `r` right side
    /// down.
    ///
    /// # Valid for
    ///
    /// Any finite angle in radians, `nose_up_rad` positive with the nose raised,
    /// `right_down_rad` positive with the right side lowered.
    ///
    /// # Source
    ///
    /// Rotation about the machine's cross axis, then its long axis; derived here.
    ///
    /// # Notes
    ///
    /// The heading does not matter for heights.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotFinite`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::Attitude;
    /// use nalgebra::Vector3;
    ///
    /// // X runs aft, Y to starboard, Z up.
    /// let axes = Attitude::new(-Vector3::x(), Vector3::y(), Vector3::z())?;
    /// let up = axes.up_when(12.0_f64.to_radians(), 0.0)?;
    /// let ahead_mm = Vector3::new(-120.0, 0.0, 0.0);
    /// assert!((ahead_mm.dot(&up) - 24.949).abs() < 0.001);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn up_when(
        &self,
        nose_up_rad: f64,
        right_down_rad: f64,
    ) -> Result<Vector3<f64>, GeometryError> {
        let nose = finite("nose_up_rad", nose_up_rad)?;
        let lean = finite("right_down_rad", right_down_rad)?;
        let level = libm::cos(nose);
        Ok(self.forward * libm::sin(nose) - self.right * (level * libm::sin(lean))
            + self.up * (level * libm::cos(lean)))
    }
}
