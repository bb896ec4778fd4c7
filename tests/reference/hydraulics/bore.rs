//! What any builder expects of a line: more flow, more length or a smaller bore never loses less.

use hosewright::hydraulics::bend::bend_loss;
use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use hosewright::hydraulics::friction::darcy;
use hosewright::hydraulics::insert::{Insert, insert_loss};
use hosewright::hydraulics::loss::{contraction_k, expansion_k};
use hosewright::hydraulics::sizing::{bore_for_drop, flow_for_drop};
use hosewright::hydraulics::valve::{k_from_kv, kv_from_k};
use proptest::prelude::*;

const PI: f64 = core::f64::consts::PI;

/// A liquid of density 1000 whose kinematic viscosity gives `re` at 1 m/s in a 10 mm bore.
fn liquid_at(re: f64) -> Liquid {
    Liquid { density_kg_m3: 1000.0, viscosity_pa_s: 10.0 / re }
}

fn run(bore_mm: f64, length_m: f64, roughness_mm: f64) -> Straight {
    Straight { bore_m: bore_mm * 1e-3, length_m, roughness_m: roughness_mm * 1e-3, loss_sum: 0.0 }
}

/// Flow of 1 m/s in a 10 mm bore.
const FLOW: f64 = 7.853_981_633_974_483e-5;

proptest! {
    #[test]
    fn more_flow_always_loses_more(
        ln_re in 0.0_f64..16.0, more in 1e-9_f64..2.0, ratio in 0.0_f64..0.05,
    ) {
        let (run, liquid) = (run(10.0, 1.0, 10.0 * ratio), liquid_at(exp(ln_re)));
        let less = straight_loss(&run, &liquid, FLOW).unwrap().drop_pa;
        let greater = straight_loss(&run, &liquid, FLOW * (1.0 + more)).unwrap().drop_pa;
        prop_assert!(greater > less);
    }

    #[test]
    fn a_longer_line_never_loses_less(
        ln_re in 0.0_f64..16.0, length in 0.0_f64..50.0, more in 0.0_f64..5.0,
    ) {
        let liquid = liquid_at(exp(ln_re));
        let short = straight_loss(&run(10.0, length, 0.0015), &liquid, FLOW).unwrap().drop_pa;
        let long = straight_loss(&run(10.0, length + more, 0.0015), &liquid, FLOW).unwrap().drop_pa;
        prop_assert!(long >= short);
    }

    #[test]
    fn a_smaller_bore_loses_more(
        ln_re in 0.0_f64..16.0, share in 0.3_f64..0.999_999, roughness_mm in 0.0_f64..0.1,
    ) {
        let liquid = liquid_at(exp(ln_re));
        let wide = straight_loss(&run(10.0, 1.0, roughness_mm), &liquid, FLOW).unwrap().drop_pa;
        let narrow = straight_loss(&run(10.0 * share, 1.0, roughness_mm), &liquid, FLOW);
        prop_assert!(narrow.unwrap().drop_pa > wide);
    }

    #[test]
    fn the_loss_turns_its_sign_with_the_flow(ln_re in 0.0_f64..16.0) {
        let (run, liquid) = (run(10.0, 1.0, 0.0), liquid_at(exp(ln_re)));
        let there = straight_loss(&run, &liquid, FLOW).unwrap().drop_pa;
        let back = straight_loss(&run, &liquid, -FLOW).unwrap().drop_pa;
        prop_assert_eq!(there.to_bits(), (-back).to_bits());
    }

    #[test]
    fn the_flow_found_for_a_loss_gives_that_loss(
        ln_re in 0.0_f64..15.0, roughness_mm in 0.0_f64..0.2, loss_sum in 0.0_f64..30.0,
    ) {
        let run = Straight { loss_sum, ..run(10.0, 1.0, roughness_mm) };
        let liquid = liquid_at(exp(ln_re));
        let wanted = straight_loss(&run, &liquid, FLOW).unwrap().drop_pa;
        let found = flow_for_drop(&run, &liquid, wanted).unwrap();
        // The bracket is closed to 1e-12; the loss rises at least with the flow itself.
        prop_assert!((found.flow_m3_s - FLOW).abs() <= 3e-12 * FLOW);
        prop_assert!(found.steps <= 60, "{} steps", found.steps);
    }

    #[test]
    fn the_bore_found_for_a_loss_keeps_the_limit_and_is_the_smallest(
        ln_re in 0.0_f64..15.0, roughness_mm in 0.0_f64..0.2, loss_sum in 0.0_f64..30.0,
    ) {
        let shape = Straight { loss_sum, ..run(10.0, 1.0, roughness_mm) };
        let liquid = liquid_at(exp(ln_re));
        let limit = straight_loss(&shape, &liquid, FLOW).unwrap().drop_pa;
        let found = bore_for_drop(&shape, &liquid, FLOW, limit).unwrap();
        prop_assert!(found.loss.drop_pa <= limit && found.spare_pa >= 0.0);
        prop_assert!((found.bore_m - 0.010).abs() <= 3e-12 * 0.010);
    }

    #[test]
    fn a_bend_always_costs_more_when_more_flows(
        ln_re in 2.0_f64..14.0, more in 1e-6_f64..1.0,
        angle in 0.05_f64..PI, ratio in 0.5_f64..30.0, wall in 0.0_f64..0.01,
    ) {
        let cost = |re: f64| {
            let f = darcy(re, wall).unwrap().factor;
            let excess = bend_loss(re, f, angle, ratio, 1.0).unwrap();
            (excess + f * angle * ratio) * re * re
        };
        let re = exp(ln_re);
        prop_assert!(cost(re * (1.0 + more)) > cost(re));
    }

    #[test]
    fn a_step_in_the_bore_never_costs_less_when_more_flows(
        ln_re in 1.0_f64..14.0, more in 1e-6_f64..1.0, small in 0.05_f64..1.0,
    ) {
        let re = exp(ln_re);
        let cost = |re: f64| [
            contraction_k(re, small, 1.0).unwrap() * re * re,
            expansion_k(re, small, 1.0).unwrap() * re * re,
        ];
        let (less, greater) = (cost(re), cost(re * (1.0 + more)));
        for (before, after) in less.into_iter().zip(greater) {
            // Held flat past Re 2000, so rounding may turn the last digits.
            prop_assert!(after >= before * (1.0 - 1e-14));
        }
    }

    #[test]
    fn a_narrower_insert_loses_more(
        ln_re in 1.0_f64..12.0, bore_mm in 3.0_f64..10.0, share in 0.5_f64..0.999,
    ) {
        let end = |bore_mm: f64| Insert {
            hose_bore_m: 0.010, bore_m: bore_mm * 1e-3, length_m: 0.03, roughness_m: 0.0,
        };
        let liquid = liquid_at(exp(ln_re));
        let wide = insert_loss(&end(bore_mm), &liquid, FLOW).unwrap();
        let narrow = insert_loss(&end(bore_mm * share), &liquid, FLOW).unwrap();
        prop_assert!(narrow.throat_dip_pa > wide.throat_dip_pa);
        prop_assert!(narrow.throat_velocity_m_s > wide.throat_velocity_m_s);
        prop_assert!(narrow.drop_pa > wide.drop_pa);
    }

    #[test]
    fn a_valve_keeps_its_coefficient_there_and_back(kv in 0.01_f64..500.0, bore in 0.002_f64..0.2) {
        let back = kv_from_k(k_from_kv(kv, bore).unwrap(), bore).unwrap();
        // A handful of products and one root, each good to 1.1e-16.
        prop_assert!((back - kv).abs() <= 2e-15 * kv);
    }
}

#[expect(clippy::disallowed_methods, reason = "a check may use the machine's own functions")]
fn exp(value: f64) -> f64 {
    value.exp()
}

#[test]
fn a_bend_is_continuous_where_its_formulas_meet() {
    for edge in [2000.0, 4000.0] {
        let k = |re: f64| {
            let f = darcy(re, 0.0005).unwrap().factor;
            bend_loss(re, f, PI / 2.0, 0.03, 0.01).unwrap()
        };
        let (below, above) = (k(edge * (1.0 - 1e-12)), k(edge * (1.0 + 1e-12)));
        // The coefficient's slope is about 2 in logarithms over a gap of 2e-12.
        assert!((below - above).abs() <= 1e-11, "{edge}: {below} {above}");
    }
}

#[test]
fn a_hose_end_at_seven_tenths_costs_what_the_formulas_say_by_hand() {
    // Both steps at d/D = 0.7 and no length, turbulent: 2.54 on the hose's velocity head, last digit.
    let end = Insert { hose_bore_m: 0.010, bore_m: 0.007, length_m: 0.0, roughness_m: 0.0 };
    let loss = insert_loss(&end, &liquid_at(1.0e5), FLOW).unwrap();
    assert!((loss.drop_pa / 500.0 - 2.54).abs() <= 5e-3);
    // Laminar in both bores, Re 500 in the hose: 11.1.
    let slow = insert_loss(&end, &liquid_at(500.0), FLOW).unwrap();
    assert!((slow.drop_pa / 500.0 - 11.1).abs() <= 0.05, "{}", slow.drop_pa / 500.0);
}

#[test]
fn no_flow_costs_nothing_and_needs_no_friction_factor() {
    let still = straight_loss(&run(10.0, 1.0, 0.0), &liquid_at(1e4), 0.0).unwrap();
    assert!(still.friction.is_none() && still.drop_pa == 0.0);
    let end = Insert { hose_bore_m: 0.010, bore_m: 0.007, length_m: 0.02, roughness_m: 0.0 };
    assert!(insert_loss(&end, &liquid_at(1e4), 0.0).unwrap().drop_pa == 0.0);
}

#[test]
fn an_insert_wider_than_its_hose_is_refused() {
    let end = Insert { hose_bore_m: 0.007, bore_m: 0.010, length_m: 0.02, roughness_m: 0.0 };
    assert!(insert_loss(&end, &liquid_at(1e4), FLOW).is_err());
}
