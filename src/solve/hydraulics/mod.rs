//! Flow, loss and pressure of each line at its stated duty, in every case.

mod profile;
mod resistance;

pub use resistance::roughness;

use super::fluid::{State, state};
use super::geometry::GeometryFacts;
use super::{CaseFacts, bore_mm};
use crate::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use crate::hydraulics::friction::{Friction, Regime};
use crate::hydraulics::surge;
use crate::plan::{Anchor, Duty, Line, Plan};
use crate::source::{Cite, Sourced};
use crate::table::Tables;
use crate::table::fluid::Fluid;
use crate::units::{Length, Quantity, Temperature};

/// Standard acceleration of gravity, m/s2 (CGPM 1901, exact).
const GRAVITY_M_S2: f64 = 9.806_65;

/// Where the pressure goes, Pa.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Losses {
    /// Friction along the wall.
    pub wall_pa: f64,
    /// Bends, over their wall friction.
    pub bends_pa: f64,
    /// End fittings: narrow bores and elbows.
    pub ends_pa: f64,
    /// What else the plan puts into the line.
    pub other_pa: f64,
    /// Out of a tank and into a tank.
    pub tank_pa: f64,
    /// Fluid set in motion; negative where it comes to rest in a tank, all of which `tank_pa` has lost.
    pub motion_pa: f64,
    /// Lifting the fluid; negative where it falls.
    pub lift_pa: f64,
}

impl Losses {
    /// What friction takes for good: everything but lift and motion.
    pub fn drop_pa(&self) -> f64 {
        self.wall_pa + self.bends_pa + self.ends_pa + self.other_pa + self.tank_pa
    }
}

/// Pressures along a line, Pa absolute.
#[derive(Clone, Debug, PartialEq)]
pub struct Pressures {
    /// At end A.
    pub from_pa: f64,
    /// At end B.
    pub to_pa: f64,
    /// Lowest along the line, narrow ends included.
    pub lowest_pa: f64,
    /// Where that is, in words.
    pub lowest_at: String,
    /// Highest along the line.
    pub highest_pa: f64,
}

/// What a flow does in a line.
#[derive(Clone, Debug)]
pub struct FlowFacts {
    /// Mean velocity in the bore, m/s.
    pub velocity_m_s: f64,
    /// Highest velocity, in the narrowest end, m/s.
    pub throat_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Friction factor; none when nothing flows.
    pub friction: Option<Friction>,
    /// Where the pressure goes.
    pub losses: Losses,
    /// What wall and bends could take more than that in the transition from laminar flow, Pa.
    pub transition_pa: f64,
    /// Pressures, when one is stated.
    pub pressures: Option<Pressures>,
    /// Vapour pressure, Pa absolute.
    pub vapour_pa: Option<f64>,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Kinematic viscosity, m2/s.
    pub kinematic_m2_s: f64,
    /// Pressure rise if the flow is stopped at once, Pa, in a wall that does not give.
    pub surge_pa: Option<f64>,
    /// Pressure rise if it is stopped in the stated closing time, Pa.
    pub closing_surge_pa: Option<f64>,
    /// Resistances that could not be counted.
    pub left_out: Vec<String>,
    /// The figures of fluid, bore and surface that all this was calculated from.
    pub rests_on: Cite,
}

/// A duty of a line in a case.
#[derive(Debug)]
pub struct DutyFacts {
    /// Index of the case.
    pub case: usize,
    /// Flow, m3/s.
    pub flow_m3_s: f64,
    /// Temperature of the fluid, K.
    pub temperature_k: f64,
    /// Pressure of the air, Pa absolute.
    pub ambient_pa: f64,
    /// Highest pressure stated for the line, Pa gauge.
    pub stated_max_pa: Option<f64>,
    /// Whether the builder names the highest pressure itself and not just that at an end.
    pub maximum_stated: bool,
    /// What was computed, or why nothing could be.
    pub flow: Result<FlowFacts, String>,
}

impl DutyFacts {
    /// Whether nothing higher can hide in what was not computed.
    pub fn highest_is_known(&self) -> bool {
        let computed = self.flow.as_ref().is_ok_and(|f| f.pressures.is_some());
        computed || self.maximum_stated
    }

    /// Highest pressure in the line, Pa gauge: computed along it or stated.
    pub fn highest_gauge_pa(&self) -> Option<f64> {
        let computed = self.flow.as_ref().ok().and_then(|f| f.pressures.as_ref());
        let computed = computed.map(|p| p.highest_pa - self.ambient_pa);
        match (computed, self.stated_max_pa) {
            (Some(c), Some(s)) => Some(c.max(s)),
            (c, s) => c.or(s),
        }
    }
}

/// The duties of a line, one for each case that it has a duty in. The fluid runs through the whole
/// assembly, slack included, where its length is known; else along the route.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    cases: &[CaseFacts],
    line: &Line,
    geometry: Option<&GeometryFacts>,
    assembly_mm: Option<f64>,
) -> Vec<DutyFacts> {
    let duty_of = |case: usize| {
        let own = line.duties.iter().find(|d| d.case == Some(case));
        own.or_else(|| line.duties.iter().find(|d| d.case.is_none()))
    };
    let fluid = &plan.fluids[line.fluid].fluid;
    // Most cases share one temperature, and so one state of the fluid.
    let mut states: Vec<(Temperature, Result<State, String>)> = Vec::new();
    let bore = bore_mm(line);
    let roughness = resistance::line_roughness(tables, line);
    let rests_on = rests_on(line, fluid, bore.as_ref(), roughness.as_ref().ok());
    cases
        .iter()
        .enumerate()
        .filter_map(|(index, case)| {
            let duty = duty_of(index)?;
            if states.iter().all(|(t, _)| *t != duty.temperature) {
                states.push((duty.temperature, state(fluid, duty.temperature)));
            }
            let (_, state) = states.iter().find(|(t, _)| *t == duty.temperature)?;
            let setting = Setting {
                plan,
                tables,
                line,
                geometry,
                assembly_mm,
                case,
                duty,
                state,
                bore: bore.as_ref(),
                roughness: &roughness,
                rests_on: &rests_on,
            };
            Some(DutyFacts {
                case: index,
                flow_m3_s: duty.flow.si(),
                temperature_k: duty.temperature.si(),
                ambient_pa: case.ambient_pa,
                stated_max_pa: highest_stated_pa(duty),
                maximum_stated: duty.pressure_max.is_some(),
                flow: setting.flow(),
            })
        })
        .collect()
}

/// Where the figures of fluid, bore, surface and end fittings come from.
fn rests_on(
    line: &Line,
    fluid: &Fluid,
    bore: Option<&Sourced<f64>>,
    roughness: Option<&Sourced<Length>>,
) -> Cite {
    let bore = bore.map(|b| &b.cite);
    let surface = roughness.map(|r| &r.cite);
    let ends = line.ends.iter().flatten().filter_map(|e| e.bore.as_ref()).map(|b| &b.cite);
    Cite::in_short([&fluid.cite].into_iter().chain(bore).chain(surface).chain(ends))
}

/// Highest pressure that the duty itself states, Pa gauge.
fn highest_stated_pa(duty: &Duty) -> Option<f64> {
    let anchor = match duty.anchor {
        Anchor::From(pressure) | Anchor::To(pressure) => Some(pressure.si()),
        Anchor::None => None,
    };
    let max = duty.pressure_max.map(Quantity::si);
    anchor.into_iter().chain(max).reduce(f64::max)
}

struct Setting<'s> {
    plan: &'s Plan,
    tables: &'s Tables,
    line: &'s Line,
    geometry: Option<&'s GeometryFacts>,
    assembly_mm: Option<f64>,
    case: &'s CaseFacts,
    duty: &'s Duty,
    state: &'s Result<State, String>,
    bore: Option<&'s Sourced<f64>>,
    roughness: &'s Result<Sourced<Length>, String>,
    rests_on: &'s Cite,
}

impl Setting<'_> {
    fn flow(&self) -> Result<FlowFacts, String> {
        let geometry =
            self.geometry.ok_or("there is no route, so no length to lose pressure over")?;
        let plan_fluid = &self.plan.fluids[self.line.fluid].fluid;
        let state = self.state.as_ref().map_err(Clone::clone)?;
        let bore_m = self.bore.ok_or("the bore is not known")?.value * 1e-3;
        let liquid = Liquid {
            density_kg_m3: state.density_kg_m3 * self.compression(plan_fluid)?,
            viscosity_pa_s: state.viscosity_pa_s,
        };
        let run = Straight {
            bore_m,
            length_m: self.assembly_mm.unwrap_or(geometry.route.length_mm) * 1e-3,
            roughness_m: self.roughness.as_ref().map_err(Clone::clone)?.value.si(),
            loss_sum: 0.0,
        };
        let flow = self.duty.flow.si();
        let straight = straight_loss(&run, &liquid, flow).map_err(|e| e.to_string())?;
        let ends = [self.end_loss(0, &run, &liquid)?, self.end_loss(1, &run, &liquid)?];
        let head_pa = 0.5 * liquid.density_kg_m3 * straight.velocity_m_s * straight.velocity_m_s;
        let regime = straight.friction.map_or(Regime::Turbulent, |f| f.regime);
        let bend_k = self.bend_k(straight.reynolds, straight.friction, bore_m)?;
        let bends_pa: Vec<f64> = bend_k.iter().map(|k| k * head_pa).collect();
        let losses = Losses {
            wall_pa: straight.friction_pa,
            bends_pa: bends_pa.iter().sum(),
            ends_pa: ends[0].loss_pa + ends[1].loss_pa,
            other_pa: self.other_pa(&liquid, None)?,
            tank_pa: self.tank_k(regime)? * head_pa,
            motion_pa: self.motion(regime) * head_pa,
            lift_pa: liquid.density_kg_m3 * GRAVITY_M_S2 * self.rise_m(1.0)?,
        };
        let whole_pa = losses.drop_pa() + losses.motion_pa + losses.lift_pa;
        if !whole_pa.is_finite() {
            return Err("the loss is too large for a number".into());
        }
        let beyond = straight.friction.map_or(0.0, |f| f.high / f.factor - 1.0);
        let left_out = ends.iter().filter_map(|e| e.left_out.clone()).collect();
        let throat_m_s = ends.iter().map(|e| e.throat_m_s).fold(straight.velocity_m_s, f64::max);
        let pressures = self.pressures(&losses, &liquid, &ends, &bends_pa)?;
        if plan_fluid.gas {
            self.refuse_compressed(losses.drop_pa(), pressures.as_ref())?;
        }
        let (surge_pa, closing_surge_pa) =
            self.surge(state.bulk_modulus_pa, &liquid, straight.velocity_m_s, run.length_m);
        Ok(FlowFacts {
            velocity_m_s: straight.velocity_m_s,
            throat_m_s,
            reynolds: straight.reynolds,
            friction: straight.friction,
            transition_pa: beyond.max(0.0) * (losses.wall_pa + losses.bends_pa),
            losses,
            pressures,
            vapour_pa: state.vapour_pa,
            density_kg_m3: liquid.density_kg_m3,
            kinematic_m2_s: liquid.viscosity_pa_s / liquid.density_kg_m3,
            surge_pa,
            closing_surge_pa,
            left_out,
            rests_on: self.rests_on.clone(),
        })
    }

    /// Density of a gas in the line over that at the pressure of its figures; 1 for a liquid.
    fn compression(&self, fluid: &Fluid) -> Result<f64, String> {
        if !fluid.gas {
            return Ok(1.0);
        }
        let at = fluid.pressure.ok_or(
            "the density of a gas holds at one pressure, which is not given: set pressure on the fluid",
        )?;
        let gauge_pa = match self.duty.anchor {
            Anchor::From(p) | Anchor::To(p) => p.si(),
            Anchor::None => 0.0,
        };
        let ratio = (self.case.ambient_pa + gauge_pa) / at.si();
        if ratio > 0.0 { Ok(ratio) } else { Err("the stated pressure is below a vacuum".into()) }
    }

    fn refuse_compressed(&self, drop_pa: f64, pressures: Option<&Pressures>) -> Result<(), String> {
        let share = crate::table::limit::installation_share(self.tables, "gas-drop-most")
            .map_or(0.0, |s| s.value);
        let pressure = pressures.map_or(self.case.ambient_pa, |p| p.from_pa);
        if drop_pa <= share * pressure {
            return Ok(());
        }
        Err(format!(
            "a gas that loses {:.1} % of its pressure changes its density on the way; that is not computed",
            100.0 * drop_pa / pressure
        ))
    }

    fn surge(
        &self,
        bulk_modulus_pa: Option<f64>,
        liquid: &Liquid,
        velocity_m_s: f64,
        length_m: f64,
    ) -> (Option<f64>, Option<f64>) {
        let Some(bulk) = bulk_modulus_pa else {
            return (None, None);
        };
        let density = liquid.density_kg_m3;
        let Ok(speed) = surge::wave_speed_rigid_m_s(bulk, density) else {
            return (None, None);
        };
        let sudden = surge::joukowsky_pa(density, speed, velocity_m_s).ok();
        let closing = self.line.closing_time.and_then(|t| {
            surge::closure_surge_pa(density, speed, velocity_m_s, length_m, t.si()).ok()
        });
        (sudden, closing)
    }
}

/// Regime in one word.
pub fn regime_word(regime: Regime) -> &'static str {
    match regime {
        Regime::Laminar => "laminar",
        Regime::Transition => "transition",
        Regime::Turbulent => "turbulent",
    }
}
