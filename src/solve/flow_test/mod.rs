//! Flow tests that can be made on the ground with a can and a watch: each pump alone and each tank that feeds, in the
//! attitude and at the level that are worst for the flow, with the flow to expect.

mod explain;

use std::collections::BTreeSet;

pub use explain::{Explanation, Hiding, Place, explain};

use super::case::air_pa;
use super::network::circuit::Spot;
use super::network::machine::{Group, Machine};
use super::network::settle::{CircuitSolution, Scratch};
use super::network::setup::Tweaks;
use super::network::{Available, flow_out};
use super::{CaseFacts, GRAVITY_M_S2, geometry};
use crate::plan::{Component, Plan, PortRef};
use crate::units::{Quantity, Temperature};

/// Ways to set the valves beyond this number are not tried.
const MOST_WAYS: usize = 256;
/// A tank feeds where it gives at least this share of what comes.
const FEEDS: f64 = 0.01;

/// How the machine stands for the test.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    /// Pitch it is propped to, nose up positive, rad.
    pub nose_up_rad: f64,
    /// Temperature of every fluid; as the plan's first case or weather has it if absent.
    pub temperature: Option<Temperature>,
}

/// A flow test.
#[derive(Clone, Debug)]
pub struct FlowTest {
    /// The component whose need is measured.
    pub need: usize,
    /// The pump that runs; none where the fluid falls by itself.
    pub pump: Option<usize>,
    /// Tanks that feed.
    pub tanks: Vec<usize>,
    /// Components that have to be set, with the state.
    pub set: Vec<(usize, usize)>,
    /// Pumps that the plan cannot stop: they run too.
    pub running: Vec<usize>,
    /// Ports of tanks that draw and are not covered.
    pub uncovered: Vec<PortRef>,
    /// The flow to expect, m3/s.
    pub predicted_m3_s: f64,
    /// What the machine is solved in.
    pub case: CaseFacts,
}

/// The flow tests of a machine.
#[derive(Clone, Debug, Default)]
pub struct FlowTests {
    /// The tests, by need, pump and tank.
    pub tests: Vec<FlowTest>,
    /// Needs that cannot be tested by calculation, and why; with the pump, where it is about one.
    pub not_computed: Vec<(usize, Option<usize>, String)>,
    /// Needs and pumps for which not every way to set the valves was tried.
    pub cut_short: bool,
}

/// Every need, each pump alone, each tank that feeds it.
pub fn tests(machine: &Machine<'_>, stand: &Stand) -> FlowTests {
    let mut found = FlowTests::default();
    for group in &machine.groups {
        let inside: BTreeSet<usize> = machine.components(group).collect();
        let needs = inside.iter().filter(|c| machine.plan.components[**c].need.is_some());
        for need in needs {
            if let Some(why) = machine.missing(group).first() {
                found.not_computed.push((*need, None, (*why).to_owned()));
                continue;
            }
            let with = pumps(machine, group, *need);
            let with: Vec<Option<usize>> =
                if with.is_empty() { vec![None] } else { with.into_iter().map(Some).collect() };
            for pump in with {
                Planner { machine, group, stand, need: *need, pump }.tests(&mut found);
            }
        }
    }
    found
}

/// Pumps in the circuit of a need.
fn pumps(machine: &Machine<'_>, group: &Group, need: usize) -> Vec<usize> {
    let circuits = group.circuits.iter().map(|c| &machine.circuits[*c]);
    let own = circuits.filter(|c| c.components().contains(&need));
    let all: BTreeSet<usize> = own.flat_map(super::network::circuit::Circuit::components).collect();
    all.into_iter().filter(|c| is_pump(&machine.plan.components[*c])).collect()
}

fn is_pump(component: &Component) -> bool {
    component.paths.iter().any(|p| p.law.is_pump())
}

/// Whether a pump stands still in a state.
fn stands_still(component: &Component, state: usize) -> bool {
    let Some(state) = component.states.get(state) else { return false };
    let pumps = component.paths.iter().enumerate().filter(|(_, p)| p.law.is_pump());
    let stopped = state.speed.is_some_and(|s| s.si() <= 0.0);
    let mut shut = pumps.map(|(index, _)| state.shut.contains(&index));
    stopped || shut.all(|s| s)
}

struct Planner<'p> {
    machine: &'p Machine<'p>,
    group: &'p Group,
    stand: &'p Stand,
    need: usize,
    pump: Option<usize>,
}

impl Planner<'_> {
    fn tests(&self, found: &mut FlowTests) {
        let (states, running) = match self.base() {
            Ok(base) => base,
            Err(why) => return found.not_computed.push((self.need, self.pump, why)),
        };
        let Some(level) = self.case(states) else { return };
        let mut tests: Vec<FlowTest> = Vec::new();
        let mut refused = None;
        let (ways, cut_short) = self.ways();
        found.cut_short |= cut_short;
        for way in ways {
            let mut case = level.clone();
            for (component, state) in &way {
                case.states[*component] = *state;
            }
            match self.one(&case, &running) {
                // Of several ways to set the valves for the same tanks the usual one stays.
                Ok(Some(test)) if tests.iter().all(|t| t.tanks != test.tanks) => tests.push(test),
                Ok(_) => {}
                Err(why) => refused = refused.or(Some(why)),
            }
        }
        let alone = tests.iter().any(|t| t.tanks.len() == 1);
        tests.retain(|t| !alone || t.tanks.len() == 1);
        if tests.is_empty() {
            let why = refused.unwrap_or_else(|| "nothing comes out of any tank".into());
            found.not_computed.push((self.need, self.pump, why));
        }
        found.tests.append(&mut tests);
    }

    /// States of all components with only the one pump running and every tank at its lowest, and the pumps
    /// that cannot be stopped.
    fn base(&self) -> Result<(Vec<usize>, Vec<usize>), String> {
        let plan = self.machine.plan;
        let up = self.up().ok_or("the attitude cannot be used")?;
        let mut states = vec![0; plan.components.len()];
        let mut running = Vec::new();
        for (index, component) in plan.components.iter().enumerate() {
            let count = component.states.len();
            if component.kind == "tank" {
                let height = |state: usize| {
                    let at = component.states[state].surface_mm;
                    let at = at.or_else(|| component.tank.as_ref()?.surface_mm);
                    at.map_or(f64::INFINITY, |p| p.iter().zip(up).map(|(a, u)| a * u).sum())
                };
                states[index] =
                    (0..count).min_by(|a, b| height(*a).total_cmp(&height(*b))).unwrap_or_default();
            } else if is_pump(component) {
                let wanted = self.pump == Some(index);
                let state = (0..count).find(|s| stands_still(component, *s) != wanted);
                match state {
                    Some(state) => states[index] = state,
                    None if wanted && count > 0 => {
                        return Err(format!("{} has no state in which it runs", component.id));
                    }
                    None if wanted => {}
                    None => running.push(index),
                }
            }
        }
        let inside: BTreeSet<usize> = self.machine.components(self.group).collect();
        running.retain(|r| inside.contains(r));
        Ok((states, running))
    }

    fn up(&self) -> Option<[f64; 3]> {
        geometry::up(&self.machine.plan.axes, self.stand.nose_up_rad, 0.0)
    }

    /// The case of the test, at sea level, everything as cold as it stands.
    fn case(&self, states: Vec<usize>) -> Option<CaseFacts> {
        let plan = self.machine.plan;
        let at = |fluid| self.stand.temperature.or_else(|| first_warmth(plan, fluid));
        Some(CaseFacts {
            name: "flow test".into(),
            ambient_pa: air_pa(0.0)?,
            up: self.up()?,
            gravity_m_s2: GRAVITY_M_S2,
            attitude_rad: [self.stand.nose_up_rad, 0.0],
            air_k: None,
            fluids_k: (0..plan.fluids.len()).map(|f| at(f).map(Quantity::si)).collect(),
            states,
            warm: false,
            combined: false,
        })
    }

    /// All ways to set the valves that have several states, and whether there were too many to try all.
    fn ways(&self) -> (Vec<Vec<(usize, usize)>>, bool) {
        let plan = self.machine.plan;
        let inside: BTreeSet<usize> = self.machine.components(self.group).collect();
        let valves = inside.into_iter().filter(|c| {
            let component = &plan.components[*c];
            component.kind == "valve" && component.states.len() > 1
        });
        let mut ways = vec![Vec::new()];
        for valve in valves {
            let states = 0..plan.components[valve].states.len();
            ways = ways
                .iter()
                .flat_map(|way: &Vec<(usize, usize)>| {
                    states.clone().map(|s| way.iter().copied().chain([(valve, s)]).collect())
                })
                .collect();
            if ways.len() > MOST_WAYS {
                ways.truncate(MOST_WAYS);
                return (ways, true);
            }
        }
        (ways, false)
    }

    fn one(&self, case: &CaseFacts, running: &[usize]) -> Result<Option<FlowTest>, String> {
        let mut scratch = Scratch::default();
        let found = self.machine.available(
            self.group,
            case,
            self.need,
            &Tweaks::default(),
            &mut scratch,
        )?;
        if found.flow_m3_s <= 0.0 {
            return Ok(None);
        }
        let tanks = self.tanks(&found);
        let settable = |(index, component): (usize, &Component)| {
            let touched = found
                .solved
                .circuits
                .iter()
                .any(|c| self.machine.circuits[c.circuit].components().contains(&index));
            // How full a tank is that does not feed makes no difference.
            let matters = component.kind != "tank" || tanks.contains(&index);
            let several = component.states.len() > 1;
            (touched && matters && several).then(|| (index, case.states[index]))
        };
        let set = self.machine.plan.components.iter().enumerate().filter_map(settable).collect();
        let uncovered = self.uncovered(&found, case);
        Ok((!tanks.is_empty()).then(|| FlowTest {
            need: self.need,
            pump: self.pump,
            tanks: tanks.clone(),
            set,
            running: running.to_vec(),
            uncovered,
            predicted_m3_s: found.flow_m3_s,
            case: case.clone(),
        }))
    }

    /// Ports of tanks with what flows out of them.
    fn draws(&self, found: &Available) -> Vec<(PortRef, f64)> {
        let of_circuit = |solved: &CircuitSolution| -> Vec<(PortRef, f64)> {
            let circuit = &self.machine.circuits[solved.circuit];
            let spots = circuit.spots.iter().enumerate();
            spots
                .filter_map(|(spot, what)| match what {
                    Spot::Port(port)
                        if self.machine.plan.components[port.component].kind == "tank" =>
                    {
                        Some((*port, flow_out(circuit, solved, spot)))
                    }
                    _ => None,
                })
                .collect()
        };
        found.solved.circuits.iter().flat_map(of_circuit).collect()
    }

    fn tanks(&self, found: &Available) -> Vec<usize> {
        let feeds = |out: &f64| *out >= FEEDS * found.flow_m3_s;
        let draws = self.draws(found);
        let tanks: BTreeSet<usize> =
            draws.iter().filter(|(_, out)| feeds(out)).map(|(port, _)| port.component).collect();
        tanks.into_iter().collect()
    }

    fn uncovered(&self, found: &Available, case: &CaseFacts) -> Vec<PortRef> {
        let draws = self.draws(found).into_iter();
        draws
            .filter(|(_, out)| *out >= FEEDS * found.flow_m3_s)
            .map(|(port, _)| port)
            .filter(|port| self.machine.depth_m(*port, case).is_some_and(|d| d < 0.0))
            .collect()
    }
}

/// Temperature of a fluid in the first case or weather that gives it.
fn first_warmth(plan: &Plan, fluid: usize) -> Option<Temperature> {
    let named = plan.cases.iter().flat_map(|c| &c.fluids);
    let weather = plan.matrix.iter().flat_map(|m| &m.weather).flat_map(|w| &w.fluids);
    named.chain(weather).find(|f| f.0 == fluid).map(|f| f.1)
}
