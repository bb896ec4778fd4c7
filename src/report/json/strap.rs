//! Straps as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::report::caution::{SHEET, cautions};
use crate::report::strap::{findings, way};
use crate::solve::strap::{FlatBend, FlatFacts, KBy, KFacts};
use crate::trial::print::Printed;

/// Straps, and what the bars of a printed sheet say.
pub fn strap(assessment: &Assessment, straps: &[usize], printed: &Printed) -> Value {
    let own = cautions(&assessment.plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(SHEET).chain(own).collect();
    json!({
        "printed": {
            "along_mm": printed.measured.along_mm,
            "across_mm": printed.measured.across_mm,
            "allowed_mm": printed.allowed.as_ref().map(|a| a.value),
            "source": printed.allowed.as_ref().map(|a| a.cite.to_string()),
            "refused": printed.refused,
        },
        "straps": straps.iter().map(|strap| one(assessment, *strap)).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

fn one(assessment: &Assessment, strap: usize) -> Value {
    let (plan, facts) = (&assessment.plan.straps[strap], &assessment.facts.straps[strap]);
    let flat = facts.flat.as_ref().ok();
    json!({
        "id": plan.id,
        "name": plan.name,
        "width_mm": plan.width_mm,
        "thickness_mm": plan.thickness_mm,
        "metal": plan.metal,
        "least_bend_mm": facts.least_bend_mm.as_ref().map(|l| l.value).ok(),
        "open": facts.flat.as_ref().err(),
        "flat_mm": flat.map(|f| f.length_mm),
        "straights_mm": flat.map(|f| &f.straights_mm),
        "neutral_layer": neutral(&facts.k),
        "bends": flat.map(bends),
        "holes": flat.map(|f| f.holes.iter().enumerate().map(|(index, hole)| json!({
            "hole": index + 1,
            "from_a_mm": hole.from_a_mm,
            "diameter_mm": hole.diameter_mm,
            "edge_mm": hole.edge_mm,
            "bend_mm": hole.bend_mm,
        })).collect::<Vec<_>>()),
        "order_of_work": flat.map(|f| &f.operations),
        "findings": findings(assessment, strap).collect::<Vec<_>>(),
    })
}

fn neutral(k: &KFacts) -> Value {
    json!({
        "k": k.used,
        "by": match k.by {
            KBy::TestBend => "test bend",
            KBy::Given => "plan",
            KBy::Handbook => "handbook formula",
        },
        "tested_k": k.tested.as_ref().and_then(|t| t.as_ref().ok()),
        "tested_open": k.tested.as_ref().and_then(|t| t.as_ref().err()),
        "believed_from_to": k.believed.as_ref().map(|b| b.value),
        "measure_again": k.measure_again,
        "source": k.cite.to_string(),
    })
}

fn bends(flat: &FlatFacts) -> Vec<Value> {
    flat.bends.iter().enumerate().map(|(index, bend)| one_bend(index, bend)).collect()
}

fn one_bend(index: usize, bend: &FlatBend) -> Value {
    let set = bend.overbend.as_ref().ok();
    json!({
        "bend": index + 1,
        "way": way(bend),
        "from_mm": bend.area.from_mm,
        "to_mm": bend.area.to_mm,
        "allowance_mm": bend.allowance_mm,
        "angle_deg": bend.bend.angle_rad.to_degrees(),
        "inside_mm": bend.bend.inside_mm,
        "set_deg": set.map(|s| s.angle_rad.to_degrees()),
        "edge_mm": set.map(|s| s.inside_mm),
        "sight_mm": bend.sight_mm,
        "set_open": bend.overbend.as_ref().err(),
    })
}
