//! All cases of a group at once: how many have an answer, why the others have none, and which case is the worst
//! for each line, pump, path, tank and need.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use super::facts::{
    CombinedFacts, FlowInCase, InletFacts, LeastFlowFacts, NeedFacts, NetworkFacts, OutletFacts,
    Refused, UncoveredFacts, Worst,
};
use super::machine::{Group, Machine};
use super::settle::GroupSolution;
use super::tally::{Block, Inside, Tally, is_driven};
use super::worst::Extreme;
use super::zero::Zero;
use crate::plan::PortRef;
use crate::solve::{CaseFacts, Depth, progress};
use crate::units::Quantity;

/// All cases of a group with what was found in them.
pub struct Survey {
    cases: Vec<Arc<CaseFacts>>,
    named: usize,
    there_are: usize,
    not_allowed: usize,
    impossible: Option<String>,
    tally: Tally,
    combined: Tally,
}

impl Survey {
    /// Works through the named cases and all combinations.
    pub fn of(machine: &Machine<'_>, group: &Group, named: &[Arc<CaseFacts>]) -> Self {
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
            tally: Tally::default(),
            combined: Tally::default(),
        };
        let mut places = vec![(0, named.len())];
        for block in combinations.blocks {
            let first = survey.cases.len();
            survey.cases.extend(block.into_iter().map(Arc::new));
            places.push((first, survey.cases.len()));
        }
        progress::expect(survey.cases.len());
        // Each block starts afresh and the blocks are joined in their order, so that the answer does not
        // depend on how many are worked on at a time.
        let tallies: Vec<Tally> = places
            .into_par_iter()
            .map(|(first, end)| {
                let cases = &survey.cases[first..end];
                let tally = Block { machine, group, cases, first }.tally();
                progress::add(cases.len());
                tally
            })
            .collect();
        let mut tallies = tallies.into_iter();
        survey.tally = tallies.next().unwrap_or_default();
        for tally in tallies {
            survey.combined.join(tally);
        }
        survey.tally.join(survey.combined.clone());
        survey
    }

    /// The answer in a case, by its number in the survey: the named ones come first.
    pub fn answer(&self, number: usize) -> Option<&Result<GroupSolution, String>> {
        self.tally.answers.get(&number)
    }

    /// A case by its number.
    pub fn case(&self, number: usize) -> Option<&CaseFacts> {
        self.cases.get(number).map(Arc::as_ref)
    }

    /// Combined cases that govern lines, by their number, each with the lines.
    pub fn governing(&self) -> Vec<(usize, Vec<usize>)> {
        let mut governed: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (line, worst) in &self.tally.lines {
            for (_, case) in worst.all().into_iter().filter_map(Extreme::found) {
                let lines = governed.entry(case).or_default();
                if !lines.contains(line) {
                    lines.push(*line);
                }
            }
        }
        governed.into_iter().filter(|(case, _)| *case >= self.named).collect()
    }

    /// What there is to say of the inlet of each pump, for which the machine is solved again many times.
    pub fn inlets(&self, machine: &Machine<'_>, group: &Group, depth: Depth) -> Vec<InletFacts> {
        let pumps: Vec<Inside> = self.tally.inlet_pressure.keys().copied().collect();
        let whole = depth == Depth::Whole;
        pumps.into_par_iter().map(|inside| self.inlet(machine, group, inside, whole)).collect()
    }

    /// Adds what was found to the facts, but for the inlets.
    pub fn report(
        &self,
        machine: &Machine<'_>,
        group: &Group,
        facts: &mut NetworkFacts,
        depth: Depth,
    ) {
        let whole = depth == Depth::Whole;
        if machine.plan.matrix.is_some() {
            facts.combined.push(self.combined_facts(machine, group));
        }
        for inside in self.tally.least_flow.keys() {
            let found = self.least_flow(machine, group, *inside, facts, whole);
            facts.least_flows.extend(found);
        }
        for (component, pressure) in &self.tally.need_pressure {
            let Some(need) = &machine.plan.components[*component].need else { continue };
            facts.needs.push(NeedFacts {
                component: *component,
                wanted_m3_s: need.flow.si(),
                available: self.worst(self.tally.available.get(component)),
                pressure_margin: self.worst(Some(pressure)),
                pumped: pumps(machine, group),
            });
        }
        for ((component, path), most) in &self.tally.outlet {
            let inside = &machine.plan.components[*component].paths[*path];
            facts.outlets.push(OutletFacts {
                component: *component,
                path: *path,
                allowed_pa: inside.outlet_most.map_or(0.0, Quantity::si),
                most: self.worst(Some(most)),
            });
        }
        facts.tanks.extend(
            machine.components(group).filter(|c| machine.plan.components[*c].kind == "tank"),
        );
        for ((component, port), depth) in &self.tally.uncovered {
            if let Some(worst) = self.worst(Some(depth)) {
                let port = PortRef { component: *component, port: *port };
                facts.uncovered.push(UncoveredFacts { port, worst });
            }
        }
    }

    /// A worst number with its case.
    fn worst(&self, extreme: Option<&Extreme>) -> Option<Worst> {
        let (value, case) = extreme?.found()?;
        Some(Worst { value, case: Arc::clone(&self.cases[case]) })
    }

    /// The inlet of a pump; what else there is to say of it only where the whole is asked for.
    fn inlet(
        &self,
        machine: &Machine<'_>,
        group: &Group,
        inside: Inside,
        whole: bool,
    ) -> InletFacts {
        let mut inlet = InletFacts {
            component: inside.0,
            path: inside.1,
            pressure: self.worst(self.tally.inlet_pressure.get(&inside)),
            zero_altitude_m: None,
            zero_temperature_k: None,
            boils_in_tank_pa: None,
            taken: Vec::new(),
            with_stopped: Vec::new(),
            fluid: Self::fluid_of(machine, group, inside.0),
            margin: self.worst(self.tally.inlet_margin.get(&inside)),
        };
        if let Some(margin) = inlet.margin.as_ref().filter(|_| whole) {
            let zero = Zero { machine, group, inside, case: &margin.case };
            inlet.zero_altitude_m = zero.altitude_m(margin.value);
            inlet.zero_temperature_k = zero.temperature_k();
            inlet.boils_in_tank_pa = zero.boils_in_tank_pa();
            inlet.taken = zero.taken();
            inlet.with_stopped = zero.with_stopped();
        }
        inlet
    }

    /// A path that must have a flow.
    fn least_flow(
        &self,
        machine: &Machine<'_>,
        group: &Group,
        inside: Inside,
        facts: &NetworkFacts,
        whole: bool,
    ) -> Option<LeastFlowFacts> {
        let path = &machine.plan.components[inside.0].paths[inside.1];
        let wanted = path.flow_least.map(Quantity::si)?;
        let least = self.worst(self.tally.least_flow.get(&inside));
        let mut cases = self.in_named_cases(machine, group, inside, facts);
        cases.extend(least.clone().filter(|w| w.case.combined));
        let in_case = |flow: Worst| {
            let zero = Zero { machine, group, inside, case: &flow.case };
            let short = whole && flow.value < wanted;
            let resistance_share = short.then(|| zero.resistance_share(wanted)).flatten();
            FlowInCase { flow, resistance_share }
        };
        Some(LeastFlowFacts {
            component: inside.0,
            path: inside.1,
            wanted_m3_s: wanted,
            cases: cases.into_iter().map(in_case).collect(),
            least,
            most: self.worst(self.tally.most_flow.get(&inside)),
        })
    }

    /// The flow of a path in each named case that is solved.
    fn in_named_cases(
        &self,
        machine: &Machine<'_>,
        group: &Group,
        inside: Inside,
        facts: &NetworkFacts,
    ) -> Vec<Worst> {
        let answers = group.circuits.iter().flat_map(|circuit| &facts.circuits[*circuit].answers);
        let named = answers.filter(|(case, _)| *case < self.named);
        named
            .filter_map(|(case, answer)| {
                let paths = &answer.as_ref().ok()?.paths;
                let own = paths.iter().find(|p| (p.component, p.path) == inside)?;
                is_driven(machine, paths).then_some(())?;
                Some(Worst { value: own.flow_m3_s, case: Arc::clone(&self.cases[*case]) })
            })
            .collect()
    }

    /// Name of the fluid that a component of a group handles.
    fn fluid_of(machine: &Machine<'_>, group: &Group, component: usize) -> String {
        let here = machine.circuit_at(group, component);
        here.map_or_else(String::new, |c| machine.plan.fluids[c.fluid].id.clone())
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
    let drives = |c: usize| machine.plan.components[c].paths.iter().any(|p| p.law.is_pump());
    machine.components(group).any(drives)
}
