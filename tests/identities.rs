//! What kernels must give whatever the numbers, by identities that follow from what their results are.

mod vessels;

use core::f64::consts::PI;

use hosewright::geometry::clock::carried;
use hosewright::geometry::stiffness::three_point;
use hosewright::geometry::{BendTable, Path, Piece, RouteEnd, RouteInput, TubeBend, route};
use hosewright::hydraulics::curved::schmidt_turbulent_ratio;
use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use hosewright::hydraulics::insert::{Insert, insert_loss};
use hosewright::hydraulics::leak::hole::jet_flow_m3_s;
use hosewright::hydraulics::sizing::{explicit_flow_m3_s, flow_for_drop};
use hosewright::hydraulics::vapour::antoine_pa;
use hosewright::makeup::cut_length::{CutInput, cut_length};
use hosewright::makeup::sheet::bend::{BendArea, sight_mm};
use hosewright::rating::bend::{
    centre_line_from_inside_mm, inside_from_centre_line_mm, wall_change,
};
use hosewright::rating::derate::{derated_pa, derating_factor};
use hosewright::rating::pressure::pressure_margin;
use hosewright::rating::temperature::temperature_margin;
use hosewright::rating::vacuum::vacuum_margin;
use nalgebra::{Point3, Vector3};

const OIL: Liquid = Liquid { density_kg_m3: 870.0, viscosity_pa_s: 0.03 };

#[track_caller]
fn alike(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-12 * (1.0 + wanted.abs()), "{found} for {wanted}");
}

/// Numbers between 0 and 1, the same in every run.
fn shares() -> impl FnMut() -> f64 {
    let mut at = 0.0_f64;
    move || {
        at = (at + 0.618_033_988_749_894_9) % 1.0;
        at
    }
}

#[test]
fn what_a_suction_line_is_asked_for_and_what_is_left_make_up_its_rating() {
    for (outside, inside, rated) in
        [(1e5, 7e4, 5e4), (8e4, 2e4, 5e4), (9e4, 9.5e4, 3e4), (1e5, 9e4, 0.0)]
    {
        let found = vacuum_margin(outside, inside, rated).unwrap();
        alike(found.vacuum_pa + found.margin_pa, rated);
        alike(found.vacuum_pa, if inside < outside { outside - inside } else { 0.0 });
    }
}

#[test]
fn between_two_points_a_derating_falls_evenly_and_takes_its_share_of_the_pressure() {
    let curve = [(20.0, 1.0), (100.0, 0.8), (150.0, 0.3)];
    for pair in curve.windows(2) {
        for share in [0.0, 0.25, 0.8, 1.0] {
            let at = pair[0].0 + share * (pair[1].0 - pair[0].0);
            let factor = pair[0].1 + share * (pair[1].1 - pair[0].1);
            alike(derating_factor(&curve, at).unwrap(), factor);
            alike(derated_pa(10e6, &curve, at).unwrap() / 10e6, factor);
        }
    }
    for unsound in [[(20.0, 1.0), (f64::NAN, 0.8)], [(20.0, f64::INFINITY), (90.0, 0.8)]] {
        assert!(derating_factor(&unsound, 20.0).is_err(), "{unsound:?}");
    }
}

#[test]
fn a_flow_that_is_worked_out_directly_loses_what_was_given_by_colebrook() {
    let drop = 2e5;
    for (bore_m, roughness_m) in [(0.01, 0.0), (0.02, 5e-6), (0.05, 1e-4)] {
        let run = Straight { bore_m, length_m: 5.0, roughness_m, loss_sum: 0.0 };
        let water = Liquid { density_kg_m3: 998.0, viscosity_pa_s: 1e-3 };
        let flow = explicit_flow_m3_s(&run, &water, drop).unwrap();
        let back = straight_loss(&run, &water, flow).unwrap().drop_pa;
        assert!((back / drop - 1.0).abs() < 1e-3, "{back} in a bore of {bore_m}");
    }
}

#[test]
fn a_flow_that_is_worked_out_directly_is_hagen_and_poiseuilles_where_it_is_slow() {
    let run = Straight { bore_m: 0.01, length_m: 2.0, roughness_m: 0.0, loss_sum: 0.0 };
    let flow = explicit_flow_m3_s(&run, &OIL, 1e4).unwrap();
    // Q = pi dp d^4 / (128 mu L); Re is 151 there.
    let wanted = PI * 1e4 * libm::pow(0.01, 4.0) / (128.0 * OIL.viscosity_pa_s * 2.0);
    assert!((flow / wanted - 1.0).abs() < 1e-12, "{flow} for {wanted}");
}

#[test]
fn a_jet_of_liquid_has_the_energy_that_the_pressure_gave_it() {
    for (area_m2, difference_pa, density) in [(1e-6, 2e5, 1000.0), (3e-8, 7e6, 870.0)] {
        let speed = jet_flow_m3_s(area_m2, difference_pa, density).unwrap() / area_m2;
        alike(0.5 * density * speed * speed / difference_pa, 1.0);
    }
}

#[test]
fn water_by_antoine_has_the_vapour_pressure_of_steam_tables() {
    // Saturation pressure of water, IAPWS-95: 2.339 kPa at 20 degC, 19.95 kPa at 60 degC, 101.42 kPa at 100 degC.
    for (celsius, kilopascal) in [(20.0, 2.339), (60.0, 19.95), (100.0, 101.42)] {
        let found = antoine_pa(8.07131, 1730.63, 233.426, celsius + 273.15).unwrap();
        assert!((found / (kilopascal * 1e3) - 1.0).abs() < 0.005, "{found} at {celsius}");
    }
}

#[test]
fn a_coil_in_turbulent_flow_takes_what_the_oracle_says() {
    // fluids 1.3.1: helical_turbulent_fd_Schmidt over friction_factor.
    for (re, bore_m, coil_m, ratio) in [
        (1.2e4, 0.01, 0.1, 1.575_719_900_564_68),
        (3e4, 0.02, 0.1, 1.553_869_298_732_72),
        (1e5, 0.01, 0.2, 1.314_082_136_562_61),
        (1.5e5, 0.008, 0.5, 1.183_865_373_681_18),
    ] {
        let found = schmidt_turbulent_ratio(re, bore_m, coil_m).unwrap();
        assert!((found - ratio).abs() < 1e-9, "{found} at {re}");
    }
}

#[test]
fn what_is_spare_and_what_is_used_make_up_the_rated_pressure() {
    for (working, surge, rated) in [(7e5, 2e5, 10e5), (7e5, 0.0, 5e5), (0.0, 3e5, 4e5)] {
        let margin = pressure_margin(working, surge, rated).unwrap();
        alike(margin.highest_pa, working + surge);
        alike(margin.highest_pa + margin.margin_pa, rated);
        alike(margin.used_fraction * rated, margin.highest_pa);
    }
}

#[test]
fn the_range_of_a_material_is_spare_at_both_ends_and_what_lies_between() {
    for (coldest, hottest) in [(-10.0, 90.0), (-50.0, 40.0), (20.0, 130.0)] {
        let margin = temperature_margin(coldest, hottest, -40.0, 125.0, 10.0).unwrap();
        alike(margin.cold_margin_k + (hottest - coldest) + margin.hot_margin_k, 165.0);
        alike(margin.hot_margin_k, 125.0 - hottest);
        assert_eq!(margin.in_range, margin.cold_margin_k >= 10.0 && margin.hot_margin_k >= 10.0);
    }
}

#[test]
fn radii_of_a_bend_differ_by_half_the_tube_and_the_wall_follows_its_length() {
    for (inside, outside) in [(20.0, 10.0), (37.5, 25.4), (3.0, 4.0)] {
        let centre = centre_line_from_inside_mm(inside, outside).unwrap();
        alike(centre, inside + outside / 2.0);
        alike(inside_from_centre_line_mm(centre, outside).unwrap(), inside);
        let wall = wall_change(outside, centre).unwrap();
        // The same metal over the longer way outside and the shorter one inside.
        alike((1.0 - wall.thinning_fraction) * (centre + outside / 2.0), centre);
        alike((1.0 + wall.thickening_fraction) * inside, centre);
    }
}

#[test]
fn the_dip_in_a_throat_is_what_the_stream_gains_in_velocity_head() {
    let end = Insert { hose_bore_m: 0.0127, bore_m: 0.0095, length_m: 0.03, roughness_m: 1e-6 };
    for flow in [1e-5, 1e-4, 1e-3] {
        let loss = insert_loss(&end, &OIL, flow).unwrap();
        let head =
            |bore: f64| 0.5 * OIL.density_kg_m3 * libm::pow(flow / (PI / 4.0 * bore * bore), 2.0);
        alike(loss.throat_dip_pa, head(end.bore_m) - head(end.hose_bore_m));
        alike(loss.drop_pa, loss.contraction_pa + loss.tube_pa + loss.expansion_pa);
    }
}

/// Hagen and Poiseuille: Q = π d⁴ Δp / (128 μ L), up to Re 2000.
#[test]
fn a_slow_flow_grows_with_what_drives_it() {
    let run = Straight { bore_m: 0.01, length_m: 2.0, roughness_m: 1e-6, loss_sum: 0.0 };
    let per_pa = PI * libm::pow(run.bore_m, 4.0) / (128.0 * OIL.viscosity_pa_s * run.length_m);
    let area = PI / 4.0 * run.bore_m * run.bore_m;
    let at_2000 = 2000.0 * OIL.viscosity_pa_s * area / (OIL.density_kg_m3 * run.bore_m * per_pa);
    for share in [0.001, 0.5, 0.999] {
        let found = flow_for_drop(&run, &OIL, share * at_2000).unwrap();
        let flow = found.loss.velocity_m_s * area;
        assert!((flow / (per_pa * share * at_2000) - 1.0).abs() < 1e-9, "{flow} at {share}");
    }
}

#[test]
fn a_flow_that_is_found_loses_what_was_given() {
    let run = Straight { bore_m: 0.02, length_m: 5.0, roughness_m: 5e-6, loss_sum: 3.0 };
    for drop in [10.0, 1e3, 1e5, 3e6] {
        let found = flow_for_drop(&run, &OIL, drop).unwrap();
        let flow = found.loss.velocity_m_s * PI / 4.0 * run.bore_m * run.bore_m;
        let back = straight_loss(&run, &OIL, flow).unwrap().drop_pa;
        assert!((back - drop).abs() <= 1e-6 * drop, "{back} for {drop}");
    }
}

#[test]
fn the_sight_line_stands_a_nose_inside_the_end_that_is_clamped() {
    let bend = BendArea { from_mm: 40.0, to_mm: 46.0 };
    alike(sight_mm(&bend, 2.5, false).unwrap() - bend.from_mm, 2.5);
    alike(bend.to_mm - sight_mm(&bend, 2.5, true).unwrap(), 2.5);
}

/// A beam on two supports sags F L³ / (48 EI) in the middle.
#[test]
fn a_hose_on_two_supports_sags_by_the_stiffness_found() {
    for (load, span, sag) in [(10.0, 0.6, 0.015), (3.0, 0.4, 0.002)] {
        let stiffness = three_point(load, span, sag).unwrap();
        alike(load * span * span * span / (48.0 * stiffness), sag);
    }
}

/// A hose led the other way round keeps its bends, however much of its first and last straights are fittings.
#[test]
fn a_route_that_is_short_of_room_has_the_same_bends_from_either_end() {
    let end = |x: f64, faces: f64, cut_off_mm: f64| RouteEnd {
        seat: Point3::new(x, 0.0, 0.0),
        faces: Vector3::new(faces, 0.0, 0.0),
        angle_rad: 0.0,
        drop_mm: 0.0,
        cut_off_mm,
        aim: None,
    };
    for (one, other) in [(20.0, 70.0), (75.0, 5.0), (0.0, 85.0)] {
        let (a, b) = (end(0.0, 1.0, one), end(300.0, -1.0, other));
        let mut clips = vec![Point3::new(110.0, 0.0, 0.0), Point3::new(190.0, 90.0, 0.0)];
        clips.push(Point3::new(205.0, 0.0, 0.0));
        let laid = |a: RouteEnd, b: RouteEnd, clips: &[Point3<f64>]| {
            let input =
                RouteInput { a, b, clips, bend_radius_mm: 60.0, straight_after_end_mm: 0.0 };
            route(&input)
        };
        let there = laid(a, b, &clips).unwrap();
        clips.reverse();
        let back = laid(b, a, &clips).unwrap();
        assert!((there.length_mm - back.length_mm).abs() < 1e-6);
        for (one, other) in there.bends.iter().zip(back.bends.iter().rev()) {
            assert!((one.radius_mm - other.radius_mm).abs() < 1e-6, "{one:?} and {other:?}");
        }
    }
}

/// Both ends of a hose without clips bend towards each other; Newton's rule doubles the digits at each step.
#[test]
fn the_ways_out_of_two_ends_settle_in_few_steps() {
    let mut share = shares();
    for _ in 0..400 {
        let mut end = |seat: Point3<f64>| {
            let faces = Vector3::new(share() - 0.5, share() - 0.5, share() - 0.5).normalize();
            RouteEnd { seat, faces, angle_rad: 0.0, drop_mm: 0.0, cut_off_mm: 30.0, aim: None }
        };
        let (a, b) = (end(Point3::origin()), end(Point3::new(600.0, 150.0, 80.0)));
        let laid = route(&RouteInput {
            a,
            b,
            clips: &[],
            bend_radius_mm: 60.0,
            straight_after_end_mm: 10.0,
        });
        let steps = laid.unwrap().settled_in;
        assert!(steps.is_some_and(|steps| steps <= 6), "{steps:?}");
    }
}

/// A hose that is all slack has no length.
#[test]
fn slack_and_shortening_stay_below_the_whole() {
    let input = CutInput {
        path_mm: 500.0,
        cut_off_a_mm: 20.0,
        cut_off_b_mm: 20.0,
        slack_fraction: 0.05,
        least_slack_fraction: 0.05,
        most_slack_fraction: 0.08,
        contraction_fraction: 0.04,
        elongation_fraction: 0.02,
        step_mm: 1.0,
    };
    assert!(cut_length(&input).is_ok());
    assert!(cut_length(&CutInput { contraction_fraction: 1.0, ..input }).is_err());
    assert!(cut_length(&CutInput { most_slack_fraction: 1.0, ..input }).is_err());
    let all = CutInput { slack_fraction: 1.0, least_slack_fraction: 1.0, ..input };
    assert!(cut_length(&CutInput { most_slack_fraction: 1.0, ..all }).is_err());
}

#[test]
fn a_tube_is_the_part_that_it_is_from_either_end_and_ends_where_it_ends() {
    let bend = |straight_mm, turn_deg: f64| TubeBend {
        straight_mm,
        rotation_rad: turn_deg.to_radians(),
        angle_rad: 1.0,
        radius_mm: 30.0,
    };
    let tube = |turn_deg: f64| BendTable {
        bends: vec![bend(50.0, 0.0), bend(80.0, turn_deg), bend(70.0, -20.0)],
        last_straight_mm: 60.0,
        passed: Vec::new(),
    };
    for turn_deg in [40.0, 100.0, -75.0] {
        let this = tube(turn_deg);
        assert!(this.matches(&this, 0.01, 0.1) && this.matches(&this.reversed(), 0.01, 0.1));
        assert!(!this.matches(&tube(turn_deg + 5.0), 0.01, 0.1));
    }
    let straight = BendTable { bends: Vec::new(), last_straight_mm: 240.0, passed: Vec::new() };
    let (start, along) = (Point3::new(10.0, 0.0, 0.0), Vector3::x());
    let ends = straight.points(start, along, Vector3::y()).unwrap();
    assert_eq!(ends, [start, Point3::new(250.0, 0.0, 0.0)]);
}

/// A line drawn along a hose keeps its length, its angle to the hose and its height over the plane of a bend.
#[test]
fn what_is_carried_along_a_bend_turns_with_it() {
    for angle_rad in [0.4, 1.1, 2.5] {
        let arc = Piece::Arc {
            start: Point3::origin(),
            centre: Point3::new(0.0, 80.0, 0.0),
            axis: Vector3::z(),
            radius_mm: 80.0,
            angle_rad,
        };
        let path = Path::new(vec![arc]).unwrap();
        for slanting in [Vector3::new(0.0, 0.6, 0.8), Vector3::new(0.3, -0.5, 0.4)] {
            let found = carried(&path, &slanting);
            let (sin, cos) = (libm::sin(angle_rad), libm::cos(angle_rad));
            let turned = Vector3::new(
                slanting.x * cos - slanting.y * sin,
                slanting.x * sin + slanting.y * cos,
                slanting.z,
            );
            assert!((found - turned).norm() < 1e-12, "{found} for {turned}");
        }
    }
}
