//! What physics asks of any table: bores inside, burst above proof, sizes that rise.

use std::collections::{BTreeMap, BTreeSet};

use hosewright::table::Cell;

use super::{key_of, tables, value};

/// Two columns of lengths or of pressures in every row that fills both.
fn pairs(kind: &str, a: &str, b: &str, mut judge: impl FnMut(&str, f64, f64)) {
    let mut seen = 0;
    for table in tables().iter().filter(|t| t.kind == kind) {
        for row in &table.rows {
            if let (Some((_, a)), Some((_, b))) = (value(table, row, a), value(table, row, b)) {
                judge(&format!("{}, row {}", table.id(), key_of(table, row)), a, b);
                seen += 1;
            }
        }
    }
    assert!(seen > 3, "only {seen} rows of {kind} have both {a} and {b}");
}

#[test]
fn a_bore_lies_inside_its_outside_and_a_wall_leaves_a_bore() {
    pairs("hose", "bore", "outside", |row, bore, outside| assert!(bore < outside, "{row}"));
    pairs("hose", "bore_least", "bore", |row, least, bore| assert!(least <= bore, "{row}"));
    pairs("hose", "end_bore", "bore", |row, end, bore| assert!(end < bore, "{row}"));
    pairs("tube", "wall", "outside", |row, wall, outside| assert!(2.0 * wall < outside, "{row}"));
    for table in tables().iter().filter(|t| t.kind == "tube") {
        for row in &table.rows {
            let of = |column| value(table, row, column).map(|v| v.1);
            let (Some(outside), Some(wall), Some(end)) =
                (of("outside"), of("wall"), of("end_bore"))
            else {
                continue;
            };
            let (id, key) = (table.id(), key_of(table, row));
            assert!(end < outside - 2.0 * wall, "{id}, row {key}");
        }
    }
}

#[test]
fn working_pressure_is_at_most_proof_and_proof_less_than_burst() {
    pairs("hose", "working", "proof", |row, working, proof| assert!(working <= proof, "{row}"));
    pairs("hose", "proof", "burst", |row, proof, burst| assert!(proof < burst, "{row}"));
    pairs("hose", "working", "burst", |row, working, burst| {
        assert!(2.0 * working < burst, "{row}");
    });
    pairs("material", "yield", "ultimate", |row, low, high| assert!(low < high, "{row}"));
}

#[test]
fn a_least_figure_is_at_most_the_greatest() {
    let ends = [
        ("fluid", "density_min", "density15"),
        ("fluid", "density15", "density_max"),
        ("fluid", "reid_min", "reid_max"),
        ("limit", "min", "max"),
        ("limit", "kv40_min", "kv40_max"),
        ("roughness", "low", "high"),
        ("roughness", "low", "typical"),
        ("roughness", "typical", "high"),
        ("torque", "hose_min", "hose_max"),
        ("torque", "steel_tube_min", "steel_tube_max"),
        ("torque", "aluminium_tube_min", "aluminium_tube_max"),
        ("torque", "steel_min", "steel_max"),
        ("thread", "minor", "major"),
    ];
    for (kind, low, high) in ends {
        let mut seen = 0;
        for table in tables().iter().filter(|t| t.kind == kind) {
            for row in &table.rows {
                if let (Some((_, l)), Some((_, h))) =
                    (value(table, row, low), value(table, row, high))
                {
                    let key = key_of(table, row);
                    assert!(l <= h, "{}, row {key}: {low} {l} and {high} {h}", table.id());
                    seen += 1;
                }
            }
        }
        assert!(seen > 0, "no row of {kind} has both {low} and {high}");
    }
}

/// Columns that rise from row to row, strictly or at least never fall, by kind of table.
const RISING: &[(&str, &str, bool)] = &[
    ("hose", "bore", true),
    ("hose", "bore_least", true),
    ("hose", "end_bore", true),
    ("hose", "outside", true),
    ("hose", "tube_outside", true),
    ("hose", "bend_radius", false),
    ("hose", "mass", true),
    ("end", "bore", true),
    ("end", "drop", false),
    ("tube", "outside", false),
    ("thread", "tube_outside", true),
    ("thread", "major", true),
    ("torque", "tube_outside", true),
    ("torque", "hose_min", false),
    ("support", "aluminium", false),
    ("support", "steel", false),
];

/// Columns that do not rise, or `*` for all of a table, each with the reason.
const UNEVEN: &[(&str, &str, &str)] = &[
    ("tube/demo-metric", "*", "metric sizes first, inch sizes after them"),
    ("thread/iso-8434-1", "tube_outside", "the light row first, the heavy one after it"),
    ("hose/demo-hydraulic", "*", "several hoses of one bore: full pressure, low, return, suction"),
];

#[test]
fn figures_that_must_rise_with_the_size_do() {
    let mut seen = BTreeSet::new();
    for table in tables() {
        for (_, column, strict) in RISING.iter().filter(|(kind, _, _)| *kind == table.kind) {
            let id = table.id();
            if UNEVEN.iter().any(|(t, c, _)| *t == id && (c == column || *c == "*")) {
                continue;
            }
            let cells: Vec<(String, f64)> = table
                .rows
                .iter()
                .filter_map(|r| Some((key_of(table, r), value(table, r, column)?.1)))
                .collect();
            for pair in cells.windows(2) {
                let rises = if *strict { pair[0].1 < pair[1].1 } else { pair[0].1 <= pair[1].1 };
                assert!(rises, "{}: {column} from {:?} to {:?}", table.id(), pair[0], pair[1]);
                seen.insert((table.kind.clone(), *column));
            }
        }
    }
    assert_eq!(seen.len(), RISING.len(), "a column was found in no table: {seen:?}");
}

#[test]
fn temperatures_rise_within_a_grade_or_material_and_strength_never_does() {
    for table in tables().iter().filter(|t| t.key.iter().any(|k| k == "temperature")) {
        let group = table.key.iter().find(|k| *k != "temperature");
        let mut last: BTreeMap<String, (f64, Option<f64>)> = BTreeMap::new();
        for row in &table.rows {
            let name = group.and_then(|g| row.cells.get(g)).map(Cell::to_text).unwrap_or_default();
            let Some((_, kelvin)) = value(table, row, "temperature") else { continue };
            let strength = value(table, row, "allowable").map(|v| v.1);
            if let Some((before, stronger)) = last.get(&name) {
                assert!(*before < kelvin, "{} {name} at {kelvin} K", table.id());
                let falls = strength.zip(*stronger).is_none_or(|(now, was)| now <= was);
                assert!(falls, "{} {name} at {kelvin} K is stronger than when colder", table.id());
            }
            last.insert(name, (kelvin, strength));
        }
    }
}
