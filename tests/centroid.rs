//! Centroids of centre lines: against sampling, put together from parts, turned and moved with the line.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on must fail loudly")]

use core::f64::consts::{FRAC_PI_2, PI};

use hosewright::geometry::{GeometryError, Path, Piece};
use nalgebra::{Point3, Rotation3, Unit, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 200,
        rng_seed: RngSeed::Fixed(31),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Straights with arcs between them, from turns: length before, radius, angle, and where the arc turns to.
fn line(turns: &[(f64, f64, f64, f64)]) -> Path {
    let mut at = Point3::new(1200.0, -40.0, 300.0);
    let (mut along, mut side) = (Vector3::x(), Vector3::y());
    let mut pieces = Vec::new();
    for (straight, radius_mm, angle_rad, roll) in turns {
        let to = at + along * *straight;
        pieces.push(Piece::Straight { from: at, to });
        side = Rotation3::from_axis_angle(&Unit::new_normalize(along), *roll) * side;
        let axis = along.cross(&side).normalize();
        let centre = to + side * *radius_mm;
        let arc =
            Piece::Arc { start: to, centre, axis, radius_mm: *radius_mm, angle_rad: *angle_rad };
        at = arc.end();
        along = arc.tangent_at(arc.length_mm()).normalize();
        side = axis.cross(&along).normalize();
        pieces.push(arc);
    }
    Path::new(pieces).unwrap()
}

fn turns() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
    prop::collection::vec((1.0..400.0_f64, 5.0..200.0_f64, 0.01..3.0_f64, -3.0..3.0_f64), 1..6)
}

/// Places and weights of the Gauss rule of five points, Abramowitz and Stegun 25.4.30 (from memory).
const GAUSS: [(f64, f64); 5] = [
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (0.906_179_845_938_664, 0.236_926_885_056_189_08),
    (-0.906_179_845_938_664, 0.236_926_885_056_189_08),
];

/// The mean of the places along a stretch, sampled so densely that only rounding is left.
fn sampled(path: &Path, from_mm: f64, to_mm: f64) -> Point3<f64> {
    let mut bounds: Vec<f64> = path.stations().map(|(begins, _)| begins).collect();
    bounds.push(path.length_mm());
    let mut sum = Vector3::zeros();
    for pair in bounds.windows(2) {
        let (a, b) = (pair[0].max(from_mm), pair[1].min(to_mm));
        if b <= a {
            continue;
        }
        let cells = 40_u32;
        for cell in 0..cells {
            let half = 0.5 * (b - a) / f64::from(cells);
            let middle = a + half * f64::from(2 * cell + 1);
            for (place, weight) in GAUSS {
                sum += path.point_at(middle + half * place).unwrap().coords * (weight * half);
            }
        }
    }
    Point3::from(sum / (to_mm - from_mm))
}

#[test]
fn arcs_balance_where_the_handbooks_say() {
    // sin(a) / a times the radius from the centre, a half the angle: handbooks of mechanics (from memory).
    let known = [
        (PI, 2.0 / PI),
        (FRAC_PI_2, 2.0 * 2.0_f64.sqrt() / PI),
        (PI / 3.0, 3.0 / PI),
        (1.5 * PI, 2.0 * 2.0_f64.sqrt() / (3.0 * PI)),
    ];
    for (angle_rad, share) in known {
        let arc = Piece::Arc {
            start: Point3::new(80.0, 0.0, 5.0),
            centre: Point3::new(0.0, 0.0, 5.0),
            axis: Vector3::z(),
            radius_mm: 80.0,
            angle_rad,
        };
        let path = Path::new(vec![arc]).unwrap();
        let found = path.centroid(0.0, path.length_mm()).unwrap() - Point3::new(0.0, 0.0, 5.0);
        assert!((found.norm() - 80.0 * share).abs() < 1e-12, "{angle_rad}: {}", found.norm());
        let towards = libm::atan2(found.y, found.x);
        assert!((towards - 0.5 * angle_rad).abs() < 1e-12, "{angle_rad}");
    }
}

#[test]
fn stations_beyond_the_line_and_nothing_between_them_are_refused() {
    let path = line(&[(100.0, 50.0, 1.0, 0.0)]);
    for (from, to) in [(-1.0, 50.0), (0.0, 151.0), (f64::NAN, 50.0), (0.0, f64::INFINITY)] {
        assert!(path.centroid(from, to).is_err(), "{from} {to}");
    }
    let nothing = path.centroid(60.0, 60.0);
    assert!(matches!(nothing, Err(GeometryError::NotAboveZero { .. })), "{nothing:?}");
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn sampling_finds_the_same_to_a_billionth(turns in turns(), from in 0.0..0.9_f64, share in 0.01..1.0_f64) {
        let path = line(&turns);
        let length = path.length_mm();
        let (from, to) = (from * length, (from + share * (1.0 - from)) * length);
        let found = path.centroid(from, to.min(length)).unwrap();
        let expected = sampled(&path, from, to.min(length));
        prop_assert!((found - expected).norm() <= 1e-9 * length, "{found} {expected}");
    }

    #[test]
    fn two_parts_balance_like_the_whole(turns in turns(), share in 0.01..0.99_f64) {
        let path = line(&turns);
        let (length, cut) = (path.length_mm(), share * path.length_mm());
        let whole = path.centroid(0.0, length).unwrap().coords * length;
        let first = path.centroid(0.0, cut).unwrap().coords * cut;
        let second = path.centroid(cut, length).unwrap().coords * (length - cut);
        prop_assert!((whole - first - second).norm() <= 1e-10 * length * length);
    }

    #[test]
    fn a_line_balances_within_its_bounds(turns in turns()) {
        let path = line(&turns);
        let found = path.centroid(0.0, path.length_mm()).unwrap();
        let points = path.sample(1.0).unwrap();
        for axis in 0..3 {
            let along = points.iter().map(|p| p[axis]);
            let low = along.clone().fold(f64::INFINITY, f64::min);
            let high = along.fold(f64::NEG_INFINITY, f64::max);
            prop_assert!((low - 1e-9..=high + 1e-9).contains(&found[axis]));
        }
    }
}
