//! The leak test, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::report::caution::{LEAK_TEST, cautions};
use crate::report::deferred;
use crate::report::leak_test::millilitres_min;
use crate::trial::leak::{
    Allowed, Hole, InService, LeakResult, LeakRow, LeakTrial, Loss, Through, VacuumTest,
};
use crate::units::Quantity;

/// The leak test as data.
pub fn leak_test(assessment: &Assessment, trial: &LeakTrial) -> Value {
    let own = cautions(&assessment.plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(LEAK_TEST).chain(own).collect();
    json!({
        "settle_s": trial.settle.as_ref().map(|s| s.value.si()),
        "gas_most_bar": trial.gas_most.value / 1e5,
        "gas_most_source": trial.gas_most.cite.text,
        "gas_most_standing": trial.gas_most.cite.standing,
        "air_most_percent": 100.0 * trial.air_most.value,
        "temperature_degc": trial.temperature.si() - 273.15,
        "lines": trial.rows.iter().map(|r| row(assessment, r)).collect::<Vec<_>>(),
        "measured": trial.results.iter().map(|r| result(assessment, r)).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

fn row(assessment: &Assessment, row: &LeakRow) -> Value {
    let plan = &assessment.plan;
    let pressure = row.pressure.as_ref();
    json!({
        "id": plan.lines[row.line].id,
        "verdict": row.verdict(),
        "left_to_others": row.deferred.iter().map(|d| deferred::data(plan, d)).collect::<Vec<_>>(),
        "volume_ml": row.volume_m3.map(|v| v * 1e6),
        "wait_s": row.wait_s,
        "pressure_bar": pressure.map(|p| p.pressure.value / 1e5).ok(),
        "head_bar": pressure.ok().and_then(|p| p.head_pa).map(|h| h / 1e5),
        "source": pressure.map(|p| p.pressure.cite.text.to_string()).ok(),
        "no_pressure_test": pressure.err(),
        "vacuum": row.vacuum.as_ref().map(|v| vacuum(assessment, v)),
    })
}

fn vacuum(assessment: &Assessment, vacuum: &VacuumTest) -> Value {
    json!({
        "below_air_bar": vacuum.depth_pa / 1e5,
        "case": assessment.facts.cases.get(vacuum.case).map(|c| c.name.as_str()),
        "stands_bar": vacuum.stands.as_ref().map(|s| s.value / 1e5),
        "seen_bar": vacuum.rise_pa.map(|r| r / 1e5),
    })
}

fn result(assessment: &Assessment, result: &LeakResult) -> Value {
    let plan = &assessment.plan;
    let leak = &result.leak;
    json!({
        "lines": result.lines.iter().map(|l| plan.lines[*l].id.as_str()).collect::<Vec<_>>(),
        "volume_ml": result.volume_m3 * 1e6,
        "tight_bar": result.tight_pa / 1e5,
        "leak_pa_m3_s": leak.rate,
        "leak_low_pa_m3_s": leak.low,
        "leak_high_pa_m3_s": leak.high,
        "leak_ml_min": millilitres_min(leak.rate),
        "hole": result.hole.as_ref().map(hole),
        "could_be": result.at_most.as_ref().map(hole),
        "in_service": result.service.iter().map(|s| service(assessment, s)).collect::<Vec<_>>(),
        "lost": result.loss.as_ref().map(loss),
        "over_bar": result.over_pa.map(|p| p / 1e5),
        "wait_at_least_s": result.too_short_s,
        "verdict": result.verdict,
    })
}

fn loss(loss: &Loss) -> Value {
    let (allowed, by) = match &loss.allowed {
        None => (None, None),
        Some(Allowed::Nothing) => (Some(0.0), Some("fuel".to_owned())),
        Some(Allowed::Planned(most) | Allowed::Tabled(most)) => {
            (Some(most.value * 3.6e9), Some(most.cite.to_string()))
        }
    };
    json!({
        "out_ml_h": loss.out_m3_s * 3.6e9,
        "out_most_ml_h": loss.most_m3_s * 3.6e9,
        "drops_h": loss.drops_an_hour(),
        "allowed_ml_h": allowed,
        "allowed_by": by,
    })
}

fn hole(hole: &Hole) -> Value {
    json!({
        "hole_mm": hole.hole_m * 1e3,
        "jet_mm2": hole.jet_m2 * 1e6,
        "passage_m3_pa_s": hole.passage_m3_pa_s,
        "passage_mm": hole.passage_m.map(|p| p * 1e3),
    })
}

fn service(assessment: &Assessment, service: &InService) -> Value {
    let (air, out, share) = match service.through {
        Through::Air(shares) => (Some(shares.map(|s| 100.0 * s)), None, None),
        Through::Liquid(flows, share) => {
            (None, Some(flows.map(|q| q * 3.6e9)), share.map(|s| s.map(|s| 100.0 * s)))
        }
    };
    json!({
        "line": assessment.plan.lines[service.line].id,
        "case": assessment.facts.cases.get(service.case).map(|c| c.name.as_str()),
        "over_air_bar": service.over_air_pa / 1e5,
        "air_percent_hole_passage": air,
        "out_ml_h_hole_passage": out,
        "of_flow_percent_hole_passage": share,
    })
}
