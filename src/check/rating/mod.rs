//! Checks of pressure, temperature and materials.

pub mod compatibility;
pub mod design_factor;
pub mod fire;
pub mod surge;
pub mod temperature;
pub mod vacuum;
pub mod working_pressure;

use super::Look;
use crate::solve::{Facts, LineFacts};

/// The highest pressure that is known of a line.
pub struct Highest {
    /// Pa gauge.
    pub pa: f64,
    /// Index of its case.
    pub case: usize,
    /// Cases in which it may be higher, because a duty or its pressure is missing or could not be computed.
    pub unknown: Vec<usize>,
}

impl Highest {
    /// What to say of the cases in which the pressure is not known; none where it always is.
    fn doubt(&self, look: &Look<'_>) -> Option<String> {
        let names: Vec<String> =
            self.unknown.iter().map(|c| format!("\"{}\"", look.case_name(*c))).collect();
        (!names.is_empty())
            .then(|| format!("the highest pressure in {} is not known", names.join(", ")))
    }
}

/// Highest pressure of all cases; none when no case has a pressure.
fn highest(look: &Look<'_>) -> Option<Highest> {
    highest_of(look.own, look.facts)
}

/// Highest pressure of a line in all cases; none when no case has a pressure.
pub fn highest_of(own: &LineFacts, facts: &Facts) -> Option<Highest> {
    let duties = &own.duties;
    let known = duties.iter().filter_map(|d| Some((d.highest_gauge_pa()?, d.case)));
    let (pa, case) = known.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let is_known = |case: &usize| duties.iter().any(|d| d.case == *case && d.highest_is_known());
    // Of the combined cases a line has those that govern it.
    let asked = |case: &usize| {
        let combined = facts.cases.get(*case).is_some_and(|c| c.combined);
        !combined || duties.iter().any(|d| d.case == *case)
    };
    let cases = 0..facts.cases.len();
    let unknown = cases.filter(asked).filter(|case| !is_known(case)).collect();
    Some(Highest { pa, case, unknown })
}

/// A pressure in the unit a builder thinks in: kPa below 10 bar, bar above.
fn pressure_text(pascal: f64) -> String {
    pressure_to(pascal, 0)
}

/// The same to so many digits behind the point.
pub(super) fn pressure_to(pascal: f64, digits: usize) -> String {
    if pascal.abs() < 1e6 {
        format!("{:.digits$} kPa", pascal / 1e3)
    } else {
        format!("{:.digits$} bar", pascal / 1e5)
    }
}
