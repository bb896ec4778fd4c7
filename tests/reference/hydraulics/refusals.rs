//! Whatever number is handed in, a kernel gives a finite answer or refuses; it never gives a NaN.

use hosewright::hydraulics::darcy_weisbach::{self, Liquid, Straight, straight_loss};
use hosewright::hydraulics::flow_test::{Filling, MeasuredFlow};
use hosewright::hydraulics::insert::{Insert, insert_loss};
use hosewright::hydraulics::leak::hole::{self, Gas};
use hosewright::hydraulics::leak::liquid::{self, Filled, LiquidDecay, SwellingTube};
use hosewright::hydraulics::leak::{self, GasDecay, GasState, ReadingError, WaitRule, passage};
use hosewright::hydraulics::surge::{self, ElasticWall};
use hosewright::hydraulics::tank::{Fall, LaminarLine, Outlook};
use hosewright::hydraulics::viscosity::Walther;
use hosewright::hydraulics::volume_correction::{PetroleumGroup, density_kg_m3};
use hosewright::hydraulics::{
    HydraulicsError, atmosphere, bend, curved, expansion, flow_test, friction, loss, npsh,
    reynolds, search, sizing, tank, valve, vapour,
};
use proptest::prelude::*;

/// What a set of kernels gave.
type Answers = Vec<Result<f64, HydraulicsError>>;

/// Any number at all, with the awkward and the ordinary ones made likely.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        -1.0e3_f64..1.0e3,
        1.0e-6_f64..1.0e-1,
        1.0e3_f64..1.0e9,
        proptest::sample::select(vec![
            0.0,
            -0.0,
            1.0,
            0.5,
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::MAX,
            f64::MIN_POSITIVE,
            5.0e-324,
        ]),
    ]
}

#[expect(clippy::many_single_char_names, reason = "they stand for any number, in turn")]
fn lines([a, b, c, d, e, f]: [f64; 6]) -> Answers {
    let run = Straight { bore_m: a, length_m: b, roughness_m: c, loss_sum: d };
    let liquid = Liquid { density_kg_m3: e, viscosity_pa_s: f };
    let end = Insert { hose_bore_m: b, bore_m: a, length_m: d, roughness_m: c };
    vec![
        reynolds::velocity_m_s(a, b),
        reynolds::reynolds(a, b, c),
        friction::darcy(a, b).map(|found| found.factor),
        friction::log_slope(a, b),
        darcy_weisbach::drop_pa(a, b, c, d, e),
        darcy_weisbach::hagen_poiseuille_pa(a, b, c, d),
        darcy_weisbach::velocity_for_drop_m_s(a, b, c),
        darcy_weisbach::bore_for_velocity_m(a, b),
        darcy_weisbach::hydraulic_diameter_m(a, b),
        straight_loss(&run, &liquid, d).map(|found| found.drop_pa),
        sizing::flow_for_drop(&run, &liquid, e).map(|found| found.flow_m3_s),
        sizing::bore_for_drop(&run, &liquid, a, b).map(|found| found.bore_m),
        insert_loss(&end, &liquid, f).map(|found| found.drop_pa + found.throat_dip_pa),
    ]
}

#[expect(clippy::many_single_char_names, reason = "they stand for any number, in turn")]
fn fittings([a, b, c, d, e, _]: [f64; 6]) -> Answers {
    vec![
        bend::bend_excess_k(a, b, c),
        bend::bend_loss(a, b, c, d, e),
        curved::dean(a, b, c),
        curved::laminar_ratio(a),
        curved::schmidt_laminar_ratio(a, b, c),
        curved::schmidt_turbulent_ratio(a, b, c),
        curved::coil_transition(a, b).map(|found| found.band().1),
        loss::loss_pa(a, b, c),
        loss::k_at_other_bore(a, b, c),
        loss::equivalent_length_m(a, b, c),
        loss::contraction_k(a, b, c),
        loss::expansion_k(a, b, c),
        loss::entrance_k(a),
        loss::exit_k_at(a),
        loss::two_k(a, b, c, d),
        loss::three_k(a, b, c, d, e),
        valve::k_from_kv(a, b),
        valve::kv_from_k(a, b),
        valve::kv_from_cv(a),
        valve::kv_drop_pa(a, b, c),
        valve::orifice_flow_m3_s(a, b, c, d, e),
    ]
}

#[expect(clippy::many_single_char_names, reason = "they stand for any number, in turn")]
fn liquids([a, b, c, d, e, f]: [f64; 6]) -> Answers {
    let wall = ElasticWall { bore_m: c, wall_m: d, modulus_pa: e, restraint: f };
    vec![
        npsh::npsh_available_m(a, b, c, d, e, f),
        surge::wave_speed_rigid_m_s(a, b),
        surge::wave_speed_elastic_m_s(a, b, &wall),
        surge::wave_speed_expansion_m_s(a, b, c),
        surge::closure_surge_pa(a, b, c, d, e),
        atmosphere::pressure_pa(a),
        atmosphere::geopotential_m(a),
        atmosphere::geometric_m(a),
        atmosphere::height_of_pressure_m(a),
        vapour::gasoline_pa(a, b, c),
        vapour::antoine_pa(a, b, c, d),
        vapour::raoult_pa(&[(a, b), (c, d)]),
        Walther::through((a, b), (c, d)).and_then(|oil| oil.viscosity_mm2_s(e)),
        density_kg_m3(PetroleumGroup::Gasoline, a, b),
    ]
}

#[expect(clippy::many_single_char_names, reason = "they stand for any number, in turn")]
fn tests_and_tanks([a, b, c, d, e, f]: [f64; 6]) -> Answers {
    let fall = Fall { surface_m2: a, from_m: b, to_m: c, gravity_m_s2: d };
    let line = LaminarLine { bore_m: e, length_m: f, kinematic_m2_s: a };
    let filling = Filling { volume_m3: a, volume_error_m3: b, time_s: c, time_error_s: d };
    let measured = MeasuredFlow { flow_m3_s: a, low_m3_s: b, high_m3_s: c };
    vec![
        tank::square_law_time_s(&fall, e, f),
        tank::laminar_time_s(&fall, &line),
        tank::joined_surface_m2(a, b),
        tank::establishing_time_s(a, b, c, d, e),
        tank::outlook(a, b, c, d).map(|found| match found {
            Outlook::Overflows { after_s } | Outlook::Empties { after_s } => after_s,
            Outlook::Stays => 0.0,
        }),
        expansion::gain_m3(a, b, c),
        expansion::least_bottle_m3(a, b, c),
        flow_test::fill_time_s(a, b),
        flow_test::measured_flow(&filling).map(|found| found.high_m3_s),
        flow_test::extra_resistance(&measured, |_| Ok(d)).map(|found| found.most.square_pa_s2_m6),
        search::rising_zero("any", (a, b), c, |x| Ok(x - d)).map(|found| found.at),
    ]
}

#[expect(clippy::many_single_char_names, reason = "they stand for any number, in turn")]
fn leaks([a, b, c, d, e, f]: [f64; 6]) -> Answers {
    let start = GasState { pressure_pa: a, temperature_k: b };
    let end = GasState { pressure_pa: c, temperature_k: d };
    let decay = GasDecay { volume_m3: e, start, end, time_s: f };
    let error = ReadingError { pressure_pa: f, temperature_k: e, volume_share: d };
    let gas = Gas { constant_j_kg_k: b, heat_ratio: 1.4, viscosity_pa_s: f };
    let filled = Filled { volume_m3: a, give_per_pa: b, air_m3: c, outside_pa: d };
    let tube = SwellingTube { bore_m: a, wall_m: b, modulus_pa: c, poisson: d };
    let change = LiquidDecay { filled, start_pa: e, end_pa: f, grown_share: a };
    let rule = WaitRule { least_s: a, above_m3: b, step_m3: c, each_s: d };
    vec![
        leak::pressure_after_pa(&start, c),
        leak::leak_rate_pa_m3_s(&decay, &error, b).map(|found| found.high - found.low),
        leak::gas_energy_j(a, b, c, 1.4),
        leak::wait_s(&rule, e),
        hole::mass_flux_kg_m2_s(&gas, a, c, d),
        hole::jet_area_m2(&gas, &decay, e),
        hole::hole_diameter_m(a, b),
        hole::jet_flow_m3_s(a, b, c),
        passage::passage_m3_pa_s(&decay, e),
        passage::passage_leak_pa_m3_s(a, b, c),
        passage::passage_flow_m3_s(a, b, c, d),
        passage::passage_of_length(&gas, a, c, &end, e).map(|found| found.bore_m),
        liquid::swelling_per_pa(&tube),
        liquid::pumped_m3(&filled, e, f),
        liquid::trapped_air_m3(&filled, e, f, a),
        liquid::pressure_per_kelvin_pa(&filled, e, f),
        liquid::leaked_m3(&change),
        liquid::stored_j(&filled, e),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn no_kernel_gives_a_number_that_is_none(numbers in proptest::array::uniform6(number())) {
        let all = [lines, fittings, liquids, tests_and_tanks, leaks].map(|kernels| kernels(numbers)).concat();
        for (place, answer) in all.into_iter().enumerate() {
            if let Ok(value) = answer {
                prop_assert!(value.is_finite(), "answer {} is {}", place, value);
            }
        }
    }

    #[test]
    fn a_refusal_always_has_words(numbers in proptest::array::uniform6(number())) {
        for error in [lines(numbers), fittings(numbers), tests_and_tanks(numbers), leaks(numbers)].concat().into_iter().filter_map(Result::err) {
            prop_assert!(error.to_string().len() > 10);
        }
    }
}
