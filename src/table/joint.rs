//! Spanners of nuts, and the rules for making joints: lubricant, where none goes, how to turn.

use super::Tables;
use super::file::Row;
use crate::source::Sourced;
use crate::units::Length;

/// Across the flats of the nut of a family and size.
///
/// ```
/// use hosewright::{table::{Tables, joint::spanner}, units::{System, write}};
/// let hex = spanner(&Tables::builtin(), "flare-37", "-6").unwrap();
/// assert_eq!(write(hex.value, System::Inch), "11/16 in");
/// ```
pub fn spanner(tables: &Tables, family: &str, size: &str) -> Option<Sourced<Length>> {
    let table = tables.get("spanner", family)?;
    table.quantity(table.row(&[("size", size)])?, "hex")
}

/// What a rule about joints asks for.
#[derive(Clone, Copy, Debug, Default)]
pub struct Made<'a> {
    /// What seals: `cone`, `ring`, `thread`, `spigot`, or nothing that a table knows.
    pub seal: &'a str,
    /// What the nut or the clip holds: `hose`, `tube`, or `none` where two ports meet.
    pub carrier: &'a str,
    /// What the fluid is used as.
    pub uses: &'a [&'a str],
    /// Metals there.
    pub materials: &'a [&'a str],
}

/// A rule about joints.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Its key in the table.
    pub rule: String,
    /// What it is about: `lubricant`, `keep off`, `turn`, `leak`, `witness mark`, `caps`, or from another table `second signature`.
    pub part: String,
    /// What it says.
    pub text: Sourced<String>,
}

/// The rules that hold for a joint, in the order of the table.
pub fn rules(tables: &Tables, made: Made<'_>) -> Vec<Rule> {
    let Some(table) = tables.get("limit", "joint") else { return Vec::new() };
    let holds = |row: &&Row| {
        let any = |column: &str, own: &[&str]| {
            let cell = row.cells.get(column);
            cell.is_none_or(|cell| own.iter().any(|word| cell.lists(word)))
        };
        any("seals", &[made.seal])
            && any("carriers", &[made.carrier])
            && any("uses", made.uses)
            && any("materials", made.materials)
    };
    let rule = |row: &Row| {
        let words = |column: &str| table.words(row, column);
        Some(Rule { rule: words("rule")?.value, part: words("part")?.value, text: words("text")? })
    };
    table.rows.iter().filter(holds).filter_map(rule).collect()
}
