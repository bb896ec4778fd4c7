//! Joints to be looked at again some hours after they were tightened.

use std::collections::BTreeMap;

use crate::finding::Verdict;
use crate::plan::{Line, Plan};
use crate::record::{Entry, Kind};
use crate::signed::hours;
use crate::source::Cite;
use crate::table::Tables;

/// One rule on looking again.
#[derive(Clone, Debug, PartialEq)]
pub struct Again {
    /// Its name.
    pub rule: String,
    /// Hours after the joint was tightened.
    pub hours: f64,
    /// In words.
    pub text: String,
    /// Where it comes from.
    pub cite: Cite,
}

/// One joint by one rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Recheck {
    /// The joint.
    pub joint: String,
    /// The rule.
    pub again: Again,
    /// What the hour meter showed when it was tightened, h; none where the entry does not say.
    pub since_hours: Option<f64>,
    /// At how many hours it is due.
    pub due_hours: Option<f64>,
    /// Entry by which it was done.
    pub done: Option<u64>,
    /// The verdict: `fail` where the hours have passed, `open` where they are not known.
    pub verdict: Verdict,
}

fn rules(tables: &Tables) -> Vec<Again> {
    let Some(table) = tables.get("limit", "hose-life") else { return Vec::new() };
    let rows = table.rows.iter().filter_map(|row| {
        Some(Again {
            rule: table.words(row, "rule")?.value,
            hours: table.number(row, "hours")?.value,
            text: table.words(row, "text")?.value,
            cite: table.cite(row),
        })
    });
    rows.collect()
}

/// How a joint was tightened first.
struct First {
    number: u64,
    line: Option<String>,
    hours: Option<f64>,
}

/// The line that ends at a port.
fn line_at(plan: &Plan, joint: &str) -> Option<String> {
    let ends = |line: &&Line| {
        [line.from, line.to].iter().any(|end| {
            let (component, port) = plan.port(end);
            joint.split_once('.') == Some((component.id.as_str(), port.name.as_str()))
        })
    };
    plan.lines.iter().find(ends).map(|l| l.id.clone())
}

/// Every joint that was tightened, by every rule on looking again.
pub fn all(
    plan: &Plan,
    tables: &Tables,
    entries: &[Entry],
    now: Option<f64>,
    not_used: &mut Vec<(u64, String)>,
) -> Vec<Recheck> {
    let rules = rules(tables);
    let mut tightened: BTreeMap<&str, First> = BTreeMap::new();
    for entry in entries {
        let whole = entry.whole_line();
        if let (Kind::Fitted | Kind::Replaced, Some(line)) = (entry.what, whole) {
            // Another piece: its joints were opened.
            tightened.retain(|_, first| first.line.as_deref() != Some(line));
        }
        if let (Kind::Tightened, Some(joint)) = (entry.what, &entry.joint) {
            let line = entry.line.clone().or_else(|| line_at(plan, joint));
            let number = entry.number;
            // To tighten it again later is to look at it again, not to begin anew.
            tightened.entry(joint).or_insert_with(|| First {
                number,
                line,
                hours: hours(entry, not_used),
            });
        }
    }
    let mut found = Vec::new();
    for (joint, first) in tightened {
        let since_hours = first.hours;
        for again in &rules {
            let due_hours = since_hours.map(|h| h + again.hours);
            let looked = |e: &&Entry| {
                let place = e.joint.as_deref() == Some(joint)
                    || (e.whole_line().is_some() && e.line == first.line);
                let looks = matches!(e.what, Kind::Tightened | Kind::Inspected);
                let shown = hours(e, &mut Vec::new()).zip(due_hours);
                let late = shown.is_some_and(|(shown, due)| shown >= due);
                e.number > first.number && place && looks && late
            };
            let done = entries.iter().find(looked).map(|e| e.number);
            let verdict = match (done, due_hours, now) {
                (None, Some(due), Some(now)) if now >= due => Verdict::Fail,
                (Some(_), ..) | (None, Some(_), Some(_)) => Verdict::Ok,
                _ => Verdict::Open,
            };
            let (joint, again) = (joint.to_owned(), again.clone());
            found.push(Recheck { joint, again, since_hours, due_hours, done, verdict });
        }
    }
    found.sort_by_key(|r| core::cmp::Reverse(r.verdict));
    found
}
