//! What is near to what, as JSON.

use serde_json::{Value, json};

use crate::plan::Plan;
use crate::solve::clearance::ClearanceFacts;

/// The nearest line of each keep-out and all that are nearer than wanted, then lines that touch.
pub(super) fn all(plan: &Plan, facts: &ClearanceFacts) -> Vec<Value> {
    let id = |line: usize| plan.lines[line].id.as_str();
    let beside = plan.keep_outs.iter().zip(&facts.keep_outs).flat_map(|(keep_out, own)| {
        own.places.iter().map(move |place| {
            json!({
                "a": id(place.line),
                "b": keep_out.id,
                "distance_mm": place.distance_mm,
                "bowed_mm": place.bowed_mm,
                "allowed_mm": place.least.as_ref().map(|l| l.value),
                "station_mm": place.station_mm,
                "at_mm": place.at_mm,
                "stretches_mm": place.stretches,
            })
        })
    });
    let lines = facts.lines.iter().map(|pair| {
        json!({
            "a": id(pair.lines[0]),
            "b": id(pair.lines[1]),
            "distance_mm": pair.moved_mm.or(pair.drawn_mm),
            "bowed_mm": pair.bowed_mm,
            "allowed_mm": 0.0,
            "station_mm": pair.stations_mm[0],
            "at_mm": pair.at_mm,
            "stretches_mm": [],
        })
    });
    beside.chain(lines).collect()
}
