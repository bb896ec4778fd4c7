//! The kernels against numbers from independent libraries, row by row.

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use hosewright::hydraulics::surge::{ElasticWall, joukowsky_pa, wave_speed_elastic_m_s};
use hosewright::hydraulics::viscosity::Walther;
use hosewright::hydraulics::volume_correction::{PetroleumGroup, density_kg_m3, volume_correction};
use hosewright::hydraulics::{atmosphere, bend, curved, friction, loss, valve, vapour};

/// Rows of numbers below the comment line and the line of column names; what is no number agrees with nothing.
fn rows(text: &str) -> Vec<Vec<f64>> {
    words(text)
        .into_iter()
        .map(|row| row.iter().map(|cell| cell.parse().unwrap_or(f64::NAN)).collect())
        .collect()
}

fn words(text: &str) -> Vec<Vec<String>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows: Vec<Vec<String>> =
        lines.map(|line| line.split(',').map(str::to_owned).collect()).collect();
    assert!(rows.len() > 3, "the file holds too few rows to check anything");
    rows
}

fn agree(found: f64, known: f64, share: f64, place: &str) {
    // The second part forgives coefficients that vanish exactly, such as a step of no height.
    assert!(
        (found - known).abs() <= share * known.abs() + 1e-15,
        "{place}: {found} against {known}"
    );
}

#[test]
fn friction_factors_agree_with_fifty_digit_arithmetic() {
    for row in rows(include_str!("../../oracle/friction.csv")) {
        let found = friction::darcy_colebrook(row[0], row[1]).unwrap();
        // The kernel promises 1e-15; the file holds 17 digits.
        agree(found, row[2], 1e-15, &format!("{row:?}"));
    }
}

#[test]
fn whole_lines_agree() {
    for row in rows(include_str!("../../oracle/drop.csv")) {
        let run =
            Straight { bore_m: row[0], length_m: row[1], roughness_m: row[5], loss_sum: row[6] };
        let liquid = Liquid { density_kg_m3: row[3], viscosity_pa_s: row[4] };
        let loss = straight_loss(&run, &liquid, row[2]).unwrap();
        let place = format!("{row:?}");
        // The library solves for friction to about 2e-12.
        agree(loss.velocity_m_s, row[7], 1e-10, &place);
        agree(loss.reynolds, row[8], 1e-10, &place);
        agree(loss.friction.unwrap().factor, row[9], 1e-10, &place);
        agree(loss.drop_pa, row[10], 1e-10, &place);
    }
}

#[test]
fn bends_agree_with_and_without_the_friction_of_their_arc() {
    for row in rows(include_str!("../../oracle/bend.csv")) {
        let angle = row[0] * core::f64::consts::PI / 180.0;
        let excess = bend::bend_excess_k(row[2], angle, row[1]).unwrap();
        let place = format!("{row:?}");
        agree(excess, row[4], 1e-10, &place);
        agree(excess + row[2] * angle * row[1], row[3], 1e-10, &place);
    }
}

#[test]
fn steps_in_the_bore_and_entrances_agree() {
    for row in rows(include_str!("../../oracle/contraction.csv")) {
        let found = loss::sudden_contraction_k(row[0], 1.0).unwrap();
        agree(found, row[1], 1e-10, &format!("contraction {row:?}"));
    }
    for row in rows(include_str!("../../oracle/expansion.csv")) {
        let found = loss::sudden_expansion_k(row[0], 1.0).unwrap();
        agree(found, row[1], 1e-10, &format!("expansion {row:?}"));
    }
    for row in rows(include_str!("../../oracle/sudden-laminar.csv")) {
        let place = format!("laminar {row:?}");
        let on_large = loss::laminar_contraction_k(row[1], row[0], 1.0).unwrap();
        let on_small = loss::k_at_other_bore(on_large, 1.0, row[0]).unwrap();
        agree(on_small, row[2], 1e-10, &place);
        let widening = loss::laminar_expansion_k(row[0], 1.0).unwrap();
        agree(widening, row[3], 1e-10, &place);
    }
    for row in rows(include_str!("../../oracle/entrance.csv")) {
        let found = loss::entrance_k(row[0]).unwrap();
        // The library's sharp edge is the rounded figure 0.57.
        let share = if row[0] == 0.0 { 1e-3 } else { 1e-10 };
        agree(found, row[1], share, &format!("entrance {row:?}"));
    }
}

#[test]
fn fittings_and_valves_agree() {
    for row in rows(include_str!("../../oracle/two-k.csv")) {
        let found = loss::two_k(row[0], row[1], row[2], row[3]).unwrap();
        agree(found, row[4], 1e-10, &format!("two constants {row:?}"));
    }
    for row in rows(include_str!("../../oracle/valve.csv")) {
        let found = valve::k_from_kv(row[0], row[1]).unwrap();
        agree(found, row[3], 1e-10, &format!("valve {row:?}"));
    }
    for row in rows(include_str!("../../oracle/valve-us.csv")) {
        let found = valve::kv_from_cv(row[0]).unwrap();
        // The library's constant has seven digits.
        agree(found, row[1], 1e-6, &format!("US valve {row:?}"));
    }
}

#[test]
fn curved_bores_agree() {
    for row in rows(include_str!("../../oracle/curved.csv")) {
        let place = format!("{row:?}");
        let dean = curved::dean(row[1], 1.0, row[0]).unwrap();
        agree(dean, row[2], 1e-10, &place);
        agree(curved::laminar_ratio(dean).unwrap(), row[4], 1e-10, &place);
        if row[0] >= 7.0 {
            let at = curved::coil_transition(1.0, row[0]).unwrap();
            agree(at.schmidt, row[5], 1e-10, &place);
        }
    }
}

#[test]
fn the_standard_atmosphere_agrees() {
    for row in rows(include_str!("../../oracle/atmosphere.csv")) {
        let place = format!("{row:?}");
        let height = atmosphere::geopotential_m(row[0]).unwrap();
        agree(height, row[1], 1e-10, &place);
        // The library rounds the gas constant; at 11000 m that is 1.1e-6.
        agree(atmosphere::pressure_pa(height).unwrap(), row[2], 2e-6, &place);
        agree(atmosphere::temperature_k(height).unwrap(), row[3], 1e-10, &place);
        let back = atmosphere::height_of_pressure_m(row[2]).unwrap();
        // 1.1e-6 of the pressure is up to 7 mm of height.
        assert!((back - row[1]).abs() < 0.01, "{place}: {back}");
        agree(atmosphere::geometric_m(row[1]).unwrap(), row[0], 1e-10, &place);
    }
}

#[test]
fn vapour_viscosity_and_volume_agree() {
    for row in rows(include_str!("../../oracle/reid.csv")) {
        let place = format!("{row:?}");
        let line = vapour::gasoline_line(row[0], row[1]).unwrap();
        agree(line.a, row[3], 1e-10, &place);
        agree(line.b, row[4], 1e-10, &place);
        let kelvin = (row[2] + 459.67) / 1.8;
        agree(line.pressure_pa(kelvin).unwrap(), row[6], 1e-10, &place);
    }
    for row in rows(include_str!("../../oracle/d341.csv")) {
        let place = format!("{row:?}");
        let oil = Walther::through((row[0] + 273.15, row[1]), (row[2] + 273.15, row[3])).unwrap();
        agree(oil.b, row[5], 1e-10, &place);
        let found = oil.viscosity_mm2_s(row[4] + 273.15).unwrap();
        agree(found, row[6], 1e-10, &place);
    }
    for row in words(include_str!("../../oracle/vcf.csv")) {
        let number = |k: usize| -> f64 { row[k].parse().unwrap() };
        let (group, kelvin) = (group(&row[0]).unwrap(), number(2) + 273.15);
        let place = format!("{row:?}");
        let factor = volume_correction(group, number(1), kelvin).unwrap();
        agree(factor, number(4), 1e-10, &place);
        let density = density_kg_m3(group, number(1), kelvin).unwrap();
        agree(density, number(5), 1e-10, &place);
    }
}

fn group(name: &str) -> Option<PetroleumGroup> {
    Some(match name {
        "gasoline" => PetroleumGroup::Gasoline,
        "transition" => PetroleumGroup::Transition,
        "jet" => PetroleumGroup::Jet,
        "fuel oil" | "fuel-oil" | "diesel" => PetroleumGroup::FuelOil,
        "crude" => PetroleumGroup::Crude,
        "lubricating" => PetroleumGroup::Lubricating,
        _ => return None,
    })
}

#[test]
fn surges_agree() {
    for row in rows(include_str!("../../oracle/surge.csv")) {
        let place = format!("{row:?}");
        let wall =
            ElasticWall { bore_m: row[2], wall_m: row[3], modulus_pa: row[4], restraint: row[5] };
        let speed = wave_speed_elastic_m_s(row[1], row[0], &wall).unwrap();
        agree(speed, row[7], 1e-10, &place);
        let rise = joukowsky_pa(row[0], speed, row[6]).unwrap();
        agree(rise, row[8], 1e-10, &place);
    }
}
