//! What keeps a circuit from being solved, in the builder's words.

use std::collections::BTreeSet;

use super::circuit::{Circuit, LinkKind, Spot, holds_still};
use crate::plan::{Component, Plan};
use crate::solve::hydraulics::LineHydraulics;

/// Everything that is missing in a circuit, whatever the case.
pub fn missing(plan: &Plan, circuit: &Circuit, lines: &[LineHydraulics<'_>]) -> Vec<String> {
    let mut list = Vec::new();
    for line in circuit.lines() {
        if let Err(why) = &lines[line].run {
            list.push(format!("line {}: {why}", plan.lines[line].id));
        }
    }
    let fluids: BTreeSet<usize> = circuit.lines().map(|l| plan.lines[l].fluid).collect();
    if fluids.len() > 1 {
        let names: Vec<&str> = fluids.iter().map(|f| plan.fluids[*f].id.as_str()).collect();
        list.push(format!("its lines carry different fluids: {}", names.join(", ")));
    }
    for index in circuit.components() {
        let used = ports_in_use(circuit, index);
        list.extend(component(&plan.components[index], &used));
    }
    list
}

/// Ports of a component that lines, joins or legs use.
fn ports_in_use(circuit: &Circuit, component: usize) -> Vec<usize> {
    let outside = |spot: usize| {
        circuit.links.iter().any(|l| {
            let touches = l.from == spot || l.to == spot;
            touches && !matches!(l.kind, LinkKind::Path { .. })
        })
    };
    let spots = circuit.spots.iter().enumerate();
    spots
        .filter_map(|(index, spot)| match spot {
            Spot::Port(p) if p.component == component && outside(index) => Some(p.port),
            _ => None,
        })
        .collect()
}

fn component(component: &Component, used: &[usize]) -> Option<String> {
    let id = &component.id;
    if component.kind == "tank" {
        return tank(component);
    }
    if holds_still(component) {
        return None;
    }
    if component.kind == "tee" && component.paths.is_empty() {
        let unknown = used.iter().find(|p| component.ports[**p].end.bore.is_none())?;
        let port = &component.ports[*unknown].name;
        return Some(format!("tee {id}: the bore of {port} is not known"));
    }
    if component.kind == "pump" && !component.paths.iter().any(|p| p.law.is_pump()) {
        return Some(format!("pump {id} has no path with a pump law"));
    }
    if component.paths.is_empty() && used.len() > 1 {
        return Some(format!(
            "what the fluid meets between the ports of {} {id} is not given: add [[component.path]]",
            component.kind
        ));
    }
    let lonely = component.paths.is_empty() && component.need.is_none();
    (lonely && takes(component)).then(|| {
        let port = used.first().map_or("", |p| component.ports[*p].name.as_str());
        format!(
            "{} {id} has only the port {port} in this circuit: say with need what it takes there, \
             or with [[component.path]] where the fluid goes",
            component.kind
        )
    })
}

/// Kinds that cannot be the dead end of a line.
fn takes(component: &Component) -> bool {
    !matches!(component.kind.as_str(), "gauge" | "cylinder" | "other")
}

fn tank(component: &Component) -> Option<String> {
    let id = &component.id;
    let tank = component.tank.as_ref();
    let stated = |known: bool, by_state: &dyn Fn(&crate::plan::State) -> bool| {
        known || (!component.states.is_empty() && component.states.iter().all(by_state))
    };
    let surface = tank.is_some_and(|t| t.surface_mm.is_some());
    if !stated(surface, &|s| s.surface_mm.is_some()) {
        return Some(format!("tank {id}: where the liquid stands is not known: give surface"));
    }
    let pressure = tank.is_some_and(|t| t.pressure.is_some());
    if !stated(pressure, &|s| s.pressure.is_some()) {
        return Some(format!("tank {id}: give pressure, \"0 bar\" where it is vented"));
    }
    None
}
