//! The slow answer: a grid over all stations, and the best places of it looked at ever closer.

use hosewright::geometry::{Shape, Solid, Swept};
use nalgebra::Point3;

/// Places along a line in the first round.
const COARSE: u32 = 240;
/// How many of the best places are followed.
const FOLLOWED: usize = 6;

pub fn length(line: &Swept) -> f64 {
    line.pieces.iter().map(hosewright::geometry::Piece::length_mm).sum()
}

/// Centre and radius of the ball at a station, both read off the definition.
pub fn ball(line: &Swept, station_mm: f64) -> (Point3<f64>, f64) {
    let mut begins = 0.0;
    let mut centre = line.pieces[0].start();
    for piece in &line.pieces {
        let along = (station_mm - begins).min(piece.length_mm());
        if along < 0.0 {
            break;
        }
        centre = piece.point_at(along);
        begins += piece.length_mm();
    }
    let mut grown = line.grow.first().map_or(0.0, |(_, mm)| *mm);
    for pair in line.grow.windows(2) {
        let [(from, low), (to, high)] = [pair[0], pair[1]];
        if station_mm > from {
            grown = low + (high - low) * ((station_mm.min(to) - from) / (to - from));
        }
    }
    (centre, line.radius_mm + grown)
}

/// Signed distance by another way than the library's: from the corners of a rectangle or a sum of cases.
pub fn to_solid(shape: &Shape, p: &Point3<f64>) -> f64 {
    let flat = |over: &[f64]| {
        let out: f64 = over.iter().map(|d| d.max(0.0) * d.max(0.0)).sum();
        let least_deep = over.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if least_deep > 0.0 { out.sqrt() } else { least_deep }
    };
    let at_rest = match &shape.solid {
        Solid::Box { centre, axes, half_mm } => {
            let over: Vec<f64> =
                (0..3).map(|i| (p - centre).dot(&axes[i]).abs() - half_mm[i]).collect();
            flat(&over)
        }
        Solid::Cylinder { from, to, radius_mm } => {
            let length = (to - from).norm();
            let height = (p - from).dot(&(to - from)) / length;
            let rho = (p - from).cross(&(to - from)).norm() / length;
            flat(&[rho - radius_mm, (height - length / 2.0).abs() - length / 2.0])
        }
        Solid::HalfSpace { at, faces } => (p - at).dot(faces),
    };
    at_rest - shape.grow_mm
}

/// Distance of one place of a line to a shape.
pub fn place_to_solid(line: &Swept, shape: &Shape, station_mm: f64) -> f64 {
    let (centre, radius) = ball(line, station_mm);
    to_solid(shape, &centre) - radius
}

/// The least value of a function of one place.
pub fn least_of_one(length: f64, value: impl Fn(f64) -> f64) -> f64 {
    let both = |places: [f64; 2]| value(places[0]);
    least([length, 0.0], [COARSE, 0], both)
}

/// The least distance of two lines, each place with each.
pub fn least_of_two(a: &Swept, b: &Swept) -> f64 {
    least([length(a), length(b)], [COARSE, COARSE], |[s, t]| {
        let (of_a, of_b) = (ball(a, s), ball(b, t));
        (of_a.0 - of_b.0).norm() - of_a.1 - of_b.1
    })
}

fn least(lengths: [f64; 2], steps: [u32; 2], value: impl Fn([f64; 2]) -> f64) -> f64 {
    let share = |i: u32, n: u32| if n == 0 { 0.0 } else { f64::from(i) / f64::from(n) };
    let mut places: Vec<(f64, [f64; 2])> = Vec::new();
    for i in 0..=steps[0] {
        for j in 0..=steps[1] {
            let at = [lengths[0] * share(i, steps[0]), lengths[1] * share(j, steps[1])];
            places.push((value(at), at));
        }
    }
    places.sort_by(|x, y| x.0.total_cmp(&y.0));
    let mut starts: Vec<[f64; 2]> = Vec::new();
    let width = |k: usize| if steps[k] == 0 { 0.0 } else { lengths[k] / f64::from(steps[k]) };
    for (_, at) in &places {
        let known = |s: &[f64; 2]| (0..2).all(|k| (s[k] - at[k]).abs() <= 2.5 * width(k));
        if !starts.iter().any(known) {
            starts.push(*at);
        }
        if starts.len() == FOLLOWED {
            break;
        }
    }
    let followed = starts.into_iter().map(|at| closer(at, [width(0), width(1)], lengths, &value));
    followed.fold(f64::INFINITY, f64::min)
}

/// A cross-shaped search whose arms grow while they pay and shrink when they do not.
fn closer(
    mut at: [f64; 2],
    mut arm: [f64; 2],
    lengths: [f64; 2],
    value: &impl Fn([f64; 2]) -> f64,
) -> f64 {
    let mut best = value(at);
    for _ in 0..400 {
        let mut moved = false;
        for (x, y) in [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1), (1, -1), (-1, 1)] {
            let step = [f64::from(x) * arm[0], f64::from(y) * arm[1]];
            let next = [0, 1].map(|k| (at[k] + step[k]).clamp(0.0, lengths[k]));
            let found = value(next);
            if found < best {
                (best, at, moved) = (found, next, true);
            }
        }
        let factor = if moved { 1.3 } else { 0.6 };
        arm = arm.map(|a| a * factor);
    }
    best
}
