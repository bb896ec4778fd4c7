//! Leak tests: published problems, answers of `scipy`, and laws that hold whatever is read.

use super::calls::{Answer, no};
use super::networks;
use super::si::Given;
use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::leak::hole::{
    Gas, hole_diameter_m, jet_area_m2, jet_flow_m3_s, mass_flux_kg_m2_s,
};
use hosewright::hydraulics::leak::liquid::{
    Filled, LiquidDecay, leaked_m3, pressure_per_kelvin_pa, pumped_m3, stored_j, trapped_air_m3,
};
use hosewright::hydraulics::leak::passage::{
    passage_flow_m3_s, passage_leak_pa_m3_s, passage_m3_pa_s, passage_of_length,
};
use hosewright::hydraulics::leak::{
    GasDecay, GasState, ReadingError, WaitRule, gas_energy_j, leak_rate_pa_m3_s, pressure_after_pa,
    wait_s,
};
use hosewright::hydraulics::reynolds::area_m2;
use proptest::prelude::*;
use std::error::Error;

const AIR: Gas = Gas { constant_j_kg_k: 287.0, heat_ratio: 1.4, viscosity_pa_s: 1.82e-5 };
const EXACT: ReadingError =
    ReadingError { pressure_pa: 0.0, temperature_k: 0.0, volume_share: 0.0 };

pub(super) fn answer(call: &str, given: &Given, quantity: &str) -> Answer {
    match (call, quantity) {
        ("leak rate", "amount") => {
            let leak = leak_rate_pa_m3_s(&decay(given)?, &EXACT, 293.15)?;
            Ok(-leak.rate / 293.15 / given.get("gas_constant")?)
        }
        ("gas through a hole", "mass_flow") => {
            let area = match given.may("area") {
                Some(area) => area,
                None => area_m2(given.get("diameter")?)?,
            };
            let (from, to) = (given.get("upstream")?, given.get("downstream")?);
            let flux = mass_flux_kg_m2_s(&gas(given)?, from, given.get("temperature")?, to)?;
            Ok(area * flux)
        }
        ("hole from decay", "diameter") => {
            let jet = jet_area_m2(&gas(given)?, &decay(given)?, given.get("outside")?)?;
            Ok(hole_diameter_m(jet, 1.0)?)
        }
        ("closed liquid", "per_degree") => {
            let full = Filled { give_per_pa: 1.0 / given.get("bulk_modulus")?, ..FULL };
            Ok(pressure_per_kelvin_pa(&full, given.get("expansion")?, given.get("pressure")?)?)
        }
        ("leak rate" | "gas through a hole" | "hole from decay" | "closed liquid", other) => {
            no(other)
        }
        _ => networks::answer(call, given, quantity),
    }
}

const FULL: Filled =
    Filled { volume_m3: 1e-3, give_per_pa: 4.6e-10, air_m3: 0.0, outside_pa: 101_325.0 };

fn gas(given: &Given) -> Result<Gas, Box<dyn Error>> {
    let (constant_j_kg_k, heat_ratio) = (given.get("gas_constant")?, given.get("heat_ratio")?);
    Ok(Gas { constant_j_kg_k, heat_ratio, viscosity_pa_s: AIR.viscosity_pa_s })
}

fn decay(given: &Given) -> Result<GasDecay, Box<dyn Error>> {
    let state = |p: &str, t: &str| -> Result<GasState, Box<dyn Error>> {
        Ok(GasState { pressure_pa: given.get(p)?, temperature_k: given.get(t)? })
    };
    Ok(GasDecay {
        volume_m3: given.get("volume")?,
        start: state("p1", "T1")?,
        end: state("p2", "T2")?,
        time_s: given.get("time")?,
    })
}

fn at(pressure_pa: f64) -> GasState {
    GasState { pressure_pa, temperature_k: 293.15 }
}

#[test]
fn holes_passages_and_energies_agree_with_scipy() {
    let text = include_str!("../../oracle/leak.csv");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(2)
        .map(|l| l.split(',').map(|c| c.parse().unwrap_or(f64::NAN)).collect())
        .collect();
    assert!(rows.len() > 5);
    for row in rows {
        let near = |found: f64, known: f64, share: f64| {
            assert!((found / known - 1.0).abs() < share, "{row:?}: {found} against {known}");
        };
        let decay =
            |end| GasDecay { volume_m3: row[0], start: at(row[1]), end: at(end), time_s: row[3] };
        near(jet_area_m2(&AIR, &decay(row[6]), row[2]).unwrap(), row[4], 1e-6);
        near(passage_m3_pa_s(&decay(row[7]), row[2]).unwrap(), row[5], 1e-4);
        let (high, low) = (row[1].max(row[2]), row[1].min(row[2]));
        near(gas_energy_j(high, low, row[0], 1.4).unwrap(), row[8], 1e-9);
    }
}

#[test]
fn a_test_that_warms_up_is_put_right_before_the_hole_is_sought() {
    let even =
        GasDecay { volume_m3: 1e-3, start: at(121_325.0), end: at(118_325.0), time_s: 300.0 };
    let warmer = GasState {
        temperature_k: 296.15,
        pressure_pa: pressure_after_pa(&at(118_325.0), 296.15).unwrap(),
    };
    let warm = GasDecay { end: warmer, ..even };
    for hole in [
        |d: &GasDecay| jet_area_m2(&AIR, d, 101_325.0),
        |d: &GasDecay| passage_m3_pa_s(d, 101_325.0),
    ] {
        let (cold, warm) = (hole(&even).unwrap(), hole(&warm).unwrap());
        assert!((warm / cold - 1.0).abs() < 1e-9);
    }
    let rate = leak_rate_pa_m3_s(&warm, &EXACT, 293.15).unwrap();
    assert!((rate.rate - 0.01).abs() < 1e-12 && rate.low <= rate.rate && rate.rate <= rate.high);
}

#[test]
fn a_pressure_that_did_not_fall_or_fell_through_has_no_hole() {
    for end in [121_325.0, 125_000.0, 101_325.0, 90_000.0] {
        let decay = GasDecay { volume_m3: 1e-3, start: at(121_325.0), end: at(end), time_s: 300.0 };
        let refused = jet_area_m2(&AIR, &decay, 101_325.0);
        assert!(matches!(refused, Err(HydraulicsError::OutOfRange { .. })), "{end}: {refused:?}");
        assert!(passage_m3_pa_s(&decay, 101_325.0).is_err(), "{end}");
    }
}

#[test]
fn a_passage_lets_through_in_service_what_its_bore_says() {
    let found = passage_of_length(&AIR, 2e-13, 4e-3, &at(150e3), 101_325.0).unwrap();
    let fourth = core::f64::consts::PI * libm::pow(found.bore_m, 4.0);
    let gas = fourth / (256.0 * 1.82e-5 * 4e-3) * (150e3 * 150e3 - 101_325.0 * 101_325.0);
    assert!((passage_leak_pa_m3_s(2e-13, 150e3, 101_325.0).unwrap() / gas - 1.0).abs() < 1e-12);
    let liquid = fourth * 3e5 / (128.0 * 1e-3 * 4e-3);
    assert!((passage_flow_m3_s(2e-13, 1.82e-5, 3e5, 1e-3).unwrap() / liquid - 1.0).abs() < 1e-12);
    // Too wide for a laminar flow, and too narrow for the gas to be a continuum.
    assert!(passage_of_length(&AIR, 1e-9, 4e-3, &at(150e3), 101_325.0).is_err());
    assert!(passage_of_length(&AIR, 1e-17, 4e-3, &at(150e3), 101_325.0).is_err());
}

#[test]
fn the_wait_of_the_boat_rule_is_longer_for_a_large_tank() {
    let gallon = 3.785_411_784e-3;
    let rule =
        WaitRule { least_s: 300.0, above_m3: 50.0 * gallon, step_m3: 10.0 * gallon, each_s: 60.0 };
    for (gallons, minutes) in [(0.0, 5.0), (50.0, 5.0), (51.0, 6.0), (60.0, 6.0), (61.0, 7.0)] {
        assert_eq!(wait_s(&rule, gallons * gallon), Ok(60.0 * minutes), "{gallons}");
    }
}

proptest! {
    #[test]
    fn the_gas_law_alone_leaks_nothing(
        volume in 1e-5_f64..1.0, pressure in 1e4_f64..2e6, from in 250.0_f64..350.0, to in 250.0_f64..350.0,
    ) {
        let start = GasState { pressure_pa: pressure, temperature_k: from };
        let end = GasState { pressure_pa: pressure_after_pa(&start, to).unwrap(), temperature_k: to };
        let decay = GasDecay { volume_m3: volume, start, end, time_s: 60.0 };
        let leak = leak_rate_pa_m3_s(&decay, &EXACT, 293.15).unwrap();
        prop_assert!(leak.rate.abs() <= 1e-14 * pressure * volume);
    }

    #[test]
    fn the_band_holds_every_reading_within_the_errors(
        lost in 0.0_f64..0.3, off in proptest::array::uniform5(-1.0_f64..1.0),
    ) {
        let error = ReadingError { pressure_pa: 300.0, temperature_k: 0.5, volume_share: 0.1 };
        let decay = GasDecay { volume_m3: 1e-3, start: at(130e3), end: at(130e3 * (1.0 - lost)), time_s: 600.0 };
        let band = leak_rate_pa_m3_s(&decay, &error, 293.15).unwrap();
        let moved = |state: GasState, p: f64, t: f64| GasState {
            pressure_pa: state.pressure_pa + 300.0 * p, temperature_k: state.temperature_k + 0.5 * t,
        };
        let truth = GasDecay {
            volume_m3: 1e-3 * (1.0 + 0.1 * off[4]),
            start: moved(decay.start, off[0], off[1]), end: moved(decay.end, off[2], off[3]), ..decay
        };
        let rate = leak_rate_pa_m3_s(&truth, &EXACT, 293.15).unwrap().rate;
        prop_assert!(band.low - 1e-12 <= rate && rate <= band.high + 1e-12);
    }

    #[test]
    fn air_and_leak_come_back_as_they_were_put_in(
        air in 0.0_f64..5e-5, leak in 0.0_f64..1e-6, grown in -1e-4_f64..1e-4, to in 5e5_f64..2e7,
    ) {
        let filled = Filled { air_m3: air, ..FULL };
        let pumped = pumped_m3(&filled, 101_325.0, to).unwrap();
        let found = trapped_air_m3(&filled, pumped + 1e-15, 101_325.0, to).unwrap();
        prop_assert!((found - air).abs() <= 1e-9 * air + 1e-13);
        // The end is where the liquid that is left, grown, fills what liquid, air and wall give.
        let wanted = leak - filled.volume_m3 * grown;
        let (mut low, mut high) = (1e4, 1e9);
        for _ in 0..200 {
            let end = 0.5 * (low + high);
            if pumped_m3(&filled, end, to).unwrap() > wanted { low = end } else { high = end }
        }
        let decay = LiquidDecay { filled, start_pa: to, end_pa: low, grown_share: grown };
        prop_assert!((leaked_m3(&decay).unwrap() - leak).abs() <= 1e-12);
    }

    #[test]
    fn gas_holds_far_more_than_the_liquid_it_takes_the_place_of(gauge in 1e5_f64..1e7) {
        let gas = gas_energy_j(gauge + 101_325.0, 101_325.0, 1e-3, 1.4).unwrap();
        let liquid = stored_j(&FULL, gauge).unwrap();
        prop_assert!(gas > 50.0 * liquid);
        prop_assert!(jet_flow_m3_s(1e-8, gauge, 1000.0).unwrap() > 0.0);
    }
}
