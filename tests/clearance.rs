//! Clearance held against dense sampling, against closed forms and against itself.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod forms;
mod plan;
mod random;
mod sampled;
mod scenes;
mod widths;

use hosewright::geometry::{Near, Piece, Shape, Swept, clearances};
use nalgebra::{Point3, Vector3};

/// Far enough for every pair to be reported.
const FAR_MM: f64 = 1e6;

fn point(x: f64, y: f64, z: f64) -> Point3<f64> {
    Point3::new(x, y, z)
}

fn straight(from: [f64; 3], to: [f64; 3], radius_mm: f64) -> Swept {
    Swept::through(&[Point3::from(from), Point3::from(to)], radius_mm)
}

fn of(pieces: Vec<Piece>, radius_mm: f64) -> Swept {
    Swept { pieces, radius_mm, grow: Vec::new(), ends: [None, None] }
}

/// An arc about an upright axis, from the direction `from_rad` of its centre on.
fn flat_arc(centre: [f64; 3], radius_mm: f64, from_rad: f64, angle_rad: f64) -> Piece {
    let centre = Point3::from(centre);
    let out = Vector3::new(libm::cos(from_rad), libm::sin(from_rad), 0.0);
    Piece::Arc { start: centre + out * radius_mm, centre, axis: Vector3::z(), radius_mm, angle_rad }
}

/// The nearest place of the only pair there is.
fn only(lines: &[Swept], shapes: &[Shape]) -> Near {
    let near = clearances(lines, shapes, FAR_MM).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(near.len(), 1, "{near:?}");
    near[0]
}

fn between(a: &Swept, b: &Swept) -> Near {
    only(&[a.clone(), b.clone()], &[])
}

fn beside(a: &Swept, shape: &Shape) -> Near {
    only(std::slice::from_ref(a), std::slice::from_ref(shape))
}
