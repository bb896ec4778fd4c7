//! What is due when, by rules that the builder chooses among.

use super::piece::{Piece, Pieces};
use crate::finding::Verdict;
use crate::plan::Plan;
use crate::record::{Date, Entry};
use crate::table::Tables;
use crate::table::life::{Rule, rules, soon_years};

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

/// What is asked of a piece.
#[derive(Clone, Copy)]
struct Asked {
    at: Date,
    /// Whether rules were chosen, so that there is a verdict.
    judged: bool,
    /// How long before a due date it is told, years.
    soon: Option<f64>,
}

/// What each rule says of each piece on a day: of the chosen rules, else of all, without a verdict.
pub fn due(tables: &Tables, pieces: &[Piece], at: Date, chosen: &[String]) -> Vec<Due> {
    let (rules, soon) = (rules(tables), soon_years(tables));
    let asked = Asked { at, judged: !chosen.is_empty(), soon };
    let chosen = |rule: &&Rule| chosen.is_empty() || chosen.contains(&rule.name);
    let still = pieces.iter().filter(|p| p.gone.is_none());
    let mut due: Vec<Due> = still
        .flat_map(|piece| {
            let speaks = rules.iter().filter(chosen).filter(|r| speaks_of(r, piece));
            speaks.map(|rule| one(rule, piece, asked)).collect::<Vec<_>>()
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

fn one(rule: &Rule, piece: &Piece, asked: Asked) -> Due {
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
        done.is_none() && asked.soon.is_some_and(|years| days <= years * 365.0)
    };
    let verdict = match days_left {
        _ if !asked.judged => Verdict::Open,
        _ if rule.years.is_none() => Verdict::Ok,
        None => Verdict::Open,
        Some(left) if left < 0 => Verdict::Fail,
        Some(left) if near(left) => Verdict::Caution,
        Some(_) => Verdict::Ok,
    };
    Due { line: piece.line.clone(), rule: rule.clone(), since, due, done, days_left, verdict }
}

/// The hoses of a record on a day, held against the rules that the plan chooses.
#[derive(Clone, Debug, PartialEq)]
pub struct Hoses {
    /// The day.
    pub at: Date,
    /// How many hoses anything is written of.
    pub written: usize,
    /// Whether the plan chooses a rule.
    pub chosen: bool,
    /// What is due when, by each chosen rule.
    pub due: Vec<Due>,
    /// Lines whose hose none of the chosen rules speaks of.
    pub unruled: Vec<String>,
}

impl Hoses {
    /// The hoses of which anything is written.
    pub fn on(at: Date, plan: &Plan, tables: &Tables, entries: &[Entry]) -> Self {
        let mut pieces = Pieces::of(plan, entries).pieces;
        pieces.retain(|p| p.gone.is_none() && p.is_dated());
        let chosen = !plan.hose_life.is_empty();
        let due = if chosen { due(tables, &pieces, at, &plan.hose_life) } else { Vec::new() };
        let is_ruled = |piece: &Piece| due.iter().any(|d| d.line == piece.line);
        let unruled = pieces.iter().filter(|p| chosen && !is_ruled(p)).map(|p| p.line.clone());
        let unruled = unruled.collect();
        Self { at, written: pieces.len(), chosen, due, unruled }
    }
}
