//! What the fluid meets inside a component, the states a component can be in, and what is screwed together.

mod exchanger;
mod inside;
mod law;
mod reading;
mod state;

use super::{Names, PortRef, Poured, Stick, TankShape};
use crate::document::{Placed, Section, shorten};
use crate::units::{
    Flow, FlowCoefficient, GaugePressure, Length, MassFlow, Power, PressureDifference, Ratio,
    Temperature, Volume,
};
pub use inside::Inside;
pub use reading::read;
pub use state::{Owner, read_need, read_states, read_tank};

/// How the fluid gets from one port of a component to another.
#[derive(Clone, Debug)]
pub struct Path {
    /// Its name within the component; `FROM-TO` if the plan gives none.
    pub name: String,
    /// Index of the port where the fluid enters.
    pub from: usize,
    /// Index of the port where it leaves.
    pub to: usize,
    /// What it costs or adds.
    pub law: PathLaw,
    /// Whether it lets fluid pass from `from` to `to` only.
    pub one_way: bool,
    /// A one-way path opens at this difference between `from` and `to`: a spring, a relief valve.
    pub opens_at: Option<PressureDifference>,
    /// A regulator that throttles to hold a pressure.
    pub holds: Option<Holds>,
    /// A thermostat: it moves with the temperature of the fluid that enters.
    pub thermostat: Option<Thermostat>,
    /// Heat given to the fluid on the way, W in the engine; negative takes it away.
    pub heat: Option<Power>,
    /// A heat exchanger or radiator.
    pub exchanger: Option<Exchanger>,
    /// The flow this path must have, for example the water of an oil exchanger.
    pub flow_least: Option<Flow>,
    /// Pressure over the vapour pressure that a pump must have at its inlet.
    pub inlet_margin: Option<PressureDifference>,
    /// Liquid inside it.
    pub volume: Option<Volume>,
    /// Pressure that must not be passed where the fluid leaves, as behind a regulator.
    pub outlet_most: Option<GaugePressure>,
    /// How it rises and falls on the way.
    pub inside: Inside,
}

/// What a path costs or adds.
#[derive(Clone, Debug)]
pub enum PathLaw {
    /// Nothing: an open chamber, said so by the builder.
    Free,
    /// Loss coefficient on a bore.
    Coefficient {
        /// The coefficient.
        k: f64,
        /// The bore it belongs to.
        bore: Length,
    },
    /// Flow coefficient.
    Valve(FlowCoefficient),
    /// A measured drop at a flow.
    Measured {
        /// The drop.
        drop: PressureDifference,
        /// Its flow.
        at: Flow,
        /// Whether it grows with the flow, or with its square.
        linear: bool,
    },
    /// A sharp-edged hole: bore of the hole, bore of the line before it, discharge coefficient.
    Orifice {
        /// Diameter of the hole.
        hole: Length,
        /// Bore before it.
        bore: Length,
        /// Discharge coefficient.
        discharge: f64,
    },
    /// Measured points of flow and drop, both rising from 0, 0.
    Curve(Vec<(Flow, PressureDifference)>),
    /// A pump by points of flow and pressure rise, the rise falling.
    PumpCurve(Vec<(Flow, PressureDifference)>),
    /// A pump by its rise at rest and at one flow, falling with the square of the flow.
    PumpSquare {
        /// Rise without flow.
        rest: PressureDifference,
        /// Rise at the flow.
        rise: PressureDifference,
        /// The flow.
        at: Flow,
    },
    /// A positive displacement pump: flow without pressure, and what slips back at a rise.
    Displacement {
        /// Flow without a rise.
        flow: Flow,
        /// Flow that slips back.
        slip: Flow,
        /// The rise at which it does.
        at: PressureDifference,
    },
}

impl PathLaw {
    /// Whether it drives the fluid.
    pub fn is_pump(&self) -> bool {
        matches!(self, Self::PumpCurve(_) | Self::PumpSquare { .. } | Self::Displacement { .. })
    }
}

/// Which pressure a regulator holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Holds {
    /// The pressure where the fluid enters does not rise over this: a back-pressure regulator.
    Before(GaugePressure),
    /// The pressure where it leaves does not rise over this: a reducing regulator.
    After(GaugePressure),
}

/// How a thermostat moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermostat {
    /// Where it begins to move.
    pub from: Temperature,
    /// Where it has moved all the way.
    pub to: Temperature,
    /// Whether it opens the path when warm; it shuts it otherwise.
    pub opens: bool,
}

/// A heat exchanger: heat = effectiveness x the smaller heat capacity flow x the difference of the inlets.
///
/// Between two paths it stands at one of them only, whichever names the other first.
#[derive(Clone, Debug)]
pub struct Exchanger {
    /// Share of the greatest possible heat.
    pub effectiveness: f64,
    /// What is on the other side.
    pub other: ExchangerSide,
}

/// The other side of a heat exchanger.
#[derive(Clone, Debug)]
pub enum ExchangerSide {
    /// Another path of the component, by index.
    Path(usize),
    /// Air at the temperature of the case.
    Air(MassFlow),
}

/// A state that a component can be in.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// Its name.
    pub name: String,
    /// Paths that are shut in it, by index.
    pub shut: Vec<usize>,
    /// Share of the passage of all its paths that is blocked.
    pub blocked: Option<Ratio>,
    /// Speed of a pump as a share of that of its curve.
    pub speed: Option<Ratio>,
    /// Position of its thermostat, 0 cold to 1 warm, whatever the temperature: a stuck one.
    pub position: Option<Ratio>,
    /// Point on the surface of the liquid, mm.
    pub surface_mm: Option<[f64; 3]>,
    /// Volume of liquid in it.
    pub volume: Option<Volume>,
    /// Pressure of the gas over the liquid.
    pub pressure: Option<GaugePressure>,
}

/// What a tank holds.
#[derive(Clone, Debug, Default)]
pub struct Tank {
    /// Point on the surface of the liquid, mm.
    pub surface_mm: Option<[f64; 3]>,
    /// Pressure of the gas over the liquid: 0 where it is vented.
    pub pressure: Option<GaugePressure>,
    /// Pressure at which a cap lets go.
    pub cap: Option<GaugePressure>,
    /// Volume when brim full.
    pub capacity: Option<Volume>,
    /// Volume of liquid in it.
    pub volume: Option<Volume>,
    /// Volume that cannot be drawn.
    pub unusable: Option<Volume>,
    /// Its inside, for dip marks.
    pub shape: Option<TankShape>,
    /// Its dip stick.
    pub stick: Option<Stick>,
    /// What was poured into it.
    pub poured: Option<Poured>,
}

/// What a component uses up.
#[derive(Clone, Debug)]
pub struct Need {
    /// Index of the port it takes the fluid from.
    pub port: usize,
    /// Flow it takes.
    pub flow: Flow,
    /// Pressure it needs at that port.
    pub pressure: GaugePressure,
}

/// Two ports that are screwed together without a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Join {
    /// The two ports.
    pub ports: [PortRef; 2],
}

/// A path of the component by its name; one whose name cannot be read may be the one that is meant.
fn find_path(section: &Section<'_>, name: &Placed<String>, names: &Names<'_>) -> Option<usize> {
    let found = names.find(&name.value);
    if found.is_none() && !names.hide_one() {
        let message = format!("this component has no path \"{}\"", shorten(&name.value));
        section.no_such(name, message, names.known(), None);
    }
    found
}
