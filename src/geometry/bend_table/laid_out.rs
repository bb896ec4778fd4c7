//! A bend table laid out in space: where its bends begin, its corners and its centre line.

use nalgebra::{Point3, Vector3};

use super::{BendTable, NOTHING_MM, TubeBend};
use crate::geometry::direction::unit;
use crate::geometry::path::{Path, Piece};
use crate::geometry::{GeometryError, within};

/// Where a bend begins, on a tube laid out in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendStart {
    /// The tangent point before the bend.
    pub at: Point3<f64>,
    /// Direction of travel before the bend.
    pub along: Vector3<f64>,
    /// Axis the bend turns about, right-handed.
    pub axis: Vector3<f64>,
    /// Length along the centre line up to here.
    pub station_mm: f64,
}

impl BendStart {
    /// Direction to the centre of the bend.
    #[must_use]
    pub fn inward(&self) -> Vector3<f64> {
        self.axis.cross(&self.along)
    }
}

impl BendTable {
    /// Where each bend begins, on the tube laid out from `start` along `along` with the inside of the first
    /// bend towards `inward`.
    ///
    /// # Errors
    /// Refuses directions that are not of length 1 or not square to each other.
    pub fn starts(
        &self,
        start: Point3<f64>,
        along: Vector3<f64>,
        inward: Vector3<f64>,
    ) -> Result<Vec<BendStart>, GeometryError> {
        let (mut along, inward) = (unit("along", &along)?, unit("inward", &inward)?);
        within("lean of inward", along.dot(&inward).abs(), 0.0, 1e-3)?;
        let mut axis = along.cross(&inward).normalize();
        let (mut at, mut station_mm) = (start, 0.0);
        let mut starts = Vec::with_capacity(self.bends.len());
        for (index, bend) in self.bends.iter().enumerate() {
            let (sin, cos) = (libm::sin(bend.rotation_rad), libm::cos(bend.rotation_rad));
            // The tube is laid out by `inward`; the rotation of its first bend is against no other.
            if index > 0 {
                axis = (axis * cos + along.cross(&axis) * sin).normalize();
            }
            at += along * bend.straight_mm;
            station_mm += bend.straight_mm;
            let begins = BendStart { at, along, axis, station_mm };
            starts.push(begins);
            let (sin, cos) = (libm::sin(bend.angle_rad), libm::cos(bend.angle_rad));
            at += (along * sin + begins.inward() * (1.0 - cos)) * bend.radius_mm;
            along = (along * cos + begins.inward() * sin).normalize();
            station_mm += bend.arc_mm();
        }
        Ok(starts)
    }

    /// The corners of the tube with both its ends, laid out as by [`BendTable::starts`].
    ///
    /// # Errors
    /// As [`BendTable::starts`].
    pub fn points(
        &self,
        start: Point3<f64>,
        along: Vector3<f64>,
        inward: Vector3<f64>,
    ) -> Result<Vec<Point3<f64>>, GeometryError> {
        let starts = self.starts(start, along, inward)?;
        let corner =
            |(begins, bend): (&BendStart, &TubeBend)| begins.at + begins.along * bend.setback_mm();
        let mut points = vec![start];
        points.extend(starts.iter().zip(&self.bends).map(corner));
        points.push(self.end(&starts, start, along));
        Ok(points)
    }

    fn end(&self, starts: &[BendStart], start: Point3<f64>, along: Vector3<f64>) -> Point3<f64> {
        let Some((begins, bend)) = starts.last().zip(self.bends.last()) else {
            return start + along * self.last_straight_mm;
        };
        let (sin, cos) = (libm::sin(bend.angle_rad), libm::cos(bend.angle_rad));
        let out = begins.along * cos + begins.inward() * sin;
        let corner = begins.at + begins.along * bend.setback_mm();
        corner + out * (bend.setback_mm() + self.last_straight_mm)
    }

    /// The centre line, laid out as by [`BendTable::starts`].
    ///
    /// # Errors
    /// As [`BendTable::starts`], and where the tube has no length.
    pub fn path(
        &self,
        start: Point3<f64>,
        along: Vector3<f64>,
        inward: Vector3<f64>,
    ) -> Result<Path, GeometryError> {
        let starts = self.starts(start, along, inward)?;
        let mut pieces = Vec::new();
        let mut from = start;
        let straight = |from: Point3<f64>, to: Point3<f64>, pieces: &mut Vec<Piece>| {
            if (to - from).norm() > NOTHING_MM {
                pieces.push(Piece::Straight { from, to });
            }
        };
        for (begins, bend) in starts.iter().zip(&self.bends) {
            straight(from, begins.at, &mut pieces);
            let arc = Piece::Arc {
                start: begins.at,
                centre: begins.at + begins.inward() * bend.radius_mm,
                axis: begins.axis,
                radius_mm: bend.radius_mm,
                angle_rad: bend.angle_rad,
            };
            from = arc.end();
            pieces.push(arc);
        }
        straight(from, self.end(&starts, start, along), &mut pieces);
        Path::new(pieces)
    }
}
