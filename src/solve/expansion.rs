//! How much each liquid gains when it warms, and the room there is for it.

use std::collections::BTreeSet;

use super::fill::is_alone;
use super::network::facts::NetworkFacts;
use super::{CaseFacts, LineFacts, fluid};
use crate::hydraulics::expansion::gain_m3;
use crate::plan::Plan;
use crate::units::{Quantity, Temperature};

/// One liquid of the plan that some tank holds.
#[derive(Clone, Debug)]
pub struct ExpansionFacts {
    /// Index of the fluid.
    pub fluid: usize,
    /// All of it in lines, paths and tanks, m3.
    pub volume_m3: f64,
    /// Parts whose volume is not known, in words.
    pub not_counted: Vec<String>,
    /// Coldest and hottest in any case, and before it, K; none where no temperature is known.
    pub temperatures_k: Option<(f64, f64)>,
    /// What it gains from the coldest to the hottest, m3, or why that is not known.
    pub gain_m3: Result<f64, String>,
    /// Free space in its tanks, m3; none where a capacity or a volume is not given.
    pub room_m3: Option<f64>,
    /// Its tanks with their capacity and the most liquid in any state, m3.
    pub tanks: Vec<(usize, Option<f64>, Option<f64>)>,
}

/// Every liquid that a tank holds.
pub fn solve(
    plan: &Plan,
    cases: &[CaseFacts],
    network: &NetworkFacts,
    lines: &[LineFacts],
) -> Vec<ExpansionFacts> {
    let liquid = |f: &usize| !plan.fluids[*f].fluid.gas;
    let all = (0..plan.fluids.len()).filter(liquid).map(|f| one(plan, cases, network, lines, f));
    all.filter(|e| !e.tanks.is_empty()).collect()
}

fn one(
    plan: &Plan,
    cases: &[CaseFacts],
    network: &NetworkFacts,
    lines: &[LineFacts],
    index: usize,
) -> ExpansionFacts {
    let mut not_counted = Vec::new();
    let mut volume_m3 = 0.0;
    for (line, facts) in plan.lines.iter().zip(lines).filter(|(l, _)| l.fluid == index) {
        match facts.makeup.as_ref().ok().and_then(|m| m.volume_ml) {
            Some(millilitres) => volume_m3 += millilitres * 1e-6,
            None => not_counted.push(format!("line {}", line.id)),
        }
    }
    let own = network.circuits.iter().filter(|c| c.fluid == plan.fluids[index].id);
    let (mut paths, mut components) = (BTreeSet::new(), BTreeSet::new());
    for circuit in own {
        paths.extend(circuit.paths.iter().copied());
        components.extend(circuit.components.iter().copied());
    }
    let id = &plan.fluids[index].id;
    let alone = |component: usize| is_alone(&network.circuits, component, id);
    for component in &components {
        let holds = plan.components[*component].holds.filter(|_| alone(*component));
        volume_m3 += holds.map_or(0.0, Quantity::si);
    }
    for (component, path) in &paths {
        let inside = &plan.components[*component];
        match inside.paths[*path].volume.map(Quantity::si) {
            Some(volume) => volume_m3 += volume,
            None if inside.holds.is_some() && alone(*component) => {}
            None if matches!(inside.kind.as_str(), "radiator" | "exchanger" | "engine") => {
                not_counted.push(format!("{} {}", inside.id, inside.paths[*path].name));
            }
            None => {}
        }
    }
    let mut tanks = Vec::new();
    for component in components.into_iter().filter(|c| plan.components[*c].kind == "tank") {
        let inside = &plan.components[component];
        let tank = inside.tank.as_ref();
        let capacity = tank.and_then(|t| t.capacity).map(Quantity::si);
        let by_state = inside.states.iter().filter_map(|s| s.volume);
        let volume = tank.and_then(|t| t.volume).into_iter().chain(by_state);
        let most = volume.map(Quantity::si).reduce(f64::max);
        tanks.push((component, capacity, most));
        match most {
            Some(most) => volume_m3 += most,
            None => not_counted.push(format!("tank {}", inside.id)),
        }
    }
    let temperatures_k = temperatures(plan, cases, lines, index);
    let gain_m3 = gain(plan, index, volume_m3, temperatures_k);
    let room =
        |(_, capacity, volume): &(usize, Option<f64>, Option<f64>)| Some((*capacity)? - (*volume)?);
    let room_m3 = tanks.iter().map(room).sum::<Option<f64>>();
    ExpansionFacts { fluid: index, volume_m3, not_counted, temperatures_k, gain_m3, room_m3, tanks }
}

/// Coldest and hottest of a fluid: where it starts from, and in every line in every case. A machine that waits for
/// its run is as cold as the air; where no case says so of this fluid, the coldest air does.
fn temperatures(
    plan: &Plan,
    cases: &[CaseFacts],
    lines: &[LineFacts],
    index: usize,
) -> Option<(f64, f64)> {
    let by_case = cases.iter().map(|c| (c.fluids_k[index], c.air_k));
    let by_weather = plan.matrix.iter().flat_map(|m| &m.weather).map(|weather| {
        let start = weather.fluids.iter().find(|(fluid, _)| *fluid == index);
        (start.map(|(_, t)| t.si()), weather.air.map(Quantity::si))
    });
    let starts: Vec<(Option<f64>, Option<f64>)> = by_case.chain(by_weather).collect();
    let waits = |(start, air): &(Option<f64>, Option<f64>)| {
        start.zip(*air).is_some_and(|(start, air)| start <= air)
    };
    let airs = starts.iter().filter_map(|(_, air)| *air);
    let coldest_air = airs.reduce(f64::min).filter(|_| !starts.iter().any(waits));
    let own = plan.lines.iter().zip(lines).filter(|(l, _)| l.fluid == index);
    let in_lines = own.flat_map(|(_, facts)| &facts.duties).map(|d| d.temperature_k);
    let all: Vec<f64> = starts.iter().filter_map(|(start, _)| *start).chain(in_lines).collect();
    let low = all.iter().copied().reduce(f64::min)?;
    let high = all.iter().copied().fold(low, f64::max);
    Some((coldest_air.map_or(low, |air| air.min(low)), high))
}

fn gain(
    plan: &Plan,
    index: usize,
    volume_m3: f64,
    temperatures_k: Option<(f64, f64)>,
) -> Result<f64, String> {
    let (cold, hot) = temperatures_k.ok_or("no temperature of it is given in any case")?;
    if hot <= cold {
        let celsius = hot - 273.15;
        return Err(format!(
            "nothing says what it warms from: every case has it at {celsius:.0} degC"
        ));
    }
    let density = |kelvin: f64| {
        let state = fluid::state(&plan.fluids[index].fluid, Temperature::from_si(kelvin))?;
        Ok::<f64, String>(state.density_kg_m3)
    };
    gain_m3(volume_m3, density(cold)?, density(hot)?).map_err(|e| e.to_string())
}
