//! The flow test, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::hydraulics::flow_test::fill_time_s;
use crate::plan::Plan;
use crate::report::caution::{FLOW_TEST, cautions};
use crate::report::flow_test::{hidden, next_test};
use crate::solve::flow_test::{Hiding, Place};
use crate::trial::flow::{FlowTrial, Row, TestResult, test_name};
use crate::units::{Quantity, System};

/// The flow test as data.
pub fn flow_test(assessment: &Assessment, trial: &FlowTrial) -> Value {
    let plan = &assessment.plan;
    let id = |component: usize| plan.components[component].id.as_str();
    let own = cautions(plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(FLOW_TEST).chain(own).collect();
    json!({
        "nose_up_deg": trial.nose_up_rad.to_degrees(),
        "open": trial.open,
        "cans_l": trial.cans.iter().map(|c| c.si() * 1e3).collect::<Vec<_>>(),
        "tests": trial.rows.iter().map(|r| row_data(plan, trial, r)).collect::<Vec<_>>(),
        "not_computed": trial.not_computed.iter().map(|(need, pump, why)| json!({
            "need": id(*need), "pump": pump.map(id), "why": why,
        })).collect::<Vec<_>>(),
        "cut_short": trial.cut_short,
        "cautions": all_cautions,
    })
}

fn row_data(plan: &Plan, trial: &FlowTrial, row: &Row) -> Value {
    let id = |component: usize| plan.components[component].id.as_str();
    let times = |flow: f64| -> Vec<Option<f64>> {
        trial.cans.iter().map(|can| fill_time_s(can.si(), flow).ok()).collect()
    };
    let pressure = plan.components[row.test.need].need.as_ref().map(|n| n.pressure.si() / 1e3);
    json!({
        "name": test_name(plan, &row.test),
        "need": id(row.test.need),
        "pump": row.test.pump.map(id),
        "tanks": row.test.tanks.iter().map(|t| id(*t)).collect::<Vec<_>>(),
        "set": row.test.set.iter().map(|(c, s)| json!({
            "component": id(*c), "state": plan.components[*c].states[*s].name,
        })).collect::<Vec<_>>(),
        "runs_too": row.test.running.iter().map(|p| id(*p)).collect::<Vec<_>>(),
        "uncovered": row.test.uncovered.iter().map(|p| {
            let (tank, port) = plan.port(p);
            format!("{}.{}", tank.id, port.name)
        }).collect::<Vec<_>>(),
        "kept_kpa": if trial.open { Some(0.0) } else { pressure },
        "uses_l_min": row.used_m3_s * 60e3,
        "rule_chosen": row.yardstick_chosen,
        "must_come": row.yardsticks.iter().map(|y| json!({
            "percent": 100.0 * y.value,
            "flow_l_min": y.value * row.used_m3_s * 60e3,
            "seconds": times(y.value * row.used_m3_s),
            "source": y.cite.text,
            "standing": y.cite.standing.to_string(),
        })).collect::<Vec<_>>(),
        "expected_l_min": row.test.predicted_m3_s * 60e3,
        "expected_seconds": times(row.test.predicted_m3_s),
        "measured": row.result.as_ref().map(|r| result_data(plan, r)),
    })
}

fn result_data(plan: &Plan, result: &TestResult) -> Value {
    let explanation = result.explanation.as_ref().and_then(|e| e.as_ref().ok());
    let litres = |flow: f64| flow * 60e3;
    json!({
        "seconds": result.time.si(),
        "flow_l_min": litres(result.flow.flow_m3_s),
        "low_l_min": litres(result.flow.low_m3_s),
        "high_l_min": litres(result.flow.high_m3_s),
        "verdicts": result.verdicts,
        "not_explained": result.explanation.as_ref().and_then(|e| e.as_ref().err()),
        "extra_kpa": explanation.and_then(|e| e.extra).map(|e| e.likely.loss_pa / 1e3),
        "extra_least_kpa": explanation.and_then(|e| e.extra).map(|e| e.least.loss_pa / 1e3),
        "extra_most_kpa": explanation.and_then(|e| e.extra).map(|e| e.most.loss_pa / 1e3),
        "before_pump_kpa": explanation.and_then(|e| e.before_pa).map(|p| p / 1e3),
        "behind_pump_kpa": explanation.and_then(|e| e.behind_pa).map(|p| p / 1e3),
        "displacement_pump": explanation.map(|e| e.displacement),
        "places": explanation.map(|e| e.hiding.iter().map(|h| place_data(plan, h)).collect::<Vec<_>>()),
        "next": explanation.map(|e| next_test(plan, e)),
    })
}

fn place_data(plan: &Plan, hiding: &Hiding) -> Value {
    let (kind, what, bore, blocked, share) = match hiding.place {
        Place::Line(line, bore) => ("line", plan.lines[line].id.clone(), bore, None, None),
        Place::Path(component, path, blocked) => {
            let component = &plan.components[component];
            let name = format!("{} {}", component.id, component.paths[path].name);
            ("path", name, None, blocked, None)
        }
        Place::Vent(tank) => ("vent", plan.components[tank].id.clone(), None, None, None),
        Place::Pump(pump, share) => {
            ("pump", plan.components[pump].id.clone(), None, None, Some(share))
        }
    };
    json!({
        "kind": kind,
        "what": what,
        "extra_kpa": hiding.extra_pa.map(|p| p / 1e3),
        "planned_kpa": hiding.planned_pa.map(|p| p / 1e3),
        "times": hiding.times,
        "bore_mm": bore.map(|b| b * 1e3),
        "blocked_percent": blocked.map(|b| 100.0 * b),
        "flow_percent": share.map(|s| 100.0 * s),
        "message": hidden(plan, hiding, System::Metric),
    })
}
