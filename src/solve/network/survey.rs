//! All cases of a group at once: how many have an answer, why the others have none, and which case is the worst
//! for each line, pump, path, tank and need.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::facts::{
    CombinedFacts, InletFacts, LeastFlowFacts, NeedFacts, NetworkFacts, Refused, UncoveredFacts,
    Worst,
};
use super::machine::{Group, Machine};
use super::settle::{GroupSolution, Scratch};
use super::setup::Tweaks;
use super::worst::{Extreme, Worse};
use super::{circuit, demand, line_flows, path_flows};
use crate::hydraulics::{HydraulicsError, search};
use crate::plan::PortRef;
use crate::solve::CaseFacts;
use crate::solve::case::air_pa;
use crate::solve::fluid;
use crate::solve::hydraulics::{FlowFacts, States};
use crate::units::{Quantity, Temperature};

/// A flow below this is none, m3/s: a drop an hour.
const NO_FLOW_M3_S: f64 = 1e-11;
/// Altitudes between which the zero of a margin is looked for, m.
const ALTITUDES_M: (f64, f64) = (-2000.0, 11_000.0);
/// Shares of a resistance between which the one is looked for that gives a flow.
const SHARES: (f64, f64) = (1e-4, 1.0);
/// Relative width at which such a search ends.
const WIDTH: f64 = 1e-9;

/// Ends a search where the network has no answer.
const NO_ANSWER: HydraulicsError = HydraulicsError::NotRepresentable { what: "the answer" };

/// The worst cases of a line.
#[derive(Clone, Debug)]
struct LineWorst {
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

    fn all(&self) -> [&Extreme; 7] {
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
type Inside = (usize, usize);

/// What was found in a list of cases.
#[derive(Clone, Debug, Default)]
struct Tally {
    solved: usize,
    residual: f64,
    refused: Vec<(String, usize, usize)>,
    lines: BTreeMap<usize, LineWorst>,
    inlet_margin: BTreeMap<Inside, Extreme>,
    inlet_pressure: BTreeMap<Inside, Extreme>,
    least_flow: BTreeMap<Inside, Extreme>,
    most_flow: BTreeMap<Inside, Extreme>,
    available: BTreeMap<usize, Extreme>,
    need_pressure: BTreeMap<usize, Extreme>,
    uncovered: BTreeMap<Inside, Extreme>,
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
    fn join(&mut self, later: Self) {
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
    }

    fn refuse(&mut self, why: String, count: usize, example: usize) {
        match self.refused.iter_mut().find(|r| r.0 == why) {
            Some(known) => known.1 += count,
            None => self.refused.push((why, count, example)),
        }
    }
}

/// All cases of a group with what was found in them.
pub struct Survey {
    cases: Vec<CaseFacts>,
    named: usize,
    there_are: usize,
    not_allowed: usize,
    impossible: Option<String>,
    tally: Tally,
    combined: Tally,
}

impl Survey {
    /// Works through the named cases and all combinations.
    pub fn of(machine: &Machine<'_>, group: &Group, named: &[CaseFacts]) -> Self {
        let combinations = machine.plan.matrix.as_ref().map(|m| machine.combinations(m, group));
        let (combinations, impossible) = match combinations {
            None => (super::matrix::Combinations::default(), None),
            Some(Ok(combinations)) => (combinations, None),
            Some(Err(why)) => (super::matrix::Combinations::default(), Some(why)),
        };
        let mut survey = Self {
            cases: named.to_vec(),
            named: named.len(),
            there_are: combinations.there_are,
            not_allowed: combinations.not_allowed,
            impossible,
            tally: Block { machine, group, cases: named, first: 0 }.tally(),
            combined: Tally::default(),
        };
        let mut blocks = Vec::new();
        for block in &combinations.blocks {
            blocks.push((survey.cases.len(), block));
            survey.cases.extend(block.iter().cloned());
        }
        // Each block starts afresh and the blocks are joined in their order, so that the answer does not
        // depend on how many are worked on at a time.
        let tallies: Vec<Tally> = blocks
            .par_iter()
            .map(|(first, cases)| Block { machine, group, cases, first: *first }.tally())
            .collect();
        for tally in tallies {
            survey.combined.join(tally);
        }
        survey.tally.join(survey.combined.clone());
        survey
    }

    /// Combined cases that govern lines, each with the lines.
    pub fn governing(&self) -> Vec<(&CaseFacts, Vec<usize>)> {
        let mut governed: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (line, worst) in &self.tally.lines {
            for (_, case) in worst.all().into_iter().filter_map(Extreme::found) {
                let lines = governed.entry(case).or_default();
                if !lines.contains(line) {
                    lines.push(*line);
                }
            }
        }
        let combined = governed.into_iter().filter(|(case, _)| *case >= self.named);
        combined.map(|(case, lines)| (&self.cases[case], lines)).collect()
    }

    /// Adds what was found to the facts.
    pub fn report(&self, machine: &Machine<'_>, group: &Group, facts: &mut NetworkFacts) {
        if machine.plan.matrix.is_some() {
            facts.combined.push(self.combined_facts(machine, group));
        }
        let worst = |extreme: Option<&Extreme>| {
            let (value, case) = extreme?.found()?;
            Some(Worst { value, case: self.cases[case].clone() })
        };
        for ((component, path), pressure) in &self.tally.inlet_pressure {
            let margin = worst(self.tally.inlet_margin.get(&(*component, *path)));
            let mut inlet = InletFacts {
                component: *component,
                path: *path,
                pressure: worst(Some(pressure)),
                zero_altitude_m: None,
                zero_temperature_k: None,
                margin,
            };
            if let Some(margin) = &inlet.margin {
                let zero = Zero { machine, group, inside: (*component, *path), case: &margin.case };
                inlet.zero_altitude_m = zero.altitude_m();
                inlet.zero_temperature_k = zero.temperature_k();
            }
            facts.inlets.push(inlet);
        }
        for (inside, least) in &self.tally.least_flow {
            let path = &machine.plan.components[inside.0].paths[inside.1];
            let Some(wanted) = path.flow_least.map(Quantity::si) else { continue };
            let least = worst(Some(least));
            let zero =
                least.as_ref().map(|w| Zero { machine, group, inside: *inside, case: &w.case });
            facts.least_flows.push(LeastFlowFacts {
                component: inside.0,
                path: inside.1,
                wanted_m3_s: wanted,
                resistance_share: zero.and_then(|z| z.resistance_share(wanted)),
                least,
                most: worst(self.tally.most_flow.get(inside)),
            });
        }
        for (component, pressure) in &self.tally.need_pressure {
            let Some(need) = &machine.plan.components[*component].need else { continue };
            facts.needs.push(NeedFacts {
                component: *component,
                wanted_m3_s: need.flow.si(),
                available: worst(self.tally.available.get(component)),
                pressure_margin: worst(Some(pressure)),
                pumped: pumps(machine, group),
            });
        }
        for ((component, port), depth) in &self.tally.uncovered {
            if let Some(worst) = worst(Some(depth)) {
                let port = PortRef { component: *component, port: *port };
                facts.uncovered.push(UncoveredFacts { port, worst });
            }
        }
    }

    fn combined_facts(&self, machine: &Machine<'_>, group: &Group) -> CombinedFacts {
        let mut refused: Vec<Refused> = self
            .combined
            .refused
            .iter()
            .map(|(why, count, example)| Refused {
                why: why.clone(),
                count: *count,
                example: self.cases[*example].name.clone(),
            })
            .collect();
        if let Some(why) = &self.impossible {
            refused.push(Refused {
                why: why.clone(),
                count: self.there_are,
                example: String::new(),
            });
        }
        CombinedFacts {
            name: machine.name(group),
            there_are: self.there_are,
            not_allowed: self.not_allowed,
            solved: self.combined.solved,
            refused,
            residual: self.combined.residual,
        }
    }
}

/// Whether any pump works in a group.
fn pumps(machine: &Machine<'_>, group: &Group) -> bool {
    group
        .circuits
        .iter()
        .flat_map(|c| machine.circuits[*c].components())
        .any(|c| machine.plan.components[c].paths.iter().any(|p| p.law.is_pump()))
}

/// Cases that are worked through one after the other, each starting from the flows of the one before.
struct Block<'b> {
    machine: &'b Machine<'b>,
    group: &'b Group,
    cases: &'b [CaseFacts],
    first: usize,
}

impl Block<'_> {
    fn tally(&self) -> Tally {
        let mut tally = Tally::default();
        let (mut scratch, mut opened) = (Scratch::default(), Scratch::default());
        let mut states = States::default();
        for (offset, case) in self.cases.iter().enumerate() {
            let index = self.first + offset;
            match self.machine.solve(self.group, case, &Tweaks::default(), &mut scratch) {
                Err(why) => tally.refuse(why, 1, index),
                Ok(solved) => {
                    tally.solved += 1;
                    self.lines(&solved, case, index, &mut states, &mut tally);
                    self.paths(&solved, case, index, &mut states, &mut tally);
                    self.ports(&solved, case, index, &mut tally);
                }
            }
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
        _case: &CaseFacts,
        index: usize,
        states: &mut States,
        tally: &mut Tally,
    ) {
        for circuit in &solved.circuits {
            let fluid = self.machine.circuits[circuit.circuit].fluid;
            for flow in path_flows(self.machine, circuit) {
                let inside = (flow.component, flow.path);
                let path = &self.machine.plan.components[flow.component].paths[flow.path];
                if path.flow_least.is_some() {
                    take(&mut tally.least_flow, inside, Worse::Smaller, flow.flow_m3_s, index);
                    take(&mut tally.most_flow, inside, Worse::Larger, flow.flow_m3_s, index);
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
                let circuit::Spot::Port(port) = spot else { continue };
                let component = &self.machine.plan.components[port.component];
                if component.kind == "tank" {
                    let out = self.flow_out(circuit, solved, number);
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

    /// Volume flow out of a spot into the links that begin or end there.
    fn flow_out(
        &self,
        circuit: &circuit::Circuit,
        solved: &super::settle::CircuitSolution,
        spot: usize,
    ) -> f64 {
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

    /// What comes at each need when it takes all it can get at the pressure it must have.
    fn needs(&self, case: &CaseFacts, index: usize, scratch: &mut Scratch, tally: &mut Tally) {
        let inside =
            self.group.circuits.iter().flat_map(|c| self.machine.circuits[*c].components());
        for component in inside.filter(|c| self.machine.plan.components[*c].need.is_some()) {
            let tweaks = Tweaks { opened: Some(component), ..Tweaks::default() };
            let Some(need) = &self.machine.plan.components[component].need else { continue };
            let port = PortRef { component, port: need.port };
            let Ok(solved) = self.machine.solve(self.group, case, &tweaks, scratch) else {
                continue;
            };
            for solved in &solved.circuits {
                let circuit = &self.machine.circuits[solved.circuit];
                if let Some(spot) = circuit.spot_of(port) {
                    let comes = -self.flow_out(circuit, solved, spot);
                    take(&mut tally.available, component, Worse::Smaller, comes, index);
                }
            }
        }
    }
}

/// Where a number of a path becomes zero when something else than the path is changed.
struct Zero<'z> {
    machine: &'z Machine<'z>,
    group: &'z Group,
    inside: Inside,
    case: &'z CaseFacts,
}

impl Zero<'_> {
    /// Margin of the inlet in a case; none where there is no answer.
    fn margin_pa(&self, case: &CaseFacts, scratch: &mut Scratch) -> Option<f64> {
        let solved = self.machine.solve(self.group, case, &Tweaks::default(), scratch).ok()?;
        for circuit in &solved.circuits {
            let fluid = &self.machine.plan.fluids[self.machine.circuits[circuit.circuit].fluid];
            for flow in path_flows(self.machine, circuit) {
                if (flow.component, flow.path) == self.inside {
                    let at = Temperature::from_si(flow.inlet_k);
                    let vapour = fluid::state(&fluid.fluid, at).ok()?.vapour_pa?;
                    return Some(flow.from_pa? - vapour);
                }
            }
        }
        None
    }

    fn search(
        &self,
        bounds: (f64, f64),
        case_at: impl Fn(f64) -> Option<CaseFacts>,
    ) -> Option<f64> {
        let mut scratch = Scratch::default();
        let margin = |at: f64| {
            let margin = case_at(at).and_then(|c| self.margin_pa(&c, &mut scratch));
            margin.ok_or(NO_ANSWER)
        };
        search::falling_zero("the zero of the margin", bounds, WIDTH, margin).ok().map(|z| z.at)
    }

    fn altitude_m(&self) -> Option<f64> {
        self.search(ALTITUDES_M, |height| {
            Some(CaseFacts { ambient_pa: air_pa(height)?, ..self.case.clone() })
        })
    }

    fn temperature_k(&self) -> Option<f64> {
        let component = self.inside.0;
        let circuits = self.group.circuits.iter().map(|c| &self.machine.circuits[*c]);
        let here = circuits.into_iter().find(|c| c.components().contains(&component))?;
        let (low, high) = self.machine.plan.fluids[here.fluid].fluid.range?;
        self.search((low.si(), high.si()), |kelvin| {
            let mut case = self.case.clone();
            case.fluids_k[here.fluid] = Some(kelvin);
            Some(case)
        })
    }

    /// The share of its present resistance with which the path has a flow.
    fn resistance_share(&self, wanted_m3_s: f64) -> Option<f64> {
        let mut scratch = Scratch::default();
        let excess = |share: f64| {
            let (component, path) = self.inside;
            let tweaks = Tweaks { scaled: vec![(component, path, share)], ..Tweaks::default() };
            let solved = self.machine.solve(self.group, self.case, &tweaks, &mut scratch).ok();
            let flows = solved.iter().flat_map(|s| &s.circuits);
            let mut flows = flows.flat_map(|c| path_flows(self.machine, c));
            let own = flows.find(|f| (f.component, f.path) == self.inside);
            own.map(|f| f.flow_m3_s - wanted_m3_s).ok_or(NO_ANSWER)
        };
        search::falling_zero("the resistance", SHARES, WIDTH, excess).ok().map(|z| z.at)
    }
}
