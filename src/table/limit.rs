//! Limits, factors and rules: looked up by their key word, never written into a check.

use super::Tables;
use super::file::{Cell, Row};
use crate::source::{Cite, Sourced};
use crate::units::{Length, Quantity, Ratio, Velocity};

/// Least and greatest velocity recommended for a service.
#[derive(Clone, Debug)]
pub struct VelocityLimit {
    /// Least, where one is given.
    pub min: Option<Sourced<Velocity>>,
    /// Greatest.
    pub max: Option<Sourced<Velocity>>,
}

/// The velocity band of a service such as `fuel-suction`.
pub fn velocity(tables: &Tables, service: &str) -> Option<VelocityLimit> {
    let table = tables.get("limit", "velocity")?;
    let row = table.row(&[("service", service)])?;
    Some(VelocityLimit { min: table.quantity(row, "min"), max: table.quantity(row, "max") })
}

/// A rule of the installation table as a quantity.
pub fn installation<Q: Quantity>(tables: &Tables, rule: &str) -> Option<Sourced<Q>> {
    let table = tables.get("limit", "installation")?;
    table.quantity(table.row(&[("rule", rule)])?, "value")
}

/// A share of the installation table.
pub fn installation_share(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    installation::<Ratio>(tables, rule).map(|r| r.map(Quantity::si))
}

/// A plain number of the installation table, such as diameters of straight hose.
pub fn installation_number(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "installation")?;
    table.number(table.row(&[("rule", rule)])?, "value")
}

/// Proof and burst factor over working pressure.
#[derive(Clone, Debug)]
pub struct DesignFactor {
    /// Proof pressure over working pressure.
    pub proof: Option<Sourced<f64>>,
    /// Burst pressure over working pressure.
    pub burst: Option<Sourced<f64>>,
}

/// The design factors of a kind of part.
pub fn design_factor(tables: &Tables, what: &str) -> Option<DesignFactor> {
    let table = tables.get("limit", "design-factor")?;
    let row = table.row(&[("what", what)])?;
    Some(DesignFactor { proof: table.number(row, "proof"), burst: table.number(row, "burst") })
}

/// A rule of the table of tests as a quantity.
pub fn test<Q: Quantity>(tables: &Tables, rule: &str) -> Option<Sourced<Q>> {
    let table = tables.get("limit", "test")?;
    table.quantity(table.row(&[("rule", rule)])?, "value")
}

/// A plain number of the table of tests, such as test pressures.
pub fn test_number(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "test")?;
    table.number(table.row(&[("rule", rule)])?, "value")
}

/// A rule of the table of regulations: its figure, and the factor on the duty.
pub fn regulation<Q: Quantity>(
    tables: &Tables,
    id: &str,
) -> Option<(Sourced<Q>, Option<Sourced<f64>>)> {
    let table = tables.get("limit", "regulation")?;
    let row = table.row(&[("id", id)])?;
    Some((table.quantity(row, "value")?, table.number(row, "factor")))
}

/// A kind of work that the program stops at.
#[derive(Clone, Debug)]
pub struct DeferredWork {
    /// Its key.
    pub what: String,
    /// Words that mean it, in small letters; none where it is found by calculation.
    pub words: Vec<String>,
    /// Why it is left to others.
    pub why: String,
    /// Whom to ask.
    pub ask: String,
    /// What to bring.
    pub bring: String,
    /// Where that comes from.
    pub cite: Cite,
}

/// All kinds of work that the program stops at.
pub fn deferred(tables: &Tables) -> Vec<DeferredWork> {
    let Some(table) = tables.get("limit", "deferred") else { return Vec::new() };
    let one = |row: &Row| {
        let text = |name: &str| table.words(row, name).map(|w| w.value).unwrap_or_default();
        let words = match row.cells.get("words") {
            Some(Cell::List(words)) => words.iter().map(|w| w.to_lowercase()).collect(),
            _ => Vec::new(),
        };
        DeferredWork {
            what: text("what"),
            words,
            why: text("why"),
            ask: text("ask"),
            bring: text("bring"),
            cite: table.cite(row),
        }
    };
    table.rows.iter().map(one).collect()
}

/// What a line, or a joint of lines, is for, as the list of what two people sign asks for it.
#[derive(Clone, Copy, Debug)]
pub struct Purpose<'a> {
    /// What the fluids are used as.
    pub uses: &'a [&'a str],
    /// What the lines are for.
    pub services: &'a [&'a str],
    /// Names of the systems.
    pub systems: &'a [&'a str],
}

/// Why a second person inspects and signs what is for a purpose, by the first row that means it; none where one person
/// is enough.
///
/// ```
/// use hosewright::table::{Tables, limit::{Purpose, second_person}};
/// let tables = Tables::builtin();
/// let of = |systems: &'static [&'static str]| {
///     second_person(&tables, Purpose { uses: &["water"], services: &["return"], systems })
/// };
/// assert_eq!(of(&["Rear-Brakes"]).unwrap().value, "brake");
/// assert!(of(&["brakeless"]).is_none());
/// ```
pub fn second_person(tables: &Tables, purpose: Purpose<'_>) -> Option<Sourced<String>> {
    let table = tables.get("limit", "second-person")?;
    let names = purpose.systems.iter().flat_map(|s| s.split(|c: char| !c.is_alphanumeric()));
    let words: Vec<String> = names.map(str::to_lowercase).collect();
    let systems: Vec<&str> = words.iter().map(String::as_str).collect();
    let means = |row: &&Row| {
        let any = |column: &str, own: &[&str]| {
            let cell = row.cells.get(column);
            cell.is_none_or(|cell| own.iter().any(|word| cell.lists(word)))
        };
        any("uses", purpose.uses) && any("services", purpose.services) && any("systems", &systems)
    };
    table.words(table.rows.iter().find(means)?, "what")
}

/// A rule of the strap table as a quantity.
pub fn strap<Q: Quantity>(tables: &Tables, rule: &str) -> Option<Sourced<Q>> {
    let table = tables.get("limit", "strap")?;
    table.quantity(table.row(&[("rule", rule)])?, "value")
}

/// A plain number of the strap table, such as hole diameters.
pub fn strap_number(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "strap")?;
    table.number(table.row(&[("rule", rule)])?, "value")
}

/// A sheet no more than this share thicker than a row counts as that row: 1.6 mm is what is sold for 1/16 in.
const SOLD_FOR: f64 = 0.02;

/// The least inside radius of a right-angle bend in a sheet, mm; none where the table has no such metal, or none so thick.
///
/// ```
/// use hosewright::table::{Tables, limit::sheet_bend_mm};
/// // FAA-H-8083-31, chapter 4: 2024-T3 of 0.040 in is bent to 0.16 in.
/// let least = sheet_bend_mm(&Tables::builtin(), "2024-t3", 0.040 * 25.4).unwrap();
/// assert!((least.value / 25.4 - 0.16).abs() < 1e-9);
/// ```
pub fn sheet_bend_mm(tables: &Tables, metal: &str, thickness_mm: f64) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "sheet-bend")?;
    let own = table.rows.iter().filter(|r| r.cells.get("metal").is_some_and(|m| m.says(metal)));
    let known = own.filter_map(|row| {
        let thickness = table.quantity::<Length>(row, "thickness")?;
        Some((thickness.value.si() * 1e3, row))
    });
    let reaches = |(row_mm, _): &(f64, &Row)| thickness_mm <= row_mm * (1.0 + SOLD_FOR);
    let (_, row) = known.filter(reaches).min_by(|a, b| a.0.total_cmp(&b.0))?;
    table.number(row, "radius").map(|times| times.map(|times| times * thickness_mm))
}

/// The metals that the table of sheet bends knows.
pub fn sheet_metals(tables: &Tables) -> Vec<String> {
    let rows = tables.get("limit", "sheet-bend").map(|t| t.rows.as_slice()).unwrap_or_default();
    let mut metals: Vec<String> =
        rows.iter().filter_map(|r| r.cells.get("metal")).map(Cell::to_text).collect();
    metals.dedup();
    metals
}
