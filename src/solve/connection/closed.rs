//! Circuits that no tank and no vent opens, and why their liquid warms.

use std::collections::BTreeSet;

use super::walk::Walk;
use crate::plan::{ExchangerSide, Plan};
use crate::solve::network::circuit::{LinkKind, holds_still};
use crate::units::Quantity;

/// What a circuit is open to and what warms it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CircuitFacts {
    /// Its name.
    pub name: String,
    /// Its lines.
    pub lines: Vec<usize>,
    /// What takes up the liquid when it expands.
    pub room: Room,
    /// Why its liquid warms; none where nothing in the plan warms it.
    pub warms: Option<Warms>,
}

/// What takes up liquid that expands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Room {
    /// Tanks or vents, by component.
    Tanks(BTreeSet<usize>),
    /// It leads on into components of which the plan does not say what is inside, or to what uses it up.
    LeadsOn(BTreeSet<usize>),
    /// None: it is closed.
    None,
}

/// Why the liquid of a circuit warms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Warms {
    /// Heat goes in or out at a component.
    At(usize),
    /// The plan gives it more than one temperature.
    Temperatures,
}

/// What a circuit is open to and what warms it.
pub fn circuit(walk: &Walk<'_>) -> CircuitFacts {
    let circuit = walk.circuit;
    let components = circuit.components();
    let of = |pick: &dyn Fn(usize) -> bool| -> BTreeSet<usize> {
        components.iter().copied().filter(|c| pick(*c)).collect()
    };
    let still = of(&|c| holds_still(&walk.plan.components[c]));
    let leads_on = of(&|c| leads_on(walk, c));
    let room = if !still.is_empty() {
        Room::Tanks(still)
    } else if leads_on.is_empty() {
        Room::None
    } else {
        Room::LeadsOn(leads_on)
    };
    CircuitFacts {
        name: circuit.name.clone(),
        lines: circuit.lines().collect(),
        room,
        warms: warms(walk),
    }
}

/// Whether what lies behind a component's ports is not said, or fluid leaves the circuit there.
fn leads_on(walk: &Walk<'_>, component: usize) -> bool {
    let of = &walk.plan.components[component];
    let dead_end = matches!(of.kind.as_str(), "gauge" | "tee");
    of.need.is_some() || (of.paths.is_empty() && !dead_end)
}

fn warms(walk: &Walk<'_>) -> Option<Warms> {
    let heated = walk.circuit.links.iter().find_map(|link| {
        let LinkKind::Path { component, path } = link.kind else { return None };
        let inside = walk.path(component, path);
        let partner = walk.plan.components[component].paths.iter().any(|p| {
            let other = p.exchanger.as_ref().map(|e| &e.other);
            matches!(other, Some(ExchangerSide::Path(with)) if *with == path)
        });
        let warm = inside.heat.is_some() || inside.exchanger.is_some() || partner;
        (warm || inside.thermostat.is_some()).then_some(component)
    });
    heated.map(Warms::At).or_else(|| {
        let several = temperatures(walk.plan, walk).len() > 1;
        several.then_some(Warms::Temperatures)
    })
}

/// Every temperature that the plan gives the liquid of a circuit, in thousandths of a kelvin.
fn temperatures(plan: &Plan, walk: &Walk<'_>) -> BTreeSet<u64> {
    let fluid = walk.circuit.fluid;
    let duties = walk.circuit.lines().flat_map(|l| &plan.lines[l].duties).map(|d| d.temperature);
    let weather = plan.matrix.iter().flat_map(|m| &m.weather).flat_map(|w| &w.fluids);
    let stated = plan.cases.iter().flat_map(|c| &c.fluids).chain(weather);
    let stated = stated.filter(|(index, _)| *index == fluid).map(|(_, t)| *t);
    duties.chain(stated).map(|t| (t.si() * 1e3).round().to_bits()).collect()
}
