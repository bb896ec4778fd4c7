//! Flow numbers of several years, by where they were measured, against the new value and the flow test.

use std::collections::BTreeMap;

use super::trend::Trend;
use crate::diagnostic::visible;
use crate::finding::Verdict;
use crate::plan::Plan;
use crate::record::{Date, Entry, Kind};
use crate::table::Tables;
use crate::trial::flow::{Asked, flow};
use crate::units::{Flow, Quantity, Time, Volume, read_uncertain};

/// The readings of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Component or line.
    pub of: String,
    /// Days and flows, L/min, in the order of the days.
    pub readings: Vec<(Date, f64)>,
    /// The line through them.
    pub trend: Option<Trend>,
    /// What must come, L/min, by the flow test that alone bears this name.
    pub limit: Option<f64>,
    /// When it falls to that.
    pub falls_to: Option<Date>,
    /// The verdict: `fail` where the last reading is below the limit, `caution` where the flow surely falls.
    pub verdict: Verdict,
}

/// Every place where a flow was measured.
pub fn all(
    plan: &Plan,
    tables: &Tables,
    entries: &[Entry],
    not_used: &mut Vec<(u64, String)>,
) -> Vec<Series> {
    let mut places: BTreeMap<&str, Vec<(Date, f64)>> = BTreeMap::new();
    for entry in entries.iter().filter(|e| e.what == Kind::FlowMeasured) {
        let Some(of) = entry.component.as_deref().or(entry.line.as_deref()) else {
            not_used.push((entry.number, "a flow without its place has no trend".into()));
            continue;
        };
        match litres_min(entry) {
            Ok(flow) => places.entry(of).or_default().push((entry.time.date(), flow)),
            Err(why) => not_used.push((entry.number, why)),
        }
    }
    let limits = if places.is_empty() { BTreeMap::new() } else { limits(plan, tables) };
    let series = |(of, mut readings): (&str, Vec<(Date, f64)>)| {
        readings.sort_by_key(|(day, _)| *day);
        let trend = Trend::through(&readings);
        let limit = limits.get(of).copied();
        let falls_to = trend.zip(limit).and_then(|(t, limit)| t.falls_to(limit));
        let last = readings.last().map(|(_, flow)| *flow);
        let below = last.zip(limit).is_some_and(|(last, limit)| last < limit);
        let falls = trend.is_some_and(|t| t.is_sure() && t.slope < 0.0);
        let verdict = if below {
            Verdict::Fail
        } else if falls {
            Verdict::Caution
        } else if limit.is_none() || trend.is_none_or(|t| t.slope_error.is_none()) {
            Verdict::Open
        } else {
            Verdict::Ok
        };
        Series { of: of.to_owned(), readings, trend, limit, falls_to, verdict }
    };
    places.into_iter().map(series).collect()
}

/// What an entry says of a flow: itself, or a can and its time.
fn litres_min(entry: &Entry) -> Result<f64, String> {
    let text = |name: &str| entry.values.get(name).map(String::as_str);
    match (text("flow"), text("can"), text("time")) {
        (Some(flow), ..) => read::<Flow>("flow", flow).map(|f| f * 60e3),
        (None, Some(can), Some(time)) => {
            let (can, time) = (read::<Volume>("can", can)?, read::<Time>("time", time)?);
            if time > 0.0 {
                Ok(can / time * 60e3)
            } else {
                Err("a time must be greater than zero".into())
            }
        }
        _ => Err("a flow is told by flow, or by can and time".into()),
    }
}

fn read<Q: Quantity>(name: &str, text: &str) -> Result<f64, String> {
    let read = read_uncertain::<Q>(text).map(|(value, _)| value.si());
    read.map_err(|e| format!("{name} \"{}\": {}", visible(text), visible(&e.message)))
}

/// What must come in the one flow test that a component names, L/min.
fn limits(plan: &Plan, tables: &Tables) -> BTreeMap<String, f64> {
    let asked = Asked {
        nose_up_rad: None,
        open: false,
        temperature: None,
        cans: vec![Volume::from_si(1e-3)],
        measured: Vec::new(),
        error: Time::from_si(0.0),
    };
    let mut found: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    let rows = flow(plan, tables, &asked).map(|trial| trial.rows).unwrap_or_default();
    for row in &rows {
        let test = &row.test;
        let named = [test.need].into_iter().chain(test.pump).chain(test.tanks.iter().copied());
        for component in named {
            let id = plan.components[component].id.clone();
            found.entry(id).or_default().push(row.wanted_m3_s() * 60e3);
        }
    }
    let alone = found.into_iter().filter(|(_, limits)| limits.len() == 1);
    alone.filter_map(|(id, limits)| Some((id, *limits.first()?))).collect()
}
