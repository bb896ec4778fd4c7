//! The law of a path inside a component, in the state it is in, as the network solver wants it.

use core::f64::consts::FRAC_PI_4;

use crate::hydraulics::darcy_weisbach::Liquid;
use crate::hydraulics::network::{Element, LossCurve, PumpCurve};
use crate::hydraulics::run::Elbow;
use crate::plan::{Component, Path, PathLaw, Plan, PortRef, State};
use crate::solve::hydraulics::two_k_row;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// Faces of two ports that look away from each other this much are the run of a tee.
const OPPOSITE: f64 = -0.9;

/// How far a path is open and how fast its pump turns.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Share of the passage that is free, above 0.
    pub open: f64,
    /// Share of the speed of the pump's curve.
    pub speed: f64,
    /// What the resistance is multiplied with.
    pub resistance: f64,
}

impl Setting {
    const AS_PLANNED: Self = Self { open: 1.0, speed: 1.0, resistance: 1.0 };

    /// What a state makes of the paths of its component; a shut path has none.
    pub fn of(state: Option<&State>, path: usize) -> Option<Self> {
        let Some(state) = state else { return Some(Self::AS_PLANNED) };
        let blocked = state.blocked.map_or(0.0, Quantity::si);
        let open = 1.0 - blocked;
        let shut = state.shut.contains(&path) || open <= 0.0;
        let speed = state.speed.map_or(1.0, Quantity::si);
        (!shut).then_some(Self { open, speed, ..Self::AS_PLANNED })
    }

    /// The same with another resistance.
    pub fn scaled(self, share: f64) -> Self {
        Self { resistance: self.resistance * share, ..self }
    }

    /// The same at a share of the speed.
    pub fn paced(self, share: f64) -> Self {
        Self { speed: self.speed * share, ..self }
    }

    /// The same with only a share of the passage free; none where nothing is.
    pub fn opened(self, share: f64) -> Option<Self> {
        (share > 0.0).then_some(Self { open: self.open * share, ..self })
    }
}

/// The element of a path. A passage of which a share is blocked costs what the whole one would at
/// the velocity that the flow then has in the rest.
///
/// # Errors
/// In words: a curve that the solver refuses.
pub fn element(path: &Path, at: Setting, liquid: &Liquid) -> Result<Element, String> {
    let open = at.open;
    let times = at.resistance;
    let square = |b: f64| loss(0.0, times * b / (open * open));
    Ok(match &path.law {
        PathLaw::Free => loss(0.0, 0.0),
        PathLaw::Coefficient { k, bore } => square(k * head_per_q2(*bore, liquid)),
        PathLaw::Valve(kv) => {
            // 1 bar at Kv m3/h of water of 1000 kg/m3.
            let per_hour = 3600.0 / kv.si();
            square(1e5 * liquid.density_kg_m3 / 1000.0 * per_hour * per_hour)
        }
        PathLaw::Measured { drop, at, linear: true } => {
            loss(times * drop.si() / at.si() / open, 0.0)
        }
        PathLaw::Measured { drop, at, linear: false } => square(drop.si() / (at.si() * at.si())),
        PathLaw::Orifice { hole, bore, discharge } => {
            let ratio = hole.si() / bore.si();
            let fourth = ratio * ratio * ratio * ratio;
            square((1.0 - fourth) / (discharge * discharge) * head_per_q2(*hole, liquid))
        }
        PathLaw::Curve(points) => {
            let points = points.iter().map(|(q, p)| (q.si() * open, times * p.si())).collect();
            Element::Curve(LossCurve::new(points).map_err(|e| e.to_string())?)
        }
        PathLaw::PumpCurve(points) => {
            // Affinity: the flow goes with the speed, the rise with its square.
            let s = at.speed;
            let points = points.iter().map(|(q, p)| (q.si() * s, p.si() * s * s)).collect();
            Element::Pump(PumpCurve::new(points).map_err(|e| e.to_string())?)
        }
        PathLaw::PumpSquare { rest, rise, at: flow } => {
            let s = at.speed;
            Element::PumpSquare {
                rest_pa: rest.si() * s * s,
                square_pa_s2_m6: (rest.si() - rise.si()) / (flow.si() * flow.si()),
            }
        }
        PathLaw::Displacement { flow, slip, at: rise } => Element::Displacement {
            flow_m3_s: flow.si() * at.speed,
            slip_m3_s_pa: slip.si() / rise.si(),
        },
    })
}

/// A loss a Q + b Q².
pub fn loss(linear_pa_s_m3: f64, square_pa_s2_m6: f64) -> Element {
    Element::Loss { linear_pa_s_m3, square_pa_s2_m6 }
}

/// Velocity head over the square of the flow.
fn head_per_q2(bore: Length, liquid: &Liquid) -> f64 {
    let area = FRAC_PI_4 * bore.si() * bore.si();
    0.5 * liquid.density_kg_m3 / (area * area)
}

/// What each port of a tee costs on the way to its middle: the run costs half at either end, a branch
/// the turn less that half; where no two ports look away from each other, every port half a turn.
///
/// # Errors
/// In words: what is missing.
pub fn leg(tables: &Tables, plan: &Plan, port: PortRef) -> Result<Elbow, String> {
    let tee = &plan.components[port.component];
    let row = |what| two_k_row(tables, what).ok_or("the loss of tees is not in the tables");
    let (run, turn) = (row("tee-run")?, row("tee-branch")?);
    let bore = tee.ports[port.port].end.bore;
    let bore_m = bore.ok_or_else(|| format!("the bore of {} is not known", tee.id))?.si();
    let (k1, k_infinity) = match (has_run(tee), opposite(tee, port.port)) {
        (true, true) => (0.5 * run.0, 0.5 * run.1),
        (true, false) => (turn.0 - 0.5 * run.0, turn.1 - 0.5 * run.1),
        (false, _) => (0.5 * turn.0, 0.5 * turn.1),
    };
    Ok(Elbow { k1, k_infinity, bore_m })
}

fn opposite(tee: &Component, port: usize) -> bool {
    let faces = |p: usize| tee.ports[p].faces;
    let dot = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    (0..tee.ports.len()).any(|p| p != port && dot(faces(port), faces(p)) < OPPOSITE)
}

fn has_run(tee: &Component) -> bool {
    (0..tee.ports.len()).any(|p| opposite(tee, p))
}
