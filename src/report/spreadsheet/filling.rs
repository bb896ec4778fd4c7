//! Volumes and masses as CSV.

use super::{number, rows};
use crate::assess::Assessment;
use crate::assess::poured::Filling;
use crate::plan::Plan;
use crate::report::mass::words;
use crate::solve::fill::SystemFacts;
use crate::solve::mass::{Known, MassFacts};

/// Every part of the chosen systems with what it holds, then what the whole takes, gains and has room for.
pub fn fill(assessment: &Assessment, filling: &Filling, chosen: &[usize]) -> String {
    let head = ["system", "fluid", "kind", "part", "volume_l", "note"];
    let plan = &assessment.plan;
    let mut all: Vec<Vec<String>> = Vec::new();
    for index in chosen {
        let of = &filling.systems[*index];
        let mut row = |kind: &str, part: &str, volume_m3: Option<f64>, note: String| {
            let volume = number(volume_m3.map(|v| v * 1e3));
            let fluid = plan.fluids[of.fluid].id.clone();
            all.push(vec![of.name.clone(), fluid, kind.into(), part.into(), volume, note]);
        };
        parts(plan, of, &mut row);
        let not_known = of.not_known(plan);
        let note = if not_known.is_empty() {
            String::new()
        } else {
            format!("at least; not known: {}", not_known.join(", "))
        };
        row("charge", "", Some(of.charge_m3()), note);
        row(
            "gain",
            "",
            of.gain_m3.as_ref().ok().copied(),
            of.gain_m3.clone().err().unwrap_or_default(),
        );
        row("room", "", of.room_m3(), String::new());
        if let Some(poured) = filling.poured.iter().find(|p| p.system == *index) {
            row("poured", "", Some(poured.poured_m3), String::new());
            let error = poured.error_m3().map_or(String::new(), |e| format!("± {} L", e * 1e3));
            row("missing", "", Some(poured.missing_m3()), error);
        }
    }
    rows(&head, all.into_iter())
}

/// Takes the kind, the part, its volume in m3 and a note.
type Row<'r> = dyn FnMut(&str, &str, Option<f64>, String) + 'r;

fn parts(plan: &Plan, of: &SystemFacts, row: &mut Row<'_>) {
    let id = |component: usize| plan.components[component].id.as_str();
    for (line, volume) in &of.lines {
        row("line", &plan.lines[*line].id, *volume, String::new());
    }
    for held in &of.components {
        let why = held.volume_m3.clone().err().unwrap_or_default();
        row("component", id(held.component), held.volume_m3.as_ref().ok().copied(), why);
    }
    for tank in &of.tanks {
        row("tank", id(tank.component), tank.volume_m3, String::new());
        row("capacity", id(tank.component), tank.capacity_m3, String::new());
        if let Some(back) = &tank.drain_back {
            let runs = back.runs.as_ref().ok().copied();
            let unknown: Vec<String> = back.not_known.iter().map(|at| at.words(plan)).collect();
            let why = back.runs.clone().err().unwrap_or_else(|| unknown.join("; "));
            row("runs back", id(tank.component), runs, why);
            row("held over the surface", id(tank.component), Some(back.stays_m3), String::new());
        }
    }
}

/// Everything that weighs, and what is missing.
pub fn mass(assessment: &Assessment, facts: &MassFacts) -> String {
    let head = ["part", "system", "dry", "mass_kg", "x_mm", "y_mm", "z_mm", "assumed", "missing"];
    let plan = &assessment.plan;
    let yes = |flag: bool| if flag { "yes" } else { "no" }.to_owned();
    let items = facts.items.iter().map(|i| {
        let [x, y, z] = i.at_mm.map(|mm| mm.to_string());
        let (dry, assumed) = (yes(i.what.is_dry()), yes(i.known != Known::Given));
        let mass = i.mass_kg.to_string();
        vec![words(plan, i.what), i.system.clone(), dry, mass, x, y, z, assumed, String::new()]
    });
    let missing = facts.missing.iter().map(|m| {
        let mut row = vec![words(plan, m.what), m.system.clone(), yes(m.what.is_dry())];
        row.resize(8, String::new());
        row.push(m.why.clone());
        row
    });
    rows(&head, items.chain(missing))
}
