//! Pockets, bleeds, drains and siphons of the joined lines, as JSON.

use serde_json::{Value, json};

use crate::plan::{Plan, PortRef};
use crate::solve::joined::siphon::{Behind, SiphonFacts};
use crate::solve::joined::{JoinedFacts, Place, PocketFacts};

/// A place and its point.
pub(super) fn place(plan: &Plan, place: &Place) -> Value {
    json!({ "at": place.at.words(plan), "at_mm": place.point_mm })
}

fn ids(plan: &Plan, lines: &[usize]) -> Vec<String> {
    lines.iter().map(|l| plan.lines[*l].id.clone()).collect()
}

fn attitude(facts: &JoinedFacts, index: usize) -> Option<&str> {
    facts.attitudes.get(index).map(|a| a.name.as_str())
}

/// Every pocket in every attitude; `relief` is null where nothing empties it.
pub fn pockets(plan: &Plan, facts: &JoinedFacts) -> Vec<Value> {
    facts.pockets.iter().map(|p| pocket(plan, facts, p)).collect()
}

fn pocket(plan: &Plan, facts: &JoinedFacts, p: &PocketFacts) -> Value {
    let reliefs: Vec<Value> = p.reliefs.iter().map(|r| place(plan, r)).collect();
    let unknown: Vec<String> = p.unmeasured.iter().map(|at| at.words(plan)).collect();
    json!({
        "system": facts.parts.get(p.part).map(|part| part.name.as_str()),
        "case": attitude(facts, p.attitude),
        "kind": if p.air { "air" } else { "liquid" },
        "volume_ml": p.volume_m3 * 1e6,
        "volume_without": unknown,
        "at": p.peak.at.words(plan),
        "at_mm": p.peak.point_mm,
        "rise_mm": p.rise_mm,
        "way_out": p.pass.as_ref().map(|pass| place(plan, pass)),
        "lines": ids(plan, &p.lines),
        "components": p.components.iter().map(|c| plan.components[*c].id.as_str()).collect::<Vec<_>>(),
        "relief": if reliefs.is_empty() { Value::Null } else { Value::from(reliefs) },
        "wanted": p.wanted.iter().map(|w| place(plan, w)).collect::<Vec<_>>(),
    })
}

/// The bleeds in the order of filling.
pub fn bleed_order(plan: &Plan, facts: &JoinedFacts) -> Vec<Value> {
    let each = facts.bleed_order.iter().map(|b| {
        json!({
            "system": facts.parts.get(b.part).map(|part| part.name.as_str()),
            "at": b.place.at.words(plan),
            "at_mm": b.place.point_mm,
            "height_mm": b.height_mm,
            "fitted": b.fitted,
        })
    });
    each.collect()
}

/// The drains and what each of them empties.
pub fn drains(plan: &Plan, facts: &JoinedFacts) -> Vec<Value> {
    let each = facts.drains.iter().map(|d| {
        json!({
            "system": facts.parts.get(d.part).map(|part| part.name.as_str()),
            "at": d.place.at.words(plan),
            "at_mm": d.place.point_mm,
            "lines": ids(plan, &d.lines),
            "volume_ml": d.volume_m3 * 1e6,
        })
    });
    each.collect()
}

/// The ways by which liquid can run out or come in.
pub fn siphons(plan: &Plan, facts: &JoinedFacts) -> Vec<Value> {
    facts.siphons.iter().map(|s| siphon(plan, facts, s)).collect()
}

fn siphon(plan: &Plan, facts: &JoinedFacts, s: &SiphonFacts) -> Value {
    let port = |reference: &PortRef| plan.port_name(reference);
    json!({
        "from": port(&s.from),
        "to": port(&s.to),
        "behind": if s.behind == Behind::Tank { "tank" } else { "water" },
        "line": s.line.map(|l| plan.lines[l].id.as_str()),
        "crest": place(plan, &s.crest),
        "crest_over_mm": s.over_mm,
        "end_over_mm": s.end_over_mm,
        "case": attitude(facts, s.attitude),
        "held_by": s.held_by.map(|c| plan.components[c].id.as_str()),
    })
}
