//! Where a margin is used up, and which resistance restores a flow.

use super::circuit::{Circuit, CircuitLink, LinkKind, Spot, holds_still};
use super::facts::Taken;
use super::machine::{Group, Machine};
use super::settle::{CircuitSolution, Scratch};
use super::setup::Tweaks;
use super::tally::Inside;
use super::{path_flows, words};
use crate::hydraulics::{HydraulicsError, atmosphere, search};
use crate::solve::CaseFacts;
use crate::solve::fluid;
use crate::units::{Quantity, Temperature};

/// Altitudes between which the zero of a margin is looked for, m.
const ALTITUDES_M: (f64, f64) = (-2000.0, 11_000.0);
/// A resistance is brought down to this share in the search for a flow, in steps of the next.
const LEAST_SHARE: f64 = 1e-3;
const SHARE_STEP: f64 = 0.6;
/// Width at which a search ends, as a share of its bounds.
const WIDTH: f64 = 1e-9;
/// Ends a search where the network has no answer.
const NO_ANSWER: HydraulicsError = HydraulicsError::NotRepresentable { what: "the answer" };

/// Where a number of a path becomes zero when something else than the path is changed.
pub struct Zero<'z> {
    /// The machine.
    pub machine: &'z Machine<'z>,
    /// The group of circuits.
    pub group: &'z Group,
    /// The component and its path.
    pub inside: Inside,
    /// The case.
    pub case: &'z CaseFacts,
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

    /// Height at which the margin of the inlet is zero, m: every pressure of the machine stands over that of
    /// the air and the fluid is a liquid, so that a margin falls by as much as the air.
    pub fn altitude_m(&self, margin_pa: f64) -> Option<f64> {
        let air_pa = self.case.ambient_pa - margin_pa;
        let height = atmosphere::height_of_pressure_m(air_pa).and_then(atmosphere::geometric_m);
        height.ok().filter(|h| (ALTITUDES_M.0..=ALTITUDES_M.1).contains(h))
    }

    /// Temperature of the fluid at which it is, K; none where heat decides the temperature.
    pub fn temperature_k(&self) -> Option<f64> {
        if self.case.warm && self.group.heated && self.group.cooled {
            return None;
        }
        let here = self.machine.circuit_at(self.group, self.inside.0)?;
        let (low, high) = self.machine.plan.fluids[here.fluid].fluid.range?;
        let mut scratch = Scratch::default();
        let mut case = self.case.clone();
        let margin = |kelvin: f64| {
            case.fluids_k[here.fluid] = Some(kelvin);
            self.margin_pa(&case, &mut scratch).ok_or(NO_ANSWER)
        };
        let bounds = (low.si(), high.si());
        search::falling_zero("the zero of the margin", bounds, WIDTH, margin).ok().map(|z| z.at)
    }

    /// How far the vapour pressure at the starting temperature stands over the air, if it does.
    pub fn boils_in_tank_pa(&self) -> Option<f64> {
        let here = self.machine.circuit_at(self.group, self.inside.0)?;
        let at = Temperature::from_si(self.case.fluids_k[here.fluid]?);
        let vapour =
            fluid::state(&self.machine.plan.fluids[here.fluid].fluid, at).ok()?.vapour_pa?;
        Some(vapour - self.case.ambient_pa).filter(|over| *over > 0.0)
    }

    /// The margin with each other pump stopped that can be stopped.
    pub fn with_stopped(&self) -> Vec<(usize, usize, f64)> {
        let plan = self.machine.plan;
        let mut scratch = Scratch::default();
        let mut found = Vec::new();
        let inside = self.machine.components(self.group);
        for other in inside.filter(|c| *c != self.inside.0) {
            let component = &plan.components[other];
            let pump = component.paths.iter().position(|p| p.law.is_pump());
            let stops =
                component.states.iter().position(|s| pump.is_some_and(|p| s.shut.contains(&p)));
            let Some(stopped) = stops.filter(|s| *s != self.case.states[other]) else { continue };
            let mut case = self.case.clone();
            case.states[other] = stopped;
            let margin = self.margin_pa(&case, &mut scratch);
            found.extend(margin.map(|m| (other, stopped, m)));
        }
        found
    }

    /// What takes the pressure away on the way to the pump: from its inlet back along the links that bring
    /// the most, to the place where the pressure is held.
    pub fn taken(&self) -> Vec<Taken> {
        let mut scratch = Scratch::default();
        let solved = self.machine.solve(self.group, self.case, &Tweaks::default(), &mut scratch);
        let Ok(solved) = solved else { return Vec::new() };
        let (component, path) = self.inside;
        for solved in &solved.circuits {
            let circuit = &self.machine.circuits[solved.circuit];
            let own = |l: &&CircuitLink| l.kind == LinkKind::Path { component, path };
            if let Some(link) = circuit.links.iter().find(own) {
                return self.back_from(circuit, solved, link.from);
            }
        }
        Vec::new()
    }

    fn back_from(
        &self,
        circuit: &Circuit,
        solved: &CircuitSolution,
        mut spot: usize,
    ) -> Vec<Taken> {
        let mut taken = Vec::new();
        // No way back is longer than all links.
        for _ in 0..circuit.links.len() {
            if matches!(circuit.spots[spot], Spot::Port(p) if holds_still(&self.machine.plan.components[p.component]))
            {
                break;
            }
            let brings = |(index, link): (usize, &CircuitLink)| {
                let flow = solved.solution.flows_kg_s[index];
                if link.to == spot && flow > 0.0 {
                    Some((index, link.from, flow))
                } else if link.from == spot && flow < 0.0 {
                    Some((index, link.to, -flow))
                } else {
                    None
                }
            };
            let most = circuit.links.iter().enumerate().filter_map(brings);
            let Some((index, before, _)) = most.max_by(|a, b| a.2.total_cmp(&b.2)) else { break };
            let pressures = [before, spot].map(|s| solved.solution.pressures_pa[s]);
            let [Some(from), Some(to)] = pressures else { break };
            let lost_pa = solved.solution.drops_pa[index].map_or(0.0, f64::abs);
            taken.push(Taken {
                what: words::link(self.machine.plan, &circuit.links[index].kind),
                lost_pa,
                lift_pa: from - to - lost_pa,
            });
            spot = before;
        }
        taken.reverse();
        taken
    }

    /// The share of its present resistance with which the path has a flow, thermostats and temperatures
    /// being what they are in the case: looked for step by step downwards, since far down the machine may
    /// have no answer at all.
    pub fn resistance_share(&self, wanted_m3_s: f64) -> Option<f64> {
        let mut scratch = Scratch::default();
        let present =
            self.machine.solve(self.group, self.case, &Tweaks::default(), &mut scratch).ok()?;
        let mut excess = |share: f64| {
            let (component, path) = self.inside;
            let tweaks = Tweaks { scaled: vec![(component, path, share)], ..Tweaks::default() };
            let solved =
                self.machine.solve_as_warm(self.group, self.case, &tweaks, &present, &mut scratch);
            let flows = solved.iter().flat_map(|s| &s.circuits);
            let mut flows = flows.flat_map(|c| path_flows(self.machine, c));
            let own = flows.find(|f| (f.component, f.path) == self.inside);
            own.map(|f| f.flow_m3_s - wanted_m3_s).ok_or(NO_ANSWER)
        };
        let mut high = 1.0;
        while high > LEAST_SHARE {
            let low = high * SHARE_STEP;
            if excess(low).ok()? >= 0.0 {
                let found = search::falling_zero("the resistance", (low, high), WIDTH, excess);
                return found.ok().map(|z| z.at);
            }
            high = low;
        }
        None
    }
}
