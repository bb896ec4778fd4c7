//! Laws of exchangers: inverses, order of the arrangements, limits, refusals.

use hosewright::heat::HeatError;
use hosewright::heat::exchanger::{
    Arrangement, Stream, effectiveness, exchange, transfer_units, transfer_units_of,
};
use hosewright::heat::oil::{conductivity_w_m_k, specific_heat_j_kg_k};
use proptest::prelude::*;

const BETWEEN_CHANGING: [Arrangement; 4] = [
    Arrangement::Counterflow,
    Arrangement::Crossflow,
    Arrangement::OneShellPass,
    Arrangement::Parallel,
];

/// The handbook's fit for crossflow of two unmixed streams, typed here a second time.
#[expect(clippy::disallowed_methods, reason = "a check may use the machine's own functions")]
fn handbook_crossflow(units: f64, ratio: f64) -> f64 {
    let inner = (-ratio * units.powf(0.78)).exp() - 1.0;
    1.0 - (units.powf(0.22) * inner / ratio).exp()
}

#[test]
fn the_exact_crossflow_lies_close_to_the_fit_of_the_handbooks() {
    for units in [0.2, 0.5, 1.0, 2.0, 3.0, 5.0] {
        for ratio in [0.2, 0.5, 0.75, 1.0] {
            let exact = effectiveness(Arrangement::Crossflow, units, ratio).unwrap();
            let fit = handbook_crossflow(units, ratio);
            // Largest difference over this field: 0.0109 at half a unit and equal capacity flows.
            assert!((exact - fit).abs() < 0.011, "{units} {ratio}: {exact} {fit}");
        }
    }
}

#[test]
fn without_a_ratio_every_arrangement_is_the_unchanging_one() {
    for units in [0.0, 0.01, 0.7, 3.0, 40.0] {
        let known = effectiveness(Arrangement::OneUnchanging, units, 0.0).unwrap();
        for arrangement in BETWEEN_CHANGING {
            let found = effectiveness(arrangement, units, 0.0).unwrap();
            assert!((found - known).abs() <= 1e-14, "{arrangement:?} {units}: {found} {known}");
        }
    }
}

#[test]
fn what_an_arrangement_cannot_reach_is_refused_with_its_limit() {
    let refused = transfer_units(Arrangement::OneShellPass, 0.6, 1.0);
    // 2/(1 + r + sqrt(1 + r²)) at r = 1.
    assert!(
        matches!(refused, Err(HeatError::OutOfReach { most, .. }) if (most - 0.585_786_437_627).abs() < 1e-12)
    );
    assert!(transfer_units(Arrangement::Counterflow, 1.0, 0.5).is_err());
    assert!(transfer_units(Arrangement::OneUnchanging, 0.5, 0.5).is_err());
    assert!(effectiveness(Arrangement::OneUnchanging, 1.0, 0.1).is_err());
    assert!(effectiveness(Arrangement::Parallel, 101.0, 0.1).is_err());
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        -1.0_f64..1000.0,
        0.0_f64..1.0,
        proptest::sample::select(vec![0.0, -0.0, 1.0, f64::NAN, f64::INFINITY, f64::MAX, 5e-324]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn transfer_units_bring_the_effectiveness_back(
        units in 0.0_f64..6.0, ratio in 0.0_f64..=1.0, kind in 0_usize..4,
    ) {
        let arrangement = BETWEEN_CHANGING[kind];
        let share = effectiveness(arrangement, units, ratio).unwrap();
        let back = transfer_units(arrangement, share, ratio).unwrap();
        let again = effectiveness(arrangement, back, ratio).unwrap();
        // The units themselves blur close to what can be reached; the effectiveness does not.
        prop_assert!((again - share).abs() <= 1e-13, "{} {}", again, share);
    }

    #[test]
    fn counterflow_is_best_and_parallel_worst(units in 0.001_f64..8.0, ratio in 0.01_f64..=1.0) {
        let [counter, cross, shell, parallel] =
            BETWEEN_CHANGING.map(|kind| effectiveness(kind, units, ratio).unwrap());
        prop_assert!(counter >= cross - 1e-15 && counter >= shell - 1e-15);
        prop_assert!(cross >= parallel - 1e-15 && shell >= parallel - 1e-15);
        prop_assert!((0.0..=1.0).contains(&parallel) && counter <= 1.0);
    }

    #[test]
    fn more_surface_never_lowers_the_effectiveness(
        units in 0.0_f64..90.0, more in 0.0_f64..10.0, ratio in 0.0_f64..=1.0, kind in 0_usize..4,
    ) {
        let at = |units| effectiveness(BETWEEN_CHANGING[kind], units, ratio).unwrap();
        prop_assert!(at(units + more) >= at(units) - 1e-14);
    }

    #[test]
    fn what_one_stream_loses_the_other_gains(
        hot in 1.0_f64..1e4, cold in 1.0_f64..1e4, th in 250.0_f64..500.0, tc in 250.0_f64..500.0,
        share in 0.0_f64..=1.0,
    ) {
        let found = exchange(
            &Stream { capacity_w_k: hot, inlet_k: th },
            &Stream { capacity_w_k: cold, inlet_k: tc },
            share,
        ).unwrap();
        let size = 1e-12 * (hot.max(cold) * 500.0);
        prop_assert!((hot * (th - found.hot_outlet_k) - found.heat_w).abs() <= size);
        prop_assert!((cold * (found.cold_outlet_k - tc) - found.heat_w).abs() <= size);
        let (low, high) = (th.min(tc) - 1e-9, th.max(tc) + 1e-9);
        prop_assert!((low..=high).contains(&found.hot_outlet_k));
        prop_assert!((low..=high).contains(&found.cold_outlet_k));
    }

    #[test]
    fn whatever_is_given_no_answer_is_less_than_a_number(
        a in number(), b in number(), c in number(), d in number(), e in number(),
    ) {
        let hot = Stream { capacity_w_k: a, inlet_k: b };
        let cold = Stream { capacity_w_k: c, inlet_k: d };
        let mut answers = vec![
            transfer_units_of(a, b), specific_heat_j_kg_k(a, b), conductivity_w_m_k(a, b),
            exchange(&hot, &cold, e).map(|found| found.hot_outlet_k),
            exchange(&hot, &cold, e).map(|found| found.cold_outlet_k),
        ];
        for kind in BETWEEN_CHANGING {
            answers.push(effectiveness(kind, a, b));
            answers.push(transfer_units(kind, a, b));
        }
        for answer in answers {
            match answer {
                Ok(value) => prop_assert!(value.is_finite()),
                Err(refusal) => prop_assert!(refusal.to_string().len() > 10),
            }
        }
    }
}
