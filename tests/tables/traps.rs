//! Traps that a published table sets for whoever copies it, each with a name.

use hosewright::source::Standing;
use hosewright::table::end::End;
use hosewright::table::{TableFile, Tables};
use hosewright::units::{GaugePressure, Length, Quantity, Temperature, Torque};

use super::{key_of, row, si, table, tables};

fn length_in(table: &TableFile, key: &str, column: &str) -> f64 {
    let metres = si::<Length>(table, row(table, key), column);
    metres.unwrap_or_else(|| panic!("{} {key} {column}", table.id())) / 0.0254
}

fn psi(table: &TableFile, key: &str, column: &str) -> Option<f64> {
    // Exact: pound force over square inch.
    const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
    si::<GaugePressure>(table, row(table, key), column).map(|pa| pa / PSI_PA)
}

/// Equal but for the last bits of a conversion there and back.
fn same(found: f64, known: f64) -> bool {
    (found - known).abs() <= 1e-12 * known.abs()
}

#[test]
fn the_cut_off_of_a_pair_is_twice_that_of_one_fitting_in_every_size() {
    let (one, pair) = (table("end/ptfe-flare-straight"), table("end/ptfe-flare-straight-pair"));
    assert_eq!(pair.rows.len(), 9);
    for row in &pair.rows {
        let size = key_of(pair, row);
        let (a, b) = (length_in(one, &size, "cut_off"), length_in(pair, &size, "cut_off"));
        assert!(same(b, 2.0 * a), "{size}: {a} and {b}");
        let halved = End::from_table(pair, &size).and_then(|e| e.cut_off).map(|c| c.value.si());
        let single = End::from_table(one, &size).and_then(|e| e.cut_off).map(|c| c.value.si());
        assert!(same(halved.unwrap(), single.unwrap()), "{size}: an end takes one fitting's share");
    }
}

#[test]
fn dash_6_of_the_37_degree_flare_is_9_16_18_and_5_8_18_belongs_to_45_degrees() {
    let tables = Tables::builtin();
    let thread = |family: &str, size: &str| {
        hosewright::table::end::thread(&tables, family, size).map(|t| t.value)
    };
    assert_eq!(thread("flare-37", "-6").as_deref(), Some("9/16-18"));
    assert_eq!(thread("flare-45", "-6").as_deref(), Some("5/8-18"));
    for shared in ["-4", "-5", "-8", "-10"] {
        assert_eq!(thread("flare-37", shared), thread("flare-45", shared), "{shared}");
    }
}

#[test]
fn burst_is_not_four_times_working_in_every_size_of_mil_h_8794() {
    let table = table("hose/mil-h-8794");
    let ratio =
        |size: &str, of: &str| psi(table, size, of).unwrap() / psi(table, size, "working").unwrap();
    // As printed: 10 000 on 3000, 6000 on 1750, 9000 on 2000, 1000 on 200.
    assert!((ratio("-5", "burst") - 3.333).abs() < 0.001);
    assert!((ratio("-12", "burst") - 3.429).abs() < 0.001);
    assert!((ratio("-6", "burst") - 4.5).abs() < 1e-9);
    assert!((ratio("-40", "burst") - 5.0).abs() < 1e-9);
    assert!((ratio("-40", "proof") - 1.5).abs() < 1e-9);
    assert!((ratio("-6", "proof") - 2.25).abs() < 1e-9);
}

#[test]
fn a_dash_number_is_the_tube_it_stands_for_and_not_the_bore() {
    for id in ["hose/mil-h-8794", "hose/mil-h-8788", "hose/sae-100r5", "hose/as1946-bores"] {
        let table = table(id);
        for row in &table.rows {
            let size = key_of(table, row);
            let sixteenths: f64 = size.trim_start_matches('-').parse().unwrap();
            let tube = length_in(table, &size, "tube_outside");
            assert!(same(tube, sixteenths / 16.0), "{id} {size}: {tube}");
            // The largest size alone has a bore as wide as its tube.
            let narrower = length_in(table, &size, "bore") < tube || size == "-48";
            assert!(narrower, "{id} {size}");
        }
    }
}

#[test]
fn the_burst_pressure_that_was_printed_wrong_is_not_carried() {
    let table = table("hose/mil-h-8788");
    assert_eq!(psi(table, "-16", "burst"), None);
    assert!(same(psi(table, "-12", "burst").unwrap(), 12_000.0));
    assert!(row(table, "-16").note.as_ref().is_some_and(|n| n.contains("19,000")));
}

#[test]
fn the_high_temperature_of_mil_h_8794_is_the_lower_of_the_two_that_are_printed() {
    let table = table("hose/mil-h-8794");
    let hottest = table.fact_quantity::<Temperature>("temperature_max").unwrap().value.si();
    // 250 degF; 275 degF is printed for -16 and larger.
    assert!((hottest - (250.0 + 459.67) / 1.8).abs() < 1e-9);
    assert!(!table.columns.contains_key("temperature_max"));
}

#[test]
fn the_fitting_is_the_narrow_place_of_a_ptfe_hose() {
    let table = table("hose/as1946-bores");
    let (bore, end) = (length_in(table, "-4", "bore"), length_in(table, "-4", "end_bore"));
    // The note says 42 % less area: 1 - (0.132 / 0.173)^2.
    assert!((1.0 - (end / bore) * (end / bore) - 0.418).abs() < 0.001);
}

#[test]
fn proof_of_the_ptfe_hose_does_not_fall_steadily_with_size() {
    let table = table("hose/ptfe-medium-pressure");
    assert!(same(psi(table, "-12", "proof").unwrap(), 2000.0));
    assert!(same(psi(table, "-16Z", "proof").unwrap(), 2500.0));
    for row in &table.rows {
        assert_eq!(
            table.cite(row).standing,
            Standing::FromMemory,
            "its bend radius has no support"
        );
    }
}

#[test]
fn the_cut_off_of_a_rubber_hose_fitting_falls_between_12_and_16() {
    let table = table("end/rubber-flare-straight-ms24587");
    assert!(same(length_in(table, "-12", "cut_off"), 1.0));
    assert!(same(length_in(table, "-16", "cut_off"), 0.94));
}

#[test]
fn a_suction_hose_bears_little_pressure_and_two_braids_more_than_one() {
    let (one, two, suction) =
        (table("hose/sae-100r1at"), table("hose/sae-100r2at"), table("hose/sae-100r4"));
    for row in &one.rows {
        let size = key_of(one, row);
        assert!(psi(one, &size, "working") < psi(two, &size, "working"), "{size}");
        assert!(same(length_in(one, &size, "bend_radius"), length_in(two, &size, "bend_radius")));
    }
    assert!(same(psi(suction, "-16", "working").unwrap(), 250.0));
}

#[test]
fn drawn_tube_is_not_given_the_roughness_of_commercial_steel() {
    let table = table("roughness/bores");
    let typical = |surface: &str| si::<Length>(table, row(table, surface), "typical").unwrap();
    assert!(same(typical("drawn tube"), 1.5e-6));
    assert!(same(typical("commercial steel"), 45e-6));
}

#[test]
fn published_industrial_torques_contradict_each_other_and_both_are_kept() {
    let (engine, machine) =
        (table("torque/flare-37-industrial-engine"), table("torque/flare-37-industrial-machine"));
    let of = |t: &TableFile, column| si::<Torque>(t, row(t, "-10"), column).unwrap();
    assert!(of(engine, "steel_max") < of(machine, "steel_min"), "the bands at -10 do not meet");
}

#[test]
fn every_torque_table_says_what_it_covers_by_columns_that_it_has() {
    let all: Vec<&TableFile> = tables().iter().filter(|t| t.kind == "torque").collect();
    assert!(all.len() >= 5);
    for table in all {
        let lines = table.fact_list("covers").map(|l| l.value).unwrap_or_default();
        let mut columns: Vec<String> = Vec::new();
        for line in &lines {
            let words: Vec<&str> = line.split_whitespace().collect();
            assert_eq!(words.len(), 3, "{}: {line}", table.id());
            columns.extend(["min", "max"].map(|end| format!("{}_{end}", words[2])));
        }
        let own = table.columns.keys().filter(|c| c.ends_with("_min") || c.ends_with("_max"));
        columns.sort();
        assert_eq!(own.cloned().collect::<Vec<_>>(), columns, "{}", table.id());
        assert_eq!(hosewright::table::torque::families(table).is_empty(), lines.is_empty());
        let measures = table.fact_words("measures").map(|m| m.value).unwrap_or_default();
        assert!(["torque", "flats"].contains(&measures.as_str()), "{}: {measures}", table.id());
    }
}
