//! Bend tables against worked figures and back to their points; springback against its own integral.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

mod room;

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use hosewright::geometry::bend_table::bend_table;
use hosewright::geometry::{BendTable, MirrorImage, TubeBend};
use hosewright::makeup::tube::marks::{MarkAt, marks_mm, stretch_mm};
use hosewright::makeup::tube::springback::{
    TestBend, ThinTube, bent_radius_mm, calibration, share_left,
};
use hosewright::makeup::tube::wall::{ovality, wall_change};
use nalgebra::{Point3, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::geometry::case::{Case, CaseFile};

/// Half a degree: what the program takes as no bend.
const LEAST_RAD: f64 = 0.5 * PI / 180.0;

fn table(case: &Case) -> BendTable {
    let points: Vec<Point3<f64>> =
        case.rows("points_mm").iter().map(|row| Point3::from_slice(row)).collect();
    bend_table(&points, &case.numbers("radii_mm"), LEAST_RAD).expect("a table")
}

/// Each case with its answer.
pub const BEND_TABLE: CaseFile = CaseFile {
    path: "geometry/bend-table",
    text: include_str!("geometry/bend-table.toml"),
    kernel: |case| {
        let table = table(case);
        match case.call.as_str() {
            "straights" => {
                let before = table.bends.iter().map(|b| b.straight_mm);
                before.chain([table.last_straight_mm]).collect()
            }
            "rotations" => table.bends.iter().map(|b| b.rotation_rad).collect(),
            "bends" => table.bends.iter().map(|b| b.angle_rad).collect(),
            "lengths" => vec![table.length_mm(), table.polyline_mm(), table.gain_mm()],
            other => panic!("{other} is not called here"),
        }
    },
};

#[test]
fn bend_tables_agree_with_worked_figures() {
    BEND_TABLE.agree();
}

fn thin(case: &Case) -> ThinTube {
    ThinTube {
        mean_radius_mm: 0.5 * (case.number("outside_mm") - case.number("wall_mm")),
        yield_pa: 1e6 * case.number("yield_mpa"),
        modulus_pa: 1e6 * case.number("modulus_mpa"),
    }
}

/// Each case with its answer.
pub const TUBE: CaseFile = CaseFile {
    path: "makeup/tube",
    text: include_str!("makeup/tube.toml"),
    kernel: |case| {
        let share = || share_left(&thin(case), case.number("radius_mm")).expect("a share");
        match case.call.as_str() {
            "share left" => vec![share()],
            "radius left and bent" => {
                let left_mm = case.number("radius_mm") / share();
                vec![left_mm, bent_radius_mm(&thin(case), left_mm).expect("a radius")]
            }
            "angle to set" => vec![case.number("wanted_rad") / share()],
            "wall change percent" => {
                let wall = wall_change(case.number("outside_mm"), case.number("radius_mm"));
                let wall = wall.expect("a wall");
                vec![100.0 * wall.thinning, 100.0 * wall.thickening]
            }
            "ovality percent" => {
                let [outside, small, large] =
                    ["outside_mm", "smallest_mm", "largest_mm"].map(|key| case.number(key));
                vec![100.0 * ovality(outside, small, large).expect("an ovality")]
            }
            other => panic!("{other} is not called here"),
        }
    },
};

#[test]
fn springback_and_walls_agree_with_worked_figures() {
    TUBE.agree();
}

/// The share left by adding up the stresses round the ring: no closed form.
fn share_left_by_sum(tube: &ThinTube, radius_mm: f64) -> f64 {
    let steps = 100_000;
    let mut moment = 0.0;
    for step in 0..steps {
        let height_mm =
            tube.mean_radius_mm * libm::sin((f64::from(step) + 0.5) / f64::from(steps) * TAU);
        let elastic_pa = tube.modulus_pa * height_mm / radius_mm;
        moment += elastic_pa.clamp(-tube.yield_pa, tube.yield_pa) * height_mm;
    }
    // Per unit of wall and of mean radius: the moment of inertia of a thin ring is pi r^2.
    let inertia = PI * tube.mean_radius_mm * tube.mean_radius_mm;
    let moment = moment / f64::from(steps) * TAU;
    1.0 - moment * radius_mm / (tube.modulus_pa * inertia)
}

#[test]
fn the_closed_form_of_springback_is_the_integral_it_stands_for() {
    for yield_pa in [60e6, 276e6, 900e6] {
        for radius_mm in [12.0, 38.1, 200.0] {
            let tube = ThinTube { mean_radius_mm: 5.0, yield_pa, modulus_pa: 70e9 };
            let summed = share_left_by_sum(&tube, radius_mm);
            match share_left(&tube, radius_mm) {
                Ok(share) => assert!((share - summed).abs() < 1e-8, "{share} and {summed}"),
                Err(_) => assert!(yield_pa * radius_mm >= 70e9 * 5.0 * 0.999),
            }
        }
    }
}

#[test]
fn test_bends_on_a_line_are_met_and_what_lies_outside_is_refused() {
    let test =
        |set: f64, got: f64| TestBend { set_rad: set.to_radians(), got_rad: got.to_radians() };
    // Springback of 2 % of the angle set and 1 degree.
    let line = |set: f64| test(set, set - 0.02 * set - 1.0);
    let bender = calibration(&[line(30.0), line(60.0), line(120.0)]).expect("a calibration");
    assert!((bender.share - 0.02).abs() < 1e-12 && bender.scatter_rad < 1e-12);
    assert!((bender.offset_rad - 1f64.to_radians()).abs() < 1e-12);
    let set_rad = bender.set_angle_rad(57.8f64.to_radians()).expect("an angle");
    assert!((set_rad.to_degrees() - 60.0).abs() < 1e-9);
    assert!(bender.set_angle_rad(20f64.to_radians()).is_err());
    assert!(bender.set_angle_rad(117f64.to_radians()).is_err());
    let one = calibration(&[test(90.0, 87.0)]).expect("a calibration");
    assert!(
        (one.set_angle_rad(29f64.to_radians()).expect("an angle").to_degrees() - 30.0).abs() < 1e-9
    );
    assert!(one.set_angle_rad(88f64.to_radians()).is_err());
    assert!(calibration(&[]).is_err());
    assert!(calibration(&[test(90.0, 91.0)]).is_err());
    assert!(calibration(&[test(90.0, 87.0), test(90.0, 86.0)]).is_err());
    assert!(calibration(&[test(45.0, 44.0), test(90.0, 40.0)]).is_err());
}

#[test]
fn marks_follow_the_straights_the_arcs_and_the_stretch() {
    let bend = |straight_mm, angle_rad| TubeBend {
        straight_mm,
        rotation_rad: 0.0,
        angle_rad,
        radius_mm: 30.0,
    };
    let bends = vec![bend(50.0, FRAC_PI_2), bend(80.0, FRAC_PI_2 / 3.0), bend(40.0, PI / 4.0)];
    let tube = BendTable { bends, last_straight_mm: 60.0, passed: Vec::new() };
    let start = marks_mm(&tube, 1.5, MarkAt::Start).expect("marks");
    let arcs = [30.0 * FRAC_PI_2 - 1.5, 10.0 * FRAC_PI_2 - 0.5];
    assert!((start[0] - 50.0).abs() < 1e-9);
    assert!((start[1] - (130.0 + arcs[0])).abs() < 1e-9);
    assert!((start[2] - (170.0 + arcs[0] + arcs[1])).abs() < 1e-9);
    let centre = marks_mm(&tube, 1.5, MarkAt::Centre).expect("marks");
    assert!((centre[1] - start[1] - 0.5 * arcs[1]).abs() < 1e-9);
    let corner = marks_mm(&tube, 1.5, MarkAt::Corner).expect("marks");
    assert!((corner[0] - 80.0).abs() < 1e-9);
    // What is behind the last bend is the straight of the table: the cut is the length less the stretch.
    let stretch =
        stretch_mm(1.5, FRAC_PI_2 * 4.0 / 3.0 + PI / 4.0 - FRAC_PI_2 / 1e9).expect("a stretch");
    let behind = start[2] + 30.0 * PI / 4.0 - 0.75 + 60.0;
    assert!((behind - (tube.length_mm() - stretch)).abs() < 1e-6);
}

#[test]
fn a_corner_that_hardly_turns_is_passed_and_many_of_them_make_a_bend() {
    let straight = [[0.0, 0.0, 0.0], [100.0, 0.3, 0.0], [200.0, 0.0, 0.0], [200.0, 100.0, 0.0]];
    let table = bend_table(&straight.map(Point3::from), &[20.0, 20.0], LEAST_RAD).expect("a table");
    assert_eq!((table.bends.len(), table.passed.len(), table.passed[0].corner), (1, 1, 1));
    assert!((table.passed[0].off_mm - 0.3).abs() < 1e-3);
    // Twenty corners of 0.4 degrees turn 8 degrees together: not all of them may go.
    let arc: Vec<Point3<f64>> = (0..22)
        .map(|i| (f64::from(i) * 0.4).to_radians())
        .map(|a| Point3::new(5000.0 * libm::sin(a), 5000.0 * (1.0 - libm::cos(a)), 0.0))
        .collect();
    let table = bend_table(&arc, &[20.0; 20], LEAST_RAD).expect("a table");
    let turned: f64 = table.bends.iter().map(|b| b.angle_rad.to_degrees()).sum();
    assert!(table.bends.len() >= 5 && turned > 6.0, "{} bends, {turned}", table.bends.len());
}

#[test]
fn what_cannot_be_bent_is_refused_with_the_place() {
    let points = |rows: &[[f64; 3]]| rows.iter().copied().map(Point3::from).collect::<Vec<_>>();
    let short = points(&[[0.0; 3], [100.0, 0.0, 0.0], [100.0, 30.0, 0.0], [200.0, 30.0, 0.0]]);
    let error = bend_table(&short, &[20.0, 20.0], LEAST_RAD).expect_err("no room");
    assert!(error.to_string().contains("from point 1"), "{error}");
    let back = points(&[[0.0; 3], [100.0, 0.0, 0.0], [0.0, 0.5, 0.0]]);
    assert!(bend_table(&back, &[0.01], LEAST_RAD).is_err());
    let twice = points(&[[0.0; 3], [0.0; 3], [100.0, 0.0, 0.0]]);
    assert!(bend_table(&twice, &[20.0], LEAST_RAD).is_err());
    assert!(bend_table(&short, &[20.0], LEAST_RAD).is_err());
    assert!(bend_table(&short, &[20.0, f64::NAN], LEAST_RAD).is_err());
    assert!(bend_table(&points(&[[0.0; 3]]), &[], LEAST_RAD).is_err());
}

fn bends(rotations_deg: &[f64], straights_mm: &[f64]) -> BendTable {
    let bend = |(rotation_deg, straight_mm): (&f64, &f64)| TubeBend {
        straight_mm: *straight_mm,
        rotation_rad: rotation_deg.to_radians(),
        angle_rad: 1.0,
        radius_mm: 25.0,
    };
    let bends = rotations_deg.iter().zip(straights_mm).map(bend).collect();
    let last_straight_mm = straights_mm[straights_mm.len() - 1];
    BendTable { bends, last_straight_mm, passed: Vec::new() }
}

#[test]
fn flat_tubes_are_their_own_mirror_image_and_twisted_ones_are_not() {
    let image = |table: BendTable| table.mirror_image(LEAST_RAD, 0.5);
    assert_eq!(image(bends(&[], &[100.0])), MirrorImage::Same);
    assert_eq!(image(bends(&[0.0], &[50.0, 80.0])), MirrorImage::Same);
    assert_eq!(image(bends(&[0.0, 180.0, 0.0], &[50.0, 80.0, 90.0, 40.0])), MirrorImage::Same);
    assert_eq!(image(bends(&[0.0, 90.0], &[50.0, 80.0, 50.0])), MirrorImage::Another);
    assert_eq!(image(bends(&[0.0, 3.0], &[50.0, 80.0, 40.0])), MirrorImage::Another);
    // A turn and its opposite with the same straights: turned end for end, the mirror image fits.
    let even = bends(&[0.0, 70.0, -70.0], &[50.0, 80.0, 80.0, 50.0]);
    assert_eq!(image(even), MirrorImage::TurnedRound);
    let uneven = bends(&[0.0, 70.0, -70.0], &[50.0, 80.0, 90.0, 50.0]);
    assert_eq!(image(uneven), MirrorImage::Another);
}

/// A tube from random straights, rotations, angles and radii.
fn any_table() -> impl Strategy<Value = BendTable> {
    let bend = (0.0..300.0, -PI..PI, LEAST_RAD * 1.01..3.0, 5.0..120.0);
    (prop::collection::vec(bend, 1..12), 0.1..300.0).prop_map(|(rows, last_straight_mm)| {
        let bend =
            |(index, (straight_mm, rotation_rad, angle_rad, radius_mm)): (usize, _)| TubeBend {
                straight_mm,
                rotation_rad: if index == 0 { 0.0 } else { rotation_rad },
                angle_rad,
                radius_mm,
            };
        let bends = rows.into_iter().enumerate().map(bend).collect();
        BendTable { bends, last_straight_mm, passed: Vec::new() }
    })
}

fn many() -> ProptestConfig {
    ProptestConfig {
        cases: 10_000,
        rng_seed: RngSeed::Fixed(7),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Directions square to each other and to nothing else.
fn laid() -> (Point3<f64>, Vector3<f64>, Vector3<f64>) {
    let along = Vector3::new(0.36, 0.48, -0.8);
    (Point3::new(120.0, -40.0, 7.5), along, Vector3::new(0.8, -0.6, 0.0))
}

/// The largest difference of two tables, lengths in mm and angles in radians.
fn difference(a: &BendTable, b: &BendTable) -> f64 {
    assert_eq!(a.bends.len(), b.bends.len());
    let turn = |x: f64, y: f64| {
        let apart = (x - y).abs() % TAU;
        apart.min(TAU - apart)
    };
    let rows = a.bends.iter().zip(&b.bends).map(|(x, y)| {
        // The axis of a bend that hardly turns is known the less the less it turns.
        let rotation = turn(x.rotation_rad, y.rotation_rad) * libm::sin(x.angle_rad).abs();
        let lengths = (x.straight_mm - y.straight_mm).abs();
        lengths.max((x.angle_rad - y.angle_rad).abs()).max(rotation)
    });
    rows.fold((a.last_straight_mm - b.last_straight_mm).abs(), f64::max)
}

proptest! {
    #![proptest_config(many())]

    #[test]
    fn a_table_laid_out_and_read_again_is_the_same(table in any_table()) {
        let (start, along, inward) = laid();
        let points = table.points(start, along, inward).expect("points");
        let radii: Vec<f64> = table.bends.iter().map(|b| b.radius_mm).collect();
        let again = bend_table(&points, &radii, LEAST_RAD).expect("a table");
        prop_assert!(again.passed.is_empty());
        let scale = table.polyline_mm().max(1.0);
        prop_assert!(difference(&table, &again) <= 1e-9 * scale, "{}", difference(&table, &again));
    }

    #[test]
    fn points_read_and_laid_out_again_are_the_same(table in any_table()) {
        let (start, along, inward) = laid();
        let points = table.points(start, along, inward).expect("points");
        let radii: Vec<f64> = table.bends.iter().map(|b| b.radius_mm).collect();
        let again = bend_table(&points, &radii, LEAST_RAD).expect("a table");
        let first = (points[1] - points[0]).normalize();
        let second = points[2] - points[1];
        let inward = (second - first * second.dot(&first)).normalize();
        let back = again.points(points[0], first, inward).expect("points");
        let off = points.iter().zip(&back).map(|(a, b)| (a - b).norm()).fold(0.0, f64::max);
        prop_assert!(off <= 1e-9 * table.polyline_mm().max(1.0), "{off}");
        let (start, along, inward) = laid();
        let length_mm = table.path(start, along, inward).expect("a path").length_mm();
        prop_assert!((length_mm - table.length_mm()).abs() < 1e-5);
    }

    #[test]
    fn turned_round_twice_and_mirrored_twice_a_table_is_itself(table in any_table()) {
        prop_assert!(difference(&table, &table.reversed().reversed()) < 1e-12);
        prop_assert!(difference(&table, &table.mirrored().mirrored()) < 1e-12);
        let (start, along, inward) = laid();
        // The other end of the tube, read from its points in the other order.
        let mut points = table.points(start, along, inward).expect("points");
        points.reverse();
        let radii: Vec<f64> = table.bends.iter().rev().map(|b| b.radius_mm).collect();
        let read = bend_table(&points, &radii, LEAST_RAD).expect("a table");
        prop_assert!(difference(&table.reversed(), &read) <= 1e-9 * table.polyline_mm().max(1.0));
        // The mirror image of its points: the other sense of every rotation.
        let mirrored: Vec<_> = points.iter().map(|p| Point3::new(-p.x, p.y, p.z)).collect();
        let read = bend_table(&mirrored, &radii, LEAST_RAD).expect("a table");
        let wanted = table.reversed().mirrored();
        prop_assert!(difference(&wanted, &read) <= 1e-9 * table.polyline_mm().max(1.0));
    }
}
