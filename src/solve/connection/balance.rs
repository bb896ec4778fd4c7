//! What becomes of the contents of each tank: the flows at its ports, summed up over time.

use std::collections::{BTreeMap, BTreeSet};

use crate::hydraulics::tank::{Outlook, outlook};
use crate::plan::{Plan, State};
use crate::solve::CaseFacts;
use crate::solve::network::facts::{Answer, CircuitFacts, NetworkFacts};
use crate::units::Quantity;

/// Below this share of the largest flow of its circuits, what a tank gains is the error of the balance.
const STILL: f64 = 1e-6;

/// A tank in a case.
#[derive(Clone, Debug, PartialEq)]
pub struct TankFacts {
    /// The tank, by component.
    pub tank: usize,
    /// Index of its fluid.
    pub fluid: usize,
    /// Index of the case.
    pub case: usize,
    /// What flows in, m3/s.
    pub inflow_m3_s: f64,
    /// What flows out, m3/s.
    pub outflow_m3_s: f64,
    /// The largest flow of its circuits, m3/s.
    pub largest_m3_s: f64,
    /// What becomes of it, or why that is not known.
    pub outlook: Result<Outlook, String>,
    /// Tanks of the same circuit that lose liquid meanwhile.
    pub feeders: Vec<usize>,
    /// Time in which the last of these has nothing left to draw, s; none if one of them does not say.
    pub feeders_last_s: Option<f64>,
}

/// What becomes of each tank in each case with an answer.
pub fn balances(plan: &Plan, cases: &[CaseFacts], network: &NetworkFacts) -> Vec<TankFacts> {
    let circuits: Vec<BTreeSet<usize>> = network.circuits.iter().map(|c| tanks(plan, c)).collect();
    let each = cases.iter().enumerate();
    each.flat_map(|(index, case)| in_case(plan, (index, case), network, &circuits)).collect()
}

/// Tanks that the lines of a circuit are on, and those that are screwed to its parts.
fn tanks(plan: &Plan, circuit: &CircuitFacts) -> BTreeSet<usize> {
    let lines = circuit.lines.iter().flat_map(|l| [plan.lines[*l].from, plan.lines[*l].to]);
    let joins = circuit.answers.iter().find_map(|(_, answer)| answer.as_ref().ok());
    let joins = joins.into_iter().flat_map(|answer| &answer.joins).flat_map(|j| j.ports);
    let ports = lines.chain(joins);
    ports.map(|p| p.component).filter(|c| plan.components[*c].kind == "tank").collect()
}

/// What passes through the ports of a tank in a case.
#[derive(Clone, Copy, Debug, Default)]
struct Flows {
    inflow_m3_s: f64,
    outflow_m3_s: f64,
    largest_m3_s: f64,
    fluid: usize,
}

fn in_case(
    plan: &Plan,
    (index, case): (usize, &CaseFacts),
    network: &NetworkFacts,
    circuits: &[BTreeSet<usize>],
) -> Vec<TankFacts> {
    let mut facts: Vec<TankFacts> = flows(plan, index, network, circuits)
        .into_iter()
        .map(|(tank, flows)| TankFacts {
            tank,
            fluid: flows.fluid,
            case: index,
            inflow_m3_s: flows.inflow_m3_s,
            outflow_m3_s: flows.outflow_m3_s,
            largest_m3_s: flows.largest_m3_s,
            outlook: of_tank(plan, tank, case, &flows),
            feeders: Vec::new(),
            feeders_last_s: None,
        })
        .collect();
    let losing: Vec<(usize, Option<f64>)> = facts.iter().filter_map(loses).collect();
    for tank in &mut facts {
        let beside = |t: usize| {
            t != tank.tank && circuits.iter().any(|c| c.contains(&t) && c.contains(&tank.tank))
        };
        let feeding: Vec<_> = losing.iter().filter(|(t, _)| beside(*t)).collect();
        tank.feeders = feeding.iter().map(|(t, _)| *t).collect();
        let times = feeding.iter().map(|(_, time)| *time);
        tank.feeders_last_s = times.reduce(|a, b| a.zip(b).map(|(a, b)| a.max(b))).flatten();
    }
    facts
}

/// The flows of every tank of which all circuits have an answer in the case.
fn flows(
    plan: &Plan,
    case: usize,
    network: &NetworkFacts,
    circuits: &[BTreeSet<usize>],
) -> BTreeMap<usize, Flows> {
    let mut flows: BTreeMap<usize, Flows> = BTreeMap::new();
    let mut incomplete: BTreeSet<usize> = BTreeSet::new();
    for (circuit, tanks) in network.circuits.iter().zip(circuits) {
        let answer = circuit.answers.iter().find(|(i, _)| *i == case);
        let Some((_, Ok(answer))) = answer else {
            incomplete.extend(tanks);
            continue;
        };
        let largest = largest_m3_s(answer);
        let lines = answer.lines.iter().map(|flow| {
            let line = &plan.lines[flow.line];
            ([line.from, line.to], flow.flow_m3_s)
        });
        let fluid = circuit.lines.first().map_or(0, |line| plan.lines[*line].fluid);
        for ([from, to], flow) in lines.chain(answer.joins.iter().map(|j| (j.ports, j.flow_m3_s))) {
            for (port, into) in [(from, -flow), (to, flow)] {
                if tanks.contains(&port.component) {
                    let tank = flows.entry(port.component).or_default();
                    tank.inflow_m3_s += into.max(0.0);
                    tank.outflow_m3_s += (-into).max(0.0);
                    tank.largest_m3_s = tank.largest_m3_s.max(largest);
                    tank.fluid = fluid;
                }
            }
        }
    }
    flows.retain(|tank, _| !incomplete.contains(tank));
    flows
}

fn largest_m3_s(answer: &Answer) -> f64 {
    let lines = answer.lines.iter().map(|l| l.flow_m3_s);
    let paths = answer.paths.iter().map(|p| p.flow_m3_s);
    lines.chain(paths).fold(0.0, |most, flow| most.max(flow.abs()))
}

/// A tank that loses liquid, and the time in which it runs empty.
fn loses(facts: &TankFacts) -> Option<(usize, Option<f64>)> {
    match facts.outlook {
        Ok(Outlook::Empties { after_s }) => Some((facts.tank, Some(after_s))),
        Ok(_) => None,
        Err(_) => {
            let lost = facts.outflow_m3_s - facts.inflow_m3_s;
            (lost > STILL * facts.largest_m3_s).then_some((facts.tank, None))
        }
    }
}

fn of_tank(plan: &Plan, tank: usize, case: &CaseFacts, flows: &Flows) -> Result<Outlook, String> {
    let component = &plan.components[tank];
    let gain = flows.inflow_m3_s - flows.outflow_m3_s;
    if gain.abs() <= STILL * flows.largest_m3_s {
        return Ok(Outlook::Stays);
    }
    let holds = component.tank.as_ref();
    let state = case.states.get(tank).and_then(|s| component.states.get(*s));
    let volume = state.and_then(|s: &State| s.volume).or_else(|| holds?.volume);
    let capacity = holds.and_then(|t| t.capacity);
    let (Some(volume), Some(capacity)) = (volume, capacity) else {
        return Err("capacity or volume is not given".into());
    };
    let unusable = holds.and_then(|t| t.unusable).map_or(0.0, Quantity::si);
    let usable = (volume.si() - unusable).max(0.0);
    outlook(usable, capacity.si() - unusable, flows.inflow_m3_s, flows.outflow_m3_s)
        .map_err(|e| e.to_string())
}
