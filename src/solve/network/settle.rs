//! A group of circuits in a case: flows, temperatures and thermostats that fit each other.

use std::collections::BTreeMap;

use super::circuit::{Circuit, LinkKind};
use super::heat::HeatWeb;
use super::machine::{Group, Machine};
use super::setup::{Ready, Tweaks, Under};
use super::words;
use crate::hydraulics::network::Solution;
use crate::solve::CaseFacts;
use crate::units::Quantity;

/// A flow below this is none, m3/s: a drop in a day.
pub const NO_FLOW_M3_S: f64 = 5e-13;
/// Rounds of flow and temperature after which they are said not to settle.
const MOST_ROUNDS: u32 = 60;
/// Temperatures have settled when none moves by more than this, K.
const SETTLED_K: f64 = 1e-6;
/// While a thermostat is still this far from its place they need be settled only so far.
const NEAR_POSITION: f64 = 1e-2;
const ROUGHLY_SETTLED_K: f64 = 1e-3;
/// A thermostat has settled when its position is known to this.
const SETTLED_POSITION: f64 = 1e-6;
/// Every so many steps the range of a thermostat is halved whatever the secant says, and so often at most:
/// enough for its position to be known even where its temperature jumps.
const HALVE_EVERY: u32 = 3;
const MOST_HALVINGS: u32 = 24;
/// First guess of how fast the excess of a thermostat falls as it opens.
const FIRST_SLOPE: f64 = -4.0;

/// The answer for one circuit.
#[derive(Clone, Debug)]
pub struct CircuitSolution {
    /// Index of the circuit.
    pub circuit: usize,
    /// Pressures and flows.
    pub solution: Solution,
    /// Density in each link, kg/m3.
    pub densities: Vec<f64>,
    /// Temperature of each link where the fluid enters and where it leaves, K.
    pub ends_k: Vec<[f64; 2]>,
}

impl CircuitSolution {
    /// Mean temperature in a link, K.
    pub fn link_k(&self, link: usize) -> f64 {
        mean(self.ends_k[link])
    }

    /// Volume flow in a link, m3/s; what is no more than the last digits of the arithmetic is none.
    pub fn flow_m3_s(&self, link: usize) -> f64 {
        let flow = self.solution.flows_kg_s[link] / self.densities[link];
        if flow.abs() < NO_FLOW_M3_S { 0.0 } else { flow }
    }
}

fn mean([inlet, outlet]: [f64; 2]) -> f64 {
    0.5 * (inlet + outlet)
}

/// The answer for a group of circuits.
#[derive(Clone, Debug)]
pub struct GroupSolution {
    /// One for each circuit of the group.
    pub circuits: Vec<CircuitSolution>,
    /// Position of each thermostat, by component: 0 cold to 1 warm.
    pub positions: BTreeMap<usize, f64>,
    /// Rounds of flow and temperature.
    pub rounds: u32,
    /// What the heat balance leaves open, as a share of the heat that moves; 0 where none does.
    pub heat_residual: f64,
}

/// What is carried from one solution to the next.
#[derive(Debug, Default)]
pub struct Scratch {
    /// Lines made ready.
    pub ready: Ready,
    /// Last answer of each circuit.
    pub answers: BTreeMap<usize, Solution>,
    /// Last position of each thermostat that found its own.
    pub positions: BTreeMap<usize, f64>,
    /// Last temperatures of each circuit that found its own, K.
    pub ends_k: BTreeMap<usize, Vec<[f64; 2]>>,
}

/// Why temperatures are not those of a steady state.
pub(super) enum Unsettled {
    /// Heat has nowhere to go: whatever senses it gets as warm as can be.
    Hot(String),
    /// Anything else.
    Why(String),
}

impl Unsettled {
    fn words(self) -> String {
        match self {
            Self::Hot(why) | Self::Why(why) => why,
        }
    }
}

impl From<String> for Unsettled {
    fn from(why: String) -> Self {
        Self::Why(why)
    }
}

impl Machine<'_> {
    /// Solves a group in a case; `tweaks` say what is other than planned.
    ///
    /// # Errors
    /// In the builder's words: why there is no answer.
    pub fn solve(
        &self,
        group: &Group,
        case: &CaseFacts,
        tweaks: &Tweaks,
        scratch: &mut Scratch,
    ) -> Result<GroupSolution, String> {
        if let Some(why) = self.missing(group).first() {
            return Err((*why).to_owned());
        }
        let start = self.start(group, case)?;
        let thermostats = self.thermostats(group);
        let mut positions = BTreeMap::new();
        for component in &thermostats {
            let forced = self.state(*component, case).and_then(|s| s.position);
            let at_start = self.wanted(*component, |_| start.components.get(component).copied());
            positions.insert(*component, forced.map_or(at_start.unwrap_or(0.0), Quantity::si));
        }
        let warm = case.warm && group.heated && group.cooled;
        let round = Round { machine: self, group, case, tweaks, start: &start, warm };
        if !warm {
            let settled = round.settle(&positions, SETTLED_K, scratch).map_err(Unsettled::words)?;
            round.within_figures(&settled)?;
            return Ok(settled);
        }
        let free = |c: &usize| self.state(*c, case).is_none_or(|s| s.position.is_none());
        let moving: Vec<usize> = thermostats.into_iter().filter(free).collect();
        round.balance(&moving, positions, scratch)
    }

    /// Solves a group with the temperatures and thermostats of another answer.
    ///
    /// # Errors
    /// In the builder's words: why there is no answer.
    pub fn solve_as_warm(
        &self,
        group: &Group,
        case: &CaseFacts,
        tweaks: &Tweaks,
        other: &GroupSolution,
        scratch: &mut Scratch,
    ) -> Result<GroupSolution, String> {
        let start = self.start(group, case)?;
        let round = Round { machine: self, group, case, tweaks, start: &start, warm: false };
        let temperatures: Vec<Vec<[f64; 2]>> =
            other.circuits.iter().map(|c| c.ends_k.clone()).collect();
        let circuits = round.flows(&temperatures, &other.positions, scratch)?;
        Ok(GroupSolution { circuits, ..other.clone() })
    }

    /// Temperature from which each circuit, and each component with a thermostat in it, starts.
    fn start(&self, group: &Group, case: &CaseFacts) -> Result<Start, String> {
        let mut start = Start::default();
        for index in &group.circuits {
            let circuit = &self.circuits[*index];
            let fluid = &self.plan.fluids[circuit.fluid];
            let kelvin = case.fluids_k[circuit.fluid].ok_or_else(|| {
                format!(
                    "the temperature of {} is not given in this case: add fluids = {{ {} = \"...\" }}",
                    fluid.id, fluid.id
                )
            })?;
            start.circuits.insert(*index, kelvin);
            for component in circuit.components() {
                start.components.insert(component, kelvin);
            }
        }
        Ok(start)
    }

    /// Components of a group that have a thermostat.
    fn thermostats(&self, group: &Group) -> Vec<usize> {
        let has = |c: &usize| self.plan.components[*c].paths.iter().any(|p| p.thermostat.is_some());
        self.components(group).filter(has).collect()
    }

    /// The position a thermostat takes at the temperature that its ports have.
    fn wanted(&self, component: usize, port_k: impl Fn(usize) -> Option<f64>) -> Option<f64> {
        let paths = &self.plan.components[component].paths;
        let (path, thermostat) = paths.iter().find_map(|p| Some((p, p.thermostat?)))?;
        let kelvin = port_k(path.from)?;
        let (from, to) = (thermostat.from.si(), thermostat.to.si());
        Some(((kelvin - from) / (to - from)).clamp(0.0, 1.0))
    }
}

/// Temperatures at the start, K.
#[derive(Debug, Default)]
struct Start {
    circuits: BTreeMap<usize, f64>,
    components: BTreeMap<usize, f64>,
}

/// One group in one case.
struct Round<'r> {
    machine: &'r Machine<'r>,
    group: &'r Group,
    case: &'r CaseFacts,
    tweaks: &'r Tweaks,
    start: &'r Start,
    warm: bool,
}

impl Round<'_> {
    /// Finds the position of every thermostat. Each is looked for by itself, between shut and open: the
    /// further it opens the colder it gets, so there is one place where it stays.
    fn balance(
        &self,
        moving: &[usize],
        mut positions: BTreeMap<usize, f64>,
        scratch: &mut Scratch,
    ) -> Result<GroupSolution, String> {
        for _ in 0..MOST_ROUNDS {
            let mut moved: f64 = 0.0;
            for component in moving {
                let before = positions.get(component).copied().unwrap_or(0.0);
                let after = self.position(*component, &mut positions, scratch)?;
                positions.insert(*component, after);
                moved = moved.max((after - before).abs());
            }
            if moving.len() < 2 || moved < SETTLED_POSITION {
                let settled =
                    self.settle(&positions, SETTLED_K, scratch).map_err(Unsettled::words)?;
                self.within_figures(&settled)?;
                return Ok(settled);
            }
        }
        Err(format!("the thermostats did not come to rest in {MOST_ROUNDS} rounds"))
    }

    /// The position at which one thermostat stays: secants from where it is, held between the positions at
    /// which it would open and at which it would shut.
    fn position(
        &self,
        component: usize,
        positions: &mut BTreeMap<usize, f64>,
        scratch: &mut Scratch,
    ) -> Result<f64, String> {
        let known = scratch.positions.get(&component).or_else(|| positions.get(&component));
        let mut at = known.copied().unwrap_or(0.0);
        let (mut low, mut high) = (0.0, 1.0);
        let mut before: Option<(f64, f64)> = None;
        // Temperatures far from their place need not be settled to the last digit.
        let mut settled_k = ROUGHLY_SETTLED_K;
        for step in 0..HALVE_EVERY * MOST_HALVINGS {
            let mut value = self.excess(component, at, settled_k, positions, scratch)?;
            if settled_k > SETTLED_K && value.abs() < NEAR_POSITION {
                settled_k = SETTLED_K;
                value = self.excess(component, at, settled_k, positions, scratch)?;
            }
            let ends = (at <= 0.0 && value <= 0.0) || (at >= 1.0 && value >= 0.0);
            if ends || value.abs() < SETTLED_POSITION || high - low < SETTLED_POSITION {
                scratch.positions.insert(component, at);
                return Ok(at);
            }
            if value > 0.0 {
                low = at;
            } else {
                high = at;
            }
            let slope = before.map_or(FIRST_SLOPE, |(x, y)| (value - y) / (at - x));
            before = Some((at, value));
            let secant = at - value / slope;
            let inside = slope < 0.0 && secant > low && secant < high && step % HALVE_EVERY != 2;
            // A secant that leaves the range asks for the end of it.
            at = if inside {
                secant
            } else if slope < 0.0 && secant >= 1.0 && high >= 1.0 {
                1.0
            } else if slope < 0.0 && secant <= 0.0 && low <= 0.0 {
                0.0
            } else {
                0.5 * (low + high)
            };
        }
        let steps = HALVE_EVERY * MOST_HALVINGS;
        Err(format!("a thermostat did not come to rest in {steps} steps"))
    }

    /// How much further open a thermostat would be than it is; falls as it opens.
    fn excess(
        &self,
        component: usize,
        at: f64,
        settled_k: f64,
        positions: &mut BTreeMap<usize, f64>,
        scratch: &mut Scratch,
    ) -> Result<f64, String> {
        positions.insert(component, at);
        match self.settle(positions, settled_k, scratch) {
            Ok(settled) => Ok(self.sensed(component, &settled).unwrap_or(at) - at),
            // What has nowhere to give its heat gets as warm as can be.
            Err(Unsettled::Hot(_)) => Ok(1.0 - at),
            Err(Unsettled::Why(why)) => Err(why),
        }
    }

    fn sensed(&self, component: usize, settled: &GroupSolution) -> Option<f64> {
        self.machine.wanted(component, |port| {
            settled.circuits.iter().find_map(|c| {
                let circuit = &self.machine.circuits[c.circuit];
                let spot = circuit.spot_of(crate::plan::PortRef { component, port })?;
                let touching = |l: &super::circuit::CircuitLink| l.from == spot || l.to == spot;
                // What flows through the port: a link without flow keeps an old temperature.
                let links = circuit.links.iter().enumerate().filter(|(_, l)| touching(l));
                let most = links.max_by(|a, b| {
                    let flow = |i: usize| c.solution.flows_kg_s[i].abs();
                    flow(a.0).total_cmp(&flow(b.0))
                })?;
                Some(c.link_k(most.0))
            })
        })
    }

    /// Flows and temperatures that fit each other, with the thermostats where they are.
    fn settle(
        &self,
        positions: &BTreeMap<usize, f64>,
        settled_k: f64,
        scratch: &mut Scratch,
    ) -> Result<GroupSolution, Unsettled> {
        let mut temperatures: Vec<Vec<[f64; 2]>> = Vec::new();
        for index in &self.group.circuits {
            let kelvin = self.start.circuits.get(index).copied().unwrap_or_default();
            let known = scratch.ends_k.get(index).filter(|_| self.warm).cloned();
            let links = self.machine.circuits[*index].links.len();
            temperatures.push(known.unwrap_or_else(|| vec![[kelvin; 2]; links]));
        }
        for round in 1..=MOST_ROUNDS {
            let circuits = self.flows(&temperatures, positions, scratch)?;
            let mut solution = GroupSolution {
                circuits,
                positions: positions.clone(),
                rounds: round,
                heat_residual: 0.0,
            };
            if !self.warm {
                return Ok(solution);
            }
            let web = HeatWeb::new(self.machine, self.group, self.case, &solution)?;
            let found = web.temperatures()?;
            let mut moved: f64 = 0.0;
            for (old, new) in temperatures.iter_mut().flatten().zip(found.ends_k.iter().flatten()) {
                moved = moved.max((mean(*old) - mean(*new)).abs());
                *old = *new;
            }
            if moved < settled_k {
                for (index, ends_k) in self.group.circuits.iter().zip(&temperatures) {
                    scratch.ends_k.insert(*index, ends_k.clone());
                }
                solution.heat_residual = found.residual;
                for (circuit, ends_k) in solution.circuits.iter_mut().zip(found.ends_k) {
                    circuit.ends_k = ends_k;
                }
                return Ok(solution);
            }
        }
        Err(Unsettled::Why(format!(
            "flows and temperatures did not settle in {MOST_ROUNDS} rounds"
        )))
    }

    fn flows(
        &self,
        temperatures: &[Vec<[f64; 2]>],
        positions: &BTreeMap<usize, f64>,
        scratch: &mut Scratch,
    ) -> Result<Vec<CircuitSolution>, String> {
        let mut solved = Vec::with_capacity(self.group.circuits.len());
        for (index, ends_k) in self.group.circuits.iter().zip(temperatures) {
            let circuit = &self.machine.circuits[*index];
            let link_k: Vec<f64> = ends_k.iter().copied().map(mean).collect();
            let under = Under { case: self.case, link_k: &link_k, positions, tweaks: self.tweaks };
            let network = self.machine.network(circuit, &under, &mut scratch.ready)?;
            let near = scratch.answers.get(index);
            let solution = near
                .map_or_else(|| network.solve(), |near| network.solve_near(near))
                .map_err(|e| words::unsolved(self.machine.plan, circuit, &e))?;
            scratch.answers.insert(*index, solution.clone());
            solved.push(CircuitSolution {
                circuit: *index,
                densities: network.links.iter().map(|l| l.density_kg_m3).collect(),
                ends_k: ends_k.clone(),
                solution,
            });
        }
        Ok(solved)
    }

    /// A temperature beyond the figures of its fluid is no answer.
    fn within_figures(&self, settled: &GroupSolution) -> Result<(), String> {
        for solved in &settled.circuits {
            let circuit: &Circuit = &self.machine.circuits[solved.circuit];
            let fluid = &self.machine.plan.fluids[circuit.fluid];
            let Some((low, high)) = fluid.fluid.range else { continue };
            for (index, link) in circuit.links.iter().enumerate() {
                let kelvin = solved.link_k(index);
                let outside = kelvin < low.si() - 1e-6 || kelvin > high.si() + 1e-6;
                if outside && !matches!(link.kind, LinkKind::Join) {
                    return Err(format!(
                        "{} would settle at {:.0} degC in {}, and its figures run from {:.0} to {:.0} degC",
                        fluid.id,
                        kelvin - 273.15,
                        words::link(self.machine.plan, &link.kind),
                        low.si() - 273.15,
                        high.si() - 273.15
                    ));
                }
            }
        }
        Ok(())
    }
}
