//! Age, due dates and flows, for programs and spreadsheets.

use serde_json::{Value, json};

use super::text::{served_hours, years};
use super::{Life, Recheck, Series};
use crate::diagnostic::visible;
use crate::record::Date;
use crate::report::spreadsheet::rows;
use crate::signed::{Due, Piece};

fn day(date: Option<Date>) -> Option<String> {
    date.map(|d| d.to_string())
}

/// All of it as JSON.
pub fn json(life: &Life) -> Value {
    json!({
        "at": life.asked.at.to_string(),
        "hours": life.asked.hours,
        "rules": life.asked.rules,
        "batch": life.asked.batch,
        "verdict": life.worst(),
        "hoses": life.pieces.iter().map(|p| piece(life, p)).collect::<Vec<_>>(),
        "due": life.due.iter().map(due).collect::<Vec<_>>(),
        "joints": life.rechecks.iter().map(recheck).collect::<Vec<_>>(),
        "flows": life.flows.iter().map(flow).collect::<Vec<_>>(),
        "not_used": life.not_used.iter().map(|(entry, why)| {
            json!({ "entry": entry, "why": visible(why) })
        }).collect::<Vec<_>>(),
    })
}

fn piece(life: &Life, piece: &Piece) -> Value {
    let end = piece.gone.or(Some(life.asked.at));
    json!({
        "line": piece.line, "hose": piece.hose, "liner": piece.liner, "batch": piece.batch,
        "cure": day(piece.cure), "made": day(piece.made), "tested": day(piece.tested),
        "fitted": day(piece.fitted), "inspected": day(piece.inspected), "replaced": day(piece.gone),
        "age_years": years(piece.cure, end),
        "shelf_years": years(piece.cure.or(piece.made), piece.fitted.or(end)),
        "service_years": years(piece.fitted, end),
        "service_hours": served_hours(piece, life.asked.hours),
    })
}

fn due(due: &Due) -> Value {
    json!({
        "line": due.line, "rule": due.rule.name, "text": due.rule.text, "from": due.rule.from,
        "to": due.rule.to, "years": due.rule.years, "since": day(due.since), "due": day(due.due),
        "done": day(due.done), "days_left": due.days_left, "verdict": due.verdict,
        "source": &*due.rule.cite.text, "standing": due.rule.cite.standing,
    })
}

fn recheck(recheck: &Recheck) -> Value {
    json!({
        "joint": recheck.joint, "rule": recheck.again.rule, "text": recheck.again.text,
        "tightened_hours": recheck.since_hours, "due_hours": recheck.due_hours,
        "done_entry": recheck.done, "verdict": recheck.verdict,
        "source": &*recheck.again.cite.text, "standing": recheck.again.cite.standing,
    })
}

fn flow(series: &Series) -> Value {
    let trend = series.trend;
    json!({
        "of": series.of,
        "readings": series.readings.iter().map(|(day, flow)| {
            json!({ "date": day.to_string(), "flow_l_min": flow })
        }).collect::<Vec<_>>(),
        "slope_l_min_per_year": trend.map(|t| t.slope),
        "slope_error_l_min_per_year": trend.and_then(|t| t.slope_error),
        "sure": trend.map(|t| t.is_sure()),
        "lost_percent": trend.map(|t| 100.0 * t.lost),
        "limit_l_min": series.limit,
        "falls_to_limit": day(series.falls_to),
        "verdict": series.verdict,
    })
}

/// One row for each hose and rule.
pub fn csv(life: &Life) -> String {
    let head = [
        "line",
        "batch",
        "cure",
        "made",
        "fitted",
        "rule",
        "years",
        "since",
        "due",
        "days_left",
        "verdict",
        "source",
        "standing",
    ];
    let text = |date: Option<Date>| day(date).unwrap_or_default();
    let row = |due: &Due| {
        let piece = life.pieces.iter().find(|p| p.line == due.line && p.gone.is_none());
        let of = |date: fn(&Piece) -> Option<Date>| text(piece.and_then(date));
        vec![
            visible(&due.line),
            visible(piece.and_then(|p| p.batch.as_deref()).unwrap_or_default()),
            of(|p| p.cure),
            of(|p| p.made),
            of(|p| p.fitted),
            due.rule.name.clone(),
            due.rule.years.map_or(String::new(), |y| y.to_string()),
            text(due.since),
            text(due.due),
            due.days_left.map_or(String::new(), |d| d.to_string()),
            due.verdict.to_string(),
            due.rule.cite.text.to_string(),
            due.rule.cite.standing.to_string(),
        ]
    };
    rows(&head, life.due.iter().map(row))
}
