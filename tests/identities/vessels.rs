//! Vessels: what a straight passes inside, where an inner body begins and ends, what measured tanks hold, and poured
//! points against least squares worked out another way.

use hosewright::geometry::vessel::poured::{Pour, PourErrors, PouredFit, poured_fit};
use hosewright::geometry::vessel::profile::Profile;
use hosewright::geometry::vessel::{Ends, InnerBody, Vessel, VesselShape};
use nalgebra::{DMatrix, DVector, Point3, Vector3};

use super::{alike, shares};

const BOX: VesselShape = VesselShape::Box { length_mm: 400.0, width_mm: 200.0, height_mm: 150.0 };

fn direction(share: &mut impl FnMut() -> f64) -> Vector3<f64> {
    loop {
        let wish = Vector3::new(share() - 0.5, share() - 0.5, share() - 0.5);
        if (0.1..0.5).contains(&wish.norm()) {
            return wish.normalize();
        }
    }
}

/// Where a straight is between two planes each way, by the slabs of a box.
fn between_planes(
    at: &Point3<f64>,
    along: &Vector3<f64>,
    low: [f64; 3],
    high: [f64; 3],
) -> (f64, f64) {
    (0..3).fold((f64::NEG_INFINITY, f64::INFINITY), |(from, to), i| {
        let (a, b) = ((low[i] - at[i]) / along[i], (high[i] - at[i]) / along[i]);
        (from.max(a.min(b)), to.min(a.max(b)))
    })
}

#[test]
fn a_straight_is_inside_a_box_between_its_planes() {
    let tank = Vessel::new(&BOX, None).unwrap();
    let mut share = shares();
    for _ in 0..200 {
        let inside =
            Point3::new(20.0 + 360.0 * share(), -90.0 + 180.0 * share(), 10.0 + 130.0 * share());
        let along = direction(&mut share);
        // From a place outside, ahead of the box or behind it.
        let at = inside - along * (1500.0 * (share() - 0.5));
        let (from, to) = between_planes(&at, &along, [0.0, -100.0, 0.0], [400.0, 100.0, 150.0]);
        let (a, b) = tank.inside_along(&at, &along).unwrap().expect("it goes through");
        assert!((a - from).abs() < 1e-6 && (b - to).abs() < 1e-6, "{a} {b} for {from} {to}");
    }
}

#[test]
fn a_straight_leaves_an_obround_at_a_radius_from_its_middle() {
    let (width, height) = (300.0, 160.0);
    let shape = VesselShape::Obround { length_mm: 500.0, width_mm: width, height_mm: height };
    let tank = Vessel::new(&shape, None).unwrap();
    let mut share = shares();
    for _ in 0..100 {
        let turn = 6.3 * share();
        let across = Vector3::new(0.0, libm::cos(turn), libm::sin(turn));
        let at = Point3::new(250.0, 120.0 * (share() - 0.5), 40.0 + 80.0 * share());
        let (a, b) = tank.inside_along(&at, &across).unwrap().expect("it begins inside");
        for end in [a, b] {
            let p = at + across * end;
            // The middle is a straight between the centres of the half circles, at half the height.
            let beside = (p.y.abs() - 0.5 * (width - height)).max(0.0);
            let apart = libm::hypot(beside, p.z - 0.5 * height);
            assert!((apart - 0.5 * height).abs() < 1e-6, "{apart} at {p}");
        }
    }
}

#[test]
fn an_inner_body_lies_between_its_lowest_and_its_highest_place() {
    let mut share = shares();
    let (low, high) = (Point3::new(100.0, -30.0, 40.0), Point3::new(300.0, 50.0, 110.0));
    let (from, to, radius) = (Point3::new(90.0, -10.0, 60.0), Point3::new(310.0, 20.0, 90.0), 25.0);
    let boxed = InnerBody::Box { low_mm: low, high_mm: high };
    let round = InnerBody::Cylinder { from_mm: from, to_mm: to, radius_mm: radius };
    let [boxed, round] = [boxed, round].map(|inner| Vessel::new(&BOX, Some(&inner)).unwrap());
    for _ in 0..50 {
        let up = direction(&mut share);
        let corner = |i: usize| {
            let pick = |axis: usize| if i >> axis & 1 == 0 { low[axis] } else { high[axis] };
            Point3::new(pick(0), pick(1), pick(2))
        };
        let levels = (0..8).map(|i| up.dot(&corner(i).coords));
        let (least, most) = boxed.inner_levels_mm(&up).unwrap();
        alike(least, levels.clone().fold(f64::INFINITY, f64::min));
        alike(most, levels.fold(f64::NEG_INFINITY, f64::max));
        // Of a disc the highest place lies along what is square to the axis in the direction up.
        let axis = (to - from).normalize();
        let square = up - axis * up.dot(&axis);
        let reach = radius * square.norm();
        let (least, most) = round.inner_levels_mm(&up).unwrap();
        let ends = [from, to].map(|p| up.dot(&p.coords));
        alike(least, ends[0].min(ends[1]) - reach);
        alike(most, ends[0].max(ends[1]) + reach);
    }
}

#[test]
fn a_slanting_cylinder_is_inside_as_long_as_its_rims_are() {
    // Its axis climbs by three to four, so its rims stand out by 0.8 of the radius below and above.
    let inner = |radius_mm: f64| {
        let (from_mm, to_mm) = (Point3::new(100.0, 0.0, 45.0), Point3::new(180.0, 0.0, 105.0));
        Vessel::new(&BOX, Some(&InnerBody::Cylinder { from_mm, to_mm, radius_mm }))
    };
    assert!(inner(45.0 / 0.8 - 0.5).is_ok());
    assert!(inner(45.0 / 0.8 + 0.5).is_err());
    // Sideways it stands out by the whole radius.
    let flat = |y: f64, radius_mm: f64| {
        let (from_mm, to_mm) = (Point3::new(100.0, y, 75.0), Point3::new(300.0, y, 75.0));
        Vessel::new(&BOX, Some(&InnerBody::Cylinder { from_mm, to_mm, radius_mm }))
    };
    assert!(flat(40.0, 59.9).is_ok() && flat(-40.0, 59.9).is_ok());
    assert!(flat(40.0, 60.2).is_err() && flat(-40.0, 60.2).is_err());
}

#[test]
fn a_level_that_is_found_holds_the_volume_asked_for() {
    let shape =
        VesselShape::LyingCylinder { diameter_mm: 180.0, length_mm: 300.0, ends: Ends::Flat };
    let mut share = shares();
    let tank = Vessel::new(&shape, None).unwrap();
    for _ in 0..60 {
        let (up, wanted) = (direction(&mut share), tank.full_mm3() * (0.001 + 0.998 * share()));
        let level = tank.level_mm(&up, wanted).unwrap();
        let held = tank.volume_below(&up, level).unwrap().volume_mm3;
        assert!((held - wanted).abs() < 1e-9 * tank.full_mm3(), "{held} for {wanted}");
    }
}

#[test]
fn a_measured_tank_holds_what_was_poured_and_evenly_between() {
    let poured = [(5.0, 2e5), (40.0, 1e6), (90.0, 3.5e6)];
    let tank = Profile::of_volumes(&poured).unwrap();
    for pair in poured.windows(2) {
        for share in [0.0, 0.25, 0.7, 1.0] {
            let dip = pair[0].0 * (1.0 - share) + pair[1].0 * share;
            let volume = pair[0].1 * (1.0 - share) + pair[1].1 * share;
            alike(tank.volume_mm3(dip).unwrap() / volume, 1.0);
            alike(tank.dip_mm(volume).unwrap(), dip);
        }
    }
}

#[test]
fn a_tank_of_areas_holds_their_sum_in_thin_layers() {
    let areas = [(0.0, 1e4), (50.0, 4e4), (120.0, 2.5e4)];
    let tank = Profile::of_areas(&areas).unwrap();
    let area_at = |depth: f64| {
        let at = usize::from(depth >= areas[1].0);
        let ((a, from), (b, to)) = (areas[at], areas[at + 1]);
        from + (to - from) * (depth - a) / (b - a)
    };
    let mut sum = 0.0;
    for layer in 0..1200 {
        // Each layer is trapezoidal, so its middle area is exact.
        let middle = 0.1 * (f64::from(layer) + 0.5);
        sum += 0.1 * area_at(middle);
        let depth = middle + 0.05;
        let found = tank.volume_mm3(depth).unwrap();
        assert!((found / sum - 1.0).abs() < 1e-9, "{found} for {sum} at {depth}");
        assert!((tank.dip_mm(found).unwrap() - depth).abs() < 1e-7, "at {depth}");
    }
}

/// A tank whose area grows with the depth.
fn wedge(dip: f64) -> (f64, f64) {
    (8e3 * dip + 20.0 * dip * dip, 8e3 + 40.0 * dip)
}

/// Offset and scale, with their deviations, by the normal equations with the whole covariance.
fn by_normal_equations(
    points: &[Pour],
    errors: PourErrors,
    near: &PouredFit,
) -> Option<([f64; 2], [f64; 2], f64)> {
    let shape: Vec<(f64, f64)> = points.iter().map(|p| wedge(p.dip_mm + near.offset_mm)).collect();
    let count = points.len();
    let covariance = DMatrix::from_fn(count, count, |i, j| {
        let lots = u32::try_from(i.min(j) + 1).map_or(f64::NAN, f64::from);
        let reading = near.scale * shape[i].1 * errors.reading_mm;
        let own = if i == j { reading * reading } else { 0.0 };
        (lots * errors.lot_mm3 * errors.lot_mm3 + own) / 3.0
    });
    let weight = covariance.try_inverse()?;
    let slopes =
        DMatrix::from_fn(
            count,
            2,
            |i, j| {
                if j == 0 { near.scale * shape[i].1 } else { shape[i].0 }
            },
        );
    let rest = DVector::from_fn(count, |i, _| points[i].volume_mm3 - near.scale * shape[i].0);
    let normal = slopes.transpose() * &weight * &slopes;
    let step = normal.clone().try_inverse()? * slopes.transpose() * &weight * &rest;
    let spread = normal.try_inverse()?;
    let misfit = (rest.transpose() * &weight * &rest)[0];
    Some(([step[0], step[1]], [spread[(0, 0)].sqrt(), spread[(1, 1)].sqrt()], misfit))
}

#[test]
fn poured_points_fit_as_least_squares_with_the_whole_covariance() {
    let errors = PourErrors { lot_mm3: 8e3, reading_mm: 0.7 };
    let off = [0.3, -0.4, 0.2, 0.5, -0.3, -0.1, 0.4];
    let points: Vec<Pour> = (1..=7)
        .zip(off)
        .map(|(lot, off)| {
            let dip = 2.0 + 11.0 * f64::from(lot);
            Pour { volume_mm3: 1.02 * wedge(dip + 1.5).0, dip_mm: dip + off }
        })
        .collect();
    let fit = poured_fit(&points, errors, &|dip| Ok(wedge(dip))).unwrap();
    for (point, found) in points.iter().zip(&fit.points) {
        let holds = |dip: f64| fit.scale * wedge(dip + fit.offset_mm).0;
        let over = holds(found.expected_mm) - holds(point.dip_mm);
        assert!((over - found.over_mm3).abs() < 1e-6 * holds(point.dip_mm), "{over} {found:?}");
    }
    assert!(fit.odd.is_empty());
    let (step, deviations, misfit) = by_normal_equations(&points, errors, &fit).unwrap();
    assert!(step[0].abs() < 1e-6 && step[1].abs() < 1e-8, "no step is left: {step:?}");
    assert!((fit.offset_sd_mm / deviations[0] - 1.0).abs() < 1e-6);
    assert!((fit.scale_sd / deviations[1] - 1.0).abs() < 1e-6);
    // Without a point, the misfit falls by the square of its score, to first order of its weight in the covariance.
    for (at, point) in fit.points.iter().enumerate() {
        let mut without = points.clone();
        without[at].volume_mm3 -= point.over_mm3;
        let (step, _, less) = by_normal_equations(&without, errors, &fit).unwrap();
        let back = misfit - point.score * point.score;
        // At what the others expect it to be, it pulls no longer: what is left is their own misfit.
        let settled = less - pulled(&without, errors, &fit, step).unwrap();
        assert!((settled - back).abs() < 1e-6 * (1.0 + misfit), "{settled} for {back} at {at}");
    }
}

/// By how much the misfit falls when the fit takes the step that is left.
fn pulled(points: &[Pour], errors: PourErrors, near: &PouredFit, step: [f64; 2]) -> Option<f64> {
    let moved: Vec<Pour> = points
        .iter()
        .map(|p| {
            let (volume, area) = wedge(p.dip_mm + near.offset_mm);
            let more = near.scale * area * step[0] + volume * step[1];
            Pour { volume_mm3: p.volume_mm3 - more, ..*p }
        })
        .collect();
    let before = by_normal_equations(points, errors, near)?.2;
    Some(before - by_normal_equations(&moved, errors, near)?.2)
}

#[test]
fn square_to_its_axis_a_vessel_holds_its_section_times_the_depth() {
    let round =
        VesselShape::LyingCylinder { diameter_mm: 180.0, length_mm: 300.0, ends: Ends::Flat };
    let flat = VesselShape::Obround { length_mm: 300.0, width_mm: 260.0, height_mm: 120.0 };
    let disc = |diameter: f64| std::f64::consts::FRAC_PI_4 * diameter * diameter;
    let tanks = [(BOX, 200.0 * 150.0), (round, disc(180.0)), (flat, disc(120.0) + 140.0 * 120.0)];
    for (shape, section) in tanks {
        let tank = Vessel::new(&shape, None).unwrap();
        for (up, from) in [(Vector3::x(), 0.0), (-Vector3::x(), -tank.corners_mm().1.x)] {
            for depth in [20.0, 150.0, 290.0] {
                let held = tank.volume_below(&up, from + depth).unwrap().volume_mm3;
                assert!((held / (section * depth) - 1.0).abs() < 1e-12, "{held} at {depth}");
            }
        }
    }
}
