//! What the `±` of a plan do to its results, as JSON.

use serde_json::{Value, json};

use crate::assess::spread::{Lost, Moved, Spread};

/// Everything that was found.
pub fn whole(spread: &Spread) -> Value {
    let name = |input: usize| spread.inputs.get(input).map(|i| i.what.as_str());
    json!({
        "samples": spread.samples,
        "samples_read": spread.read,
        "distribution": "rectangular, half-width as written behind ±, inputs independent",
        "worst_case": "linear: each input alone at both ends of its ±, changes added up",
        "inputs": spread.inputs.iter().map(|i| json!({
            "what": i.what,
            "written": i.written,
            "line": i.line,
            "dominates": i.dominates,
            "refused_low": i.refused[0],
            "refused_high": i.refused[1],
        })).collect::<Vec<_>>(),
        "measure_next": spread.measure_next.and_then(name),
        "worst_verdict": spread.worst(),
        "results": spread.moved.iter().map(|m| moved(spread, m)).collect::<Vec<_>>(),
        "results_that_do_not_move": spread.still,
        "samples_not_read": spread.unread.iter().map(lost).collect::<Vec<_>>(),
        "runs_not_solved": spread.unsolved.iter().map(lost).collect::<Vec<_>>(),
    })
}

fn lost(lost: &Lost) -> Value {
    let why = Some(lost.why.as_str()).filter(|w| !w.is_empty());
    json!({ "what": lost.what, "example": why, "count": lost.count })
}

fn moved(spread: &Spread, moved: &Moved) -> Value {
    let name = |input: usize| spread.inputs.get(input).map(|i| i.what.as_str());
    let samples = moved.sampled.statistics;
    let percent = |share: Option<f64>| share.map(|s| 100.0 * s);
    json!({
        "code": moved.key.code,
        "where": moved.key.place,
        "case": moved.case,
        "governing": moved.governing,
        "unit": moved.nominal.unit,
        "value": moved.nominal.value,
        "limit": moved.nominal.limit,
        "margin": moved.nominal.margin,
        "verdict": moved.nominal.verdict,
        "worst_verdict": moved.worst,
        "best_verdict": moved.best,
        "verdict_may_change": moved.changes(),
        "worst_case_low": moved.worst_case.map(|w| w[0]),
        "worst_case_high": moved.worst_case.map(|w| w[1]),
        "beyond_worst_case": moved.beyond,
        "mean": samples.map(|s| s.mean),
        "standard_deviation": samples.map(|s| s.deviation),
        "quantile_5": samples.map(|s| s.low),
        "quantile_95": samples.map(|s| s.high),
        "samples_without_number": moved.sampled.without_number,
        "fail_percent": percent(moved.sampled.fail),
        "open_percent": percent(moved.sampled.open),
        "kept_percent": percent(moved.sampled.kept),
        "dominated_by": moved.dominating().and_then(name),
        "shares_percent": moved.shares.iter().map(|(input, share)| json!({
            "what": name(*input), "share": 100.0 * share,
        })).collect::<Vec<_>>(),
        "no_number_at_ends_of": moved.lost_at.iter().map(|i| name(*i)).collect::<Vec<_>>(),
    })
}
