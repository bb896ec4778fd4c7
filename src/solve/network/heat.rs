//! The flows of a group as streams that carry heat.

use std::collections::BTreeMap;

use super::circuit::{Circuit, LinkKind, Spot};
use super::machine::{Group, Machine};
use super::settle::{GroupSolution, Unsettled};
use super::words;
use crate::heat::HeatError;
use crate::heat::mixing::{Cooler, Exchanger, Held, Link, Network, temperatures};
use crate::plan::{Exchanger as PlanExchanger, ExchangerSide};
use crate::solve::{CaseFacts, fluid};
use crate::units::{Quantity, Temperature};

/// A link counts as still below this share of the largest flow.
const STILL: f64 = 1e-9;
/// Specific heat of dry air at constant pressure near 300 K, J/(kg K).
const AIR_J_KG_K: f64 = 1006.0;

/// Temperatures of the links of a group.
pub(super) struct Found {
    /// Temperature of each link of each circuit where the fluid enters and where it leaves, K.
    pub ends_k: Vec<Vec<[f64; 2]>>,
    /// What the heat balance leaves open, as a share of the heat that moves.
    pub residual: f64,
}

/// The streams of a group.
pub(super) struct HeatWeb<'w> {
    machine: &'w Machine<'w>,
    group: &'w Group,
    case: &'w CaseFacts,
    solution: &'w GroupSolution,
    nodes: usize,
    places: Vec<Spot>,
    links: Vec<Link>,
    exchangers: Vec<Exchanger>,
    coolers: Vec<Cooler>,
    held: Vec<Held>,
}

impl<'w> HeatWeb<'w> {
    pub(super) fn new(
        machine: &'w Machine<'w>,
        group: &'w Group,
        case: &'w CaseFacts,
        solution: &'w GroupSolution,
    ) -> Result<Self, String> {
        let mut web = Self {
            machine,
            group,
            case,
            solution,
            nodes: 0,
            places: Vec::new(),
            links: Vec::new(),
            exchangers: Vec::new(),
            coolers: Vec::new(),
            held: Vec::new(),
        };
        let mut tanks: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for (index, solved) in group.circuits.iter().zip(&solution.circuits) {
            let circuit = &machine.circuits[*index];
            let numbers = web.number(circuit, &mut tanks);
            for (position, link) in circuit.links.iter().enumerate() {
                let heat_w = match link.kind {
                    LinkKind::Path { component, path } => machine.plan.components[component].paths
                        [path]
                        .heat
                        .map_or(0.0, Quantity::si),
                    _ => 0.0,
                };
                web.links.push(Link {
                    from: numbers[link.from],
                    to: numbers[link.to],
                    mass_flow_kg_s: solved.solution.flows_kg_s[position],
                    specific_heat_j_kg_k: web.specific_heat(circuit, solved.link_k(position))?,
                    heat_w,
                });
            }
        }
        web.exchange(case)?;
        web.hold(case, &tanks);
        Ok(web)
    }

    /// Numbers of the spots of a circuit; all ports of a tank are one place.
    fn number(
        &mut self,
        circuit: &Circuit,
        tanks: &mut BTreeMap<(usize, usize), usize>,
    ) -> Vec<usize> {
        let mut numbers = Vec::with_capacity(circuit.spots.len());
        for spot in &circuit.spots {
            let tank = match spot {
                Spot::Port(p) if self.is_kind(p.component, &["tank", "vent"]) => Some(p.component),
                _ => None,
            };
            let next = self.nodes;
            let number = tank.map_or(next, |t| *tanks.entry((t, circuit.fluid)).or_insert(next));
            if number == next {
                self.nodes += 1;
                self.places.push(*spot);
            }
            numbers.push(number);
        }
        numbers
    }

    fn is_kind(&self, component: usize, kinds: &[&str]) -> bool {
        kinds.contains(&self.machine.plan.components[component].kind.as_str())
    }

    fn specific_heat(&self, circuit: &Circuit, kelvin: f64) -> Result<f64, String> {
        let fluid = &self.machine.plan.fluids[circuit.fluid];
        let held =
            fluid.fluid.range.map_or(kelvin, |(low, high)| kelvin.clamp(low.si(), high.si()));
        let state = fluid::state(&fluid.fluid, Temperature::from_si(held))?;
        state.specific_heat_j_kg_k.ok_or_else(|| {
            format!(
                "the specific heat of {} is not known: add specific_heat to its points",
                fluid.id
            )
        })
    }

    fn exchange(&mut self, case: &CaseFacts) -> Result<(), String> {
        let mut number = 0;
        let mut of_path: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for index in &self.group.circuits {
            for link in &self.machine.circuits[*index].links {
                if let LinkKind::Path { component, path } = link.kind {
                    of_path.insert((component, path), number);
                }
                number += 1;
            }
        }
        for ((component, path), link) in &of_path {
            let component_ = &self.machine.plan.components[*component];
            let Some(exchanger) = &component_.paths[*path].exchanger else { continue };
            let PlanExchanger { effectiveness, other } = exchanger;
            match other {
                ExchangerSide::Path(there) => {
                    let second = of_path.get(&(*component, *there)).copied();
                    let second = second.ok_or_else(|| {
                        format!("the other side of {} is in no circuit", component_.id)
                    })?;
                    self.exchangers.push(Exchanger {
                        first: *link,
                        second,
                        effectiveness: *effectiveness,
                    });
                }
                ExchangerSide::Air(flow) => {
                    let air_inlet_k = case.air_k.ok_or_else(|| {
                        format!(
                            "the air at {} has no temperature in this case: add air",
                            component_.id
                        )
                    })?;
                    self.coolers.push(Cooler {
                        link: *link,
                        effectiveness: *effectiveness,
                        air_capacity_w_k: flow.si() * AIR_J_KG_K,
                        air_inlet_k,
                    });
                }
            }
        }
        Ok(())
    }

    /// Tanks that nothing flows into keep their temperature, and so does whatever comes from outside.
    fn hold(&mut self, case: &CaseFacts, tanks: &BTreeMap<(usize, usize), usize>) {
        let still = self.still_kg_s();
        for ((component, fluid), node) in tanks {
            let flows_in = self.links.iter().any(|l| {
                let into = if l.mass_flow_kg_s > 0.0 { l.to } else { l.from };
                into == *node && l.mass_flow_kg_s.abs() > still
            });
            if (!flows_in || self.is_kind(*component, &["vent"]))
                && let Some(temperature_k) = case.fluids_k[*fluid]
            {
                self.held.push(Held { node: *node, temperature_k });
            }
        }
    }

    fn still_kg_s(&self) -> f64 {
        STILL * self.links.iter().map(|l| l.mass_flow_kg_s.abs()).fold(0.0, f64::max)
    }

    pub(super) fn temperatures(&self) -> Result<Found, Unsettled> {
        let network = Network {
            nodes: self.nodes,
            links: &self.links,
            exchangers: &self.exchangers,
            coolers: &self.coolers,
            held: &self.held,
            flow_tolerance_kg_s: self.still_kg_s(),
        };
        let found = temperatures(&network).map_err(|e| self.unsettled(&e))?;
        let mut ends_k = Vec::with_capacity(self.solution.circuits.len());
        let mut number = 0;
        for solved in &self.solution.circuits {
            let mut of_circuit = Vec::with_capacity(solved.ends_k.len());
            let start_k = self.case.fluids_k[self.machine.circuits[solved.circuit].fluid];
            for old in &solved.ends_k {
                let flowing = found.links[number].map(|t| [t.inlet_k, t.outlet_k]);
                // Where nothing flows it is as warm as the place it hangs on, or as its fluid starts: what
                // it was on the way to the answer is no temperature of anything.
                let link = &self.links[number];
                let beside = found.nodes_k[link.from].or(found.nodes_k[link.to]);
                of_circuit.push(flowing.or(beside.or(start_k).map(|k| [k, k])).unwrap_or(*old));
                number += 1;
            }
            ends_k.push(of_circuit);
        }
        let exchanged = found.exchanged_w.iter().chain(&found.cooled_w).chain(&found.taken_w);
        let moved: f64 = exchanged.map(|w| w.abs()).sum();
        let residual = if moved > 0.0 { found.residual_w.abs() / moved } else { 0.0 };
        Ok(Found { ends_k, residual })
    }

    fn unsettled(&self, error: &HeatError) -> Unsettled {
        match error {
            HeatError::NoSteadyState { heat_w, .. } if *heat_w >= 0.0 => Unsettled::Hot(format!(
                "{:.1} kW go into {} with nowhere to leave it in this case",
                heat_w / 1e3,
                self.machine.name(self.group)
            )),
            HeatError::UnknownInflow { node, .. } => Unsettled::Why(format!(
                "more fluid leaves {} than comes in, and nothing says how warm the rest is",
                self.place(*node)
            )),
            HeatError::HeatWithoutFlow { links } => {
                let names: Vec<String> = links.iter().map(|l| self.link_name(*l)).collect();
                Unsettled::Hot(format!(
                    "nothing flows through {}, which is heated",
                    names.join(", ")
                ))
            }
            other => Unsettled::Why(format!("temperatures: {other}")),
        }
    }

    /// The name of a place by its number.
    fn place(&self, number: usize) -> String {
        self.places
            .get(number)
            .map_or_else(String::new, |spot| words::spot(self.machine.plan, spot))
    }

    fn link_name(&self, number: usize) -> String {
        let all = self.group.circuits.iter().flat_map(|c| &self.machine.circuits[*c].links);
        let mut links = all;
        links.nth(number).map_or_else(String::new, |l| words::link(self.machine.plan, &l.kind))
    }
}
