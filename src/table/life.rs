//! The rules on the life of hose, and when joints are looked at again.

use super::file::Row;
use super::{TableFile, Tables};
use crate::source::Cite;

/// A rule on the life of hose.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// What the builder calls it.
    pub name: String,
    /// From when it counts: `cure`, `made`, `tested`, `fitted`.
    pub from: String,
    /// Until when: `made`, `fitted`, `now`.
    pub to: String,
    /// Years; none where it sets no limit.
    pub years: Option<f64>,
    /// Hoses it speaks of: `rubber`, `PTFE`, `CPE`; none for all.
    pub hose: Option<String>,
    /// In words.
    pub text: String,
    /// Where it comes from.
    pub cite: Cite,
}

impl Rule {
    /// What begins its years, as it is said of a hose: `cured`, `made`, `tested`, `fitted`.
    pub fn begins(&self) -> &str {
        if self.from == "cure" { "cured" } else { &self.from }
    }
}

/// The rules of the table on years, in its order.
pub fn rules(tables: &Tables) -> Vec<Rule> {
    let Some(table) = tables.get("limit", "hose-life") else { return Vec::new() };
    let read = table.rows.iter().filter_map(|row| rule(table, row));
    read.filter(|r| matches!(r.to.as_str(), "made" | "fitted" | "now")).collect()
}

/// A rule on years of the table.
fn rule(table: &TableFile, row: &Row) -> Option<Rule> {
    let words = |name: &str| table.words(row, name).map(|w| w.value);
    Some(Rule {
        name: words("rule")?,
        from: words("from")?,
        to: words("to")?,
        years: table.number(row, "years").map(|y| y.value),
        hose: words("hose"),
        text: words("text")?,
        cite: table.cite(row),
    })
}

/// How long before a due date it is told, in years.
pub fn soon_years(tables: &Tables) -> Option<f64> {
    let table = tables.get("limit", "hose-life")?;
    table.number(table.row(&[("rule", "soon")])?, "years").map(|y| y.value)
}
