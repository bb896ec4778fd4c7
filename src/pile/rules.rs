//! The shares of `limit/identify`.

use crate::source::{Cite, Sourced};
use crate::table::{TableFile, Tables};
use crate::units::{Length, Quantity, Ratio};

/// The rules by which pipes and threads are told apart.
#[derive(Clone, Debug)]
pub struct Rules {
    /// Chance from which an answer is a yes.
    pub sure: f64,
    /// Share of a pile that belongs to no line.
    pub strangers: f64,
    /// Share of pipes whose sleeve was changed.
    pub sleeve_changed: f64,
    /// Longest over shortest pipe.
    pub length_span: f64,
    /// Widest over narrowest.
    pub bore_span: f64,
    /// Error of a pitch as a share of it.
    pub pitch_gauge: f64,
    /// Difference of diameter up to which another thread may start, mm.
    pub near_diameter_mm: f64,
    /// Difference of pitch up to which another thread may start.
    pub near_pitch: f64,
    /// Where they stand.
    pub cite: Cite,
}

impl Rules {
    /// The rules of the tables.
    ///
    /// # Errors
    /// In words: the rule that is missing from a table of the builder's own.
    pub fn read(tables: &Tables) -> Result<Self, String> {
        let table = tables.get("limit", "identify").ok_or("there is no table limit/identify")?;
        let share = |what| value::<Ratio>(table, what);
        let sure = share("sure")?;
        Ok(Self {
            strangers: share("strangers")?.value,
            sleeve_changed: share("sleeve-changed")?.value,
            length_span: share("length-span")?.value,
            bore_span: share("bore-span")?.value,
            pitch_gauge: share("pitch-gauge")?.value,
            near_diameter_mm: value::<Length>(table, "near-diameter")?.value * 1e3,
            near_pitch: share("near-pitch")?.value,
            cite: sure.cite,
            sure: sure.value,
        })
    }
}

fn value<Q: Quantity>(table: &TableFile, what: &str) -> Result<Sourced<f64>, String> {
    let row = table.row(&[("what", what)]);
    let found = row.and_then(|row| table.quantity::<Q>(row, "value"));
    let found = found.ok_or_else(|| format!("limit/identify has no rule {what}"))?;
    if found.value.si() > 0.0 {
        return Ok(found.map(Quantity::si));
    }
    Err(format!("the rule {what} of limit/identify must be above zero"))
}
