//! A comparison for programs and spreadsheets.

use serde_json::{Value, json};

use super::Comparison;
use super::figures::Figure;
use super::judged::Judged;
use crate::report::spreadsheet::rows;

/// All of it as JSON.
pub fn json(found: &Comparison<'_>) -> Value {
    let [old, new] = &found.titles;
    let counts = |side: usize| {
        let [fail, caution, open, ok] = found.counts[side];
        json!({ "fail": fail, "caution": caution, "open": open, "ok": ok })
    };
    let renames = &found.renames;
    json!({
        "old": { "title": old, "counts": counts(0) },
        "new": { "title": new, "counts": counts(1) },
        "verdict": found.worst,
        "renamed": {
            "components": renames.components, "lines": renames.lines, "cases": renames.cases,
        },
        "plan": found.plan.changes.iter().map(|c| json!({
            "kind": c.kind.word(), "of": c.of, "what": c.what, "old": c.old, "new": c.new,
            "moved_mm": c.moved_mm, "says": c.says(),
        })).collect::<Vec<_>>(),
        "findings": found.findings.changes.iter().map(judged).collect::<Vec<_>>(),
        "figures": found.lengths.changes.iter().chain(&found.flows.changes).map(|f| json!({
            "line": f.of, "case": f.case, "what": f.what, "unit": f.unit, "old": f.old, "new": f.new,
        })).collect::<Vec<_>>(),
        "order": found.order.changes.iter().map(|o| json!({
            "kind": o.kind, "what": o.what, "unit": o.unit, "old": o.old, "new": o.new,
        })).collect::<Vec<_>>(),
        "cards": found.cards.changes.iter().map(|c| json!({
            "line": c.line, "old": c.old, "new": c.new, "gone": c.gone, "come": c.come,
        })).collect::<Vec<_>>(),
        "same": {
            "plan": found.plan.same, "findings": found.findings.same, "lengths": found.lengths.same, "flows": found.flows.same,
            "order": found.order.same, "cards": found.cards.same,
        },
    })
}

fn judged(judged: &Judged<'_>) -> Value {
    json!({ "became": judged.became.word(), "old": judged.old, "new": judged.new })
}

/// One row for each change.
pub fn csv(found: &Comparison<'_>) -> String {
    let head = [
        "part",
        "of",
        "case",
        "what",
        "became",
        "old",
        "new",
        "unit",
        "verdict_old",
        "verdict_new",
    ];
    let mut all: Vec<Vec<String>> = found.findings.changes.iter().map(finding_row).collect();
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    all.extend(found.plan.changes.iter().map(|c| {
        let place = c.moved_mm.map(|_| c.says());
        let new = c.new.clone().or(place);
        row(["plan", &c.of, "", &c.what, c.kind.word(), &text(&c.old), &text(&new)])
    }));
    all.extend(found.lengths.changes.iter().chain(&found.flows.changes).map(figure_row));
    all.extend(found.order.changes.iter().map(|o| {
        let mut cells =
            row(["order", &o.what, "", "count", "", &o.old.to_string(), &o.new.to_string()]);
        o.unit.clone_into(&mut cells[7]);
        cells
    }));
    all.extend(
        found.cards.changes.iter().map(|c| row(["card", &c.line, "", "code", "", &c.old, &c.new])),
    );
    rows(&head, all.into_iter())
}

/// The first cells of a row; unit and verdicts are left open.
fn row(cells: [&str; 7]) -> Vec<String> {
    let open = [""; 3];
    cells.iter().chain(&open).map(|c| (*c).to_owned()).collect()
}

fn number(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

fn finding_row(judged: &Judged<'_>) -> Vec<String> {
    let told = judged.told();
    let verdict =
        |f: Option<&crate::finding::Finding>| f.map_or("", |f| f.verdict.word()).to_owned();
    vec![
        "finding".to_owned(),
        told.map_or(String::new(), |f| f.place.clone()),
        told.and_then(|f| f.case.clone()).unwrap_or_default(),
        told.map_or(String::new(), |f| f.code.to_owned()),
        judged.became.word().to_owned(),
        number(judged.old.and_then(|f| f.value)),
        number(judged.new.and_then(|f| f.value)),
        told.map_or(String::new(), |f| f.unit.to_owned()),
        verdict(judged.old),
        verdict(judged.new),
    ]
}

fn figure_row(figure: &Figure) -> Vec<String> {
    let mut cells = row([
        "figure",
        &figure.of,
        figure.case.as_deref().unwrap_or_default(),
        figure.what,
        "",
        &number(figure.old),
        &number(figure.new),
    ]);
    figure.unit.clone_into(&mut cells[7]);
    cells
}
