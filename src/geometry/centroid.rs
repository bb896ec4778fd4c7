//! Where the middle of a line is: the place its mass balances at when that is spread evenly along it.

use nalgebra::{Point3, Vector3};

use super::path::{Path, Piece};
use super::{GeometryError, above_zero, within};

impl Path {
    /// # What it gives
    ///
    /// The centroid of the part of the centre line between two stations.
    ///
    /// # Formula
    ///
    /// `sum(length c) / sum(length)` over the pieces; `c` of a straight is its middle, of an arc
    /// `centre + (middle - centre) sin(h) / h` with `h` half the angle turned through.
    ///
    /// # Valid for
    ///
    /// `0 <= from_mm < to_mm <= length`; mass spread evenly along the line.
    ///
    /// # Source
    ///
    /// Centroid of a circular arc, handbooks of mechanics (from memory).
    ///
    /// # Notes
    ///
    /// Of a bent pipe the outer side is longer than the inner one: its wall balances outwards of the centre line
    /// by `(R^2 + r^2) / 4` over the bend radius, `R` and `r` its own radii. That is left out.
    ///
    /// # Errors
    ///
    /// [`GeometryError::OutOfRange`] for stations beyond the line, [`GeometryError::NotAboveZero`] where they
    /// leave nothing between them, [`GeometryError::NotFinite`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::{Path, Piece};
    /// use nalgebra::{Point3, Vector3};
    ///
    /// let half_circle = Path::new(vec![Piece::Arc {
    ///     start: Point3::new(100.0, 0.0, 0.0),
    ///     centre: Point3::origin(),
    ///     axis: Vector3::z(),
    ///     radius_mm: 100.0,
    ///     angle_rad: std::f64::consts::PI,
    /// }])?;
    /// let middle = half_circle.centroid(0.0, half_circle.length_mm())?;
    /// assert!((middle - Point3::new(0.0, 200.0 / std::f64::consts::PI, 0.0)).norm() < 1e-9);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn centroid(&self, from_mm: f64, to_mm: f64) -> Result<Point3<f64>, GeometryError> {
        let length_mm = self.length_mm();
        within("from_mm", from_mm, 0.0, length_mm)?;
        within("to_mm", to_mm, 0.0, length_mm)?;
        let total_mm = above_zero("length between the stations", to_mm - from_mm)?;
        // Counted from the beginning of the line, so that no digits are lost far from the origin.
        let origin = self.pieces().first().map_or_else(Point3::origin, Piece::start);
        let mut moment = Vector3::zeros();
        for (begins_mm, piece) in self.stations() {
            let own_mm = piece.length_mm();
            let (a_mm, b_mm) =
                ((from_mm - begins_mm).clamp(0.0, own_mm), (to_mm - begins_mm).clamp(0.0, own_mm));
            if b_mm > a_mm {
                moment += (centroid_of(piece, a_mm, b_mm) - origin) * (b_mm - a_mm);
            }
        }
        Ok(origin + moment / total_mm)
    }
}

fn centroid_of(piece: &Piece, a_mm: f64, b_mm: f64) -> Point3<f64> {
    let middle = piece.point_at(f64::midpoint(a_mm, b_mm));
    match piece {
        Piece::Straight { .. } => middle,
        Piece::Arc { centre, radius_mm, .. } => {
            let half_rad = 0.5 * (b_mm - a_mm) / radius_mm;
            centre + (middle - centre) * (libm::sin(half_rad) / half_rad)
        }
    }
}
