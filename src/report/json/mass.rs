//! Masses, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::report::caution::{WEIGHING, cautions};
use crate::report::mass::{notes, words};
use crate::solve::mass::{Known, MassFacts, Sum, Total};
use crate::units::System;

/// All masses as data; arms and moments along x, y and z of the plan.
pub fn mass(assessment: &Assessment, facts: &MassFacts) -> Value {
    let plan = &assessment.plan;
    let mut all = vec![WEIGHING];
    all.extend(cautions(plan, &assessment.facts));
    json!({
        "plan": { "name": plan.name, "revision": plan.revision },
        "version": env!("CARGO_PKG_VERSION"),
        "axes": plan.axes.words(),
        "temperatures": plan.fluids.iter().zip(&facts.temperatures_k).map(|(f, k)| json!({
            "fluid": f.id, "temperature_c": k.map(|k| k - 273.15),
        })).collect::<Vec<_>>(),
        "items": facts.items.iter().map(|i| json!({
            "what": words(plan, i.what),
            "system": i.system,
            "fluid": i.fluid.map(|f| plan.fluids[f].id.clone()),
            "dry": i.what.is_dry(),
            "mass_kg": i.mass_kg,
            "centre_mm": i.at_mm,
            "assumed": i.known != Known::Given,
        })).collect::<Vec<_>>(),
        "missing": facts.missing.iter().map(|m| json!({
            "what": words(plan, m.what), "system": m.system, "dry": m.what.is_dry(), "why": m.why,
        })).collect::<Vec<_>>(),
        "totals": facts.totals.iter().map(total).collect::<Vec<_>>(),
        "burned": facts.burned.iter().map(|b| json!({
            "fuel": b.fuel,
            "fuel_kg": b.found.as_ref().ok().map(|(kg, _)| kg),
            "wet": b.found.as_ref().ok().map(|(_, sum)| of(sum)),
            "open": b.found.as_ref().err(),
        })).collect::<Vec<_>>(),
        "returned": facts.returned.iter().map(|r| json!({
            "into": plan.components[r.into].id,
            "from": r.from.iter().map(|f| plan.components[*f].id.clone()).collect::<Vec<_>>(),
            "case": assessment.facts.cases.get(r.case).map(|c| c.name.clone()),
            "time_s": r.time_s,
            "mass_kg": r.moved.as_ref().ok().map(|(kg, _)| kg),
            "shift_mm": r.moved.as_ref().ok().map(|(_, shift)| shift),
            "open": r.moved.as_ref().err(),
        })).collect::<Vec<_>>(),
        "notes": notes(assessment, facts, System::Metric),
        "cautions": all,
    })
}

fn of(sum: &Sum) -> Value {
    json!({ "mass_kg": sum.mass_kg, "centre_mm": sum.centre_mm, "moment_kg_m": sum.moment_kg_m })
}

fn total(total: &Total) -> Value {
    json!({
        "system": total.system,
        "dry": total.dry.as_ref().map(of),
        "fluid": total.fluid.as_ref().map(of),
        "wet": total.wet.as_ref().map(of),
        "dry_at_least": total.at_least[0],
        "fluid_at_least": total.at_least[1],
    })
}
