//! Points left out of a line: never farther beside it than asked, and none of the others moved.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on must fail loudly")]

use hosewright::geometry::GeometryError;
use hosewright::geometry::simplify::{MOST_POINTS, Simplified, simplify};
use nalgebra::Point3;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

type Points = Vec<Point3<f64>>;

fn points(rows: &[[f64; 3]]) -> Points {
    rows.iter().map(|r| Point3::from(*r)).collect()
}

fn left(rows: &[[f64; 3]], straight_mm: f64) -> Simplified {
    simplify(&points(rows), straight_mm).unwrap()
}

/// Distance of a point from the stretch between two, by trying many places on it.
fn beside(point: &Point3<f64>, from: &Point3<f64>, to: &Point3<f64>) -> f64 {
    let on = |share: u32| from + (to - from) * (f64::from(share) / 4000.0);
    (0..=4000).map(|share| (point - on(share)).norm()).fold(f64::INFINITY, f64::min)
}

#[test]
fn corners_stay_and_what_lies_on_a_straight_goes() {
    let line = [
        [0.0, 0.0, 0.0],
        [100.0, 0.5, 0.0],
        [200.0, -0.5, 0.0],
        [300.0, 0.0, 0.0],
        [300.0, 120.0, 1.0],
        [300.0, 240.0, 0.0],
    ];
    let found = left(&line, 2.0);
    assert_eq!(found.kept, [0, 3, 5]);
    assert!((found.farthest_mm - 1.0).abs() < 1e-12 && (found.length_mm - 540.0).abs() < 1e-12);
    assert_eq!(left(&line, 0.9).kept, [0, 3, 4, 5]);
    assert_eq!(left(&line, 0.0).kept, [0, 1, 2, 3, 4, 5]);
    assert_eq!(left(&line[..2], 50.0).kept, [0, 1]);
}

#[test]
fn with_nothing_allowed_only_points_exactly_on_a_straight_go() {
    let line = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0], [2.0, 0.0, 5.0]];
    assert_eq!(left(&line, 0.0).kept, [0, 2, 3]);
}

#[test]
fn a_line_that_turns_back_keeps_its_turn() {
    // The turn lies on the straight through the ends, but not between them.
    let line = [[0.0, 0.0, 0.0], [500.0, 0.0, 0.0], [100.0, 0.0, 0.0]];
    assert_eq!(left(&line, 10.0).kept, [0, 1, 2]);
    // One that comes back to where it began has no straight at all.
    let ring = [[0.0; 3], [200.0, 0.0, 0.0], [200.0, 200.0, 0.0], [0.0; 3]];
    assert_eq!(left(&ring, 10.0).kept, [0, 1, 2, 3]);
}

#[test]
fn what_is_no_line_is_refused() {
    let two = points(&[[0.0; 3], [1.0, 0.0, 0.0]]);
    assert!(matches!(simplify(&two[..1], 1.0), Err(GeometryError::OutOfRange { .. })));
    assert!(matches!(simplify(&[], 1.0), Err(GeometryError::OutOfRange { .. })));
    for wrong in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(simplify(&two, wrong).is_err(), "{wrong}");
    }
    let nan = points(&[[0.0; 3], [f64::NAN, 0.0, 0.0]]);
    assert_eq!(simplify(&nan, 1.0), Err(GeometryError::NotFinite { what: "a point" }));
    let same = points(&[[0.0; 3], [1.0, 0.0, 0.0], [1.0, 0.0, 0.0]]);
    let error = simplify(&same, 1.0).unwrap_err();
    assert_eq!(error.to_string(), "clip 2 and clip 3 stand on the same point");
    let many: Points = (0..=10_000_u16).map(|i| Point3::new(f64::from(i), 0.0, 0.0)).collect();
    assert_eq!(many.len(), MOST_POINTS + 1);
    assert!(matches!(simplify(&many, 1.0), Err(GeometryError::OutOfRange { .. })));
    assert_eq!(simplify(&many[1..], 1.0).unwrap().kept, [0, MOST_POINTS - 1]);
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn nothing_left_out_lies_farther_beside_than_asked(
        steps in prop::collection::vec(prop::array::uniform3(-30.0..40.0_f64), 2..40),
        straight in 0.0..60.0_f64,
    ) {
        let mut at = Point3::origin();
        let mut line: Points = vec![at];
        for step in steps {
            at += nalgebra::Vector3::from(step);
            line.push(at);
        }
        let found = simplify(&line, straight).unwrap();
        prop_assert_eq!((found.kept[0], found.kept.last()), (0, Some(&(line.len() - 1))));
        prop_assert!(found.kept.is_sorted());
        let mut farthest = 0.0_f64;
        for pair in found.kept.windows(2) {
            for at in pair[0] + 1..pair[1] {
                farthest = farthest.max(beside(&line[at], &line[pair[0]], &line[pair[1]]));
            }
        }
        // The places tried lie up to 0.1 mm apart on a straight of 400 mm.
        prop_assert!(farthest <= straight + 0.05, "{farthest} {straight}");
        prop_assert!((farthest - found.farthest_mm).abs() < 0.05);
        // Taking the corners again takes nothing more away.
        let again: Points = found.kept.iter().map(|i| line[*i]).collect();
        let again = simplify(&again, straight).unwrap();
        prop_assert_eq!(again.kept.len(), found.kept.len());
        prop_assert!((again.length_mm - found.length_mm).abs() < 1e-9);
        // Straights are never longer than the line they cut short.
        prop_assert!(simplify(&line, 0.0).unwrap().length_mm >= found.length_mm - 1e-9);
    }
}
