//! Strips of sheet against worked figures; figures that are printed wrong are told from those that are right.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use hosewright::makeup::MakeupError;
use hosewright::makeup::sheet::bend::{
    SheetBend, TestBend, allowance_mm, deduction_mm, flat_strip, handbook_allowance_mm,
    k_of_test_bend, setback_mm,
};
use hosewright::makeup::sheet::springback::{Strip, bent_radius_mm, share_left};
use hosewright::makeup::sheet::strap::{Body, Chain, Lay, band, belt_mm, saddle};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::geometry::case::{Case, CaseFile};

fn bend(case: &Case) -> SheetBend {
    SheetBend {
        angle_rad: case.number("angle_rad"),
        inside_mm: case.number("inside_mm"),
        thickness_mm: case.number("thickness_mm"),
    }
}

fn strip(case: &Case) -> Strip {
    Strip {
        thickness_mm: case.number("thickness_mm"),
        yield_pa: 1e6 * case.number("yield_mpa"),
        modulus_pa: 1e6 * case.number("modulus_mpa"),
    }
}

fn lay(case: &Case) -> Lay {
    Lay {
        body: body(case),
        wrapped: true,
        lining_mm: case.number("lining_mm"),
        thickness_mm: case.number("thickness_mm"),
        bend_mm: case.number("bend_mm"),
    }
}

fn body(case: &Case) -> Body {
    let [width_mm, height_mm, corner_mm] =
        ["width_mm", "height_mm", "corner_mm"].map(|key| case.number(key));
    Body { width_mm, height_mm, corner_mm }
}

/// Legs of a channel of right angles, measured outside, less a setback at every bent end.
fn flats(case: &Case) -> Vec<f64> {
    let setback = setback_mm(&bend(case)).expect("a setback");
    let legs = case.numbers("legs_mm");
    let last = legs.len() - 1;
    let bent_ends = |i: usize| if i == 0 || i == last { 1.0 } else { 2.0 };
    legs.iter().enumerate().map(|(i, leg)| leg - bent_ends(i) * setback).collect()
}

/// Length by the mid-line where the strap is drawn round, by the handbook where it is bent over an edge.
fn length_mm(chain: &Chain, thickness_mm: f64) -> f64 {
    let allowances: Vec<f64> = chain
        .bends
        .iter()
        .map(|b| {
            let bend = SheetBend { angle_rad: b.angle_rad, inside_mm: b.inside_mm, thickness_mm };
            let by =
                if b.wrapped { allowance_mm(&bend, 0.5) } else { handbook_allowance_mm(&bend) };
            by.expect("an allowance")
        })
        .collect();
    flat_strip(&chain.straights_mm, &allowances).expect("a strip").1
}

/// Each case with its answer.
pub const SHEET: CaseFile = CaseFile {
    path: "makeup/sheet",
    text: include_str!("makeup/sheet.toml"),
    kernel: |case| {
        let handbook = || handbook_allowance_mm(&bend(case)).expect("an allowance");
        match case.call.as_str() {
            "setback" => vec![setback_mm(&bend(case)).expect("a setback")],
            "flats" => flats(case),
            "handbook allowance" => vec![handbook()],
            "allowance" => vec![allowance_mm(&bend(case), case.number("k")).expect("an allowance")],
            "developed" => {
                let flats = flats(case);
                vec![flat_strip(&flats, &vec![handbook(); flats.len() - 1]).expect("a strip").1]
            }
            "allowance, setback, deduction" => {
                let setback = setback_mm(&bend(case)).expect("a setback");
                let deduction = deduction_mm(&bend(case), handbook()).expect("a deduction");
                vec![handbook(), setback, deduction]
            }
            "springback" => {
                let radius_mm = case.number("radius_mm");
                let share = share_left(&strip(case), radius_mm).expect("a share");
                vec![share, radius_mm / share, 90.0 / share]
            }
            "radius to bend" => {
                vec![bent_radius_mm(&strip(case), case.number("radius_mm")).expect("a radius")]
            }
            "belt" => {
                let distance = case.number("lining_mm") + 0.5 * case.number("thickness_mm");
                vec![belt_mm(&body(case), distance).expect("a belt")]
            }
            "saddle" => {
                let feet = case.numbers("feet_mm");
                let chain = saddle(&lay(case), case.number("depth_mm"), [feet[0], feet[1]]);
                vec![length_mm(&chain.expect("a strap"), case.number("thickness_mm"))]
            }
            "k of a test bend" => {
                let legs = case.numbers("legs_mm");
                let test = TestBend {
                    flat_mm: case.number("flat_mm"),
                    legs_mm: [legs[0], legs[1]],
                    bend: bend(case),
                };
                vec![k_of_test_bend(&test).expect("a k")]
            }
            other => panic!("{other} is not called here"),
        }
    },
};

#[test]
fn strips_agree_with_worked_figures() {
    SHEET.agree();
}

/// Setback of 1 mm of radius and thickness together: the K of the charts.
fn chart(degrees: f64) -> f64 {
    let bend = SheetBend { angle_rad: degrees.to_radians(), inside_mm: 0.9, thickness_mm: 0.1 };
    setback_mm(&bend).expect("a setback")
}

#[test]
fn the_k_chart_is_kept_where_it_is_right_and_not_where_it_is_misprinted() {
    // FAA AC 43.13-1B, table 4-7, as read in a copy; most values are cut off at the last digit.
    let printed = [
        (30.0, 0.2679),
        (45.0, 0.4142),
        (60.0, 0.5773),
        (90.0, 1.0),
        (120.0, 1.732),
        (150.0, 3.732),
    ];
    for (degrees, k) in printed {
        let digit = if k < 1.0 { 1e-4 } else { 1e-3 };
        assert!((chart(degrees) - k).abs() < digit, "{degrees}: {}", chart(degrees));
    }
    // The tangents themselves, from a table of functions.
    for (degrees, misprint, tangent) in [(159.0, 5.399, 5.39552), (176.0, 26.63, 28.63625)] {
        assert!((chart(degrees) - tangent).abs() < 1e-5, "{degrees}: {}", chart(degrees));
        assert!((chart(degrees) - misprint).abs() > 3e-3, "{degrees} has the misprint");
    }
}

#[test]
fn rounded_and_misprinted_figures_of_the_handbooks_are_not_copied() {
    let bend =
        SheetBend { angle_rad: FRAC_PI_2, inside_mm: 0.16 * 25.4, thickness_mm: 0.04 * 25.4 };
    let allowance_in = handbook_allowance_mm(&bend).expect("an allowance") / 25.4;
    // 0.27 and a developed width of 3.74 are what the handbook is remembered to print (from memory).
    assert!((allowance_in - 0.27).abs() > 9e-3);
    assert!((3.2 + 2.0 * allowance_in - 3.74).abs() > 0.018);
    // The Navy's first factor 0.0173 (tpub.com/air/13-19.htm, read) is pi/180 with a digit lost.
    let navy_in = (0.0173 * 0.16 + 0.0078 * 0.04) * 90.0;
    assert!((allowance_in - navy_in - 0.000_13 * 0.16 * 90.0).abs() < 1e-9);
}

#[test]
fn both_formulas_differ_as_much_as_their_k_does() {
    for degrees in [30.0, 90.0, 150.0] {
        let bend =
            SheetBend { angle_rad: f64::to_radians(degrees), inside_mm: 4.0, thickness_mm: 1.5 };
        let mid = allowance_mm(&bend, 0.5).expect("an allowance");
        let handbook = handbook_allowance_mm(&bend).expect("an allowance");
        // pi/360 - 0.0078 for the thickness and pi/180 - 0.01743 for the radius, for every degree.
        let per_degree = (PI / 360.0 - 0.0078) * 1.5 + (PI / 180.0 - 0.01743) * 4.0;
        assert!((mid - handbook - per_degree * degrees).abs() < 1e-12);
    }
}

/// Simpson's rule over the half thickness of the moment of an elastic and perfectly plastic strip.
fn share_by_integral(strip: &Strip, radius_mm: f64) -> f64 {
    let half = 0.5 * strip.thickness_mm;
    let stress = |y: f64| (strip.modulus_pa * y / radius_mm).min(strip.yield_pa);
    let pieces = 20_000_u32;
    let step = half / f64::from(pieces);
    let sum: f64 = (0..=pieces)
        .map(|i| {
            let y = step * f64::from(i);
            let weight = match i {
                0 => 1.0,
                i if i == pieces => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * stress(y) * y
        })
        .sum();
    let moment = 2.0 * sum * step / 3.0;
    // Taken off elastically: the change of curvature is M / (E I), the share left 1 - R times that.
    let inertia = strip.thickness_mm * strip.thickness_mm * strip.thickness_mm / 12.0;
    1.0 - radius_mm * moment / (strip.modulus_pa * inertia)
}

#[test]
fn springback_is_the_integral_of_its_own_model() {
    for (thickness_mm, yield_pa, modulus_pa, radius_mm) in
        [(2.0, 300e6, 210e9, 50.0), (1.2, 205e6, 193e9, 150.0), (1.27, 276e6, 68.9e9, 12.7)]
    {
        let strip = Strip { thickness_mm, yield_pa, modulus_pa };
        let closed = share_left(&strip, radius_mm).expect("a share");
        assert!((closed - share_by_integral(&strip, radius_mm)).abs() < 1e-6, "{closed}");
    }
}

#[test]
fn what_has_no_answer_is_refused() {
    let bend = SheetBend { angle_rad: FRAC_PI_2, inside_mm: 3.0, thickness_mm: 1.6 };
    assert!(matches!(allowance_mm(&bend, 1.2), Err(MakeupError::OutOfRange { what: "k", .. })));
    assert!(setback_mm(&SheetBend { angle_rad: PI, ..bend }).is_err());
    assert!(setback_mm(&SheetBend { angle_rad: f64::NAN, ..bend }).is_err());
    assert!(flat_strip(&[1.0, 2.0], &[1.0, 1.0]).is_err());
    assert!(flat_strip(&[1.0, 2.0, 3.0], &[1.0]).is_err());
    let strip = Strip { thickness_mm: 1.6, yield_pa: 205e6, modulus_pa: 193e9 };
    // At x = 1/2 it springs open altogether.
    let elastic_mm = 0.5 * 193e9 * 1.6 / 205e6;
    assert!(share_left(&strip, 0.99 * elastic_mm).is_ok());
    assert!(share_left(&strip, elastic_mm).is_err());
    let body = Body { width_mm: 40.0, height_mm: 40.0, corner_mm: 0.0 };
    let lay = Lay { body, wrapped: false, lining_mm: 0.0, thickness_mm: 1.6, bend_mm: 3.0 };
    assert!(saddle(&lay, 7.0, [20.0, 20.0]).is_err(), "a leg shorter than nothing");
    assert!(band(&lay, 60.0).is_err(), "a gap longer than the side");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        rng_seed: RngSeed::Fixed(5),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_radius_bent_and_let_go_is_the_finished_one(
        thickness_mm in 0.5..4.0, yield_mpa in 50.0..900.0, modulus_gpa in 60.0..215.0, finished_mm in 2.0..5000.0,
    ) {
        let strip =
            Strip { thickness_mm, yield_pa: 1e6 * yield_mpa, modulus_pa: 1e9 * modulus_gpa };
        let bent_mm = bent_radius_mm(&strip, finished_mm).expect("a radius");
        prop_assert!(bent_mm <= finished_mm);
        let back_mm = bent_mm / share_left(&strip, bent_mm).expect("a share");
        // The share is near zero for great radii, so that its last digit counts.
        prop_assert!((back_mm / finished_mm - 1.0).abs() < 1e-6, "{back_mm}");
    }

    #[test]
    fn a_test_bend_gives_back_the_k_it_was_made_with(
        k in 0.2..0.6, inside_mm in 0.0..20.0, thickness_mm in 0.5..4.0, degrees in 20.0..150.0,
        a_mm in 120.0..300.0, b_mm in 120.0..300.0,
    ) {
        let bend = SheetBend { angle_rad: f64::to_radians(degrees), inside_mm, thickness_mm };
        let made = allowance_mm(&bend, k).expect("an allowance");
        let flat_mm = a_mm + b_mm - deduction_mm(&bend, made).expect("a deduction");
        let found = k_of_test_bend(&TestBend { flat_mm, legs_mm: [a_mm, b_mm], bend });
        prop_assert!((found.expect("a k") - k).abs() < 1e-9);
    }

    #[test]
    fn a_band_without_a_gap_is_as_long_as_its_belt(
        width_mm in 60.0..400.0, height_mm in 60.0..400.0, round in 0.0..1.0, lining_mm in 0.0..6.0,
        thickness_mm in 0.5..3.0, gap_mm in 0.0..5.0,
    ) {
        let corner_mm = 0.5 * round * f64::min(width_mm, height_mm);
        let body = Body { width_mm, height_mm, corner_mm };
        let lay = Lay { body, wrapped: true, lining_mm, thickness_mm, bend_mm: 0.0 };
        let Ok(chain) = band(&lay, gap_mm) else {
            prop_assert!(width_mm - 2.0 * corner_mm < gap_mm);
            return Ok(());
        };
        let turn: f64 = chain.bends.iter().map(|b| b.angle_rad).sum();
        prop_assert!((turn - TAU).abs() < 1e-12);
        let belt = belt_mm(&body, lining_mm + 0.5 * thickness_mm).expect("a belt");
        prop_assert!((length_mm(&chain, thickness_mm) - (belt - gap_mm)).abs() < 1e-9);
    }
}
