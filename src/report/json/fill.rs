//! What systems take, as JSON.

use serde_json::{Value, json};

use super::joined::place;
use crate::assess::Assessment;
use crate::assess::poured::{Filling, Outcome, Poured};
use crate::plan::Plan;
use crate::report::caution::{FILLING, cautions};
use crate::report::fill::{ASSUMED, notes, said, sequence};
use crate::solve::fill::{SystemFacts, TankFill};
use crate::units::System;

/// The chosen systems as data.
pub fn fill(assessment: &Assessment, filling: &Filling, chosen: &[usize]) -> Value {
    let plan = &assessment.plan;
    let mut all = vec![FILLING];
    all.extend(cautions(plan, &assessment.facts));
    json!({
        "plan": { "name": plan.name, "revision": plan.revision },
        "version": env!("CARGO_PKG_VERSION"),
        "systems": chosen.iter().map(|i| system(assessment, filling, *i)).collect::<Vec<_>>(),
        "assumed": ASSUMED,
        "cautions": all,
    })
}

fn litres(m3: Option<f64>) -> Option<f64> {
    m3.map(|v| v * 1e3)
}

fn system(assessment: &Assessment, filling: &Filling, index: usize) -> Value {
    let plan = &assessment.plan;
    let of = &filling.systems[index];
    let not_known = of.not_known(plan);
    let joined = &assessment.facts.joined;
    let poured = filling.poured.iter().find(|p| p.system == index);
    json!({
        "name": of.name,
        "fluid": plan.fluids[of.fluid].id,
        "lines": of.lines.iter().map(|(line, v)| json!({
            "id": plan.lines[*line].id, "volume_l": litres(*v),
        })).collect::<Vec<_>>(),
        "components": of.components.iter().map(|h| json!({
            "id": plan.components[h.component].id,
            "volume_l": litres(h.volume_m3.as_ref().ok().copied()),
            "open": h.volume_m3.as_ref().err(),
        })).collect::<Vec<_>>(),
        "tanks": of.tanks.iter().map(|t| tank(plan, t)).collect::<Vec<_>>(),
        "charge_l": of.charge_m3() * 1e3,
        "at_least": !not_known.is_empty(),
        "not_known": not_known,
        "coldest_c": of.temperatures_k.map(|t| t.0 - 273.15),
        "hottest_c": of.temperatures_k.map(|t| t.1 - 273.15),
        "gain_l": litres(of.gain_m3.as_ref().ok().copied()),
        "gain_open": of.gain_m3.as_ref().err(),
        "room_l": litres(of.room_m3()),
        "overflow_l": litres(of.overflow_m3()),
        "fill_at": of.fill_at.map(|t| plan.components[t].id.clone()),
        "bleeds": of.bleeds.iter().map(|b| &joined.bleed_order[*b]).map(|b| json!({
            "where": place(plan, &b.place), "height_mm": b.height_mm, "fitted": b.fitted,
        })).collect::<Vec<_>>(),
        "pockets": of.pockets.iter().map(|p| &joined.pockets[*p]).map(|p| json!({
            "where": place(plan, &p.peak),
            "volume_l": p.volume_m3 * 1e3,
            "at_least": !p.unmeasured.is_empty(),
            "bleeds": p.reliefs.iter().map(|r| place(plan, r)).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "poured": poured.map(|p| judged(assessment, of, p)),
        "notes": notes(plan, of, System::Metric),
        "sequence": sequence(assessment, of, System::Metric),
    })
}

fn tank(plan: &Plan, of: &TankFill) -> Value {
    let back = of.drain_back.as_ref();
    let ids =
        |lines: &Vec<usize>| lines.iter().map(|l| plan.lines[*l].id.clone()).collect::<Vec<_>>();
    json!({
        "id": plan.components[of.component].id,
        "volume_l": litres(of.volume_m3),
        "states": of.states.iter().map(|(name, v)| json!({
            "name": name, "volume_l": v * 1e3,
        })).collect::<Vec<_>>(),
        "capacity_l": litres(of.capacity_m3),
        "room_l": litres(of.room_m3()),
        "drain_back": back.map(|b| json!({
            "runs_l": litres(b.runs.as_ref().ok().copied()),
            "open": b.runs.as_ref().err(),
            "stays_l": b.stays_m3 * 1e3,
            "lines": ids(&b.lines),
            "not_known": b.not_known.iter().map(|a| a.words(plan)).collect::<Vec<_>>(),
            "spilled_l": litres(of.spilled_m3()),
        })),
    })
}

fn judged(assessment: &Assessment, of: &SystemFacts, poured: &Poured) -> Value {
    let outcome = match poured.outcome {
        Outcome::Air => "air",
        Outcome::Within => "within the errors",
        Outcome::More => "more than predicted",
    };
    json!({
        "poured_l": poured.poured_m3 * 1e3,
        "predicted_l": poured.predicted_m3 * 1e3,
        "at_least": poured.at_least,
        "missing_l": poured.missing_m3() * 1e3,
        "error_l": litres(poured.error_m3()),
        "poured_error_l": litres(poured.poured_error_m3),
        "predicted_error_l": litres(poured.predicted_error_m3),
        "outcome": outcome,
        "notes": said(assessment, of, poured, System::Metric),
    })
}
