//! Time of the natural shape of a hose from a cold start; beside `SciPy` on request.
//!
//! `cargo bench --bench rod -- PATH` runs `tests/oracle/rod_speed.py` on the same hoses with the Python interpreter at
//! PATH, which needs `SciPy`, and prints both side by side. Without PATH there are only our own times.

mod beside;
mod row;

use hosewright::geometry::free_hose::{FreeHose, FreeHoseInput, HoseWeight, free_hose};
use nalgebra::{Point3, Vector3};
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

/// Solves of each hose, of which the shortest counts: other work on the machine disturbs it least.
const TURNS: u32 = 200;
const SEGMENTS: usize = 100;

fn main() {
    let python = beside::python();
    let hoses = hoses();
    let theirs = python.map(|python| theirs(&python, &hoses).unwrap_or_default());
    print_line(&format!(
        "{:<28}{:>10}{:>8}{:>12}{:>10}{:>14}",
        "hose, 100 segments", "us", "steps", "SciPy ms", "ratio", "energy off"
    ));
    for (at, (name, input)) in hoses.iter().enumerate() {
        let shape = solved(input);
        let us = shortest_us(input);
        let mut line = format!("{name:<28}{us:>10.1}{:>8}", shape.steps);
        if let Some(theirs) = &theirs {
            match theirs.get(at) {
                Some((ms, energy)) => {
                    let off = (energy - shape.energy).abs() / shape.energy;
                    let _ = write!(line, "{ms:>12.2}{:>10.0}{off:>14.1e}", ms * 1e3 / us);
                    let what = format!("natural shape of a hose, {name}");
                    row::row(&what, us / 1e6, "SciPy, `solve_bvp`", ms / 1e3);
                }
                None => line.push_str("  SciPy gave no answer"),
            }
        }
        print_line(&line);
    }
}

/// Hoses such as machines have, length 1 m.
fn hoses() -> Vec<(&'static str, FreeHoseInput)> {
    let hose = |leaves: [f64; 3], to: [f64; 3], arrives: [f64; 3], load: f64| FreeHoseInput {
        from: Point3::origin(),
        leaves: Vector3::from(leaves),
        to: Point3::from(to),
        arrives: Vector3::from(arrives),
        length_mm: 1000.0,
        weight: (load > 0.0).then_some(HoseWeight {
            per_length_n_m: load,
            stiffness_n_m2: 1.0,
            up: Vector3::z(),
        }),
        segments: SEGMENTS,
    };
    let (x, y, z) = ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
    let back = [-1.0, 0.0, 0.0];
    vec![
        ("quarter turn", hose(x, [600.0, 500.0, 0.0], y, 0.0)),
        ("quarter turn, out of plane", hose(x, [600.0, 450.0, 200.0], z, 0.0)),
        ("offset", hose(x, [850.0, 300.0, 0.0], x, 0.0)),
        ("U", hose(x, [0.0, 400.0, 0.0], back, 0.0)),
        ("in line, 5 % spare", hose(x, [950.0, 0.0, 0.0], x, 0.0)),
        ("quarter turn, heavy", hose(x, [600.0, 450.0, 200.0], z, 5.0)),
        ("level, heavy", hose(x, [900.0, 0.0, 0.0], x, 5.0)),
    ]
}

/// The answer; a bench without one says why and ends.
fn solved(input: &FreeHoseInput) -> FreeHose {
    free_hose(input).unwrap_or_else(|error| {
        print_line(&error.to_string());
        std::process::abort()
    })
}

fn shortest_us(input: &FreeHoseInput) -> f64 {
    let times = (0..TURNS).map(|_| {
        let start = Instant::now();
        black_box(solved(black_box(input)));
        start.elapsed().as_secs_f64() * 1e6
    });
    times.fold(f64::INFINITY, f64::min)
}

/// Time of the other program in milliseconds and its energy, hose by hose.
fn theirs(python: &str, hoses: &[(&str, FreeHoseInput)]) -> Option<Vec<(f64, f64)>> {
    let mut text = String::new();
    for (_, input) in hoses {
        let load = input.weight.map_or(0.0, |weight| weight.per_length_n_m);
        let to = input.to.coords / input.length_mm;
        let numbers = input.leaves.iter().chain(input.arrives.iter()).chain(to.iter());
        for number in numbers {
            let _ = write!(text, "{number:?} ");
        }
        let _ = writeln!(text, "{load:?}");
    }
    let answer = beside::answer(python, "rod_speed.py", &text)?;
    let pair = |line: &str| {
        let (ms, energy) = line.split_once(' ')?;
        Some((ms.parse().ok()?, energy.parse().ok()?))
    };
    answer.lines().map(pair).collect()
}

#[expect(clippy::disallowed_macros, reason = "a bench has nothing but its printed table")]
fn print_line(line: &str) {
    println!("{line}");
}
