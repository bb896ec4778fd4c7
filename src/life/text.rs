//! Age, due dates and flows, for a person at a terminal.

use std::collections::BTreeSet;

use super::{Life, Recheck, Series};
use crate::diagnostic::visible;
use crate::record::Date;
use crate::report::Layout;
use crate::report::grid::{Grid, wrapped};
use crate::report::units::value;
use crate::signed::{Due, Piece};

/// Days of a year, for ages that are told to a tenth of one.
const YEAR_DAYS: f64 = 365.2425;
/// Nobody is to take a date for an inspection.
const CAUTION: &str = "A date tells nothing of a hose that is cracked, hard, swollen or wet: look at every hose, \
and follow the manual of the engine or the machine before any rule here.";

/// The register of hoses, what is due, joints to look at again, and how flows went.
pub fn text(life: &Life, name: &str, layout: Layout) -> String {
    let hours = life.asked.hours.map_or(String::new(), |h| format!(", {h:.1} h on the meter"));
    let batch = life.asked.batch.as_ref().map_or(String::new(), |b| format!(", batch {b}"));
    let heading = visible(&format!("Hoses of {name} on {}{hours}{batch}", life.asked.at));
    let mut out = wrapped(&heading, layout.width, 0);
    out.push_str(&register(life, layout));
    due(&mut out, life, layout);
    rechecks(&mut out, &life.rechecks, layout);
    for series in &life.flows {
        flow(&mut out, series, layout);
    }
    if !life.not_used.is_empty() {
        out.push_str("\nNot used\n");
    }
    for (entry, why) in &life.not_used {
        out.push_str(&wrapped(&format!("entry {entry}: {why}"), layout.width, 2));
    }
    out.push('\n');
    out.push_str(&wrapped(CAUTION, layout.width, 0));
    out
}

/// Years between two days, to a tenth.
pub(super) fn years(from: Option<Date>, to: Option<Date>) -> Option<f64> {
    #[expect(clippy::cast_precision_loss, reason = "days within 9999 years")]
    let years = to?.days_since(from?) as f64 / YEAR_DAYS;
    Some(years)
}

fn day(date: Option<Date>) -> String {
    date.map_or("-".to_owned(), |d| d.to_string())
}

fn register(life: &Life, layout: Layout) -> String {
    let head = ["line", "batch", "cure", "made", "fitted", "age", "shelf", "service", "hours", ""];
    let mut grid = Grid::new(&head, &[5, 6, 7, 8]);
    for piece in &life.pieces {
        let end = piece.gone.or(Some(life.asked.at));
        let shown = |y: Option<f64>| y.map_or("-".to_owned(), |y| format!("{y:.1} a"));
        let hours = served_hours(piece, life.asked.hours);
        let gone = piece.gone.map_or(String::new(), |d| format!("replaced {d}"));
        grid.rows.push(vec![
            visible(&piece.line),
            visible(piece.batch.as_deref().unwrap_or("-")),
            day(piece.cure),
            day(piece.made),
            day(piece.fitted),
            shown(years(piece.cure, end)),
            shown(years(piece.cure.or(piece.made), piece.fitted.or(end))),
            shown(years(piece.fitted, end)),
            hours.map_or("-".to_owned(), |h| format!("{h:.1}")),
            gone,
        ]);
    }
    grid.to_text(layout.width)
}

/// Hours since it was fitted; of a piece that was replaced nothing is known.
pub(super) fn served_hours(piece: &Piece, now: Option<f64>) -> Option<f64> {
    now.zip(piece.hours).map(|(now, then)| now - then).filter(|_| piece.gone.is_none())
}

fn due(out: &mut String, life: &Life, layout: Layout) {
    out.push_str("\nDue\n");
    if life.due.is_empty() {
        out.push_str(&wrapped(
            "open: no rule that is chosen speaks of these hoses",
            layout.width,
            2,
        ));
        return;
    }
    if life.asked.rules.is_empty() {
        let text = "open: no rule is chosen; here they stand side by side, hose_life in [plan] or --rule NAME chooses";
        out.push_str(&wrapped(text, layout.width, 2));
    }
    let head = ["line", "rule", "years", "from", "due", "days left", "verdict"];
    let mut grid = Grid::new(&head, &[2, 5]);
    for one in &life.due {
        grid.rows.push(due_row(one));
    }
    out.push_str(&grid.to_text(layout.width));
    let mut told = BTreeSet::new();
    for one in life.due.iter().filter(|d| told.insert(d.rule.name.as_str())) {
        let text = format!("{}: {}; {}", one.rule.name, one.rule.text, one.rule.cite);
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn due_row(due: &Due) -> Vec<String> {
    let rule = &due.rule;
    let since = due.since.map_or("not in the record".to_owned(), |d| d.to_string());
    let left = match (due.days_left, due.done) {
        (None, _) => "-".to_owned(),
        (Some(left), None) => left.to_string(),
        (Some(left), Some(_)) => format!("{left} when {}", rule.to),
    };
    vec![
        visible(&due.line),
        rule.name.clone(),
        rule.years.map_or("no limit".to_owned(), |y| format!("{y}")),
        format!("{} {since}", rule.from),
        day(due.due),
        left,
        due.verdict.word().to_owned(),
    ]
}

fn rechecks(out: &mut String, rechecks: &[Recheck], layout: Layout) {
    if rechecks.is_empty() {
        return;
    }
    out.push_str("\nJoints to look at again\n");
    let mut grid =
        Grid::new(&["joint", "rule", "tightened at", "due at", "done", "verdict"], &[2, 3]);
    let hours = |h: Option<f64>| h.map_or("not known".to_owned(), |h| format!("{h:.1} h"));
    for one in rechecks {
        grid.rows.push(vec![
            visible(&one.joint),
            one.again.rule.clone(),
            hours(one.since_hours),
            hours(one.due_hours),
            one.done.map_or("-".to_owned(), |entry| format!("entry {entry}")),
            one.verdict.word().to_owned(),
        ]);
    }
    out.push_str(&grid.to_text(layout.width));
    let mut told = BTreeSet::new();
    for one in rechecks.iter().filter(|r| told.insert(r.again.rule.as_str())) {
        let text = format!("{}: {}; {}", one.again.rule, one.again.text, one.again.cite);
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn flow(out: &mut String, series: &Series, layout: Layout) {
    let shown = |litres: f64| value(litres, "L/min", layout.system);
    let heading = format!("Flow at {}: {}", visible(&series.of), series.verdict);
    out.push('\n');
    out.push_str(&wrapped(&heading, layout.width, 0));
    let list: Vec<String> =
        series.readings.iter().map(|(day, flow)| format!("{day} {}", shown(*flow))).collect();
    out.push_str(&wrapped(&list.join("; "), layout.width, 2));
    if let Some(trend) = &series.trend {
        let error = trend.slope_error.map_or(" (two readings give no error)".to_owned(), |e| {
            let sure = if trend.is_sure() { "more than chance" } else { "no more than chance" };
            format!(" ± {} (one standard error): {sure}", shown(e))
        });
        let text = format!(
            "{} a year{error}; {:.1} % of the first value lost",
            shown(trend.slope),
            100.0 * trend.lost + 0.0
        );
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    let text = match (series.limit, series.falls_to) {
        (None, _) => {
            "no flow test alone bears this name: there is no limit to hold it against".to_owned()
        }
        (Some(limit), Some(day)) => {
            format!("falls to the {} of the flow test about {day}", shown(limit))
        }
        (Some(limit), None) => format!("the flow test wants {}", shown(limit)),
    };
    out.push_str(&wrapped(&text, layout.width, 2));
}
