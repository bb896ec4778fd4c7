//! Why a circuit has no answer, said with the names of the plan.

use super::circuit::{Circuit, LinkKind, Spot};
use crate::hydraulics::network::NetworkError;
use crate::plan::Plan;

/// The name of a spot.
pub fn spot(plan: &Plan, spot: &Spot) -> String {
    match spot {
        Spot::Port(reference) => plan.port_name(reference),
        Spot::Centre(component) => plan.components[*component].id.clone(),
    }
}

/// The name of a link.
pub fn link(plan: &Plan, kind: &LinkKind) -> String {
    match kind {
        LinkKind::Line(line) => format!("line {}", plan.lines[*line].id),
        LinkKind::Path { component, path } => {
            let component = &plan.components[*component];
            format!("path {} of {}", component.paths[*path].name, component.id)
        }
        LinkKind::Join => "a join".to_owned(),
        LinkKind::Leg(port) => spot(plan, &Spot::Port(*port)),
    }
}

/// The reason why the solver has no answer, and what would be right.
pub fn unsolved(plan: &Plan, circuit: &Circuit, error: &NetworkError) -> String {
    let node =
        |index: &usize| circuit.spots.get(*index).map_or_else(String::new, |s| spot(plan, s));
    let path =
        |index: &usize| circuit.links.get(*index).map_or_else(String::new, |l| link(plan, &l.kind));
    let litres = |flow: &f64| flow * 60e3;
    match error {
        NetworkError::NoReference { nodes } => {
            let first = nodes.first().map_or_else(String::new, node);
            format!(
                "nothing holds the pressure of the part with {first}: a closed loop needs an expansion \
                 tank or another tank joined to it"
            )
        }
        NetworkError::DeadEnd { node: at } => {
            format!("{} takes a flow, but no open way leads there in this case", node(at))
        }
        NetworkError::AgainstShut { link } => format!(
            "the pump in {} works against a closed way: open one, or give the pump a relief valve",
            path(link)
        ),
        NetworkError::OutsideCurve { link, flow_m3_s, low, high } => format!(
            "{} would have to pass {:.2} L/min, and its curve runs from {:.2} to {:.2} L/min{}",
            path(link),
            litres(flow_m3_s),
            litres(low),
            litres(high),
            if flow_m3_s < low { ": the fluid runs backwards through it" } else { "" }
        ),
        NetworkError::NotConverged { steps, mass_residual, energy_residual } => format!(
            "no balance was found in {steps} steps: flow is off by {mass_residual:.1e}, pressure by \
             {energy_residual:.1e}"
        ),
        NetworkError::Hydraulics { link, error } => format!("{}: {error}", path(link)),
        NetworkError::OneNode { link, .. } => {
            format!("{} leads back to its own beginning", path(link))
        }
        NetworkError::BadNumber { what, index, .. } => {
            let of_node = what.contains("held pressure") || what.contains("flow taken");
            let place = if of_node { node(index) } else { path(index) };
            format!("{place}: {what} is too large for a number")
        }
        other => other.to_string(),
    }
}
