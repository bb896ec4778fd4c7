//! The machine as a network, as JSON.

use serde_json::{Value, json};

use crate::plan::Plan;
use crate::solve::network::facts::{Answer, InletFacts, NetworkFacts, PathFlow, Worst};

/// What a circuit does in a case.
pub fn answer(plan: &Plan, case: &str, answer: &Result<Answer, String>) -> Value {
    let solved = answer.as_ref().ok();
    let list = |values: Option<Vec<Value>>| values.unwrap_or_default();
    json!({
        "case": case,
        "not_solved": answer.as_ref().err(),
        "steps": solved.map(|a| a.steps),
        "rounds": solved.map(|a| a.rounds),
        "mass_residual": solved.map(|a| a.residuals[0]),
        "energy_residual": solved.map(|a| a.residuals[1]),
        "heat_residual": solved.map(|a| a.residuals[2]),
        "lines": list(solved.map(|a| a.lines.iter().map(|l| json!({
            "id": plan.lines[l.line].id,
            "flow_l_min": l.flow_m3_s * 60e3,
            "temperature_c": l.temperature_k - 273.15,
            "rest_a_kpa_abs": l.ends_pa.map(|e| e[0] / 1e3),
            "rest_b_kpa_abs": l.ends_pa.map(|e| e[1] / 1e3),
        })).collect())),
        "paths": list(solved.map(|a| a.paths.iter().map(|p| path(plan, p)).collect())),
        "thermostats": list(solved.map(|a| a.positions.iter().map(|(component, position)| json!({
            "component": plan.components[*component].id, "warm_percent": 100.0 * position,
        })).collect())),
    })
}

fn path(plan: &Plan, path: &PathFlow) -> Value {
    let component = &plan.components[path.component];
    json!({
        "component": component.id,
        "path": component.paths[path.path].name,
        "flow_l_min": path.flow_m3_s * 60e3,
        "drop_kpa": path.drop_pa.map(|p| p / 1e3),
        "from_kpa_abs": path.from_pa.map(|p| p / 1e3),
        "to_kpa_abs": path.to_pa.map(|p| p / 1e3),
        "inlet_c": path.inlet_k - 273.15,
        "outlet_c": path.outlet_k - 273.15,
        "state": path.state.word(),
    })
}

/// A worst number with its case; `factor` turns it into the unit of the key.
fn worst(worst: Option<&Worst>, factor: f64) -> Value {
    worst.map_or(Value::Null, |w| json!({ "value": w.value * factor, "case": w.case.name }))
}

/// What all cases together gave.
pub fn whole(plan: &Plan, facts: &NetworkFacts) -> Value {
    let id = |component: usize| plan.components[component].id.as_str();
    let path = |component: usize, path: usize| plan.components[component].paths[path].name.as_str();
    json!({
        "circuits": facts.circuits.iter().map(|c| json!({
            "name": c.name,
            "fluid": c.fluid,
            "lines": c.lines.iter().map(|l| plan.lines[*l].id.as_str()).collect::<Vec<_>>(),
            "missing": c.missing,
        })).collect::<Vec<_>>(),
        "combined": facts.combined.iter().map(|g| json!({
            "circuits": g.name,
            "combinations": g.there_are,
            "not_allowed": g.not_allowed,
            "solved": g.solved,
            "residual": g.residual,
            "not_solved": g.refused.iter().map(|r| json!({
                "why": r.why, "count": r.count, "example": r.example,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "pump_inlets": facts.inlets.iter().map(|i| inlet(plan, i)).collect::<Vec<_>>(),
        "least_flows": facts.least_flows.iter().map(|f| json!({
            "component": id(f.component),
            "path": path(f.component, f.path),
            "wanted_l_min": f.wanted_m3_s * 60e3,
            "least_l_min": worst(f.least.as_ref(), 60e3),
            "most_l_min": worst(f.most.as_ref(), 60e3),
            "cases": f.cases.iter().map(|c| json!({
                "case": c.flow.case.name,
                "flow_l_min": c.flow.value * 60e3,
                "resistance_share": c.resistance_share,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "needs": facts.needs.iter().map(|n| json!({
            "component": id(n.component),
            "wanted_l_min": n.wanted_m3_s * 60e3,
            "available_l_min": worst(n.available.as_ref(), 60e3),
            "pressure_margin_kpa": worst(n.pressure_margin.as_ref(), 1e-3),
        })).collect::<Vec<_>>(),
        "uncovered": facts.uncovered.iter().map(|u| json!({
            "port": format!("{}.{}", id(u.port.component), plan.port(&u.port).1.name),
            "depth_mm": worst(Some(&u.worst), 1e3),
        })).collect::<Vec<_>>(),
    })
}

/// The inlet of a pump.
fn inlet(plan: &Plan, i: &InletFacts) -> Value {
    let id = |component: usize| plan.components[component].id.as_str();
    let path = |component: usize, path: usize| plan.components[component].paths[path].name.as_str();
    json!({
        "component": id(i.component),
        "path": path(i.component, i.path),
        "least_margin_kpa": worst(i.margin.as_ref(), 1e-3),
        "least_kpa_abs": worst(i.pressure.as_ref(), 1e-3),
        "margin_zero_altitude_m": i.zero_altitude_m,
        "margin_zero_temperature_c": i.zero_temperature_k.map(|k| k - 273.15),
        "boils_in_open_tank_kpa": i.boils_in_tank_pa.map(|p| p / 1e3),
        "taken_on_the_way": i.taken.iter().map(|t| json!({
            "what": t.what, "lost_kpa": t.lost_pa / 1e3, "lift_kpa": t.lift_pa / 1e3,
        })).collect::<Vec<_>>(),
        "margin_with_stopped_kpa": i.with_stopped.iter().map(|(component, state, margin)| json!({
            "component": id(*component),
            "state": plan.components[*component].states[*state].name,
            "margin_kpa": margin / 1e3,
        })).collect::<Vec<_>>(),
    })
}
