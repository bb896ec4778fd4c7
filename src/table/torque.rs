//! How far a joint is tightened: by torque or by flats of its hexagon, from one table and never from two.

use super::Tables;
use super::file::{Row, TableFile};
use crate::source::Sourced;
use crate::units::Torque;

/// How far a joint is tightened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// To a torque within these bounds.
    Torque {
        /// At least.
        least: Torque,
        /// At most.
        most: Torque,
    },
    /// By flats of the hexagon, a sixth of a turn each, from where the nut is seated by hand.
    Flats {
        /// At least.
        least: f64,
        /// At most.
        most: f64,
    },
}

/// What a joint asks of a torque table.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Thread and seat family.
    pub family: &'a str,
    /// Size as the family counts it.
    pub size: &'a str,
    /// What is tightened, the closest word first: `aluminium-tube`, `tube`, `hose`, `ports`,
    /// `steel-fittings`.
    pub what: &'a [&'a str],
}

/// Why a table that covers the family of a joint has no value for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gap {
    /// It has no column for what is tightened.
    NoColumn,
    /// It has no row for the size.
    NoSize,
    /// The cell is empty.
    NoCell,
}

/// A line of the fact `covers`: `FAMILY WHAT COLUMN`.
fn covers(table: &TableFile) -> Vec<[String; 3]> {
    let lines = table.fact_list("covers").map(|l| l.value).unwrap_or_default();
    let parts = |line: &String| {
        let mut words = line.split_whitespace().map(str::to_owned);
        Some([words.next()?, words.next()?, words.next()?])
    };
    lines.iter().filter_map(parts).collect()
}

/// The families that a torque table covers; none where its fact `covers` does not say.
pub fn families(table: &TableFile) -> Vec<String> {
    let mut families: Vec<String> = covers(table).into_iter().map(|[family, ..]| family).collect();
    families.sort_unstable();
    families.dedup();
    families
}

/// The torque tables that cover a family, by name.
///
/// ```
/// use hosewright::table::{Tables, torque};
/// let tables = Tables::builtin();
/// assert!(torque::covering(&tables, "flare-37").len() > 2);
/// assert!(torque::covering(&tables, "spigot").is_empty());
/// ```
pub fn covering<'t>(tables: &'t Tables, family: &str) -> Vec<&'t TableFile> {
    let all = tables.names("torque").into_iter().filter_map(|name| tables.get("torque", name));
    all.filter(|table| covers(table).iter().any(|[own, ..]| own == family)).collect()
}

/// What a table says of a joint.
///
/// # Errors
/// What is missing in it.
///
/// ```
/// use hosewright::table::{Tables, torque::{Asked, Turn, turn}};
/// let tables = Tables::builtin();
/// let table = tables.get("torque", "flats-from-seated").unwrap();
/// let asked = Asked { family: "flare-37", size: "-4", what: &["aluminium-tube", "tube"] };
/// assert_eq!(turn(table, asked).unwrap().value, Turn::Flats { least: 2.25, most: 2.75 });
/// ```
pub fn turn(table: &TableFile, asked: Asked<'_>) -> Result<Sourced<Turn>, Gap> {
    let lines = covers(table);
    let column = |what: &&str| {
        let fits = |[family, own, _]: &&[String; 3]| family == asked.family && own == what;
        lines.iter().find(fits).map(|[_, _, column]| column)
    };
    let column = asked.what.iter().find_map(column).ok_or(Gap::NoColumn)?;
    let row = table.row(&[("size", asked.size)]).ok_or(Gap::NoSize)?;
    let (least, most) = (format!("{column}_min"), format!("{column}_max"));
    let flats = table.fact_words("measures").is_some_and(|m| m.value == "flats");
    let found = if flats {
        by_flats(table, row, &least, &most)
    } else {
        by_torque(table, row, &least, &most)
    };
    found.ok_or(Gap::NoCell)
}

fn by_flats(table: &TableFile, row: &Row, least: &str, most: &str) -> Option<Sourced<Turn>> {
    let (least, most) = (table.number(row, least)?, table.number(row, most)?);
    Some(least.map(|least| Turn::Flats { least, most: most.value }))
}

fn by_torque(table: &TableFile, row: &Row, least: &str, most: &str) -> Option<Sourced<Turn>> {
    let (least, most) = (table.quantity(row, least)?, table.quantity(row, most)?);
    Some(least.map(|least| Turn::Torque { least, most: most.value }))
}
