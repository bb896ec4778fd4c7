//! Random straights, arcs, boxes and cylinders against the slow answer.

use hosewright::geometry::{Near, Piece, Shape, Solid, Swept};
use nalgebra::{Point3, Rotation3, Unit, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::sampled::{ball, least_of_one, least_of_two, length, place_to_solid, to_solid};
use super::{beside, between, of};

/// The slow answer is only a place, so it is never below the least; sampling can miss by this much.
const SLOW_MM: f64 = 2e-4;
/// What the library promises, and rounding.
const PROMISED_MM: f64 = 1.1e-7;

fn few(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(7),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn spot() -> impl Strategy<Value = Point3<f64>> {
    [-120.0..120.0, -120.0..120.0, -120.0..120.0_f64].prop_map(Point3::from)
}

fn direction() -> impl Strategy<Value = Vector3<f64>> {
    let any = [-1.0..1.0, -1.0..1.0, -1.0..1.0_f64];
    any.prop_map(Vector3::from)
        .prop_filter("a length", |v| v.norm() > 0.1)
        .prop_map(|v| v.normalize())
}

pub fn piece() -> impl Strategy<Value = Piece> {
    let straight = (spot(), direction(), 1.0..200.0_f64)
        .prop_map(|(from, way, mm)| Piece::Straight { from, to: from + way * mm });
    let arc = (spot(), direction(), direction(), 10.0..120.0_f64, 0.05..6.2_f64).prop_filter_map(
        "an axis",
        |(centre, out, other, radius_mm, angle_rad)| {
            let axis = Unit::try_new(out.cross(&other), 0.05)?.into_inner();
            let start = centre + out * radius_mm;
            Some(Piece::Arc { start, centre, axis, radius_mm, angle_rad })
        },
    );
    prop_oneof![straight, arc]
}

/// A piece with an even radius, or one that grows and shrinks along it.
fn line() -> impl Strategy<Value = Swept> {
    let grown = proptest::option::of([0.0..20.0, 0.0..20.0, 0.0..20.0_f64]);
    (piece(), 0.0..15.0_f64, grown).prop_map(|(piece, radius_mm, grown)| {
        let half = 0.5 * piece.length_mm();
        let grow = grown.map_or(Vec::new(), |[a, b, c]| vec![(0.0, a), (half, b), (1.5 * half, c)]);
        Swept { grow, ..of(vec![piece], radius_mm) }
    })
}

fn shape() -> impl Strategy<Value = Shape> {
    let block = (spot(), direction(), 0.0..6.0_f64, [1.0..80.0, 0.0..80.0, 1.0..80.0_f64])
        .prop_map(|(centre, about, angle, half_mm)| {
            let turned = Rotation3::from_axis_angle(&Unit::new_normalize(about), angle);
            let axes = [Vector3::x(), Vector3::y(), Vector3::z()].map(|axis| turned * axis);
            Solid::Box { centre, axes, half_mm }
        });
    let drum = (spot(), direction(), 1.0..150.0_f64, 0.0..80.0_f64).prop_map(
        |(from, way, mm, radius_mm)| Solid::Cylinder { from, to: from + way * mm, radius_mm },
    );
    let wall = (spot(), direction()).prop_map(|(at, faces)| Solid::HalfSpace { at, faces });
    (prop_oneof![block, drum, wall], 0.0..10.0_f64).prop_map(|(solid, grow_mm)| Shape {
        solid,
        grow_mm,
        place: None,
    })
}

fn agrees(near: &Near, slow: f64) -> Result<(), TestCaseError> {
    let ours = near.distance_mm;
    prop_assert!(ours <= slow + PROMISED_MM, "a place at {slow} was missed: {ours}");
    prop_assert!(ours >= slow - SLOW_MM, "{ours} is below what sampling finds: {slow}");
    Ok(())
}

/// The places given are on the lines, and their distance is the one given.
fn places_agree(near: &Near, a: &Swept, b: &Swept) -> Result<(), TestCaseError> {
    let mut radii = 0.0;
    for (line, spot) in [(a, near.on_a), (b, near.on_b)] {
        let Some(station_mm) = spot.station_mm else { panic!("a line has stations") };
        prop_assert!(station_mm <= length(line) + 1e-9);
        let (centre, radius) = ball(line, station_mm);
        prop_assert!((centre - spot.point).norm() < 1e-8);
        radii += radius;
    }
    let apart = (near.on_a.point - near.on_b.point).norm() - radii;
    prop_assert!((apart - near.distance_mm).abs() < 1e-8, "{apart} and {}", near.distance_mm);
    Ok(())
}

proptest! {
    #![proptest_config(few(160))]

    #[test]
    fn two_lines_are_as_near_as_sampling_finds_them((a, b) in (line(), line())) {
        let near = between(&a, &b);
        agrees(&near, least_of_two(&a, &b))?;
        places_agree(&near, &a, &b)?;
        let back = between(&b, &a);
        prop_assert!((back.distance_mm - near.distance_mm).abs() <= PROMISED_MM);
    }
}

proptest! {
    #![proptest_config(few(400))]

    #[test]
    fn a_line_is_as_near_to_a_solid_as_sampling_finds_it((a, shape) in (line(), shape())) {
        let near = beside(&a, &shape);
        agrees(&near, least_of_one(length(&a), |s| place_to_solid(&a, &shape, s)))?;
        let Some(station_mm) = near.on_a.station_mm else { panic!("a line has stations") };
        let (centre, radius) = ball(&a, station_mm);
        prop_assert!((centre - near.on_a.point).norm() < 1e-8);
        // The other place lies on the surface, as far from the centre line as is said.
        prop_assert!(to_solid(&shape, &near.on_b.point).abs() < 1e-8);
        let apart = (near.on_b.point - centre).norm();
        let said = (near.distance_mm + radius).abs();
        prop_assert!((apart - said).abs() < 1e-8, "{apart} and {said}");
        prop_assert!(near.on_b.station_mm.is_none());
    }
}
