//! What was found out about the circuits in every case, ready to be judged and shown.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::plan::PortRef;
use crate::solve::CaseFacts;

/// Everything about the machine as a network.
#[derive(Debug, Default)]
pub struct NetworkFacts {
    /// The circuits, in the order of their first lines.
    pub circuits: Vec<CircuitFacts>,
    /// What combining the cases gave, for each group of circuits that share heat.
    pub combined: Vec<CombinedFacts>,
    /// Inlets of pumps, over all cases.
    pub inlets: Vec<InletFacts>,
    /// Paths that must have a flow, over all cases.
    pub least_flows: Vec<LeastFlowFacts>,
    /// What uses fluid up, over all cases.
    pub needs: Vec<NeedFacts>,
    /// Ports of tanks that draw while the liquid does not cover them.
    pub uncovered: Vec<UncoveredFacts>,
    /// Paths behind which a pressure must not be passed, over all cases.
    pub outlets: Vec<OutletFacts>,
    /// Tanks of circuits that were solved, by index.
    pub tanks: BTreeSet<usize>,
}

/// A path behind which a pressure must not be passed.
#[derive(Clone, Debug)]
pub struct OutletFacts {
    /// The component.
    pub component: usize,
    /// Its path.
    pub path: usize,
    /// The pressure allowed, Pa gauge.
    pub allowed_pa: f64,
    /// The highest there is, Pa gauge.
    pub most: Option<Worst>,
}

/// A circuit.
#[derive(Debug)]
pub struct CircuitFacts {
    /// Its name.
    pub name: String,
    /// The fluid in it.
    pub fluid: String,
    /// Its lines, by index.
    pub lines: Vec<usize>,
    /// The components it touches, by index.
    pub components: Vec<usize>,
    /// The paths in it, by component and index.
    pub paths: Vec<(usize, usize)>,
    /// What keeps it from being solved in any case.
    pub missing: Vec<String>,
    /// The answer in each case that was asked, by index of the case.
    pub answers: Vec<(usize, Result<Answer, String>)>,
}

/// Flows and pressures of a circuit in a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Steps of the solver.
    pub steps: u32,
    /// Rounds of flow and temperature.
    pub rounds: u32,
    /// What the balances leave open, as shares: mass, energy, heat.
    pub residuals: [f64; 3],
    /// The lines.
    pub lines: Vec<LineFlow>,
    /// The paths inside components.
    pub paths: Vec<PathFlow>,
    /// What passes between ports that are screwed together.
    pub joins: Vec<JoinFlow>,
    /// Positions of thermostats, by component: 0 cold to 1 warm.
    pub positions: Vec<(usize, f64)>,
}

/// A line in an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct LineFlow {
    /// The line.
    pub line: usize,
    /// Flow from A to B, m3/s.
    pub flow_m3_s: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Pressure at A and at B with the fluid brought to rest, Pa absolute; none where nothing decides it.
    pub ends_pa: Option<[f64; 2]>,
}

/// Two ports that are screwed together, in an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JoinFlow {
    /// The two ports.
    pub ports: [PortRef; 2],
    /// Flow from the first to the second, m3/s.
    pub flow_m3_s: f64,
}

/// What a path does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PathState {
    /// Fluid may pass.
    Open,
    /// Nothing passes.
    Shut,
    /// It throttles to hold a pressure.
    Holding,
}

impl PathState {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Shut => "shut",
            Self::Holding => "holding",
        }
    }
}

/// A path in an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct PathFlow {
    /// Its component.
    pub component: usize,
    /// Its index in the component.
    pub path: usize,
    /// Flow, m3/s.
    pub flow_m3_s: f64,
    /// Pressure it takes without lift, Pa; negative for a pump. None where nothing decides it.
    pub drop_pa: Option<f64>,
    /// Pressure where it enters, Pa absolute.
    pub from_pa: Option<f64>,
    /// Pressure where it leaves, Pa absolute.
    pub to_pa: Option<f64>,
    /// Temperature where the fluid enters, K.
    pub inlet_k: f64,
    /// Temperature where it leaves, K.
    pub outlet_k: f64,
    /// What it does.
    pub state: PathState,
}

/// What combining the cases gave for a group of circuits.
#[derive(Debug, Default)]
pub struct CombinedFacts {
    /// Names of its circuits.
    pub name: String,
    /// Combinations that there are.
    pub there_are: usize,
    /// Combinations that the plan does not allow.
    pub not_allowed: usize,
    /// Combinations with an answer.
    pub solved: usize,
    /// Why the others have none: the reason, how many, and one of them.
    pub refused: Vec<Refused>,
    /// Largest error of any balance in any solved case.
    pub residual: f64,
}

/// Combinations that have no answer for one reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The reason.
    pub why: String,
    /// How many combinations.
    pub count: usize,
    /// One of them.
    pub example: String,
}

/// The worst of a number over all cases, and the case.
#[derive(Clone, Debug)]
pub struct Worst {
    /// The number.
    pub value: f64,
    /// The case.
    pub case: Arc<CaseFacts>,
}

/// The inlet of a pump over all cases.
#[derive(Clone, Debug)]
pub struct InletFacts {
    /// The component.
    pub component: usize,
    /// Its path.
    pub path: usize,
    /// The fluid in it.
    pub fluid: String,
    /// Least pressure over the vapour pressure while it runs, Pa.
    pub margin: Option<Worst>,
    /// Least absolute pressure while it runs, Pa.
    pub pressure: Option<Worst>,
    /// Height at which the worst margin is zero, m; none where it is not within the atmosphere's figures.
    pub zero_altitude_m: Option<f64>,
    /// Temperature of the fluid at which it is, K.
    pub zero_temperature_k: Option<f64>,
    /// How far the vapour pressure stands over the air in the worst case, Pa, if it does: the fluid then
    /// boils in an open tank already.
    pub boils_in_tank_pa: Option<f64>,
    /// What takes the pressure away between the tank and the pump in the worst case, from the tank on.
    pub taken: Vec<Taken>,
    /// The margin of the worst case with another pump stopped, Pa: the pump, its state, the margin.
    pub with_stopped: Vec<(usize, usize, f64)>,
}

/// What takes pressure on the way to a pump.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Its name.
    pub what: String,
    /// Pressure lost in it, Pa.
    pub lost_pa: f64,
    /// Pressure that the climb through it takes, Pa.
    pub lift_pa: f64,
}

/// A path that must have a flow, over all cases.
#[derive(Clone, Debug)]
pub struct LeastFlowFacts {
    /// The component.
    pub component: usize,
    /// Its path.
    pub path: usize,
    /// The flow it must have, m3/s.
    pub wanted_m3_s: f64,
    /// The least it has, m3/s.
    pub least: Option<Worst>,
    /// The most it has, m3/s.
    pub most: Option<Worst>,
    /// What it has in each named case and in the worst combination.
    pub cases: Vec<FlowInCase>,
}

/// A flow in a case.
#[derive(Clone, Debug)]
pub struct FlowInCase {
    /// Flow, m3/s, and the case.
    pub flow: Worst,
    /// Resistance of the path, as a share of the present one, with which it would have the flow it must
    /// have; none where it has it, or where no resistance gives it.
    pub resistance_share: Option<f64>,
}

/// What uses fluid up, over all cases.
#[derive(Clone, Debug)]
pub struct NeedFacts {
    /// The component.
    pub component: usize,
    /// What it uses, m3/s.
    pub wanted_m3_s: f64,
    /// The least that comes when all that can is let through at the pressure it needs, m3/s.
    pub available: Option<Worst>,
    /// Least pressure at its port while it takes what it uses, Pa gauge, less the pressure it needs.
    pub pressure_margin: Option<Worst>,
    /// Whether a pump feeds it, in the case of `available`.
    pub pumped: bool,
}

/// A port of a tank that draws while it is not covered.
#[derive(Clone, Debug)]
pub struct UncoveredFacts {
    /// The port.
    pub port: PortRef,
    /// How far it stands out, m, at the worst.
    pub worst: Worst,
}
