//! Checks of pressure, temperature and materials.

pub mod compatibility;
pub mod design_factor;
pub mod fire;
pub mod surge;
pub mod temperature;
pub mod vacuum;
pub mod working_pressure;

use super::Look;

/// Highest pressure of all cases, Pa gauge, and the case.
fn highest_gauge(look: &Look<'_>) -> Option<(f64, usize)> {
    look.own
        .duties
        .iter()
        .filter_map(|d| Some((d.highest_gauge_pa()?, d.case)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

/// A pressure in the unit a builder thinks in: kPa below 10 bar, bar above.
fn pressure_text(pascal: f64) -> String {
    if pascal.abs() < 1e6 {
        format!("{:.0} kPa", pascal / 1e3)
    } else {
        format!("{:.0} bar", pascal / 1e5)
    }
}
