//! What is due when, by rules that the builder chooses among.

use super::Asked;
use super::date::Date;
use super::piece::Piece;
use crate::finding::Verdict;
use crate::source::Cite;
use crate::table::{Row, TableFile, Tables};

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

/// What one rule says of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// The line.
    pub line: String,
    /// The rule.
    pub rule: Rule,
    /// From when it counts; none where the record does not say.
    pub since: Option<Date>,
    /// When it ends.
    pub due: Option<Date>,
    /// When what it limits was done, if it was: made up, or fitted.
    pub done: Option<Date>,
    /// Days from the day asked for, or from when it was done, to the due date.
    pub days_left: Option<i64>,
    /// The verdict; `open` where no rule was chosen or a date is missing.
    pub verdict: Verdict,
}

/// The rules of the table on years, in its order.
pub fn rules(tables: &Tables) -> Vec<Rule> {
    let Some(table) = tables.get("limit", "hose-life") else { return Vec::new() };
    let read = table.rows.iter().filter_map(|row| rule(table, row));
    read.filter(|r| matches!(r.to.as_str(), "made" | "fitted" | "now")).collect()
}

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

/// What each rule says of each piece: of the chosen rules, else of all, without a verdict.
pub fn all(rules: &[Rule], pieces: &[Piece], asked: &Asked, soon: Option<f64>) -> Vec<Due> {
    let chosen = |rule: &&Rule| asked.rules.is_empty() || asked.rules.contains(&rule.name);
    let still = pieces.iter().filter(|p| p.gone.is_none());
    let mut due: Vec<Due> = still
        .flat_map(|piece| {
            let speaks = rules.iter().filter(chosen).filter(|r| speaks_of(r, piece));
            speaks.map(|rule| one(rule, piece, asked, soon)).collect::<Vec<_>>()
        })
        .collect();
    due.sort_by_key(|d| core::cmp::Reverse(d.verdict));
    due
}

fn speaks_of(rule: &Rule, piece: &Piece) -> bool {
    match (rule.hose.as_deref(), piece.liner.as_deref()) {
        (None, _) => true,
        // Of a hose whose liner nothing names the cautious rules hold.
        (Some("rubber"), liner) => liner != Some("PTFE"),
        (Some(hose), liner) => liner == Some(hose),
    }
}

fn one(rule: &Rule, piece: &Piece, asked: &Asked, soon: Option<f64>) -> Due {
    let day = |name: &str| match name {
        "cure" => piece.cure,
        "made" => piece.made,
        "tested" => piece.tested,
        _ => piece.fitted,
    };
    let since = day(&rule.from);
    let done = if rule.to == "now" { None } else { day(&rule.to) };
    let due = since.zip(rule.years).and_then(|(since, years)| since.after_years(years).ok());
    let days_left = due.map(|due| due.days_since(done.unwrap_or(asked.at)));
    let near = |left: i64| {
        // A year of 365 days is near enough for a warning.
        #[expect(clippy::cast_precision_loss, reason = "days within 9999 years")]
        let days = left as f64;
        done.is_none() && soon.is_some_and(|years| days <= years * 365.0)
    };
    let verdict = match days_left {
        _ if asked.rules.is_empty() => Verdict::Open,
        _ if rule.years.is_none() => Verdict::Ok,
        None => Verdict::Open,
        Some(left) if left < 0 => Verdict::Fail,
        Some(left) if near(left) => Verdict::Caution,
        Some(_) => Verdict::Ok,
    };
    Due { line: piece.line.clone(), rule: rule.clone(), since, due, done, days_left, verdict }
}

/// How long before a due date it is told, in years.
pub fn soon_years(tables: &Tables) -> Option<f64> {
    let table = tables.get("limit", "hose-life")?;
    table.number(table.row(&[("rule", "soon")])?, "years").map(|y| y.value)
}
