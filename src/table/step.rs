//! Steps of making a line up, and the figures that they are held against.

use super::file::{Row, TableFile};
use super::{Cell, Tables};
use crate::source::Sourced;
use crate::units::{Length, Quantity, Ratio};

/// A step of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct StepRow {
    /// Its key in the table.
    pub step: String,
    /// What is done.
    pub text: Sourced<String>,
    /// The circumstance that asks for it; always done where none is named.
    pub when: Option<String>,
    /// The materials of tubes that it is for; every one where none is named.
    pub materials: Option<Cell>,
    /// The largest tube that it is for, by its outside.
    pub outside_to: Option<Length>,
    /// The figure that it is held against, by name.
    pub number: Option<String>,
    /// The least of it, where the row gives that.
    pub least: Option<Length>,
    /// The most of it, where the row gives that.
    pub most: Option<Length>,
}

impl StepRow {
    /// Whether it is for a rigid tube of a material and an outside diameter, mm; for a hose, if it names neither.
    pub fn is_for(&self, tube: Option<(&str, f64)>) -> bool {
        let Some((material, outside_mm)) = tube else {
            return self.materials.is_none() && self.outside_to.is_none();
        };
        // A tube that is printed in inches reaches itself in spite of rounding.
        let reaches = |to: Length| outside_mm <= to.si() * 1e3 + 1e-9;
        self.materials.as_ref().is_none_or(|m| m.lists(material))
            && self.outside_to.is_none_or(reaches)
    }
}

/// The steps of a table for a carrier, `hose` or `tube`, in its order; none where there is no such table.
pub fn steps(tables: &Tables, name: &str, carrier: &str) -> Option<Vec<StepRow>> {
    let table = tables.get("step", name)?;
    let holds = |row: &&Row| row.cells.get("carriers").is_none_or(|c| c.lists(carrier));
    Some(table.rows.iter().filter(holds).filter_map(|row| step(table, row)).collect())
}

fn step(table: &TableFile, row: &Row) -> Option<StepRow> {
    let words = |column: &str| table.words(row, column).map(|w| w.value);
    let length = |column: &str| table.quantity::<Length>(row, column).map(|l| l.value);
    Some(StepRow {
        step: words("step")?,
        text: table.words(row, "text")?,
        when: words("when"),
        materials: row.cells.get("materials").cloned(),
        outside_to: length("outside_to"),
        number: words("number"),
        least: length("least"),
        most: length("most"),
    })
}

/// How far a cut hose of a length may be off it to either side, mm.
pub fn cut_tolerance_mm(tables: &Tables, length_mm: f64) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "hose-cut")?;
    let within = up_to(table, "length_to", length_mm)
        .and_then(|row| table.quantity::<Length>(row, "tolerance"))
        .map(|t| t.map(|t| t.si() * 1e3));
    let over = || {
        let share = table.quantity::<Ratio>(table.row(&[("what", "length-over")])?, "share")?;
        Some(share.map(|s| s.si() * length_mm))
    };
    within.or_else(over)
}

/// How far the end of a hose of a bore may be off square, mm.
pub fn off_square_mm(tables: &Tables, bore_mm: f64) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "hose-cut")?;
    let square = table.quantity::<Length>(up_to(table, "bore_to", bore_mm)?, "square")?;
    Some(square.map(|s| s.si() * 1e3))
}

/// The first row whose figure in a column is not below a length.
fn up_to<'t>(table: &'t TableFile, column: &str, mm: f64) -> Option<&'t Row> {
    let reaches = |row: &&Row| {
        let to = table.quantity::<Length>(row, column);
        // A length that is printed in inches reaches itself in spite of rounding.
        to.is_some_and(|to| mm <= to.value.si() * 1e3 + 1e-9)
    };
    table.rows.iter().find(reaches)
}

/// The ball that must run through a finished hose.
#[derive(Clone, Debug, PartialEq)]
pub enum Ball {
    /// Of this diameter, mm.
    Of(Sourced<f64>),
    /// Smaller than the least bore by at least and at most this, mm.
    Under(Sourced<[f64; 2]>),
}

/// What a table says of the ball for a hose.
pub fn ball(tables: &Tables, hose: &str, size: &str) -> Option<Ball> {
    let table = tables.get("limit", "ball")?;
    let row = table.row(&[("hose", hose), ("size", size)])?;
    let mm = |column| table.quantity::<Length>(row, column).map(|b| b.map(|b| b.si() * 1e3));
    let under = || {
        let (least, most) = (mm("under_least")?, mm("under_most")?);
        Some(Ball::Under(least.map(|least| [least, most.value])))
    };
    mm("ball").map(Ball::Of).or_else(under)
}

/// By how much a brush is larger than the bore it cleans, mm.
pub fn brush_over_bore_mm(tables: &Tables) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "hose-cut")?;
    let over = table.quantity::<Length>(table.row(&[("what", "brush")])?, "over_bore")?;
    Some(over.map(|o| o.si() * 1e3))
}
