//! Volumes of vessels: worked figures, and rows of a general integrator.

use hosewright::geometry::vessel::{Ends, InnerBody, Vessel, VesselShape};
use nalgebra::{Point3, Vector3};

use super::case::{Case, CaseFile};

fn shape(kind: &str, [length, width, height]: [f64; 3], ends: Ends) -> VesselShape {
    match kind {
        "lying" => VesselShape::LyingCylinder { diameter_mm: width, length_mm: length, ends },
        "upright" => VesselShape::UprightCylinder { diameter_mm: width, height_mm: height, ends },
        "box" => VesselShape::Box { length_mm: length, width_mm: width, height_mm: height },
        _ => VesselShape::Obround { length_mm: length, width_mm: width, height_mm: height },
    }
}

fn ends(kind: &str, first: f64, second: f64) -> Ends {
    match kind {
        "flat" => Ends::Flat,
        "dished" => Ends::Dished { depth_mm: first },
        "ellipsoidal" => Ends::Ellipsoidal { depth_mm: first },
        "conical" => Ends::Conical { depth_mm: first },
        _ => Ends::Torispherical { crown_mm: first, knuckle_mm: second },
    }
}

fn of(case: &Case) -> Vessel {
    let (kind, closed) = case.call.split_once(", ").expect("kind, ends");
    let size = case.numbers("size_mm");
    let ended = case.numbers("ends_mm");
    let form = shape(kind, [size[0], size[1], size[2]], ends(closed, ended[0], ended[1]));
    let core = case.numbers("core_mm");
    let inner = (core.len() == 7).then(|| InnerBody::Cylinder {
        from_mm: Point3::new(core[0], core[1], core[2]),
        to_mm: Point3::new(core[3], core[4], core[5]),
        radius_mm: core[6],
    });
    Vessel::new(&form, inner.as_ref()).expect("a vessel")
}

/// Up where the depth falls along the length by `tilt_rad`.
fn up(case: &Case) -> Vector3<f64> {
    let tilt = case.number("tilt_rad");
    Vector3::new(libm::sin(tilt), 0.0, libm::cos(tilt))
}

/// Each case with its answer.
pub const VESSEL: CaseFile = CaseFile {
    path: "geometry/vessel",
    text: include_str!("vessel.toml"),
    kernel: |case| {
        let (vessel, up, at) = (of(case), up(case), case.number("at_mm"));
        let below = |dip: f64| {
            let level = up.dot(&Vector3::new(at, 0.0, dip));
            vessel.volume_below(&up, level).expect("a volume").volume_mm3 / 1e6
        };
        case.numbers("dips_mm").into_iter().map(below).collect()
    },
};

#[test]
fn volumes_agree_with_worked_figures() {
    VESSEL.agree();
}

#[test]
fn dips_come_back_from_their_volumes() {
    let lying = shape("lying", [800.0, 300.0, 0.0], Ends::Flat);
    let vessel = Vessel::new(&lying, None).expect("a vessel");
    // Root finding in an independent script, substituted back; printed to a thousandth.
    let printed = [
        (5.0, 43.123),
        (10.0, 69.862),
        (15.0, 93.310),
        (20.0, 115.209),
        (30.0, 157.193),
        (40.0, 199.787),
        (50.0, 248.038),
    ];
    for (litres, dip) in printed {
        let found = vessel.level_mm(&Vector3::z(), litres * 1e6).expect("a level");
        assert!((found - dip).abs() <= 5.1e-4, "{litres} L: {found}");
    }
}

#[test]
fn volumes_agree_with_a_general_integrator() {
    const KINDS: &[&str] = &["lying", "upright", "box", "obround"];
    const CLOSED: &[&str] = &["flat", "dished", "ellipsoidal", "conical", "torispherical"];
    let text = include_str!("../../oracle/vessel.csv");
    let mut rows = 0;
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let word = |list: &[&'static str], code: f64| -> &'static str {
            let coded = list.iter().zip(0_u32..);
            let mut same = coded.filter(|(_, i)| (f64::from(*i) - code).abs() < 0.5);
            same.next().map(|(word, _)| *word).expect("a word")
        };
        let ended = ends(word(CLOSED, row[4]), row[5], row[6]);
        let form = shape(word(KINDS, row[0]), [row[1], row[2], row[3]], ended);
        let vessel = Vessel::new(&form, None).expect("a vessel");
        let up = Vector3::new(row[7], row[8], row[9]).normalize();
        let found = vessel.volume_below(&up, row[10]).expect("a volume");
        let off = (found.volume_mm3 - row[11]).abs() / row[11];
        assert!(off <= 1e-9 && found.change <= 1e-9, "{line}: {off:e}");
        let level = vessel.level_mm(&up, found.volume_mm3).expect("a level");
        assert!((level - row[10]).abs() <= 1e-8, "{line}: level {level}");
        rows += 1;
    }
    assert_eq!(rows, 40);
}

#[test]
fn the_volume_never_falls_as_the_surface_rises_at_any_tilt() {
    let ended = Ends::Torispherical { crown_mm: 180.0, knuckle_mm: 18.0 };
    let vessel = Vessel::new(&shape("lying", [300.0, 180.0, 0.0], ended), None).expect("a vessel");
    for tilt in [0.0, 1e-9, 1e-4, 3.0, 45.0, 89.9, 89.999_999_99, 90.0, 135.0, 180.0_f64] {
        let up = Vector3::new(-libm::sin(tilt.to_radians()), 0.0, libm::cos(tilt.to_radians()));
        let below =
            |i: i32| vessel.volume_below(&up, -600.0 + 5.0 * f64::from(i)).expect("a volume");
        let all: Vec<f64> = (0..240).map(|i| below(i).volume_mm3).collect();
        assert!(all.windows(2).all(|w| w[1] >= w[0] - 1e-3), "{tilt}");
        assert!(all[0] == 0.0 && (all[239] - vessel.full_mm3()).abs() < 1e-3, "{tilt}");
    }
}

#[test]
fn what_no_tank_has_is_refused() {
    let flat = Ends::Flat;
    assert!(Vessel::new(&shape("lying", [0.0, 180.0, 0.0], flat), None).is_err());
    assert!(Vessel::new(&shape("box", [100.0, f64::NAN, 50.0], flat), None).is_err());
    let deep = Ends::Dished { depth_mm: 91.0 };
    assert!(Vessel::new(&shape("lying", [300.0, 180.0, 0.0], deep), None).is_err());
    let narrow = Ends::Torispherical { crown_mm: 80.0, knuckle_mm: 10.0 };
    assert!(Vessel::new(&shape("lying", [300.0, 180.0, 0.0], narrow), None).is_err());
    let outside = InnerBody::Box {
        low_mm: Point3::new(10.0, -20.0, 1.0),
        high_mm: Point3::new(90.0, 20.0, 20.0),
    };
    // Within the box about the cylinder, yet through its wall.
    let lying = shape("lying", [300.0, 180.0, 0.0], flat);
    let said = Vessel::new(&lying, Some(&outside)).expect_err("refused").to_string();
    assert!(said.contains("inner body"), "{said}");
    let vessel = Vessel::new(&lying, None).expect("a vessel");
    assert!(vessel.level_mm(&Vector3::z(), vessel.full_mm3() * 1.001).is_err());
    assert!(vessel.level_mm(&Vector3::new(0.0, 0.0, 2.0), 1e6).is_err());
    assert!(vessel.volume_below(&Vector3::z(), f64::INFINITY).is_err());
}

#[test]
fn areas_by_depth_give_a_parabola_between_two_of_them() {
    use hosewright::geometry::vessel::profile::Profile;
    // A cone of 100 mm cut level has areas that go with the square of the depth; linear areas lie above it.
    let wedge = Profile::of_areas(&[(0.0, 1.0), (100.0, 10_001.0)]).expect("a profile");
    let volume = wedge.volume_mm3(40.0).expect("a volume");
    assert!((volume - (40.0 + 50.0 * 1600.0)).abs() < 1e-6, "{volume}");
    assert!((wedge.dip_mm(volume).expect("a dip") - 40.0).abs() < 1e-9);
    assert!(Profile::of_areas(&[(5.0, 1.0), (100.0, 2.0)]).is_err());
    assert!(Profile::of_volumes(&[(0.0, 0.0), (10.0, 5.0), (10.0, 6.0)]).is_err());
    assert!(wedge.volume_mm3(101.0).is_err());
}
