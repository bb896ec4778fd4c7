//! A circuit in a case, as the network solver wants it.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::circuit::{Circuit, CircuitLink, LinkKind, Spot};
use super::law::{self, Setting};
use super::machine::Machine;
use crate::hydraulics::darcy_weisbach::Liquid;
use crate::hydraulics::network::{Element, Hold, Link, LossLaw, Network, Node, OneWay, Regulator};
use crate::hydraulics::run::PreparedRun;
use crate::plan::{Component, Holds, Path, PortRef, Service, State};
use crate::solve::CaseFacts;
use crate::solve::fluid;
use crate::units::{Quantity, Temperature};

/// By how much a pressure that is held before a regulator is raised while a need is taken off, Pa.
const NEED_FIRST_PA: f64 = 1.0;

/// What a circuit is solved under.
pub struct Under<'u> {
    /// The case.
    pub case: &'u CaseFacts,
    /// Temperature in each link of the circuit, K.
    pub link_k: &'u [f64],
    /// Position of the thermostat of each component, 0 cold to 1 warm.
    pub positions: &'u BTreeMap<usize, f64>,
    /// What is different from the plan.
    pub tweaks: &'u Tweaks,
}

/// What a solution assumes other than the plan says, to find out what would be.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tweaks {
    /// A component whose need is taken off at its least pressure, to see how much comes.
    pub opened: Option<usize>,
    /// A component that takes another flow than its need, m3/s.
    pub taken: Option<(usize, f64)>,
    /// A component whose pumps run at this share of the speed they would have.
    pub paced: Option<(usize, f64)>,
    /// Paths, by component and index, whose resistance is multiplied.
    pub scaled: Vec<(usize, usize, f64)>,
}

/// Lines made ready for a temperature, kept from case to case.
#[derive(Debug, Default)]
pub struct Ready {
    lines: BTreeMap<usize, (f64, Arc<dyn LossLaw>)>,
    liquids: BTreeMap<usize, (f64, Liquid)>,
}

impl Machine<'_> {
    /// The network of a circuit in a case.
    ///
    /// # Errors
    /// In words: a fluid outside its figures, a law that does not hold.
    pub fn network(
        &self,
        circuit: &Circuit,
        under: &Under<'_>,
        ready: &mut Ready,
    ) -> Result<Network, String> {
        let nodes: Result<Vec<Node>, String> =
            circuit.spots.iter().map(|spot| self.node(circuit, spot, under, ready)).collect();
        let mut network = Network {
            nodes: nodes?,
            links: Vec::with_capacity(circuit.links.len()),
            regulators: Vec::new(),
        };
        for (index, link) in circuit.links.iter().enumerate() {
            let kelvin = under.link_k[index];
            let liquid = self.liquid(circuit.fluid, kelvin, ready)?;
            let made = self.link(circuit, link, (kelvin, &liquid), under, ready)?;
            network.links.push(made);
            if let LinkKind::Path { component, path } = link.kind
                && let Some(holds) = self.plan.components[component].paths[path].holds
            {
                network.regulators.push(Regulator { link: index, holds: hold(holds, under) });
            }
        }
        Ok(network)
    }

    /// Density and viscosity of a fluid at a temperature, held at the ends of its figures while temperatures
    /// are still being looked for.
    ///
    /// # Errors
    /// In words: there are no figures.
    pub fn liquid(&self, index: usize, kelvin: f64, ready: &mut Ready) -> Result<Liquid, String> {
        if let Some((_, liquid)) =
            ready.liquids.get(&index).filter(|(k, _)| k.to_bits() == kelvin.to_bits())
        {
            return Ok(*liquid);
        }
        let fluid = &self.plan.fluids[index].fluid;
        let held = fluid.range.map_or(kelvin, |(low, high)| kelvin.clamp(low.si(), high.si()));
        let liquid = fluid::liquid(fluid, Temperature::from_si(held))?;
        ready.liquids.insert(index, (kelvin, liquid));
        Ok(liquid)
    }

    fn node(
        &self,
        circuit: &Circuit,
        spot: &Spot,
        under: &Under<'_>,
        ready: &mut Ready,
    ) -> Result<Node, String> {
        let Spot::Port(reference) = spot else { return Ok(Node::Free { taken_kg_s: 0.0 }) };
        let component = &self.plan.components[reference.component];
        let case = under.case;
        let start_k = case.fluids_k[circuit.fluid].unwrap_or(under.link_k[0]);
        match component.kind.as_str() {
            "tank" => {
                let liquid = self.liquid(circuit.fluid, start_k, ready)?;
                let pressure_pa = self.tank_pa(*reference, case, liquid.density_kg_m3)?;
                Ok(Node::Held { pressure_pa })
            }
            "vent" => Ok(Node::Held { pressure_pa: case.ambient_pa }),
            _ => {
                let need = component.need.as_ref().filter(|n| n.port == reference.port);
                let Some(need) = need else { return Ok(Node::Free { taken_kg_s: 0.0 }) };
                if under.tweaks.opened == Some(reference.component) {
                    let pressure_pa = case.ambient_pa + need.pressure.si();
                    return Ok(Node::Held { pressure_pa });
                }
                let density = self.liquid(circuit.fluid, start_k, ready)?.density_kg_m3;
                let taken = under.tweaks.taken.filter(|t| t.0 == reference.component);
                let flow = taken.map_or(need.flow.si(), |t| t.1);
                Ok(Node::Free { taken_kg_s: flow * density })
            }
        }
    }

    /// Pressure at a port of a tank: the gas over the liquid, and the liquid over the port.
    fn tank_pa(&self, at: PortRef, case: &CaseFacts, density: f64) -> Result<f64, String> {
        let id = &self.plan.components[at.component].id;
        let gas = self.gas_pa(at.component, case);
        let gas =
            gas.ok_or_else(|| format!("tank {id}: its pressure is not known in this state"))?;
        let depth = self.depth_m(at, case);
        let depth =
            depth.ok_or_else(|| format!("tank {id}: its surface is not known in this state"))?;
        Ok(case.ambient_pa + gas + density * case.gravity_m_s2 * depth.max(0.0))
    }

    /// Pressure of the gas in a tank over that of the air, Pa.
    pub fn gas_pa(&self, component: usize, case: &CaseFacts) -> Option<f64> {
        let tank = self.plan.components[component].tank.as_ref();
        let state = self.state(component, case);
        let pressure = state.and_then(|s| s.pressure).or_else(|| tank?.pressure);
        pressure.map(Quantity::si)
    }

    /// How deep a port of a tank lies under the surface, m; negative where it is not covered.
    pub fn depth_m(&self, at: PortRef, case: &CaseFacts) -> Option<f64> {
        let tank = self.plan.components[at.component].tank.as_ref();
        let state = self.state(at.component, case);
        let surface = state.and_then(|s| s.surface_mm).or_else(|| tank?.surface_mm)?;
        Some(height_m(case, surface) - height_m(case, self.plan.port(&at).1.at_mm))
    }

    /// The state a component is in.
    pub fn state(&self, component: usize, case: &CaseFacts) -> Option<&State> {
        self.plan.components[component].states.get(case.states[component])
    }

    /// Where a spot is, mm.
    fn at_mm(&self, circuit: &Circuit, spot: usize) -> [f64; 3] {
        match circuit.spots[spot] {
            Spot::Port(port) => self.plan.port(&port).1.at_mm,
            Spot::Centre(component) => middle_mm(&self.plan.components[component]),
        }
    }

    fn link(
        &self,
        circuit: &Circuit,
        link: &CircuitLink,
        (kelvin, liquid): (f64, &Liquid),
        under: &Under<'_>,
        ready: &mut Ready,
    ) -> Result<Link, String> {
        let [from, to] = [link.from, link.to].map(|s| height_m(under.case, self.at_mm(circuit, s)));
        let mut made = Link {
            from: link.from,
            to: link.to,
            density_kg_m3: liquid.density_kg_m3,
            lift_pa: liquid.density_kg_m3 * under.case.gravity_m_s2 * (to - from),
            element: law::loss(0.0, 0.0),
            one_way: None,
            shut: false,
        };
        match link.kind {
            LinkKind::Join => {}
            LinkKind::Line(line) => {
                made.element = self.line(line, kelvin, liquid, ready)?;
                made.shut = self.behind_shut_cap(line, under.case);
            }
            LinkKind::Leg(port) => {
                if let Some(leg) = self.legs.get(&(port.component, port.port)) {
                    let (linear, square) = leg.polynomial(liquid);
                    made.element = law::loss(linear, square);
                }
            }
            LinkKind::Path { component, path } => {
                self.path(component, path, liquid, under, &mut made)?;
            }
        }
        Ok(made)
    }

    /// Whether a line leads away from a cap that has not let go: nothing flows in an overflow till then.
    fn behind_shut_cap(&self, line: usize, case: &CaseFacts) -> bool {
        let line = &self.plan.lines[line];
        let holds = |port: &PortRef| {
            let cap = self.plan.components[port.component].tank.as_ref().and_then(|t| t.cap);
            let gas = self.gas_pa(port.component, case);
            cap.zip(gas).is_some_and(|(cap, gas)| gas <= cap.si())
        };
        line.service == Service::Overflow && (holds(&line.from) || holds(&line.to))
    }

    fn line(
        &self,
        line: usize,
        kelvin: f64,
        liquid: &Liquid,
        ready: &mut Ready,
    ) -> Result<Element, String> {
        if let Some((_, law)) =
            ready.lines.get(&line).filter(|(k, _)| k.to_bits() == kelvin.to_bits())
        {
            return Ok(Element::Line(Arc::clone(law)));
        }
        let shape = self.shapes[line].as_ref().map_err(Clone::clone)?;
        let law: Arc<dyn LossLaw> = Arc::new(PreparedRun::new(shape, liquid));
        ready.lines.insert(line, (kelvin, Arc::clone(&law)));
        Ok(Element::Line(law))
    }

    fn path(
        &self,
        component: usize,
        path: usize,
        liquid: &Liquid,
        under: &Under<'_>,
        made: &mut Link,
    ) -> Result<(), String> {
        let inside = &self.plan.components[component].paths[path];
        made.one_way = one_way(inside);
        let setting = Setting::of(self.state(component, under.case), path);
        let setting = setting.and_then(|s| match inside.thermostat {
            None => Some(s),
            Some(thermostat) => {
                let warm = under.positions.get(&component).copied().unwrap_or(0.0);
                s.opened(if thermostat.opens { warm } else { 1.0 - warm })
            }
        });
        match setting.filter(|_| !self.rests(inside, under.tweaks)) {
            None => made.shut = true,
            Some(setting) => {
                let scaled = under.tweaks.scaled.iter();
                let share: f64 =
                    scaled.filter(|t| (t.0, t.1) == (component, path)).map(|t| t.2).product();
                let pace = under.tweaks.paced.filter(|p| p.0 == component).map_or(1.0, |p| p.1);
                let setting = setting.scaled(share).paced(pace);
                made.element = law::element(inside, setting, liquid).map_err(|e| {
                    format!("path {} of {}: {e}", inside.name, self.plan.components[component].id)
                })?;
            }
        }
        Ok(())
    }
}

impl Machine<'_> {
    /// Whether a regulator rests because what it guards is drawn down to a pressure that it does not open at.
    fn rests(&self, path: &Path, tweaks: &Tweaks) -> bool {
        let opened = tweaks.opened.and_then(|c| self.plan.components[c].need.as_ref());
        match (path.holds, opened) {
            (Some(Holds::Before(set)), Some(need)) => set >= need.pressure,
            _ => false,
        }
    }
}

/// Height of a point over the origin, m.
pub fn height_m(case: &CaseFacts, at_mm: [f64; 3]) -> f64 {
    at_mm.iter().zip(case.up).map(|(a, u)| a * u).sum::<f64>() * 1e-3
}

fn middle_mm(component: &Component) -> [f64; 3] {
    let mut sum = [0.0; 3];
    let mut count = 0.0;
    for port in &component.ports {
        for (sum, at) in sum.iter_mut().zip(port.at_mm) {
            *sum += at;
        }
        count += 1.0;
    }
    sum.map(|c| c / count)
}

fn one_way(path: &Path) -> Option<OneWay> {
    let opens_pa = path.opens_at.map_or(0.0, Quantity::si);
    let needed = path.one_way || path.opens_at.is_some() || path.holds.is_some();
    needed.then_some(OneWay { opens_pa })
}

fn hold(holds: Holds, under: &Under<'_>) -> Hold {
    let air_pa = under.case.ambient_pa;
    // Where a need is held at the very pressure that a regulator holds before it, the need comes first.
    let first = if under.tweaks.opened.is_some() { NEED_FIRST_PA } else { 0.0 };
    match holds {
        Holds::Before(p) => Hold::Before { pressure_pa: air_pa + p.si() + first },
        Holds::After(p) => Hold::After { pressure_pa: air_pa + p.si() },
    }
}
