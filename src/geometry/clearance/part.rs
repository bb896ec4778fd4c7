//! A swept line cut into parts that the search can hold: straights and short arcs, each with a radius that grows evenly.

use nalgebra::{Point3, Vector3};

use super::{Swept, SweptEnd};
use crate::geometry::Piece;
use crate::geometry::direction::any_square;

/// Widest arc of a part: its chord then lies within 8 % of the radius of it, which makes bounds tight.
const WIDEST_RAD: f64 = core::f64::consts::FRAC_PI_4;
/// Shorter parts are rounding at a cut and hold nothing that their neighbours do not.
const SHORTEST_MM: f64 = 1e-9;

/// A straight bar: its middle, its direction of length 1 and half its length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bar {
    pub mid: Point3<f64>,
    pub along: Vector3<f64>,
    pub half_mm: f64,
}

/// The circle of an arc, with `out` towards the middle of the part and `on` the direction of travel there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circle {
    pub centre: Point3<f64>,
    pub out: Vector3<f64>,
    pub on: Vector3<f64>,
    pub axis: Vector3<f64>,
    pub radius_mm: f64,
}

/// A piece of a line over which the tube's radius is linear; places count from its middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// The part itself if it is straight, else its chord.
    pub core: Bar,
    /// How far the part bows off `core`.
    pub bow_mm: f64,
    pub circle: Option<Circle>,
    pub half_mm: f64,
    /// Station of the middle.
    pub station_mm: f64,
    /// Radius of the tube at the middle, allowance included.
    pub radius_mm: f64,
    /// Growth of the radius along the part.
    pub slope: f64,
}

impl Part {
    fn straight(mid: Point3<f64>, along: Vector3<f64>, half_mm: f64) -> Self {
        let core = Bar { mid, along, half_mm };
        let (station_mm, radius_mm, slope) = (0.0, 0.0, 0.0);
        Self { core, bow_mm: 0.0, circle: None, half_mm, station_mm, radius_mm, slope }
    }

    fn round(circle: Circle, half_mm: f64) -> Self {
        let angle = half_mm / circle.radius_mm;
        let (sin, cos) = (libm::sin(angle), libm::cos(angle));
        let mid = circle.centre + circle.out * (circle.radius_mm * cos);
        let core = Bar { mid, along: circle.on, half_mm: circle.radius_mm * sin };
        let bow_mm = circle.radius_mm * (1.0 - cos);
        Self { core, bow_mm, circle: Some(circle), ..Self::straight(mid, circle.on, half_mm) }
    }

    /// A point without length, as a part.
    pub fn dot(point: Point3<f64>, radius_mm: f64) -> Self {
        Self { radius_mm, ..Self::straight(point, Vector3::x(), 0.0) }
    }

    /// From `low` to `high` along a piece that begins at `station_mm`.
    pub fn of(piece: &Piece, station_mm: f64, low: f64, high: f64) -> Self {
        let (mid, half_mm) = (0.5 * (low + high), 0.5 * (high - low));
        let (point, tangent) = (piece.point_at(mid), piece.tangent_at(mid));
        let part = match piece {
            Piece::Straight { .. } => Self::straight(point, tangent, half_mm),
            Piece::Arc { centre, axis, radius_mm, .. } => {
                let out = (point - centre) / *radius_mm;
                let (axis, centre) = (axis.normalize(), *centre);
                let on = axis.cross(&out);
                Self::round(Circle { centre, out, on, axis, radius_mm: *radius_mm }, half_mm)
            }
        };
        Self { station_mm: station_mm + mid, ..part }
    }

    /// The point `u` along from the middle.
    pub fn point(&self, u: f64) -> Point3<f64> {
        match &self.circle {
            None => self.core.mid + self.core.along * u,
            Some(c) => {
                let turned = u / c.radius_mm;
                c.centre + (c.out * libm::cos(turned) + c.on * libm::sin(turned)) * c.radius_mm
            }
        }
    }

    /// Direction of travel, and how fast it turns, `u` along from the middle.
    pub fn turning(&self, u: f64) -> (Vector3<f64>, Vector3<f64>) {
        match &self.circle {
            None => (self.core.along, Vector3::zeros()),
            Some(c) => {
                let (sin, cos) = (libm::sin(u / c.radius_mm), libm::cos(u / c.radius_mm));
                (c.on * cos - c.out * sin, -(c.out * cos + c.on * sin) / c.radius_mm)
            }
        }
    }

    /// Radius of the tube `u` along from the middle.
    pub fn radius(&self, u: f64) -> f64 {
        self.radius_mm + self.slope * u
    }

    pub fn largest_radius(&self) -> f64 {
        self.radius_mm + self.slope.abs() * self.half_mm
    }

    /// What of the part lies between two stations.
    pub fn clipped(&self, (low, high): (f64, f64)) -> Option<Self> {
        let from = (low - self.station_mm).max(-self.half_mm);
        let to = (high - self.station_mm).min(self.half_mm);
        if from <= -self.half_mm && to >= self.half_mm {
            return Some(*self);
        }
        if to - from < SHORTEST_MM {
            return None;
        }
        let (mid, half_mm) = (0.5 * (from + to), 0.5 * (to - from));
        let point = self.point(mid);
        let part = match self.circle {
            None => Self::straight(point, self.core.along, half_mm),
            Some(c) => {
                let out = (point - c.centre) / c.radius_mm;
                Self::round(Circle { out, on: c.axis.cross(&out), ..c }, half_mm)
            }
        };
        let (station_mm, radius_mm) = (self.station_mm + mid, self.radius(mid));
        Some(Self { station_mm, radius_mm, slope: self.slope, ..part })
    }

    /// Lowest and highest coordinates of the swept part.
    pub fn bounds(&self) -> [[f64; 3]; 2] {
        let (first, last) = (self.point(-self.half_mm), self.point(self.half_mm));
        let mut corners = vec![first, last];
        if let Some(c) = &self.circle {
            // A short arc stays inside the triangle of its ends and the corner of its tangents.
            let reach = c.radius_mm / libm::cos(self.half_mm / c.radius_mm);
            corners.push(c.centre + c.out * reach);
        }
        let grown = self.largest_radius();
        let over = |axis: usize, start: f64, pick: fn(f64, f64) -> f64| {
            corners.iter().map(|corner| corner[axis]).fold(start, pick)
        };
        let low = [0, 1, 2].map(|axis| over(axis, f64::INFINITY, f64::min) - grown);
        let high = [0, 1, 2].map(|axis| over(axis, f64::NEG_INFINITY, f64::max) + grown);
        [low, high]
    }
}

/// A swept line, cut and ready.
#[derive(Debug)]
pub(super) struct Cut<'s> {
    pub parts: Vec<Part>,
    pub length_mm: f64,
    ends: &'s [Option<SweptEnd>; 2],
}

impl<'s> Cut<'s> {
    /// Cuts a line that has been looked over.
    pub fn new(swept: &'s Swept) -> Self {
        let mut parts = Vec::with_capacity(swept.pieces.len());
        let mut station_mm = 0.0;
        for piece in &swept.pieces {
            let length_mm = piece.length_mm();
            cut_piece(swept, piece, station_mm, length_mm, &mut parts);
            station_mm += length_mm;
        }
        Self { parts, length_mm: station_mm, ends: &swept.ends }
    }

    /// The stations that count beside something fixed at `places`: the line's end at the same place is left out.
    pub fn window(&self, places: &[usize]) -> Option<(f64, f64)> {
        let left_out = |end: &Option<SweptEnd>| {
            end.filter(|end| places.contains(&end.place)).map(|end| end.leave_out_mm)
        };
        // Without an end to leave out nothing is cut, not even by rounding.
        let low = left_out(&self.ends[0]).unwrap_or(f64::NEG_INFINITY);
        let high = left_out(&self.ends[1]).map_or(f64::INFINITY, |mm| self.length_mm - mm);
        (low < high).then_some((low, high))
    }

    /// Where the ends are.
    pub fn places(&self) -> Vec<usize> {
        self.ends.iter().flatten().map(|end| end.place).collect()
    }
}

fn cut_piece(swept: &Swept, piece: &Piece, station_mm: f64, length_mm: f64, parts: &mut Vec<Part>) {
    let knots = swept.grow.iter().map(|(station, _)| station - station_mm);
    let mut cuts: Vec<f64> = knots.filter(|at| *at > 0.0 && *at < length_mm).collect();
    cuts.push(length_mm);
    let mut low = 0.0;
    for high in cuts {
        let shares = match piece {
            Piece::Straight { .. } => 1,
            Piece::Arc { radius_mm, .. } => shares((high - low) / (radius_mm * WIDEST_RAD)),
        };
        let step = (high - low) / f64::from(shares);
        for share in 0..shares {
            let from = low + step * f64::from(share);
            if step >= SHORTEST_MM {
                parts.push(grown(swept, Part::of(piece, station_mm, from, from + step)));
            }
        }
        low = high;
    }
}

/// How many arcs of the widest kind are needed; an arc that has been looked over is not endless.
fn shares(ratio: f64) -> u32 {
    (1..1_000).find(|n| f64::from(*n) + 1e-9 >= ratio).unwrap_or(1_000)
}

fn grown(swept: &Swept, part: Part) -> Part {
    let at = |u: f64| swept.radius_mm + allowance(&swept.grow, part.station_mm + u);
    let (first, last) = (at(-part.half_mm), at(part.half_mm));
    let (radius_mm, slope) = (0.5 * (first + last), (last - first) / (2.0 * part.half_mm));
    Part { radius_mm, slope, ..part }
}

/// Allowance at a station: straight lines between the points given, held beyond the first and the last.
fn allowance(grow: &[(f64, f64)], station_mm: f64) -> f64 {
    let next = grow.partition_point(|(station, _)| *station < station_mm);
    match (next.checked_sub(1).and_then(|i| grow.get(i)), grow.get(next)) {
        (Some((from, low)), Some((to, high))) => {
            low + (high - low) * ((station_mm - from) / (to - from))
        }
        (Some((_, mm)), None) | (None, Some((_, mm))) => *mm,
        (None, None) => 0.0,
    }
}

/// Two directions square to a third of length 1 and to each other.
pub(super) fn squares(along: &Vector3<f64>) -> [Vector3<f64>; 2] {
    let first = any_square(along);
    [first, along.cross(&first)]
}
