//! Walking through a circuit: where fluid can come from, and where it can go.

use std::collections::{BTreeSet, VecDeque};

use crate::plan::{Path, Plan, PortRef};
use crate::solve::network::circuit::{Circuit, CircuitLink, LinkKind, Spot, holds_still};

/// Which way a walk goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// With the fluid: where it can go.
    With,
    /// Against it: where it can come from.
    Against,
}

/// The states that components are in.
#[derive(Clone, Copy, Debug)]
pub enum States<'s> {
    /// Whatever opens a path.
    Any,
    /// Some components in one state each, by index; the others in their usual one.
    These {
        /// The components, rising.
        of: &'s [usize],
        /// Their states.
        are: &'s [usize],
    },
}

impl States<'_> {
    /// Every component in its usual state.
    pub const USUAL: Self = Self::These { of: &[], are: &[] };
}

/// What a walk may pass.
#[derive(Clone, Copy, Debug)]
pub struct Rules<'r> {
    /// Which way it goes.
    pub sense: Sense,
    /// The states of the components.
    pub states: States<'r>,
    /// Whether lines lead from A to B only, as drawn; a tube itself lets fluid pass both ways.
    pub lines_as_drawn: bool,
    /// Whether it may pass pumps, their way.
    pub through_pumps: bool,
    /// Whether one-way paths keep fluid from passing their wrong way.
    pub heed_one_way: bool,
}

impl<'r> Rules<'r> {
    /// Where the fluid of a spot comes from.
    pub fn supply(states: States<'r>) -> Self {
        Self {
            sense: Sense::Against,
            states,
            lines_as_drawn: true,
            through_pumps: true,
            heed_one_way: true,
        }
    }

    /// Where the fluid of a spot ends up.
    pub fn course(states: States<'r>) -> Self {
        Self { sense: Sense::With, ..Self::supply(states) }
    }

    /// Where a pressure can push fluid, whatever the lines are drawn for.
    pub fn push(heed_one_way: bool) -> Self {
        Self {
            sense: Sense::With,
            states: States::Any,
            lines_as_drawn: false,
            through_pumps: false,
            heed_one_way,
        }
    }
}

/// A circuit, ready to be walked through.
#[derive(Debug)]
pub struct Walk<'w> {
    /// The plan.
    pub plan: &'w Plan,
    /// The circuit.
    pub circuit: &'w Circuit,
    /// Links at each spot.
    links_at: Vec<Vec<usize>>,
}

/// Where a walk from one spot has been.
#[derive(Debug)]
pub struct Trail {
    /// The link by which each spot was reached and the spot before it; none for what was not reached and
    /// for the beginning.
    by: Vec<Option<(usize, usize)>>,
    start: usize,
}

impl Trail {
    /// Whether a spot was reached.
    pub fn reaches(&self, spot: usize) -> bool {
        spot == self.start || self.by.get(spot).is_some_and(Option::is_some)
    }

    /// Spots and links from a spot back to the beginning, the spot itself first.
    pub fn back_from(&self, spot: usize) -> (Vec<usize>, Vec<usize>) {
        let (mut spots, mut links) = (vec![spot], Vec::new());
        let mut at = spot;
        while let Some((link, before)) = self.by.get(at).copied().flatten() {
            links.push(link);
            spots.push(before);
            at = before;
        }
        (spots, links)
    }
}

impl<'w> Walk<'w> {
    /// Makes a circuit ready.
    pub fn new(plan: &'w Plan, circuit: &'w Circuit) -> Self {
        let mut links_at = vec![Vec::new(); circuit.spots.len()];
        for (index, link) in circuit.links.iter().enumerate() {
            links_at[link.from].push(index);
            links_at[link.to].push(index);
        }
        Self { plan, circuit, links_at }
    }

    /// Walks from a spot, never over the spots that are barred. A tank or a vent ends a way.
    pub fn from(&self, start: usize, rules: &Rules<'_>, barred: &BTreeSet<usize>) -> Trail {
        let mut trail = Trail { by: vec![None; self.circuit.spots.len()], start };
        let mut next = VecDeque::from([start]);
        while let Some(at) = next.pop_front() {
            if at != start && self.is_still(at) {
                continue;
            }
            for index in &self.links_at[at] {
                let link = &self.circuit.links[*index];
                let other = if link.from == at { link.to } else { link.from };
                let fresh = !trail.reaches(other) && !barred.contains(&other);
                if fresh && self.passes(link, at, rules) {
                    trail.by[other] = Some((*index, at));
                    next.push_back(other);
                }
            }
        }
        trail
    }

    fn passes(&self, link: &CircuitLink, at: usize, rules: &Rules<'_>) -> bool {
        let with_link = (link.from == at) == (rules.sense == Sense::With);
        match link.kind {
            LinkKind::Line(_) => with_link || !rules.lines_as_drawn,
            LinkKind::Join | LinkKind::Leg(_) => true,
            LinkKind::Path { component, path } => {
                let inside = self.path(component, path);
                let open = is_open(self.plan, component, path, rules.states);
                let right_way = with_link || !(is_one_way(inside) && rules.heed_one_way);
                let pump = inside.law.is_pump();
                open && right_way && (!pump || (rules.through_pumps && with_link))
            }
        }
    }

    /// A path of a component.
    pub fn path(&self, component: usize, path: usize) -> &'w Path {
        &self.plan.components[component].paths[path]
    }

    /// The tank that a spot is a port of.
    pub fn tank(&self, spot: usize) -> Option<usize> {
        let Spot::Port(port) = self.circuit.spots[spot] else { return None };
        (self.plan.components[port.component].kind == "tank").then_some(port.component)
    }

    /// Tanks that a trail has reached.
    pub fn tanks(&self, trail: &Trail) -> BTreeSet<usize> {
        let reached = (0..self.circuit.spots.len()).filter(|spot| trail.reaches(*spot));
        reached.filter_map(|spot| self.tank(spot)).collect()
    }

    /// All tanks of the circuit.
    pub fn all_tanks(&self) -> BTreeSet<usize> {
        (0..self.circuit.spots.len()).filter_map(|spot| self.tank(spot)).collect()
    }

    fn is_still(&self, spot: usize) -> bool {
        match self.circuit.spots[spot] {
            Spot::Port(port) => holds_still(&self.plan.components[port.component]),
            Spot::Centre(_) => false,
        }
    }

    /// The pump paths: component and path with the spots where they draw and deliver.
    pub fn pumps(&self) -> Vec<Pump> {
        let links = self.circuit.links.iter();
        links
            .filter_map(|link| match link.kind {
                LinkKind::Path { component, path } if self.path(component, path).law.is_pump() => {
                    Some(Pump { component, path, inlet: link.from, outlet: link.to })
                }
                _ => None,
            })
            .collect()
    }

    /// The ports at which something is used up: component and spot.
    pub fn needs(&self) -> Vec<(usize, usize)> {
        let spots = self.circuit.spots.iter().enumerate();
        spots
            .filter_map(|(spot, place)| {
                let Spot::Port(PortRef { component, port }) = *place else { return None };
                let need = self.plan.components[component].need.as_ref()?;
                (need.port == port).then_some((component, spot))
            })
            .collect()
    }
}

/// A pump of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pump {
    /// Its component.
    pub component: usize,
    /// Its path.
    pub path: usize,
    /// The spot where it draws.
    pub inlet: usize,
    /// The spot where it delivers.
    pub outlet: usize,
}

/// Whether a path lets fluid pass one way only.
pub fn is_one_way(path: &Path) -> bool {
    path.one_way || path.opens_at.is_some() || path.holds.is_some()
}

/// Whether a path is open in the states.
pub fn is_open(plan: &Plan, component: usize, path: usize, states: States<'_>) -> bool {
    let all = &plan.components[component].states;
    match states {
        States::Any => all.is_empty() || all.iter().any(|s| !s.shut.contains(&path)),
        States::These { of, are } => {
            let place = of.binary_search(&component).ok();
            let state = place.and_then(|place| are.get(place)).copied().unwrap_or(0);
            all.get(state).is_none_or(|s| !s.shut.contains(&path))
        }
    }
}
