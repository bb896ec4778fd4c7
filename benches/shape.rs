//! Time of the shapes of lines; beside `SciPy` on request.
//!
//! `cargo bench --bench shape -- PATH` runs `tests/oracle/shape_speed.py` on the same poses with the Python interpreter
//! at PATH, which needs `SciPy`, and prints both side by side. Without PATH there are only our own times.

mod beside;
mod row;

use hosewright::geometry::{Pose, shortest};
use nalgebra::{Point3, Vector3};
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

const RADIUS_MM: f64 = 60.0;
/// Pairs of each mix.
const PAIRS: usize = 400;
/// Passes over a mix, of which the shortest counts: other work on the machine disturbs it least.
const PASSES: usize = 15;

fn main() {
    let python = beside::python();
    shortest_paths(python.as_deref());
}

/// Poses from least to most radii apart, with directions of every kind.
fn shortest_paths(python: Option<&str>) {
    print_line(&format!(
        "{:<34}{:>10}{:>12}{:>8}{:>10}",
        "shortest path, radii apart", "us each", "SciPy us", "ratio", "arrived"
    ));
    for (name, least, most) in
        [("0 to 4", 0.0, 4.0), ("4 to 20", 4.0, 20.0), ("0 to 20, the mix", 0.0, 20.0)]
    {
        let pairs = pairs(least, most);
        let us = shortest_us(&pairs);
        let mut line = format!("{name:<34}{us:>10.2}");
        if let Some(python) = python {
            match theirs(python, &pairs) {
                Some((theirs, arrived)) => {
                    let _ = write!(line, "{theirs:>12.1}{:>8.1}{arrived:>10}", theirs / us);
                    let what = format!("shortest path, {name} radii apart");
                    row::row(&what, us / 1e6, "SciPy, one root", theirs / 1e6);
                }
                None => line.push_str("  SciPy gave no answer"),
            }
        }
        print_line(&line);
    }
}

fn pairs(least: f64, most: f64) -> Vec<(Pose, Pose)> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut share = move || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    };
    let mut direction = move || loop {
        let wish = Vector3::new(share() - 0.5, share() - 0.5, share() - 0.5);
        if (0.1..0.5).contains(&wish.norm()) {
            return (wish.normalize(), share());
        }
    };
    (0..PAIRS)
        .map(|_| {
            let ((out, _), (into, _), (chord, far)) = (direction(), direction(), direction());
            let distance_mm = (least + (most - least) * far) * RADIUS_MM;
            let from = Pose { at: Point3::origin(), direction: out };
            (from, Pose { at: Point3::from(chord * distance_mm), direction: into })
        })
        .collect()
}

/// Shortest time of a pair in microseconds.
fn shortest_us(pairs: &[(Pose, Pose)]) -> f64 {
    let pass = || {
        let start = Instant::now();
        for (from, to) in pairs {
            let _ = black_box(shortest(black_box(from), black_box(to), RADIUS_MM));
        }
        start.elapsed().as_secs_f64() * 1e6
    };
    let count = u32::try_from(pairs.len()).map_or(f64::NAN, f64::from);
    (0..PASSES).map(|_| pass()).fold(f64::INFINITY, f64::min) / count
}

/// Time of the other program in microseconds a pair, and how many of its roots arrived.
fn theirs(python: &str, pairs: &[(Pose, Pose)]) -> Option<(f64, u32)> {
    let mut text = String::new();
    for (from, to) in pairs {
        let parts = [from.at.coords, from.direction, to.at.coords, to.direction];
        for number in parts.iter().flat_map(|part| part.iter()) {
            let _ = write!(text, "{number:?} ");
        }
        let _ = writeln!(text, "{RADIUS_MM:?}");
    }
    let answer = beside::answer(python, "shape_speed.py", &text)?;
    let mut lines = answer.lines();
    Some((lines.next()?.parse().ok()?, lines.next()?.parse().ok()?))
}

#[expect(clippy::disallowed_macros, reason = "a bench has nothing but its printed table")]
fn print_line(line: &str) {
    println!("{line}");
}
