//! Fluid tables between their rows, against answers of an independent library.

use hosewright::table::Tables;
use hosewright::units::{Quantity, Temperature};

use super::tabled;

/// Rows of an oracle file below its comment and its head.
fn rows(text: &str) -> Vec<Vec<&str>> {
    let lines = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    let rows: Vec<Vec<&str>> = lines.map(|l| l.split(',').collect()).collect();
    assert!(rows.len() > 8, "too few rows to check anything");
    rows
}

/// Largest relative error of each property at points between the rows of a table, as
/// tests/oracle/README.md states them; density and stiffness are read better than it promises.
struct Bound {
    quantity: &'static str,
    column: usize,
    share: f64,
}

const fn bound(quantity: &'static str, column: usize, share: f64) -> Bound {
    Bound { quantity, column, share }
}

fn compare(text: &str, named: Option<&str>, bounds: &[Bound]) {
    let tables = Tables::builtin();
    for row in rows(text) {
        let number = |i: usize| row[i].parse::<f64>().unwrap_or(f64::NAN);
        let (name, grade, first) = match named {
            Some(name) => (name, None, 0),
            None => (row[0], Some(row[1]), 2),
        };
        let at = Temperature::from_si(number(first) + 273.15);
        for Bound { quantity, column, share } in bounds {
            let known = number(*column);
            let found = tabled(&tables, name, grade, at, quantity)
                .unwrap_or_else(|e| panic!("{name} {row:?}: {e}"));
            let off = (found - known).abs() / known.abs();
            assert!(off <= *share, "{row:?}: {quantity} {found} is off by {off:e}");
        }
    }
}

#[test]
fn water_between_its_rows_agrees_with_an_independent_library() {
    let bounds = [
        bound("density_kg_m3", 1, 5.3e-5),
        bound("viscosity_pa_s", 2, 8.4e-5),
        bound("vapour_pa", 3, 3.5e-6),
        bound("specific_heat_j_kg_k", 4, 1.7e-4),
        bound("conductivity_w_m_k", 5, 3.0e-4),
        bound("bulk_modulus_pa", 6, 4.9e-4),
    ];
    compare(include_str!("../oracle/water.csv"), Some("water"), &bounds);
}

#[test]
fn glycol_between_its_rows_agrees_with_an_independent_library() {
    let bounds = [
        bound("density_kg_m3", 3, 6.8e-5),
        bound("viscosity_pa_s", 4, 7.0e-4),
        bound("vapour_pa", 5, 1.7e-4),
        bound("specific_heat_j_kg_k", 6, 4e-6),
        bound("conductivity_w_m_k", 7, 3.8e-4),
    ];
    compare(include_str!("../oracle/glycol.csv"), None, &bounds);
}

#[test]
fn air_between_its_rows_agrees_with_an_independent_library() {
    let bounds = [
        bound("density_kg_m3", 1, 1.9e-3),
        bound("viscosity_pa_s", 2, 3.0e-5),
        bound("specific_heat_j_kg_k", 3, 4.5e-5),
        bound("conductivity_w_m_k", 4, 2.4e-4),
    ];
    compare(include_str!("../oracle/air.csv"), Some("air"), &bounds);
}
