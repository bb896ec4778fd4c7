//! Clearance: how near swept tubes come to each other and to solids, and over which stretches of a line.
//!
//! A tube is the room that a ball takes which moves along the centre line, with a radius that may grow. Distances
//! are from surface to surface. They are certified: no place is nearer than the answer by more than 1e-7 mm.

mod bound;
mod meet;
mod pairs;
mod part;
mod search;
mod solid;
mod stretch;

use nalgebra::{Point3, Vector3};

pub use pairs::clearances;
pub use stretch::stretches;

use super::path::checked_pieces;
use super::{GeometryError, Path, Piece, above_zero, finite, within};

/// Most a coordinate or a size may be: beyond this a double no longer tells micrometres apart.
const FARTHEST_MM: f64 = 1e8;
/// Directions may be this far from length 1 and from square: rounding.
const DIRECTION_TOLERANCE: f64 = 1e-9;

/// A line with its tube: the room that it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Swept {
    /// The centre line in order, without gaps.
    pub pieces: Vec<Piece>,
    /// Outside radius of the tube.
    pub radius_mm: f64,
    /// Allowance on the radius for movement, bow and tolerance, as station and millimetres: straight lines between
    /// the points given, held before the first and behind the last. Empty where there is none.
    pub grow: Vec<(f64, f64)>,
    /// Where each end is, if something else may be at the same place on purpose.
    pub ends: [Option<SweptEnd>; 2],
}

/// The place at which a line ends, and what of the line does not count there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweptEnd {
    /// Number of the place: lines and shapes of the same place are near each other there on purpose.
    pub place: usize,
    /// Length from the end that is left out beside another line or shape of this place.
    pub leave_out_mm: f64,
}

impl Swept {
    /// The tube of a path, without an allowance.
    #[must_use]
    pub fn along(path: &Path, radius_mm: f64) -> Self {
        let pieces = path.pieces().to_vec();
        Self { pieces, radius_mm, grow: Vec::new(), ends: [None, None] }
    }

    /// The tube of straights from point to point, such as the free shape of a hose; points that follow each other on
    /// one place count once.
    #[must_use]
    pub fn through(points: &[Point3<f64>], radius_mm: f64) -> Self {
        let legs = points.iter().zip(points.iter().skip(1)).filter(|(from, to)| from != to);
        let pieces = legs.map(|(&from, &to)| Piece::Straight { from, to }).collect();
        Self { pieces, radius_mm, grow: Vec::new(), ends: [None, None] }
    }

    fn checked(&self) -> Result<(), GeometryError> {
        checked_pieces(&self.pieces)?;
        for piece in &self.pieces {
            for point in [piece.start(), piece.end()] {
                in_reach(&point)?;
            }
            if let Piece::Arc { angle_rad, .. } = piece {
                within("angle of an arc", *angle_rad, 0.0, FULL_TURN_RAD)?;
            }
        }
        within("outside radius of a line", self.radius_mm, 0.0, FARTHEST_MM)?;
        let mut before = f64::NEG_INFINITY;
        for (station_mm, mm) in &self.grow {
            if finite("station of an allowance", *station_mm)? <= before {
                return Err(GeometryError::NotAscending { what: "stations of an allowance" });
            }
            before = *station_mm;
            within("allowance on a radius", *mm, 0.0, FARTHEST_MM)?;
        }
        for end in self.ends.iter().flatten() {
            within("length left out at an end", end.leave_out_mm, 0.0, FARTHEST_MM)?;
        }
        Ok(())
    }
}

/// A full turn, and what rounding may add to it.
const FULL_TURN_RAD: f64 = core::f64::consts::TAU + 1e-9;

/// What a line has to keep clear of.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The body at rest.
    pub solid: Solid,
    /// How far its surface may come out, in every direction.
    pub grow_mm: f64,
    /// Number of the place that it belongs to: lines that end there leave out their ends beside it.
    pub place: Option<usize>,
}

/// A convex body.
#[derive(Debug, Clone, PartialEq)]
pub enum Solid {
    /// A box that may stand askew.
    Box {
        /// Its middle.
        centre: Point3<f64>,
        /// Directions of its edges, of length 1 and square to each other.
        axes: [Vector3<f64>; 3],
        /// Half its size along each.
        half_mm: [f64; 3],
    },
    /// A solid cylinder with flat ends.
    Cylinder {
        /// Middle of one end.
        from: Point3<f64>,
        /// Middle of the other end.
        to: Point3<f64>,
        /// Its radius.
        radius_mm: f64,
    },
    /// Everything behind a plane.
    HalfSpace {
        /// A point of the plane.
        at: Point3<f64>,
        /// The way the plane faces, of length 1: the open side.
        faces: Vector3<f64>,
    },
}

impl Shape {
    fn checked(&self) -> Result<(), GeometryError> {
        within("growth of a shape", self.grow_mm, 0.0, FARTHEST_MM)?;
        match &self.solid {
            Solid::Box { centre, axes, half_mm } => {
                in_reach(centre)?;
                for (axis, half) in axes.iter().zip(half_mm) {
                    exact("direction of an edge, length over 1", axis)?;
                    within("half the size of a box", *half, 0.0, FARTHEST_MM)?;
                }
                for pair in [[0, 1], [1, 2], [2, 0]] {
                    let lean = axes[pair[0]].dot(&axes[pair[1]]).abs();
                    within("lean of two edges", lean, 0.0, DIRECTION_TOLERANCE)?;
                }
            }
            Solid::Cylinder { from, to, radius_mm } => {
                in_reach(from)?;
                in_reach(to)?;
                above_zero("length of a cylinder", (to - from).norm())?;
                within("radius of a cylinder", *radius_mm, 0.0, FARTHEST_MM)?;
            }
            Solid::HalfSpace { at, faces } => {
                in_reach(at)?;
                exact("direction of a plane, length over 1", faces)?;
            }
        }
        Ok(())
    }
}

fn exact(what: &'static str, direction: &Vector3<f64>) -> Result<(), GeometryError> {
    let off = (direction.norm() - 1.0).abs();
    within(what, off, 0.0, DIRECTION_TOLERANCE)?;
    Ok(())
}

fn in_reach(point: &Point3<f64>) -> Result<(), GeometryError> {
    within("distance of a point from the origin", point.coords.norm(), 0.0, FARTHEST_MM)?;
    Ok(())
}

/// What a line is near to, by its place in the lists given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Body {
    /// Another line.
    Line(usize),
    /// A shape.
    Shape(usize),
}

/// What one line is held against.
#[derive(Debug, Clone, Copy)]
pub enum Beside<'b> {
    /// Another line.
    Line(&'b Swept),
    /// A shape.
    Shape(&'b Shape),
}

/// The nearest place of a line to another line or a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// The line.
    pub a: usize,
    /// What it is near to; a line is named in the pair with the lower number first.
    pub b: Body,
    /// From surface to surface, allowances taken off.
    pub distance_mm: f64,
    /// Where on the centre line of `a`.
    pub on_a: Spot,
    /// Where on the centre line of the other line, or on the surface of the shape.
    pub on_b: Spot,
}

/// A place on a line or a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// How far along the line; `None` on a shape.
    pub station_mm: Option<f64>,
    /// The point.
    pub point: Point3<f64>,
}

/// A stretch of a line over which something is near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Station at which it begins.
    pub start_mm: f64,
    /// Station at which it ends.
    pub end_mm: f64,
    /// The least distance in it, from surface to surface.
    pub least_mm: f64,
}
