//! Where a point of the machine lies in a view: two directions on paper, and one towards the eye.

use core::f64::consts::FRAC_PI_2;

use nalgebra::Point3;

use crate::book::canvas::{Point, Step};
use crate::geometry::{Path, Piece};
use crate::plan::Axes;

/// From where the machine is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aspect {
    /// From above, forward to the right.
    Top,
    /// From its right side, forward to the right.
    Side,
    /// Forward, as the operator sees it: right to the right.
    Front,
}

impl Aspect {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Top, Self::Side, Self::Front];

    /// What stands under the drawing.
    pub fn words(self) -> &'static str {
        match self {
            Self::Top => "top view",
            Self::Side => "side view, seen from the right",
            Self::Front => "front view, looking forward",
        }
    }
}

/// A view along one direction of the machine, in mm of the machine: right and up on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection {
    right: [f64; 3],
    up: [f64; 3],
    near: [f64; 3],
}

impl Projection {
    /// The view of a machine that stands level.
    ///
    /// ```
    /// use hosewright::{book::view::projection::{Aspect, Projection}, plan::Axes};
    /// let axes = Axes { forward: [-1.0, 0.0, 0.0], right: [0.0, 1.0, 0.0], up: [0.0, 0.0, 1.0] };
    /// let side = Projection::new(&axes, Aspect::Side);
    /// assert_eq!(side.flat([100.0, 7.0, 30.0]), [-100.0, 30.0]);
    /// ```
    pub fn new(axes: &Axes, aspect: Aspect) -> Self {
        let back = |v: [f64; 3]| v.map(|c| -c);
        let (right, up, near) = match aspect {
            Aspect::Top => (axes.forward, back(axes.right), axes.up),
            Aspect::Side => (axes.forward, axes.up, axes.right),
            Aspect::Front => (axes.right, axes.up, back(axes.forward)),
        };
        Self { right, up, near }
    }

    /// The same view turned on the paper until a direction of the machine points up. Lengths in the plane of
    /// the view stay true, whatever the attitude.
    #[must_use]
    pub fn turned(self, upward: [f64; 3]) -> Self {
        let lean = self.lean_rad(upward);
        let (sin, cos) = (libm::sin(lean), libm::cos(lean));
        let mixed = |a: f64, b: f64| core::array::from_fn(|i| a * self.right[i] + b * self.up[i]);
        Self { right: mixed(cos, -sin), up: mixed(sin, cos), near: self.near }
    }

    /// How far a direction leans to the right of what points up on the paper, rad; 0 where it points at the eye.
    pub fn lean_rad(&self, upward: [f64; 3]) -> f64 {
        let [u, v] = self.flat(upward);
        if libm::hypot(u, v) < 1e-9 { 0.0 } else { libm::atan2(u, v) }
    }

    /// Where a point lies, mm of the machine.
    pub fn flat(&self, point: [f64; 3]) -> Point {
        [dot(self.right, point), dot(self.up, point)]
    }

    /// How near a point is to the eye, mm.
    pub fn depth(&self, point: [f64; 3]) -> f64 {
        dot(self.near, point)
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// A view at a scale, with its place on the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// The view.
    pub projection: Projection,
    /// How many mm of the machine are one mm of paper.
    pub scale: f64,
    /// Where the zero of the plan lies on the paper, mm.
    pub zero: Point,
}

impl Placed {
    /// A point of the machine on the paper.
    pub fn paper(&self, point: [f64; 3]) -> Point {
        self.from_flat(self.projection.flat(point))
    }

    /// A point of the view on the paper.
    pub fn from_flat(&self, [u, v]: Point) -> Point {
        [self.zero[0] + u / self.scale, self.zero[1] - v / self.scale]
    }

    fn point(&self, point: Point3<f64>) -> Point {
        self.paper(point.coords.into())
    }

    /// A stretch of a centre line on the paper: its first point, then its steps. An arc becomes cubic curves of
    /// a quarter turn at most, which leave the circle by less than 0.03 % of its radius in any view.
    pub fn stretch(&self, path: &Path, [from_mm, to_mm]: [f64; 2]) -> Option<(Point, Vec<Step>)> {
        let mut first = None;
        let mut steps = Vec::new();
        for (begins_mm, piece) in path.stations() {
            let low = (from_mm - begins_mm).max(0.0);
            let high = (to_mm - begins_mm).min(piece.length_mm());
            if high <= low {
                continue;
            }
            first.get_or_insert_with(|| self.point(piece.point_at(low)));
            match piece {
                Piece::Straight { .. } => {
                    steps.push(Step::Straight(self.point(piece.point_at(high))));
                }
                Piece::Arc { radius_mm, .. } => {
                    self.curves(piece, *radius_mm, [low, high], &mut steps);
                }
            }
        }
        Some((first?, steps))
    }

    fn curves(&self, arc: &Piece, radius_mm: f64, [low, high]: [f64; 2], steps: &mut Vec<Step>) {
        let turn = (high - low) / radius_mm;
        let parts = (turn / FRAC_PI_2).ceil().max(1.0);
        let part_mm = (high - low) / parts;
        // The handles of the cubic that meets the arc in the middle.
        let handle_mm = 4.0 / 3.0 * libm::tan(0.25 * turn / parts) * radius_mm;
        let mut at = low;
        while at < high - 0.5 * part_mm {
            let end = at + part_mm;
            let leaving = arc.point_at(at) + arc.tangent_at(at) * handle_mm;
            let arriving = arc.point_at(end) - arc.tangent_at(end) * handle_mm;
            let points = [leaving, arriving, arc.point_at(end)].map(|p| self.point(p));
            steps.push(Step::Curve(points));
            at = end;
        }
    }
}
