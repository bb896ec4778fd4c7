//! Angles between directions, and directions square to others.

use nalgebra::Vector3;

use super::{GeometryError, finite};

/// How far the length of a direction may be off 1: typed directions such as `0.7071` must pass.
const UNIT_TOLERANCE: f64 = 1e-3;

/// # What it gives
///
/// The angle between two directions, in radians, from 0 to pi.
///
/// # Formula
///
/// `atan2(|a x b|, a . b)`
///
/// # Valid for
///
/// Vectors of any length; a vector of length zero gives 0.
///
/// # Source
///
/// Definition of the vector and scalar products.
///
/// # Notes
///
/// The inverse cosine of the scalar product loses half the digits near 0 and pi; this form does not.
///
/// # Example
///
/// ```
/// use hosewright::geometry::angle_between;
/// use nalgebra::Vector3;
///
/// let angle_rad = angle_between(&Vector3::x(), &Vector3::new(0.0, 3.0, 0.0));
/// assert!((angle_rad - std::f64::consts::FRAC_PI_2).abs() < 1e-15);
/// ```
#[must_use]
pub fn angle_between(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    libm::atan2(a.cross(b).norm(), a.dot(b))
}

/// The direction brought to length 1 exactly, or a refusal if it was not near that.
pub(crate) fn unit(
    what: &'static str,
    direction: &Vector3<f64>,
) -> Result<Vector3<f64>, GeometryError> {
    let length = finite(what, direction.norm())?;
    if (length - 1.0).abs() <= UNIT_TOLERANCE {
        Ok(direction / length)
    } else {
        Err(GeometryError::NotUnit { what, length })
    }
}

/// The part of `wish` square to the unit direction `along`, of length 1; `None` where they are parallel.
pub(crate) fn square_part(wish: &Vector3<f64>, along: &Vector3<f64>) -> Option<Vector3<f64>> {
    let part = wish - along * wish.dot(along);
    let length = part.norm();
    // Below a millionth of the wish the remainder is rounding, not a direction anybody chose.
    (length > 1e-6 * wish.norm() && length > 0.0).then(|| part / length)
}

/// A direction square to the unit direction `along`, always the same one for the same `along`.
pub(crate) fn any_square(along: &Vector3<f64>) -> Vector3<f64> {
    let least = along.iamin();
    let axis = match least {
        0 => Vector3::x(),
        1 => Vector3::y(),
        _ => Vector3::z(),
    };
    square_part(&axis, along).unwrap_or(axis)
}
