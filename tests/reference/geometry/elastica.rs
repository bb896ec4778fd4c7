//! The free shape of a hose against the elastica, closed forms and another method in another language.

use hosewright::geometry::free_hose::{FreeHose, FreeHoseInput, HoseWeight, free_hose};
use hosewright::geometry::stiffness::{Overhang, Reading, cantilever, stiffness};
use nalgebra::{Point3, Vector3};

use super::case::{Case, CaseFile};
use super::vector;

/// Complete elliptic integrals of the first and second kind, by the arithmetic-geometric mean.
fn complete(modulus: f64) -> (f64, f64) {
    let (mut a, mut b, mut c) = (1.0, (1.0 - modulus * modulus).sqrt(), modulus);
    let (mut power, mut sum) = (0.5, 0.5 * c * c);
    while c.abs() > 1e-16 {
        (a, b, c) = (0.5 * (a + b), (a * b).sqrt(), 0.5 * (a - b));
        power *= 2.0;
        sum += power * c * c;
    }
    let first = std::f64::consts::FRAC_PI_2 / a;
    (first, first * (1.0 - sum))
}

fn between(
    leaves: Vector3<f64>,
    to: Vector3<f64>,
    arrives: Vector3<f64>,
    length_mm: f64,
) -> FreeHoseInput {
    let (from, to) = (Point3::origin(), Point3::from(to));
    FreeHoseInput { from, leaves, to, arrives, length_mm, weight: None, segments: 100 }
}

/// A pinned hose of length 1 buckled to a slope at its ends, as a clamped one with just these slopes.
fn pinned(slope_deg: f64) -> (FreeHose, f64) {
    let slope = slope_deg.to_radians();
    let (first, second) = complete(libm::sin(0.5 * slope));
    let chord = 2.0 * second / first - 1.0;
    let [leaves, arrives] =
        [slope, -slope].map(|angle| Vector3::new(libm::cos(angle), libm::sin(angle), 0.0));
    (free_hose(&between(leaves, Vector3::x() * chord, arrives, 1.0)).expect("a shape"), chord)
}

/// The same from one end to its middle: load over the first critical load, and the moment at the end.
fn pinned_half(slope_deg: f64) -> Vec<f64> {
    let slope = slope_deg.to_radians();
    let modulus = libm::sin(0.5 * slope);
    let (first, second) = complete(modulus);
    let middle = Vector3::new(second / first - 0.5, modulus / first, 0.0);
    let leaves = Vector3::new(libm::cos(slope), libm::sin(slope), 0.0);
    let found = free_hose(&between(leaves, middle, Vector3::x(), 0.5)).expect("a shape");
    let critical = 0.25 * std::f64::consts::PI * std::f64::consts::PI;
    vec![-found.force.x / critical, found.moment_from.norm()]
}

fn load_and_rise(slope_deg: f64) -> Vec<f64> {
    let (found, _) = pinned(slope_deg);
    let critical = std::f64::consts::PI * std::f64::consts::PI;
    let rise = found.points.iter().map(|point| point.y).fold(0.0, f64::max);
    vec![-found.force.x / critical, rise, found.moment.norm()]
}

fn hose(case: &Case) -> FreeHose {
    let [leaves, to, arrives] =
        ["leaves", "to_mm", "arrives"].map(|key| vector(&case.numbers(key)));
    free_hose(&between(leaves, to, arrives, case.number("length_mm"))).expect("a shape")
}

fn u(case: &Case) -> Vec<f64> {
    let to = Vector3::y() * case.number("span_mm");
    let shape = free_hose(&between(Vector3::x(), to, -Vector3::x(), case.number("length_mm")));
    let shape = shape.expect("a shape");
    assert!(shape.moment.norm() < 1e-7, "{}", shape.moment);
    vec![shape.energy, shape.points[50].x]
}

/// Each case with its answer.
pub const ELASTICA: CaseFile = CaseFile {
    path: "geometry/elastica",
    text: include_str!("elastica.toml"),
    kernel: |case| match case.call.as_str() {
        "pinned: load over the first critical load, rise over length, moment at the end" => {
            load_and_rise(case.number("slope_deg"))
        }
        "pinned, half of it: load over the first critical load, moment at the end" => {
            pinned_half(case.number("slope_deg"))
        }
        "pinned: chord and moment at the end" => {
            let (found, chord) = pinned(case.number("slope_deg"));
            vec![chord, found.moment.norm()]
        }
        "U: energy, farthest reach" => u(case),
        "cantilever: slope, drop, reach" => {
            let shape = cantilever(case.number("load"), case.number("tip")).expect("a shape");
            vec![shape.tip_slope_rad, shape.drop_over_length, shape.reach_over_length]
        }
        "cantilever: chord angle in degrees over 100, drop, reach" => {
            let shape = cantilever(case.number("load"), case.number("tip")).expect("a shape");
            let angle = shape.chord_angle_rad().to_degrees() / 100.0;
            vec![angle, shape.drop_over_length, shape.reach_over_length]
        }
        "overhang: load number" => {
            let hose = Overhang { length_m: 0.7, per_length_n_m: 3.0, tip_n: 0.0 };
            let at = |angle_rad: f64| stiffness(&hose, Reading::ChordAngle { angle_rad });
            let angles = case.numbers("angles_rad").into_iter();
            angles.map(|angle| at(angle).expect("a stiffness").load_number).collect()
        }
        "hose: rise, tightest radius, energy" => {
            let shape = hose(case);
            vec![shape.bow_mm, shape.tightest_radius_mm, shape.energy]
        }
        "hose: tightest radius, energy" => {
            let shape = hose(case);
            vec![shape.tightest_radius_mm, shape.energy]
        }
        "hose: middle, tightest radius, energy" => {
            let shape = hose(case);
            let middle = shape.points[50];
            vec![middle.x, middle.y, middle.z, shape.tightest_radius_mm, shape.energy]
        }
        other => panic!("{other} is not called here"),
    },
};

#[test]
fn free_shapes_agree_with_worked_figures() {
    ELASTICA.agree();
}

#[test]
fn random_hoses_in_space_agree_with_a_boundary_value_solver() {
    let mut rows = 0;
    let text = include_str!("../../oracle/free-hose.csv");
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let (leaves, arrives) =
            (vector(&cells[0..3]).normalize(), vector(&cells[3..6]).normalize());
        let mut input = between(leaves, vector(&cells[6..9]) * 1e3, arrives, 1e3);
        let up = vector(&cells[10..13]).normalize();
        input.weight = (cells[9] > 0.0).then_some(HoseWeight {
            per_length_n_m: cells[9],
            stiffness_n_m2: 1.0,
            up,
        });
        let shape = free_hose(&input).expect("a shape");
        let middle = shape.points[50].coords * 1e-3;
        let energies = [shape.energy, shape.weight_energy];
        let got = energies.iter().chain(middle.iter()).chain(shape.force.iter());
        for (got, wanted) in got.zip(&cells[13..]) {
            let off = (got - wanted).abs();
            assert!(off < 1e-6 * (1.0 + wanted.abs()), "{got} got, {wanted} wanted in {line}");
        }
        rows += 1;
    }
    assert!(rows >= 10, "{rows} rows");
}
