//! Stretches that are near, against sampling and closed forms; and the bow of a hose with slack.

use hosewright::geometry::{
    Beside, GeometryError, Shape, Solid, Stretch, Swept, SweptEnd, bow_of_slack, stretches,
};
use nalgebra::{Point3, Vector3};

use super::sampled::{ball, length, place_to_solid};
use super::{flat_arc, of, straight};

fn near(line: &Swept, beside: Beside<'_>, within_mm: f64) -> Vec<Stretch> {
    stretches(line, beside, within_mm).unwrap_or_else(|e| panic!("{e}"))
}

/// Two bends and what joins them, growing towards one end.
fn winding() -> Swept {
    let first = flat_arc([0.0, 60.0, 0.0], 60.0, -1.5, 2.0);
    let second = flat_arc([0.0, 60.0, 0.0], 60.0, 0.5, 2.5);
    Swept { grow: vec![(0.0, 6.0), (90.0, 0.0)], ..of(vec![first, second], 6.0) }
}

/// Places less than half a millimetre apart must lie in a stretch if they are near, and outside if they are not.
fn agree_with_sampling(
    found: &[Stretch],
    line: &Swept,
    within_mm: f64,
    value: impl Fn(f64) -> f64,
) {
    let steps = 800;
    let mut inside = 0;
    for step in 0..=steps {
        let station = length(line) * f64::from(step) / f64::from(steps);
        let covered = found.iter().find(|s| station >= s.start_mm && station <= s.end_mm);
        let distance = value(station);
        if distance <= within_mm {
            let stretch = covered.unwrap_or_else(|| panic!("{station} mm is not covered"));
            assert!(stretch.least_mm <= distance + 1e-6);
            inside += 1;
        }
        // At the ends of a stretch up to twice a tenth of a millimetre may be given away.
        assert!(distance <= within_mm + 0.2 || covered.is_none(), "{station} mm is not near");
    }
    assert!(inside > 20 && inside < steps, "{inside} of {steps} places are near");
}

#[test]
fn stretches_beside_solids_agree_with_sampling() {
    let line = winding();
    let solid = Solid::Cylinder {
        from: Point3::new(70.0, 60.0, 0.0),
        to: Point3::new(-70.0, 90.0, 40.0),
        radius_mm: 9.0,
    };
    let shape = Shape { solid, grow_mm: 2.0, place: None };
    for within_mm in [5.0, 15.0, 25.0] {
        let found = near(&line, Beside::Shape(&shape), within_mm);
        agree_with_sampling(&found, &line, within_mm, |s| place_to_solid(&line, &shape, s));
    }
}

#[test]
fn stretches_beside_lines_agree_with_sampling() {
    let line = winding();
    let growing = vec![(0.0, 0.0), (60.0, 8.0)];
    let other =
        Swept { grow: growing, ..of(vec![flat_arc([30.0, 0.0, 20.0], 50.0, 0.0, 3.0)], 4.0) };
    let places: Vec<(Point3<f64>, f64)> =
        (0..=4000).map(|i| ball(&other, length(&other) * f64::from(i) / 4000.0)).collect();
    let value = |s: f64| {
        let (centre, radius) = ball(&line, s);
        places.iter().map(|(p, r)| (p - centre).norm() - r - radius).fold(f64::INFINITY, f64::min)
    };
    for within_mm in [5.0, 12.0, 20.0] {
        let found = near(&line, Beside::Line(&other), within_mm);
        agree_with_sampling(&found, &line, within_mm, value);
    }
}

#[test]
fn a_line_alongside_is_near_over_its_whole_length_and_what_rounding_leaves() {
    let a = straight([0.0, 0.0, 0.0], [300.0, 0.0, 0.0], 5.0);
    let b = straight([100.0, 30.0, 0.0], [180.0, 30.0, 0.0], 5.0);
    // 20 mm from surface to surface; within 25 mm as far as sqrt(35^2 - 30^2) = 18.03 mm beyond its ends.
    let found = near(&a, Beside::Line(&b), 25.0);
    assert_eq!(found.len(), 1);
    let beyond = (35.0_f64 * 35.0 - 900.0).sqrt();
    assert!((found[0].start_mm - (100.0 - beyond)).abs() < 0.06, "{found:?}");
    assert!((found[0].end_mm - (180.0 + beyond)).abs() < 0.06, "{found:?}");
    assert!((found[0].least_mm - 20.0).abs() < 1e-9);
    assert_eq!(near(&a, Beside::Line(&b), 19.9), []);
    let whole = near(&b, Beside::Line(&a), 25.0);
    assert_eq!((whole[0].start_mm, whole[0].end_mm), (0.0, 80.0));
}

#[test]
fn ends_at_one_place_are_left_out_of_stretches() {
    let mut line = straight([0.0, 0.0, 0.0], [300.0, 0.0, 0.0], 5.0);
    line.ends[0] = Some(SweptEnd { place: 9, leave_out_mm: 40.0 });
    let solid = Solid::HalfSpace { at: Point3::new(0.0, -20.0, 0.0), faces: Vector3::y() };
    let shape = Shape { solid, grow_mm: 0.0, place: Some(9) };
    let found = near(&line, Beside::Shape(&shape), 25.0);
    assert_eq!(found.len(), 1);
    assert!((found[0].start_mm - 40.0).abs() < 1e-9 && (found[0].end_mm - 300.0).abs() < 1e-9);
}

#[test]
fn the_bow_of_a_hose_grows_with_its_slack() {
    let bow = |slack: f64| bow_of_slack(slack).unwrap_or_else(|e| panic!("{e}"));
    assert!(bow(0.0).abs() < 1e-12);
    let mut before = 0.0;
    for step in 1..=50 {
        let next = bow(f64::from(step) / 100.0);
        assert!(next > before);
        before = next;
    }
    // For little slack a half wave: slack = (pi rise / 2 L)^2.
    for slack in [1e-6, 1e-4] {
        let half_wave = 2.0 * f64::sqrt(slack) / core::f64::consts::PI;
        assert!((bow(slack) / half_wave - 1.0).abs() < slack);
    }
    assert!(matches!(bow_of_slack(0.51), Err(GeometryError::OutOfRange { .. })));
    assert!(matches!(bow_of_slack(f64::NAN), Err(GeometryError::NotFinite { .. })));
}
