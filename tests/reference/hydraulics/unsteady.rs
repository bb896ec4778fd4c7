//! Tanks, starting flows and cans: what the cases ask, and laws that hold whatever is asked.

use super::calls::{Answer, no};
use super::leak;
use super::si::Given;
use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::darcy_weisbach::velocity_for_drop_m_s;
use hosewright::hydraulics::expansion::{gain_m3, least_bottle_m3};
use hosewright::hydraulics::flow_test::{
    Filling, MeasuredFlow, extra_resistance, fill_time_s, measured_flow,
};
use hosewright::hydraulics::reynolds::area_m2;
use hosewright::hydraulics::tank::{
    Fall, LaminarLine, Outlook, establishing_time_s, joined_surface_m2, laminar_time_s, outlook,
    square_law_time_s,
};
use proptest::prelude::*;

pub(super) fn answer(call: &str, given: &Given, quantity: &str) -> Answer {
    match call {
        "falling level, square law" => {
            let friction =
                4.0 * given.get("fanning_f")? * given.get("length")? / given.get("diameter")?;
            let sum = friction + given.get("sum_K")?;
            let fall = fall(given, given.get("tank_area")?, given.get("H2")?)?;
            Ok(square_law_time_s(&fall, given.get("diameter")?, sum)?)
        }
        "falling level, laminar" => {
            let surface = area_m2(given.get("tank_diameter")?)?;
            let left = given.get("H1")? - given.get("volume_removed")? / surface;
            let line = LaminarLine {
                bore_m: given.get("diameter")?,
                length_m: given.get("length")?,
                kinematic_m2_s: given.get("mu")? / given.get("rho")?,
            };
            Ok(laminar_time_s(&fall(given, surface, left)?, &line)?)
        }
        "flow establishment" => establishment(given, quantity),
        "can and watch" => {
            let filling = Filling {
                volume_m3: given.get("volume")?,
                volume_error_m3: 0.0,
                time_s: given.get("time")?,
                time_error_s: 0.0,
            };
            let flow = measured_flow(&filling)?.flow_m3_s;
            match quantity {
                "flow" => Ok(flow),
                "time" => Ok(fill_time_s(filling.volume_m3, flow)?),
                other => no(other),
            }
        }
        other => leak::answer(other, given, quantity),
    }
}

fn fall(given: &Given, surface_m2: f64, to_m: f64) -> Result<Fall, Box<dyn std::error::Error>> {
    Ok(Fall { surface_m2, from_m: given.get("H1")?, to_m, gravity_m_s2: given.get("g")? })
}

fn establishment(given: &Given, quantity: &str) -> Answer {
    let (rho, length) = (1000.0, given.get("length")?);
    let driving = rho * given.get("g")? * given.get("head")?;
    let friction = given.get("darcy_f")? * length / given.get("diameter")?;
    let velocity = velocity_for_drop_m_s(driving, rho, friction + given.get("K_entrance")? + 1.0)?;
    let share = match quantity {
        "t25" => 0.25,
        "t50" => 0.50,
        "t75" => 0.75,
        other => return no(other),
    };
    Ok(establishing_time_s(rho, length, velocity, driving, share)?)
}

/// A level stepped down by small times, each with the flow of its own height; the last step is cut to fit.
fn stepped_time_s(fall: &Fall, flow: impl Fn(f64) -> f64) -> f64 {
    let steps = 20_000_u32;
    let drop = (fall.from_m - fall.to_m) / f64::from(steps);
    let mut time = 0.0;
    for step in 0..steps {
        // The rule of the middle: the flow at the middle of each slice.
        time += fall.surface_m2 * drop / flow(fall.from_m - (f64::from(step) + 0.5) * drop);
    }
    time
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn closed_forms_agree_with_slices(
        surface in 0.01_f64..2.0, from in 0.5_f64..3.0, part in 0.05_f64..1.0,
        bore in 0.004_f64..0.05, sum in 1.0_f64..40.0, nu in 1e-5_f64..1e-3,
    ) {
        let fall = Fall { surface_m2: surface, from_m: from, to_m: part * from, gravity_m_s2: 9.81 };
        let area = area_m2(bore).unwrap();
        let by_slices = stepped_time_s(&fall, |head| area * (2.0 * 9.81 * head / sum).sqrt());
        let found = square_law_time_s(&fall, bore, sum).unwrap();
        prop_assert!((found - by_slices).abs() <= 1e-6 * by_slices + 1e-9);
        let line = LaminarLine { bore_m: bore, length_m: 2.0, kinematic_m2_s: nu };
        let by_slices = stepped_time_s(&fall, |head| area * bore * bore * 9.81 * head / (32.0 * nu * 2.0));
        let found = laminar_time_s(&fall, &line).unwrap();
        prop_assert!((found - by_slices).abs() <= 1e-6 * by_slices + 1e-9);
    }

    #[test]
    fn an_extra_resistance_put_into_the_line_gives_the_measured_flow(
        drive in 1e3_f64..1e5, planned in 1e10_f64..1e12, share in 0.2_f64..0.97,
    ) {
        let expected = (drive / planned).sqrt();
        let flow = share * expected;
        let measured = MeasuredFlow { flow_m3_s: flow, low_m3_s: 0.98 * flow, high_m3_s: 1.02 * flow };
        let left_over = |q: f64| Ok::<f64, HydraulicsError>(drive - planned * q * q);
        let extra = extra_resistance(&measured, left_over).unwrap();
        let again = (drive / (planned + extra.likely.square_pa_s2_m6)).sqrt();
        prop_assert!((again - flow).abs() <= 1e-12 * flow);
        // The linear law leaves the same balance at that flow.
        let rest = drive - planned * flow * flow - extra.likely.linear_pa_s_m3 * flow;
        prop_assert!(rest.abs() <= 1e-9 * drive);
        prop_assert!(extra.least.square_pa_s2_m6 < extra.likely.square_pa_s2_m6);
        prop_assert!(extra.likely.square_pa_s2_m6 < extra.most.square_pa_s2_m6);
    }
}

#[test]
fn a_flow_at_or_above_the_expected_one_needs_no_explanation() {
    let left_over = |q: f64| Ok::<f64, HydraulicsError>(5000.0 - 5.0e11 * q * q);
    let at = |flow_m3_s: f64| MeasuredFlow {
        flow_m3_s,
        low_m3_s: 0.99 * flow_m3_s,
        high_m3_s: 1.01 * flow_m3_s,
    };
    let refused = extra_resistance(&at(1.01e-4), left_over);
    assert!(matches!(refused, Err(HydraulicsError::Negative { .. })));
    // Just below it the band reaches down to no resistance at all.
    let extra = extra_resistance(&at(0.995e-4), left_over).unwrap();
    assert!(extra.least.loss_pa == 0.0 && extra.likely.loss_pa > 0.0);
}

#[test]
fn six_litres_of_coolant_gain_four_tenths_of_a_litre() {
    let gain = gain_m3(6.2e-3, 1076.0, 1008.0).unwrap();
    assert!((gain - 0.41825e-3).abs() < 5e-9);
    assert!(gain > 0.35e-3, "a bottle of 0.35 L does not hold it");
    // A liquid that shrinks needs no room but what the rule asks for.
    let shrinks = gain_m3(6.2e-3, 1008.0, 1076.0).unwrap();
    assert!(shrinks < 0.0);
    assert_eq!(least_bottle_m3(6.2e-3, shrinks, 0.1), Ok(0.62e-3));
}

#[test]
fn a_tank_runs_over_runs_empty_or_stays() {
    assert_eq!(outlook(1.0, 3.0, 2.0, 1.0), Ok(Outlook::Overflows { after_s: 2.0 }));
    assert_eq!(outlook(1.0, 3.0, 1.0, 1.5), Ok(Outlook::Empties { after_s: 2.0 }));
    assert_eq!(outlook(1.0, 3.0, 1.0, 1.0), Ok(Outlook::Stays));
    assert!(outlook(3.1, 3.0, 1.0, 1.0).is_err());
    // A difference too small for its time to be written is refused.
    assert!(outlook(1e300, 1e308, 5e-324, 0.0).is_err());
}

#[test]
fn of_two_joined_tanks_the_smaller_counts_most() {
    assert_eq!(joined_surface_m2(1.0, 1e300), Ok(1.0));
    assert!((joined_surface_m2(0.2, 0.3).unwrap() - 0.12).abs() < 1e-16);
    assert_eq!(joined_surface_m2(0.2, 0.3), joined_surface_m2(0.3, 0.2));
}

#[test]
fn the_last_drop_of_a_laminar_drain_and_the_last_bit_of_a_flow_never_come() {
    let fall = Fall { surface_m2: 1.0, from_m: 1.0, to_m: 0.0, gravity_m_s2: 9.81 };
    let line = LaminarLine { bore_m: 0.01, length_m: 1.0, kinematic_m2_s: 1e-4 };
    assert!(matches!(laminar_time_s(&fall, &line), Err(HydraulicsError::NotPositive { .. })));
    assert!(square_law_time_s(&fall, 0.01, 1.5).is_ok());
    assert!(establishing_time_s(1000.0, 1.0, 1.0, 1e4, 1.0).is_err());
    assert_eq!(establishing_time_s(1000.0, 1.0, 1.0, 1e4, 0.0), Ok(0.0));
    let rising = Fall { to_m: 1.1, ..fall };
    assert!(square_law_time_s(&rising, 0.01, 1.5).is_err());
}
