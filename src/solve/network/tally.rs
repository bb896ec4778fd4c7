//! What is found in a list of cases: the worst of every number, and why cases have no answer.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::circuit::{Circuit, Spot};
use super::facts::PathFlow;
use super::machine::{Group, Machine};
use super::settle::{CircuitSolution, GroupSolution, NO_FLOW_M3_S, Scratch};
use super::setup::Tweaks;
use super::worst::{Extreme, Worse};
use super::{demand, line_flows, path_flows};
use crate::solve::CaseFacts;
use crate::solve::hydraulics::{FlowFacts, States};
use crate::units::{Quantity, Temperature};

/// The worst cases of a line.
#[derive(Clone, Debug)]
pub struct LineWorst {
    velocity: Extreme,
    drop: Extreme,
    margin: Extreme,
    lowest: Extreme,
    highest: Extreme,
    hottest: Extreme,
    coldest: Extreme,
}

impl LineWorst {
    const NOTHING: Self = Self {
        velocity: Extreme::new(Worse::Larger),
        drop: Extreme::new(Worse::Larger),
        margin: Extreme::new(Worse::Smaller),
        lowest: Extreme::new(Worse::Smaller),
        highest: Extreme::new(Worse::Larger),
        hottest: Extreme::new(Worse::Larger),
        coldest: Extreme::new(Worse::Smaller),
    };

    fn take(&mut self, flow: &FlowFacts, kelvin: f64, ambient_pa: f64, case: usize) {
        self.velocity.take(flow.velocity_m_s.abs(), case);
        self.drop.take(flow.losses.drop_pa() + flow.transition_pa, case);
        self.hottest.take(kelvin, case);
        self.coldest.take(kelvin, case);
        if let Some(p) = &flow.pressures {
            self.lowest.take(p.lowest_pa, case);
            self.highest.take(p.highest_pa - ambient_pa, case);
            if let Some(vapour) = flow.vapour_pa {
                self.margin.take(p.lowest_pa - vapour, case);
            }
        }
    }

    /// All of them.
    pub fn all(&self) -> [&Extreme; 7] {
        [
            &self.velocity,
            &self.drop,
            &self.margin,
            &self.lowest,
            &self.highest,
            &self.hottest,
            &self.coldest,
        ]
    }

    fn join(&mut self, later: &Self) {
        self.velocity.join(&later.velocity);
        self.drop.join(&later.drop);
        self.margin.join(&later.margin);
        self.lowest.join(&later.lowest);
        self.highest.join(&later.highest);
        self.hottest.join(&later.hottest);
        self.coldest.join(&later.coldest);
    }
}

/// A component and one of its paths or ports.
pub type Inside = (usize, usize);

/// What was found in a list of cases.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Every answer, or why there is none, by the index of its case.
    pub answers: BTreeMap<usize, Result<GroupSolution, String>>,
    /// Cases with an answer.
    pub solved: usize,
    /// Largest error of any balance.
    pub residual: f64,
    /// Reasons of cases without one, how many, and the first of them.
    pub refused: Vec<(String, usize, usize)>,
    /// The worst of each line.
    pub lines: BTreeMap<usize, LineWorst>,
    /// Least margin at the inlets of running pumps, Pa.
    pub inlet_margin: BTreeMap<Inside, Extreme>,
    /// Least pressure there, Pa.
    pub inlet_pressure: BTreeMap<Inside, Extreme>,
    /// Least flow of paths that must have one, m3/s.
    pub least_flow: BTreeMap<Inside, Extreme>,
    /// Most flow of them, m3/s.
    pub most_flow: BTreeMap<Inside, Extreme>,
    /// Least flow that comes at a need, m3/s.
    pub available: BTreeMap<usize, Extreme>,
    /// Least pressure there over what is needed, Pa.
    pub need_pressure: BTreeMap<usize, Extreme>,
    /// Least depth of ports of tanks that draw uncovered, m.
    pub uncovered: BTreeMap<Inside, Extreme>,
    /// Highest pressure behind paths that limit it, Pa gauge.
    pub outlet: BTreeMap<Inside, Extreme>,
}

fn take<K: Ord>(map: &mut BTreeMap<K, Extreme>, key: K, worse: Worse, value: f64, case: usize) {
    map.entry(key).or_insert(Extreme::new(worse)).take(value, case);
}

fn join<K: Ord + Copy>(into: &mut BTreeMap<K, Extreme>, later: &BTreeMap<K, Extreme>) {
    for (key, extreme) in later {
        into.entry(*key).and_modify(|e| e.join(extreme)).or_insert(*extreme);
    }
}

impl Tally {
    /// Adds what was found in later cases.
    pub fn join(&mut self, later: Self) {
        self.answers.extend(later.answers);
        self.solved += later.solved;
        self.residual = self.residual.max(later.residual);
        for (why, count, example) in later.refused {
            self.refuse(why, count, example);
        }
        for (line, worst) in &later.lines {
            self.lines.entry(*line).or_insert(LineWorst::NOTHING).join(worst);
        }
        join(&mut self.inlet_margin, &later.inlet_margin);
        join(&mut self.inlet_pressure, &later.inlet_pressure);
        join(&mut self.least_flow, &later.least_flow);
        join(&mut self.most_flow, &later.most_flow);
        join(&mut self.available, &later.available);
        join(&mut self.need_pressure, &later.need_pressure);
        join(&mut self.uncovered, &later.uncovered);
        join(&mut self.outlet, &later.outlet);
    }

    fn refuse(&mut self, why: String, count: usize, example: usize) {
        match self.refused.iter_mut().find(|r| r.0 == why) {
            Some(known) => known.1 += count,
            None => self.refused.push((why, count, example)),
        }
    }
}

/// Cases that are worked through one after the other, each starting from the flows of the one before.
pub struct Block<'b> {
    /// The machine.
    pub machine: &'b Machine<'b>,
    /// The group of circuits.
    pub group: &'b Group,
    /// The cases.
    pub cases: &'b [Arc<CaseFacts>],
    /// Index of the first of them.
    pub first: usize,
}

impl Block<'_> {
    /// Works through them.
    pub fn tally(&self) -> Tally {
        let mut tally = Tally::default();
        let (mut scratch, mut opened) = (Scratch::default(), Scratch::default());
        let mut states = States::default();
        for (offset, case) in self.cases.iter().enumerate() {
            let index = self.first + offset;
            let solved = self.machine.solve(self.group, case, &Tweaks::default(), &mut scratch);
            match &solved {
                Err(why) => tally.refuse(why.clone(), 1, index),
                Ok(solved) => {
                    tally.solved += 1;
                    self.lines(solved, case, index, &mut states, &mut tally);
                    self.paths(solved, case, index, &mut states, &mut tally);
                    self.ports(solved, case, index, &mut tally);
                }
            }
            tally.answers.insert(index, solved);
            self.needs(case, index, &mut opened, &mut tally);
        }
        tally
    }

    fn lines(
        &self,
        solved: &GroupSolution,
        case: &CaseFacts,
        index: usize,
        states: &mut States,
        tally: &mut Tally,
    ) {
        tally.residual = tally.residual.max(solved.heat_residual);
        for circuit in &solved.circuits {
            let solution = &circuit.solution;
            tally.residual =
                tally.residual.max(solution.mass_residual).max(solution.energy_residual);
            for line in line_flows(self.machine, circuit) {
                let flow = self.machine.lines[line.line].flow(case, &demand(&line), states);
                let worst = tally.lines.entry(line.line).or_insert(LineWorst::NOTHING);
                if let Ok(flow) = flow {
                    worst.take(&flow, line.temperature_k, case.ambient_pa, index);
                }
            }
        }
    }

    fn paths(
        &self,
        solved: &GroupSolution,
        case: &CaseFacts,
        index: usize,
        states: &mut States,
        tally: &mut Tally,
    ) {
        for circuit in &solved.circuits {
            let fluid = self.machine.circuits[circuit.circuit].fluid;
            let flows = path_flows(self.machine, circuit);
            let driven = is_driven(self.machine, &flows);
            for flow in flows {
                let inside = (flow.component, flow.path);
                let path = &self.machine.plan.components[flow.component].paths[flow.path];
                if path.flow_least.is_some() && driven {
                    take(&mut tally.least_flow, inside, Worse::Smaller, flow.flow_m3_s, index);
                    take(&mut tally.most_flow, inside, Worse::Larger, flow.flow_m3_s, index);
                }
                if let (Some(_), Some(behind)) = (path.outlet_most, flow.to_pa) {
                    let gauge = behind - case.ambient_pa;
                    take(&mut tally.outlet, inside, Worse::Larger, gauge, index);
                }
                let running = path.law.is_pump() && flow.flow_m3_s > NO_FLOW_M3_S;
                let Some(pressure) = flow.from_pa.filter(|_| running) else { continue };
                take(&mut tally.inlet_pressure, inside, Worse::Smaller, pressure, index);
                let at = Temperature::from_si(flow.inlet_k);
                if let Some(vapour) = states.vapour_pa(self.machine.plan, fluid, at) {
                    take(&mut tally.inlet_margin, inside, Worse::Smaller, pressure - vapour, index);
                }
            }
        }
    }

    /// Ports of tanks that draw, and ports of needs.
    fn ports(&self, solved: &GroupSolution, case: &CaseFacts, index: usize, tally: &mut Tally) {
        for solved in &solved.circuits {
            let circuit = &self.machine.circuits[solved.circuit];
            for (number, spot) in circuit.spots.iter().enumerate() {
                let Spot::Port(port) = spot else { continue };
                let component = &self.machine.plan.components[port.component];
                if component.kind == "tank" {
                    let out = flow_out(circuit, solved, number);
                    let depth = self.machine.depth_m(*port, case).unwrap_or(0.0);
                    if out > NO_FLOW_M3_S && depth < 0.0 {
                        let inside = (port.component, port.port);
                        take(&mut tally.uncovered, inside, Worse::Smaller, depth, index);
                    }
                }
                let need = component.need.as_ref().filter(|n| n.port == port.port);
                if let (Some(need), Some(pressure)) = (need, solved.solution.pressures_pa[number]) {
                    let over = pressure - case.ambient_pa - need.pressure.si();
                    take(&mut tally.need_pressure, port.component, Worse::Smaller, over, index);
                }
            }
        }
    }

    /// What comes at each need when it takes all it can get at the pressure it must have.
    fn needs(&self, case: &CaseFacts, index: usize, scratch: &mut Scratch, tally: &mut Tally) {
        let inside = self.machine.components(self.group);
        for component in inside.filter(|c| self.machine.plan.components[*c].need.is_some()) {
            let as_planned = Tweaks::default();
            let found = self.machine.available(self.group, case, component, &as_planned, scratch);
            if let Ok(found) = found {
                take(&mut tally.available, component, Worse::Smaller, found.flow_m3_s, index);
            }
        }
    }
}

/// Volume flow out of a spot into the links that begin or end there.
pub fn flow_out(circuit: &Circuit, solved: &CircuitSolution, spot: usize) -> f64 {
    let links = circuit.links.iter().enumerate();
    links
        .map(|(index, link)| {
            let flow = solved.flow_m3_s(index);
            if link.from == spot {
                flow
            } else if link.to == spot {
                -flow
            } else {
                0.0
            }
        })
        .sum()
}

/// Whether any pump of a circuit runs, or it has none: with all of them stopped no flow can be asked for.
pub fn is_driven(machine: &Machine<'_>, flows: &[PathFlow]) -> bool {
    let is_pump = |f: &&PathFlow| machine.plan.components[f.component].paths[f.path].law.is_pump();
    let mut pumps = flows.iter().filter(is_pump).peekable();
    pumps.peek().is_none() || pumps.any(|f| f.flow_m3_s > 0.0)
}
