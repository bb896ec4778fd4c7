//! Clock angle between two angled ends, and a direction carried along a hose without twisting it.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use super::direction::{square_part, unit};
use super::path::{Path, Piece};
use super::{GeometryError, above_zero, finite};

/// # What it gives
///
/// A direction carried from the beginning of a path to its end as an untwisted hose carries a line
/// drawn along it.
///
/// # Formula
///
/// Parallel transport. A straight changes nothing; an arc turns the direction about its axis by its
/// angle; a kink turns it by the least rotation from one tangent to the next.
///
/// # Valid for
///
/// Any path; `direction` of any length. Its angle to the path is kept.
///
/// # Source
///
/// Definition of parallel transport along a curve (the frame of least rotation); derived here for
/// straights and arcs, where it is exact.
///
/// # Notes
///
/// A hose resists twist far more than bending, and its lay line shows it: a line painted on a hose that
/// was fitted without twist follows this direction.
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Path, Piece, clock::carried};
/// use nalgebra::{Point3, Vector3};
///
/// // A quarter turn from x into y, then one from y into z.
/// let quarter = |start: [f64; 3], centre: [f64; 3], axis| Piece::Arc {
///     start: Point3::from(start),
///     centre: Point3::from(centre),
///     axis,
///     radius_mm: 100.0,
///     angle_rad: std::f64::consts::FRAC_PI_2,
/// };
/// let path = Path::new(vec![
///     quarter([0.0, 0.0, 0.0], [0.0, 100.0, 0.0], Vector3::z()),
///     quarter([100.0, 100.0, 0.0], [100.0, 100.0, 100.0], Vector3::x()),
/// ])?;
/// assert!((carried(&path, &-Vector3::z()) - Vector3::y()).norm() < 1e-12);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
#[must_use]
pub fn carried(path: &Path, direction: &Vector3<f64>) -> Vector3<f64> {
    let mut carried = *direction;
    let mut before: Option<Vector3<f64>> = None;
    for piece in path.pieces() {
        let begins = piece.tangent_at(0.0);
        if let Some(tangent) = before {
            carried = over_kink(&tangent, &begins, &carried);
        }
        if let Piece::Arc { axis, angle_rad, .. } = piece {
            carried = turned(axis, *angle_rad, &carried);
        }
        before = Some(piece.tangent_at(piece.length_mm()));
    }
    carried
}

/// Turned right-handed about a unit axis.
fn turned(axis: &Vector3<f64>, angle_rad: f64, v: &Vector3<f64>) -> Vector3<f64> {
    let (sin, cos) = (libm::sin(angle_rad), libm::cos(angle_rad));
    v * cos + axis.cross(v) * sin + axis * (axis.dot(v) * (1.0 - cos))
}

/// The least rotation that brings one tangent onto the next.
fn over_kink(from: &Vector3<f64>, to: &Vector3<f64>, v: &Vector3<f64>) -> Vector3<f64> {
    let axis = from.cross(to);
    let sin = axis.norm();
    if sin == 0.0 {
        return *v;
    }
    turned(&(axis / sin), libm::atan2(sin, from.dot(to)), v)
}

/// # What it gives
///
/// The clock angle of two angled ends on a straight axis, in radians, from 0 to under two pi: look along
/// the assembly from the near end, put the near elbow at 6 o'clock, and count counter-clockwise to the
/// far elbow.
///
/// # Formula
///
/// `atan2(f . (n x a), f . n)`, with `a` the axis from near to far, and `n` and `f` the parts of the
/// outlets of near and far elbow square to it.
///
/// # Valid for
///
/// `axis` of length 1, outlets of any length that do not lie along it.
///
/// # Source
///
/// MIL-DTL-83796/5, figure 3 (read), which cites SAE J517 for the convention; the vector form is derived
/// here.
///
/// # Notes
///
/// The same number holds seen from either end. A hose made to the other hand cannot be used.
///
/// # Errors
///
/// [`GeometryError::NotUnit`], [`GeometryError::NotFinite`], and [`GeometryError::NoAngle`] for an outlet
/// along the axis.
///
/// # Example
///
/// ```
/// use hosewright::geometry::clock::clock_angle;
/// use nalgebra::Vector3;
///
/// // Looking along z with y up, the near elbow points down and the far one to the right.
/// let angle_rad = clock_angle(&Vector3::z(), &-Vector3::y(), &-Vector3::x())?;
/// assert!((angle_rad.to_degrees() - 90.0).abs() < 1e-12);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn clock_angle(
    axis: &Vector3<f64>,
    near: &Vector3<f64>,
    far: &Vector3<f64>,
) -> Result<f64, GeometryError> {
    let axis = unit("axis", axis)?;
    finite("outlet of the near end", near.norm())?;
    finite("outlet of the far end", far.norm())?;
    let near = square_part(near, &axis).ok_or(GeometryError::NoAngle { what: "the near end" })?;
    let far = square_part(far, &axis).ok_or(GeometryError::NoAngle { what: "the far end" })?;
    let angle_rad = libm::atan2(far.dot(&near.cross(&axis)), far.dot(&near));
    let around = if angle_rad < 0.0 { angle_rad + TAU } else { angle_rad };
    // The last digit of a tiny negative angle would read as a whole turn.
    Ok(if around >= TAU { 0.0 } else { around })
}

/// # What it gives
///
/// The clock angle of the two angled ends of a hose that lies along a path, untwisted.
///
/// # Formula
///
/// The near outlet is carried along the path ([`carried`]), then compared with the far one on the axis
/// at the far end ([`clock_angle`]).
///
/// # Valid for
///
/// Outlets from the hose axis towards the seat, of any length, not along the path at their end.
///
/// # Source
///
/// As [`clock_angle`]; carrying the direction is derived here.
///
/// # Notes
///
/// Comparing the two outlets without carrying one along counts the twist of the route into the angle;
/// the hose would be fitted twisted by that much.
///
/// # Errors
///
/// As [`clock_angle`].
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Path, Piece, clock::clock_along};
/// use nalgebra::{Point3, Vector3};
///
/// let straight = Path::new(vec![Piece::Straight {
///     from: Point3::origin(),
///     to: Point3::new(300.0, 0.0, 0.0),
/// }])?;
/// let angle_rad = clock_along(&straight, &-Vector3::z(), &Vector3::y())?;
/// assert!((angle_rad.to_degrees() - 270.0).abs() < 1e-9);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn clock_along(
    path: &Path,
    near: &Vector3<f64>,
    far: &Vector3<f64>,
) -> Result<f64, GeometryError> {
    let last = path.pieces().last().ok_or(GeometryError::EmptyPath)?;
    let first = path.pieces().first().ok_or(GeometryError::EmptyPath)?;
    let near = square_part(near, &first.tangent_at(0.0))
        .ok_or(GeometryError::NoAngle { what: "the near end" })?;
    clock_angle(&last.tangent_at(last.length_mm()), &carried(path, &near), far)
}

/// # What it gives
///
/// The twist, in radians per metre, that a hose keeps when its ends are clocked wrong by an angle.
///
/// # Formula
///
/// `angle / flexible length`
///
/// # Valid for
///
/// Any finite angle in radians; flexible length above 0, the fittings left out.
///
/// # Source
///
/// Uniform twist of a rod held at its ends; derived here.
///
/// # Notes
///
/// No open standard that was read gives a twist a hose stands; half a degree over a short hose already
/// shows as a lay line that spirals.
///
/// # Errors
///
/// Refuses numbers that are not finite or a length not above zero.
///
/// # Example
///
/// ```
/// use hosewright::geometry::clock::stored_twist_rad_m;
///
/// let twist = stored_twist_rad_m(10.0_f64.to_radians(), 400.0)?;
/// assert!((twist.to_degrees() - 25.0).abs() < 1e-12);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn stored_twist_rad_m(off_rad: f64, flexible_mm: f64) -> Result<f64, GeometryError> {
    finite("off_rad", off_rad)?;
    Ok(off_rad / (above_zero("flexible_mm", flexible_mm)? / 1e3))
}
