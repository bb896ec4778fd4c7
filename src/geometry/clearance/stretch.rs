//! Over which stretches of a line something else is near: where a sleeve begins and ends.

use nalgebra::Point3;

use super::meet::{of_parts, to_convex};
use super::part::{Cut, Part};
use super::solid::Convex;
use super::{Beside, Shape, Stretch, Swept};
use crate::geometry::{GeometryError, within};

/// Half the length to which the ends of a stretch are narrowed down: finer than any mark on a hose.
const MARK_MM: f64 = 0.025;

/// # What it gives
///
/// The stretches of `line` that are within `within_mm` of `beside`, surface to surface, in the order of the line,
/// each with its least distance.
///
/// # Formula
///
/// The distance of a place of the line changes by no more than the way along the line, and by the growth of its
/// radius. So a cell whose middle is far enough within, or far enough outside, is so as a whole; other cells are
/// halved down to 0.05 mm, and what is still undecided then counts as near.
///
/// # Valid for
///
/// As [`clearances`](super::clearances); ends left out there are left out here.
///
/// # Source
///
/// Worked out here: a distance is a Lipschitz function of the place.
///
/// # Notes
///
/// Ends of a stretch are up to 0.05 mm outside the exact place, never inside.
///
/// # Errors
///
/// As [`clearances`](super::clearances).
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Beside, Shape, Solid, Swept, stretches};
/// use nalgebra::{Point3, Vector3};
///
/// let line = Swept::through(&[Point3::new(0.0, 0.0, 50.0), Point3::new(300.0, 0.0, 50.0)], 10.0);
/// let axes = [Vector3::x(), Vector3::y(), Vector3::z()];
/// let solid = Solid::Box { centre: Point3::new(150.0, 0.0, 0.0), axes, half_mm: [20.0, 20.0, 10.0] };
/// let block = Shape { solid, grow_mm: 0.0, place: None };
/// // 30 mm from surface to surface over the block; within 40 mm until sqrt(50^2 - 40^2) = 30 mm beside it.
/// let near = stretches(&line, Beside::Shape(&block), 40.0)?;
/// assert_eq!(near.len(), 1);
/// assert!((near[0].least_mm - 30.0).abs() < 1e-6);
/// assert!((near[0].start_mm - 100.0).abs() < 0.06 && (near[0].end_mm - 200.0).abs() < 0.06);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn stretches(
    line: &Swept,
    beside: Beside<'_>,
    within_mm: f64,
) -> Result<Vec<Stretch>, GeometryError> {
    within("the distance looked for", within_mm, 0.0, super::FARTHEST_MM)?;
    line.checked()?;
    let own = Cut::new(line);
    let (other, places) = match beside {
        Beside::Line(swept) => {
            swept.checked()?;
            let cut = Cut::new(swept);
            let places = cut.places();
            (Target::Parts(counted(&cut, &own.places())), places)
        }
        Beside::Shape(shape) => {
            shape.checked()?;
            (Target::Shape(shape), shape.place.into_iter().collect())
        }
    };
    let mut covered = Vec::new();
    for part in counted(&own, &places) {
        let mut cells = Cells { part: &part, within_mm, covered: &mut covered };
        match &other {
            Target::Shape(shape) => cells.beside_shape(shape, 0.0, part.half_mm),
            Target::Parts(parts) => {
                let parts: Vec<&Part> = parts.iter().collect();
                cells.beside_parts(&parts, 0.0, part.half_mm)?;
            }
        }
    }
    joined(covered).into_iter().map(|ends| measured(&own, ends, &other)).collect()
}

/// What the line is held against, without what is left out.
enum Target<'t> {
    Parts(Vec<Part>),
    Shape(&'t Shape),
}

fn counted(cut: &Cut<'_>, places: &[usize]) -> Vec<Part> {
    let window = cut.window(places);
    window.map_or(Vec::new(), |w| cut.parts.iter().filter_map(|part| part.clipped(w)).collect())
}

/// Cells of one part of the line being told apart; what is near is written down in order.
struct Cells<'c> {
    part: &'c Part,
    within_mm: f64,
    covered: &'c mut Vec<(f64, f64)>,
}

/// What is known of a cell from its middle.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Told {
    Far,
    Undecided,
    Near,
}

impl Cells<'_> {
    fn told(&self, value: f64, half: f64) -> Told {
        let swing = half * (1.0 + self.part.slope.abs());
        if value - swing > self.within_mm {
            Told::Far
        } else if value + swing <= self.within_mm || half <= MARK_MM {
            Told::Near
        } else {
            Told::Undecided
        }
    }

    fn cover(&mut self, u: f64, half: f64) {
        let mid = self.part.station_mm + u;
        self.covered.push((mid - half, mid + half));
    }

    fn beside_shape(&mut self, shape: &Shape, u: f64, half: f64) {
        let value = shape.reach(&self.part.point(u)).distance_mm - self.part.radius(u);
        match self.told(value, half) {
            Told::Far => {}
            Told::Near => self.cover(u, half),
            Told::Undecided => {
                let quarter = 0.5 * half;
                self.beside_shape(shape, u - quarter, quarter);
                self.beside_shape(shape, u + quarter, quarter);
            }
        }
    }

    fn beside_parts(&mut self, parts: &[&Part], u: f64, half: f64) -> Result<(), GeometryError> {
        let point = self.part.point(u);
        let mut kept = Vec::new();
        for part in parts {
            match self.told(to_part(&point, self.part.radius(u), part)?, half) {
                Told::Far => {}
                Told::Near => {
                    self.cover(u, half);
                    return Ok(());
                }
                Told::Undecided => kept.push(*part),
            }
        }
        if !kept.is_empty() {
            let quarter = 0.5 * half;
            self.beside_parts(&kept, u - quarter, quarter)?;
            self.beside_parts(&kept, u + quarter, quarter)?;
        }
        Ok(())
    }
}

/// From the surface of a ball to the surface of a part.
fn to_part(point: &Point3<f64>, radius_mm: f64, part: &Part) -> Result<f64, GeometryError> {
    let ball = Part::dot(*point, radius_mm);
    let met = of_parts(&ball, part, f64::INFINITY)?;
    met.map(|met| met.distance_mm).ok_or(NOT_FOUND)
}

/// A search without an upper limit finds something, unless numbers have run out.
const NOT_FOUND: GeometryError = GeometryError::NotSettled { what: "the nearest place of a line" };

/// Stretches that touch, as one.
fn joined(covered: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let mut whole: Vec<(f64, f64)> = Vec::new();
    for (start, end) in covered {
        match whole.last_mut() {
            Some(last) if start <= last.1 + MARK_MM => last.1 = end,
            _ => whole.push((start, end)),
        }
    }
    whole
}

fn measured(
    own: &Cut<'_>,
    (start_mm, end_mm): (f64, f64),
    other: &Target<'_>,
) -> Result<Stretch, GeometryError> {
    let mut least_mm = f64::INFINITY;
    for part in own.parts.iter().filter_map(|part| part.clipped((start_mm, end_mm))) {
        match other {
            Target::Shape(shape) => {
                let found = to_convex(&part, *shape, least_mm)?;
                least_mm = found.map_or(least_mm, |lowest| lowest.value);
            }
            Target::Parts(parts) => {
                for other in parts {
                    let met = of_parts(&part, other, least_mm)?;
                    least_mm = met.map_or(least_mm, |met| met.distance_mm);
                }
            }
        }
    }
    let (start_mm, end_mm) = (start_mm.max(0.0), end_mm.min(own.length_mm));
    least_mm.is_finite().then_some(Stretch { start_mm, end_mm, least_mm }).ok_or(NOT_FOUND)
}
