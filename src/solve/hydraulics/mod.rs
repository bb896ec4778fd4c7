//! Flow, loss and pressure of each line at its stated duty, in every case.

mod profile;
mod resistance;

pub(super) use resistance::two_k_row;
pub use resistance::{LineRun, line_run, roughness};

use super::fluid::{State, state};
use super::geometry::GeometryFacts;
use super::{CaseFacts, bore_mm};
use crate::hydraulics::darcy_weisbach::Liquid;
use crate::hydraulics::friction::{Friction, Regime};
use crate::hydraulics::run::RunLoss;
use crate::hydraulics::surge;
use crate::plan::{Anchor, Duty, Line, Plan};
use crate::source::{Cite, Sourced};
use crate::table::Tables;
use crate::table::fluid::Fluid;
use crate::units::{Length, Quantity, Temperature};

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
    /// The parts of what a run costs; `still` says which of its ends is a tank.
    fn of(lost: &RunLoss, still: [bool; 2], lift_pa: f64) -> Self {
        let given = |end: usize| if still[end] { lost.motion_pa } else { 0.0 };
        Self {
            wall_pa: lost.wall_pa,
            bends_pa: lost.bends_pa.iter().sum(),
            ends_pa: lost.ends[0].loss_pa + lost.ends[1].loss_pa,
            other_pa: lost.extras_pa[0] + lost.extras_pa[1],
            tank_pa: lost.tank_pa,
            motion_pa: given(0) - given(1),
            lift_pa,
        }
    }

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

/// Where a pressure of a line is known, Pa absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// At end A, in the moving fluid.
    From(f64),
    /// At end B, in the moving fluid.
    To(f64),
    /// At end A, with the fluid brought to rest.
    FromAtRest(f64),
    /// Nowhere.
    Nothing,
}

/// What goes through a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Flow from A to B, m3/s.
    pub flow_m3_s: f64,
    /// Temperature.
    pub temperature: Temperature,
    /// A pressure that is known.
    pub known: Known,
}

/// States of fluids that were asked for before: most cases share a few temperatures.
#[derive(Debug, Default)]
pub struct States {
    known: Vec<(usize, Temperature, Result<State, String>)>,
}

impl States {
    /// Vapour pressure of a fluid of the plan, Pa absolute, where it is known.
    pub fn vapour_pa(&mut self, plan: &Plan, fluid: usize, at: Temperature) -> Option<f64> {
        self.of(plan, fluid, at).as_ref().ok()?.vapour_pa
    }

    fn of(&mut self, plan: &Plan, fluid: usize, at: Temperature) -> &Result<State, String> {
        let found = self.known.iter().position(|(f, t, _)| *f == fluid && *t == at);
        let index = found.unwrap_or_else(|| {
            self.known.push((fluid, at, state(&plan.fluids[fluid].fluid, at)));
            self.known.len() - 1
        });
        &self.known[index].2
    }
}

/// A line, ready to be asked what a flow does in it. The fluid runs through the whole assembly, slack
/// included, where its length is known; else along the route.
#[derive(Debug)]
pub struct LineHydraulics<'l> {
    plan: &'l Plan,
    tables: &'l Tables,
    line: &'l Line,
    geometry: Option<&'l GeometryFacts>,
    /// Its hydraulic run, or what is missing for one.
    pub run: Result<LineRun, String>,
    rests_on: Cite,
}

impl<'l> LineHydraulics<'l> {
    /// The hydraulics of a line.
    pub fn new(
        plan: &'l Plan,
        tables: &'l Tables,
        line: &'l Line,
        geometry: Option<&'l GeometryFacts>,
        assembly_mm: Option<f64>,
    ) -> Self {
        let bore = bore_mm(line);
        let roughness = resistance::line_roughness(tables, line).ok();
        let fluid = &plan.fluids[line.fluid].fluid;
        let rests_on = rests_on(line, fluid, bore.as_ref(), roughness.as_ref());
        let run = line_run(plan, tables, line, geometry, assembly_mm, bore.as_ref());
        Self { plan, tables, line, geometry, run, rests_on }
    }

    /// The duty that the plan states for a case, by its index.
    pub fn stated(&self, case: usize) -> Option<&'l Duty> {
        let own = self.line.duties.iter().find(|d| d.case == Some(case));
        own.or_else(|| self.line.duties.iter().find(|d| d.case.is_none()))
    }

    /// What a stated duty does.
    pub fn by_statement(
        &self,
        (index, case): (usize, &CaseFacts),
        duty: &Duty,
        states: &mut States,
    ) -> DutyFacts {
        let known = match duty.anchor {
            Anchor::From(p) => Known::From(p.si() + case.ambient_pa),
            Anchor::To(p) => Known::To(p.si() + case.ambient_pa),
            Anchor::None => Known::Nothing,
        };
        let demand = Demand { flow_m3_s: duty.flow.si(), temperature: duty.temperature, known };
        DutyFacts {
            stated_max_pa: highest_stated_pa(duty),
            maximum_stated: duty.pressure_max.is_some(),
            ..self.by_demand((index, case), &demand, states)
        }
    }

    /// What a demand does.
    pub fn by_demand(
        &self,
        (index, case): (usize, &CaseFacts),
        demand: &Demand,
        states: &mut States,
    ) -> DutyFacts {
        DutyFacts {
            case: index,
            flow_m3_s: demand.flow_m3_s,
            temperature_k: demand.temperature.si(),
            ambient_pa: case.ambient_pa,
            stated_max_pa: None,
            maximum_stated: false,
            flow: self.flow(case, demand, states),
        }
    }

    /// What a flow does.
    ///
    /// # Errors
    /// In words: why it cannot be computed.
    pub fn flow(
        &self,
        case: &CaseFacts,
        demand: &Demand,
        states: &mut States,
    ) -> Result<FlowFacts, String> {
        let state = states.of(self.plan, self.line.fluid, demand.temperature);
        Setting { of: self, case, demand, state }.flow()
    }
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
    of: &'s LineHydraulics<'s>,
    case: &'s CaseFacts,
    demand: &'s Demand,
    state: &'s Result<State, String>,
}

impl Setting<'_> {
    fn flow(&self) -> Result<FlowFacts, String> {
        let LineRun { run, left_out } = self.of.run.as_ref().map_err(Clone::clone)?;
        let plan_fluid = &self.of.plan.fluids[self.of.line.fluid].fluid;
        let state = self.state.as_ref().map_err(Clone::clone)?;
        let liquid = Liquid {
            density_kg_m3: state.density_kg_m3 * self.compression(plan_fluid)?,
            viscosity_pa_s: state.viscosity_pa_s,
        };
        let lost = run.losses(&liquid, self.demand.flow_m3_s).map_err(|e| e.to_string())?;
        let lift_pa = liquid.density_kg_m3 * self.case.gravity_m_s2 * self.rise_m(1.0)?;
        let losses = Losses::of(&lost, run.ends.map(|e| e.still), lift_pa);
        let whole_pa = losses.drop_pa() + losses.motion_pa + losses.lift_pa;
        if !whole_pa.is_finite() {
            return Err("the loss is too large for a number".into());
        }
        let beyond = lost.friction.map_or(0.0, |f| f.high / f.factor - 1.0);
        let throat_m_s = lost.ends[0].throat_m_s.max(lost.ends[1].throat_m_s);
        let pressures = self.pressures(&losses, &lost, &liquid)?;
        if plan_fluid.gas {
            self.refuse_compressed(losses.drop_pa(), pressures.as_ref())?;
        }
        let (surge_pa, closing_surge_pa) =
            self.surge(state.bulk_modulus_pa, &liquid, lost.velocity_m_s.abs(), run.length_m);
        Ok(FlowFacts {
            velocity_m_s: lost.velocity_m_s,
            throat_m_s,
            reynolds: lost.reynolds,
            friction: lost.friction,
            transition_pa: beyond.max(0.0) * (losses.wall_pa + losses.bends_pa),
            losses,
            pressures,
            vapour_pa: state.vapour_pa,
            density_kg_m3: liquid.density_kg_m3,
            kinematic_m2_s: liquid.viscosity_pa_s / liquid.density_kg_m3,
            surge_pa,
            closing_surge_pa,
            left_out: left_out.clone(),
            rests_on: self.of.rests_on.clone(),
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
        let pressure_pa = match self.demand.known {
            Known::From(p) | Known::To(p) | Known::FromAtRest(p) => p,
            Known::Nothing => self.case.ambient_pa,
        };
        let ratio = pressure_pa / at.si();
        if ratio > 0.0 { Ok(ratio) } else { Err("the stated pressure is below a vacuum".into()) }
    }

    fn refuse_compressed(&self, drop_pa: f64, pressures: Option<&Pressures>) -> Result<(), String> {
        let share = crate::table::limit::installation_share(self.of.tables, "gas-drop-most")
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
        let closing = self.of.line.closing_time.and_then(|t| {
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
