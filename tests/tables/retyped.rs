//! Rows of published tables typed a second time, and held against the tables.

use std::collections::BTreeMap;

use hosewright::table::Cell;
use hosewright::units::{
    self, Density, GaugePressure, Length, PressureDifference, Quantity, Ratio, Stress, Temperature,
    Torque,
};
use serde::Deserialize;

use super::{table, tables, value};
use crate::house::read;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Retyped {
    row: Vec<RetypedRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RetypedRow {
    table: String,
    key: BTreeMap<String, String>,
    from: String,
    cells: BTreeMap<String, String>,
}

/// Kinds whose published tables must each have two rows typed a second time.
const RETYPED_KINDS: &[&str] = &["hose", "tube", "end", "thread", "material"];

/// Published tables without a figure that could be typed again, with the reason.
const NOT_RETYPED: &[(&str, &str)] = &[
    ("hose/sae-j20-r3", "bores are nominal and remembered: no page with figures was read"),
    ("hose/sae-j20-r4", "bores are nominal and remembered: no page with figures was read"),
];

fn retyped() -> Vec<RetypedRow> {
    toml::from_str::<Retyped>(&read("tests/reference/tables.toml"))
        .unwrap_or_else(|e| panic!("{e}"))
        .row
}

/// A quantity with its unit, read as the first kind that takes it.
fn quantity_text(text: &str, kind: &str) -> Option<f64> {
    fn of<Q: Quantity>(text: &str, kind: &str) -> Option<f64> {
        (Q::NAME == kind).then(|| units::read::<Q>(text).ok().map(Q::si)).flatten()
    }
    of::<Length>(text, kind)
        .or_else(|| of::<GaugePressure>(text, kind))
        .or_else(|| of::<PressureDifference>(text, kind))
        .or_else(|| of::<Stress>(text, kind))
        .or_else(|| of::<Density>(text, kind))
        .or_else(|| of::<Temperature>(text, kind))
        .or_else(|| of::<Ratio>(text, kind))
        .or_else(|| of::<Torque>(text, kind))
        .or_else(|| units::read_number(text).ok().filter(|_| kind == "plain number"))
}

#[test]
fn rows_typed_a_second_time_agree_with_the_tables() {
    for again in retyped() {
        let table = table(&again.table);
        let wanted: Vec<(&str, &str)> =
            again.key.iter().map(|(c, t)| (c.as_str(), t.as_str())).collect();
        let row = table.row(&wanted).unwrap_or_else(|| panic!("{} {wanted:?}", again.table));
        for (column, text) in &again.cells {
            let place = format!("{} {wanted:?} {column} ({})", again.table, again.from);
            if table.columns.get(column).is_some_and(|u| u == "text") {
                assert_eq!(
                    row.cells.get(column).map(Cell::to_text).as_ref(),
                    Some(text),
                    "{place}"
                );
                continue;
            }
            let (kind, found) =
                value(table, row, column).unwrap_or_else(|| panic!("{place} is not in the table"));
            let known = quantity_text(text, kind)
                .unwrap_or_else(|| panic!("{place}: \"{text}\" is no {kind}"));
            // Only the last bits of a conversion may differ.
            assert!((found - known).abs() <= 1e-12 * known.abs(), "{place}: {found}, not {known}");
        }
    }
}

#[test]
fn every_published_table_of_parts_has_two_rows_typed_a_second_time() {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for again in retyped() {
        assert!(!again.cells.is_empty() && again.from.len() > 5, "{}", again.table);
        *counts.entry(again.table).or_default() += 1;
    }
    for table in tables() {
        let published = !table.name.starts_with("demo-");
        let excused = NOT_RETYPED.iter().any(|(id, _)| *id == table.id());
        if published && RETYPED_KINDS.contains(&table.kind.as_str()) && !excused {
            let count = counts.get(&table.id()).copied().unwrap_or(0);
            assert!(count >= 2, "{} has {count} rows in tests/reference/tables.toml", table.id());
        }
    }
}
