//! The machine as a network: flows, pressures and temperatures of every circuit in every case.

mod available;
pub mod circuit;
pub mod facts;
mod heat;
mod law;
pub mod machine;
pub mod matrix;
mod missing;
pub mod region;
pub mod settle;
pub mod setup;
mod survey;
pub(in crate::solve) mod tally;
pub mod wiring;
pub mod words;
mod worst;
mod zero;

pub use available::Available;
pub use tally::flow_out;

use std::sync::Arc;

use rayon::prelude::*;

use crate::hydraulics::network::LinkState;
use crate::plan::Plan;
use crate::solve::hydraulics::{Demand, Known, LineHydraulics};
use crate::solve::{CaseFacts, Depth};
use crate::table::Tables;
use crate::units::{Quantity, Temperature};
use circuit::{LinkKind, Spot};
use facts::{
    Answer, CircuitFacts, InletFacts, JoinFlow, LineFlow, NetworkFacts, PathFlow, PathState,
};
use machine::{Group, Machine};
use settle::{CircuitSolution, GroupSolution};
use survey::Survey;

/// Groups whose cases are held at a time.
const GROUPS_AT_A_TIME: usize = 64;

/// What solving the network gives: the facts, the combined cases that govern a line, and what goes
/// through each line in the cases, by index of the case.
pub struct Networked {
    /// The facts.
    pub facts: NetworkFacts,
    /// Combined cases that govern something.
    pub governing: Vec<CaseFacts>,
    /// For each line, what goes through it in the cases where it is solved and, of the combined ones,
    /// in those where it governs.
    pub demands: Vec<Vec<(usize, Demand)>>,
}

/// Solves the network of a plan in the named cases and in all combinations.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    lines: &[LineHydraulics<'_>],
    named: &[CaseFacts],
    depth: Depth,
) -> Networked {
    let machine = Machine::new(plan, tables, lines);
    // Each has a state for each component: they are shared by the groups and by what is found of each.
    let named: Vec<Arc<CaseFacts>> = named.iter().cloned().map(Arc::new).collect();
    let mut networked = Networked {
        facts: NetworkFacts {
            circuits: machine.circuits.iter().map(|c| circuit_facts(plan, c)).collect(),
            ..NetworkFacts::default()
        },
        governing: Vec::new(),
        demands: vec![Vec::new(); plan.lines.len()],
    };
    for groups in machine.groups.chunks(GROUPS_AT_A_TIME) {
        let complete: Vec<&Group> =
            groups.iter().filter(|group| machine.missing(group).is_empty()).collect();
        let surveyed = complete.par_iter().map(|group| {
            let survey = Survey::of(&machine, group, &named);
            let inlets = survey.inlets(&machine, group, depth);
            (survey, inlets)
        });
        let surveys: Vec<(Survey, Vec<InletFacts>)> = surveyed.collect();
        for (group, (survey, inlets)) in complete.into_iter().zip(surveys) {
            note(&machine, (group, &survey), (named.len(), depth), &mut networked);
            networked.facts.inlets.extend(inlets);
        }
    }
    networked
}

fn circuit_facts(plan: &Plan, circuit: &circuit::Circuit) -> CircuitFacts {
    CircuitFacts {
        name: circuit.name.clone(),
        fluid: plan.fluids[circuit.fluid].id.clone(),
        lines: circuit.lines().collect(),
        components: circuit.components().into_iter().collect(),
        paths: circuit.paths().collect(),
        missing: circuit.missing.clone(),
        answers: Vec::new(),
    }
}

/// Notes what the cases of a group gave.
fn note(
    machine: &Machine<'_>,
    (group, survey): (&Group, &Survey),
    (named, depth): (usize, Depth),
    networked: &mut Networked,
) {
    for index in 0..named {
        if let Some(solved) = survey.answer(index) {
            record(machine, group, (index, solved), None, networked);
        }
    }
    for (number, lines) in survey.governing() {
        let index = named + networked.governing.len();
        if let (Some(solved), Some(case)) = (survey.answer(number), survey.case(number)) {
            record(machine, group, (index, solved), Some(&lines), networked);
            networked.governing.push(case.clone());
        }
    }
    survey.report(machine, group, &mut networked.facts, depth);
}

/// Notes what a case gives for a group; of the demands only those of some lines where these are named.
fn record(
    machine: &Machine<'_>,
    group: &Group,
    (index, solved): (usize, &Result<GroupSolution, String>),
    only: Option<&[usize]>,
    networked: &mut Networked,
) {
    for (position, circuit) in group.circuits.iter().enumerate() {
        let answer = solved.as_ref().map(|s| answer(machine, s, position)).map_err(Clone::clone);
        if let Ok(answer) = &answer {
            for line in &answer.lines {
                if only.is_none_or(|lines| lines.contains(&line.line)) {
                    networked.demands[line.line].push((index, demand(line)));
                }
            }
        }
        networked.facts.circuits[*circuit].answers.push((index, answer));
    }
}

/// What an answer makes go through a line.
fn demand(line: &LineFlow) -> Demand {
    Demand {
        flow_m3_s: line.flow_m3_s,
        temperature: Temperature::from_si(line.temperature_k),
        known: line.ends_pa.map_or(Known::Nothing, |ends| Known::FromAtRest(ends[0])),
    }
}

fn answer(machine: &Machine<'_>, group: &GroupSolution, position: usize) -> Answer {
    let solved = &group.circuits[position];
    let solution = &solved.solution;
    let residuals = [solution.mass_residual, solution.energy_residual, group.heat_residual];
    let circuit = &machine.circuits[solved.circuit];
    let components = circuit.components();
    Answer {
        steps: solution.steps,
        rounds: group.rounds,
        residuals,
        lines: line_flows(machine, solved),
        paths: path_flows(machine, solved),
        joins: join_flows(machine, solved),
        positions: group
            .positions
            .iter()
            .filter(|(c, _)| components.contains(c))
            .map(|(c, p)| (*c, *p))
            .collect(),
    }
}

fn line_flows(machine: &Machine<'_>, solved: &CircuitSolution) -> Vec<LineFlow> {
    let circuit = &machine.circuits[solved.circuit];
    let pressure = |spot: usize| solved.solution.pressures_pa[spot];
    let flows = circuit.links.iter().enumerate().filter_map(|(index, link)| {
        let LinkKind::Line(line) = link.kind else { return None };
        Some(LineFlow {
            line,
            flow_m3_s: solved.flow_m3_s(index),
            temperature_k: solved.link_k(index),
            ends_pa: pressure(link.from).zip(pressure(link.to)).map(|(a, b)| [a, b]),
        })
    });
    flows.collect()
}

fn join_flows(machine: &Machine<'_>, solved: &CircuitSolution) -> Vec<JoinFlow> {
    let circuit = &machine.circuits[solved.circuit];
    let port = |spot: usize| match circuit.spots[spot] {
        Spot::Port(port) => Some(port),
        Spot::Centre(_) => None,
    };
    let joins = circuit.links.iter().enumerate().filter(|(_, l)| l.kind == LinkKind::Join);
    let flow = |(index, link): (usize, &circuit::CircuitLink)| {
        let ports = [port(link.from)?, port(link.to)?];
        Some(JoinFlow { ports, flow_m3_s: solved.flow_m3_s(index) })
    };
    joins.filter_map(flow).collect()
}

fn path_flows(machine: &Machine<'_>, solved: &CircuitSolution) -> Vec<PathFlow> {
    let circuit = &machine.circuits[solved.circuit];
    let pressure = |spot: usize| solved.solution.pressures_pa[spot];
    let flows = circuit.links.iter().enumerate().filter_map(|(index, link)| {
        let LinkKind::Path { component, path } = link.kind else { return None };
        Some(PathFlow {
            component,
            path,
            flow_m3_s: solved.flow_m3_s(index),
            drop_pa: solved.solution.drops_pa[index],
            from_pa: pressure(link.from),
            to_pa: pressure(link.to),
            inlet_k: solved.ends_k[index][0],
            outlet_k: solved.ends_k[index][1],
            state: match solved.solution.states[index] {
                LinkState::Open => PathState::Open,
                LinkState::Shut => PathState::Shut,
                LinkState::Regulating => PathState::Holding,
            },
        })
    });
    flows.collect()
}
