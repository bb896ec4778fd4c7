//! What each system takes when it is filled: lines, components, tanks; what it gains, where air stays, what runs back.

use std::collections::{BTreeMap, BTreeSet};

use super::joined::drain_back::{self, DrainBack};
use super::network::facts::CircuitFacts;
use super::{Facts, LineFacts, fluid, measured};
use crate::hydraulics::expansion::gain_m3;
use crate::plan::{Component, Plan};
use crate::units::{Quantity, Temperature};

/// What one liquid fills: circuits that hang together through lines, components and tanks.
#[derive(Clone, Debug)]
pub struct SystemFacts {
    /// The systems of its lines.
    pub name: String,
    /// Index of its fluid.
    pub fluid: usize,
    /// Its lines with what they hold, m3; none where the plan does not tell.
    pub lines: Vec<(usize, Option<f64>)>,
    /// Its components with what they hold of it.
    pub components: Vec<Held>,
    /// Its tanks.
    pub tanks: Vec<TankFill>,
    /// Coldest and hottest in any case, K.
    pub temperatures_k: Option<(f64, f64)>,
    /// What all that is known of it gains from the coldest to the hottest, m3, or why that is not known.
    pub gain_m3: Result<f64, String>,
    /// The tank with the highest port, by component: where it is filled.
    pub fill_at: Option<usize>,
    /// Places where air stays with the machine level, the largest first: indices of the joined pockets.
    pub pockets: Vec<usize>,
    /// Its bleeds from the lowest to the highest: indices of the order of bleeding.
    pub bleeds: Vec<usize>,
}

/// A component that liquid fills.
#[derive(Clone, Debug)]
pub struct Held {
    /// The component.
    pub component: usize,
    /// What it holds, m3, or why that is not known.
    pub volume_m3: Result<f64, String>,
}

/// A tank of a system.
#[derive(Clone, Debug)]
pub struct TankFill {
    /// The tank, by component.
    pub component: usize,
    /// Liquid in it as the plan gives it, m3.
    pub volume_m3: Option<f64>,
    /// Liquid in it in those of its states that say so, m3.
    pub states: Vec<(String, f64)>,
    /// Volume when brim full, m3.
    pub capacity_m3: Option<f64>,
    /// What runs back into it; none where nothing is known of how it is joined.
    pub drain_back: Option<DrainBack>,
}

impl TankFill {
    /// Free space over its liquid, m3.
    pub fn room_m3(&self) -> Option<f64> {
        Some(self.capacity_m3? - self.volume_m3?)
    }

    /// What runs back and finds no room, m3; 0 where all of it does.
    pub fn spilled_m3(&self) -> Option<f64> {
        let runs_m3 = self.drain_back.as_ref()?.runs.as_ref().ok()?;
        Some((runs_m3 - self.room_m3()?).max(0.0))
    }
}

impl SystemFacts {
    /// All that is known to go into it, m3: lines, components, and tanks filled to their volume.
    pub fn charge_m3(&self) -> f64 {
        let lines = self.lines.iter().filter_map(|(_, volume)| *volume);
        let components = self.components.iter().filter_map(|h| h.volume_m3.as_ref().ok().copied());
        lines.chain(components).chain(self.tanks.iter().filter_map(|t| t.volume_m3)).sum()
    }

    /// What its lines hold, m3.
    pub fn lines_m3(&self) -> f64 {
        self.lines.iter().filter_map(|(_, volume)| *volume).sum()
    }

    /// Its parts whose volume is not known: without them the charge is the least there can be.
    pub fn not_known(&self, plan: &Plan) -> Vec<String> {
        let id = |component: usize| plan.components[component].id.as_str();
        let lines = self.lines.iter().filter(|(_, volume)| volume.is_none());
        let lines = lines.map(|(line, _)| format!("line {}", plan.lines[*line].id));
        let components = self.components.iter().filter(|h| h.volume_m3.is_err());
        let components = components.map(|h| id(h.component).to_owned());
        let tanks = self.tanks.iter().filter(|t| t.volume_m3.is_none());
        lines.chain(components).chain(tanks.map(|t| format!("tank {}", id(t.component)))).collect()
    }

    /// What it gains and finds no room, m3; 0 where all of it does.
    pub fn overflow_m3(&self) -> Option<f64> {
        Some((self.gain_m3.as_ref().ok()? - self.room_m3()?).max(0.0))
    }

    /// Free space in all its tanks, m3; none where one of them does not say, or there is none.
    pub fn room_m3(&self) -> Option<f64> {
        if self.tanks.is_empty() { None } else { self.tanks.iter().map(TankFill::room_m3).sum() }
    }
}

/// What a component holds of the liquid of these of its paths, m3.
///
/// # Errors
/// In words: what is not given.
pub fn held_m3(component: &Component, paths: &[usize], alone: bool) -> Result<f64, String> {
    if let Some(holds) = component.holds {
        let which = "holds does not say which of its liquids: give volume to its paths";
        return if alone { Ok(holds.si()) } else { Err(which.into()) };
    }
    let volume = |p: &usize| component.paths[*p].volume.map(Quantity::si);
    let all: Option<f64> = paths.iter().map(volume).sum();
    let none = "what it holds is not given: holds, or volume of its paths";
    all.filter(|_| !paths.is_empty()).ok_or_else(|| none.into())
}

/// Whether all liquid in a component is of one fluid.
pub fn is_alone(circuits: &[CircuitFacts], component: usize, fluid: &str) -> bool {
    !circuits.iter().any(|c| c.fluid != fluid && c.components.contains(&component))
}

/// What each system of a plan takes.
pub fn solve(plan: &Plan, facts: &Facts) -> Vec<SystemFacts> {
    let built = measured::as_built(plan);
    let plan = &*built.plan;
    let drained = drain_back::solve(plan, &facts.lines);
    let groups = grouped(plan, &facts.network.circuits);
    let mut all: Vec<SystemFacts> =
        groups.iter().map(|group| system(plan, facts, &drained, group)).collect();
    all.sort_by_key(|s| s.lines.first().map(|(line, _)| *line));
    all
}

/// Circuits of one fluid that share a tank are one.
fn grouped<'c>(plan: &Plan, circuits: &'c [CircuitFacts]) -> Vec<Vec<&'c CircuitFacts>> {
    let tanks = |c: &CircuitFacts| -> BTreeSet<usize> {
        let all = c.components.iter().copied();
        all.filter(|component| plan.components[*component].kind == "tank").collect()
    };
    let mut groups: Vec<Vec<&CircuitFacts>> = Vec::new();
    for circuit in circuits {
        let own = tanks(circuit);
        let meets = |group: &Vec<&CircuitFacts>| {
            group.iter().any(|c| c.fluid == circuit.fluid && !tanks(c).is_disjoint(&own))
        };
        let (joined, apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(meets);
        groups = apart;
        groups.push(joined.into_iter().flatten().chain([circuit]).collect());
    }
    groups
}

fn system(
    plan: &Plan,
    facts: &Facts,
    drained: &[DrainBack],
    group: &[&CircuitFacts],
) -> SystemFacts {
    let id = group.first().map_or("", |c| c.fluid.as_str());
    let fluid = plan.fluids.iter().position(|f| f.id == id).unwrap_or(0);
    let own: BTreeSet<usize> = group.iter().flat_map(|c| c.lines.iter().copied()).collect();
    let mut tanks = Vec::new();
    let mut components = Vec::new();
    for (component, paths) in touched(group) {
        match plan.components[component].kind.as_str() {
            "tank" => tanks.push(tank(plan, component, drained)),
            // A mouth is the end of its line and holds nothing of its own.
            "vent" => {}
            _ => {
                let alone = is_alone(&facts.network.circuits, component, id);
                let volume_m3 = held_m3(&plan.components[component], &paths, alone);
                components.push(Held { component, volume_m3 });
            }
        }
    }
    let mut found = SystemFacts {
        name: name(plan, &own),
        fluid,
        lines: own.iter().map(|line| (*line, line_m3(&facts.lines[*line]))).collect(),
        components,
        temperatures_k: temperatures(facts, fluid),
        gain_m3: Err(String::new()),
        fill_at: fill_at(plan, &tanks),
        tanks,
        pockets: pockets(facts, &own),
        bleeds: bleeds(facts, &own),
    };
    found.gain_m3 = gain(plan, &found);
    found
}

/// Every component that a group touches, with its paths in it.
fn touched(group: &[&CircuitFacts]) -> BTreeMap<usize, Vec<usize>> {
    let mut all: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for circuit in group {
        for component in &circuit.components {
            all.entry(*component).or_default();
        }
        for (component, path) in &circuit.paths {
            all.entry(*component).or_default().push(*path);
        }
    }
    all
}

fn name(plan: &Plan, lines: &BTreeSet<usize>) -> String {
    let mut names: Vec<&str> = Vec::new();
    for line in lines {
        let system = plan.lines[*line].system.as_str();
        if !names.contains(&system) {
            names.push(system);
        }
    }
    names.join(", ")
}

/// What a line holds, m3.
pub fn line_m3(line: &LineFacts) -> Option<f64> {
    line.makeup.as_ref().ok().and_then(|m| m.volume_ml).map(|ml| ml * 1e-6)
}

fn tank(plan: &Plan, component: usize, drained: &[DrainBack]) -> TankFill {
    let of = &plan.components[component];
    let own = of.tank.as_ref();
    let states = of.states.iter();
    TankFill {
        component,
        volume_m3: own.and_then(|t| t.volume).map(Quantity::si),
        states: states.filter_map(|s| Some((s.name.clone(), s.volume?.si()))).collect(),
        capacity_m3: own.and_then(|t| t.capacity).map(Quantity::si),
        drain_back: drained.iter().find(|d| d.tank == component).cloned(),
    }
}

fn fill_at(plan: &Plan, tanks: &[TankFill]) -> Option<usize> {
    let up = plan.axes.up;
    let height = |component: usize| {
        let ports = plan.components[component].ports.iter();
        let heights = ports.map(|p| up.iter().zip(p.at_mm).map(|(u, at)| u * at).sum::<f64>());
        heights.fold(f64::NEG_INFINITY, f64::max)
    };
    let all = tanks.iter().map(|t| t.component);
    all.max_by(|a, b| height(*a).total_cmp(&height(*b)).then(b.cmp(a)))
}

fn temperatures(facts: &Facts, fluid: usize) -> Option<(f64, f64)> {
    facts.expansion.iter().find(|e| e.fluid == fluid)?.temperatures_k
}

fn gain(plan: &Plan, system: &SystemFacts) -> Result<f64, String> {
    let (cold, hot) = system.temperatures_k.ok_or("no temperature of it is given in any case")?;
    let of = &plan.fluids[system.fluid].fluid;
    let density = |kelvin: f64| {
        Ok::<f64, String>(fluid::liquid(of, Temperature::from_si(kelvin))?.density_kg_m3)
    };
    gain_m3(system.charge_m3(), density(cold)?, density(hot)?).map_err(|e| e.to_string())
}

/// Whether the joined part is one of these lines.
fn is_own(facts: &Facts, part: usize, lines: &BTreeSet<usize>) -> bool {
    facts.joined.parts[part].lines.iter().any(|line| lines.contains(line))
}

fn pockets(facts: &Facts, lines: &BTreeSet<usize>) -> Vec<usize> {
    let all = facts.joined.pockets.iter().enumerate();
    let own = all.filter(|(_, p)| {
        p.air && facts.joined.attitudes[p.attitude].is_level() && is_own(facts, p.part, lines)
    });
    let mut found: Vec<(usize, f64)> = own.map(|(index, p)| (index, p.volume_m3)).collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.into_iter().map(|(index, _)| index).collect()
}

fn bleeds(facts: &Facts, lines: &BTreeSet<usize>) -> Vec<usize> {
    let all = facts.joined.bleed_order.iter().enumerate();
    let own = all.filter(|(_, b)| is_own(facts, b.part, lines));
    let mut found: Vec<(usize, f64)> = own.map(|(index, b)| (index, b.height_mm)).collect();
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    found.into_iter().map(|(index, _)| index).collect()
}
