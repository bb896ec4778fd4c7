//! Flow, loss and pressure of each line at its stated duty, in every case.

use super::fluid::{State, state};
use super::geometry::{GeometryFacts, port};
use super::{CaseFacts, bore_mm};
use crate::hydraulics::bend::bend_loss;
use crate::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use crate::hydraulics::friction::{Friction, Regime};
use crate::hydraulics::insert::{Insert, insert_loss};
use crate::hydraulics::{loss, surge, valve};
use crate::plan::{Anchor, Carrier, Duty, Line, Loss, LossLaw, Plan};
use crate::source::Sourced;
use crate::table::Tables;
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
    /// Fluid set in motion, and not brought to rest again.
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
    /// What was computed, or why nothing could be.
    pub flow: Result<FlowFacts, String>,
}

impl DutyFacts {
    /// Highest pressure in the line, Pa gauge: computed at its ends or stated.
    pub fn highest_gauge_pa(&self) -> Option<f64> {
        let computed = self.flow.as_ref().ok().and_then(|f| f.pressures.as_ref());
        let computed = computed.map(|p| p.from_pa.max(p.to_pa) - self.ambient_pa);
        match (computed, self.stated_max_pa) {
            (Some(c), Some(s)) => Some(c.max(s)),
            (c, s) => c.or(s),
        }
    }
}

/// The duties of a line, one for each case that it has a duty in.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    cases: &[CaseFacts],
    line: &Line,
    geometry: Option<&GeometryFacts>,
) -> Vec<DutyFacts> {
    let duty_of = |case: usize| {
        let own = line.duties.iter().find(|d| d.case == Some(case));
        own.or_else(|| line.duties.iter().find(|d| d.case.is_none()))
    };
    let fluid = &plan.fluids[line.fluid].fluid;
    // Most cases share one temperature, and so one state of the fluid.
    let mut states: Vec<(Temperature, Result<State, String>)> = Vec::new();
    cases
        .iter()
        .enumerate()
        .filter_map(|(index, case)| {
            let duty = duty_of(index)?;
            if states.iter().all(|(t, _)| *t != duty.temperature) {
                states.push((duty.temperature, state(fluid, duty.temperature)));
            }
            let (_, state) = states.iter().find(|(t, _)| *t == duty.temperature)?;
            let setting = Setting { plan, tables, line, geometry, case, duty, state };
            Some(DutyFacts {
                case: index,
                flow_m3_s: duty.flow.si(),
                temperature_k: duty.temperature.si(),
                ambient_pa: case.ambient_pa,
                stated_max_pa: highest_stated_pa(duty),
                flow: setting.flow(),
            })
        })
        .collect()
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
    case: &'s CaseFacts,
    duty: &'s Duty,
    state: &'s Result<State, String>,
}

/// Where the lowest pressure is.
enum LowestAt {
    End,
    EndBore(&'static str),
    Station(f64),
}

impl LowestAt {
    fn words(&self) -> String {
        match self {
            Self::End => "an end".to_owned(),
            Self::EndBore(end) => format!("the narrow bore of end {end}"),
            Self::Station(mm) => format!("{mm:.0} mm from end A"),
        }
    }
}

/// What an end fitting or spigot does to the flow.
struct EndLoss {
    loss_pa: f64,
    throat_m_s: f64,
    throat_dip_pa: f64,
    left_out: Option<String>,
}

impl Setting<'_> {
    fn flow(&self) -> Result<FlowFacts, String> {
        let geometry =
            self.geometry.ok_or("there is no route, so no length to lose pressure over")?;
        let plan_fluid = &self.plan.fluids[self.line.fluid].fluid;
        let state = self.state.as_ref().map_err(Clone::clone)?;
        let bore_m = bore_mm(self.line).ok_or("the bore is not known")?.value * 1e-3;
        let liquid =
            Liquid { density_kg_m3: state.density_kg_m3, viscosity_pa_s: state.viscosity_pa_s };
        let run = Straight {
            bore_m,
            length_m: geometry.route.length_mm * 1e-3,
            roughness_m: self.roughness_m()?,
            loss_sum: 0.0,
        };
        let flow = self.duty.flow.si();
        let straight = straight_loss(&run, &liquid, flow).map_err(|e| e.to_string())?;
        let ends = [self.end_loss(0, &run, &liquid)?, self.end_loss(1, &run, &liquid)?];
        let head_pa = 0.5 * liquid.density_kg_m3 * straight.velocity_m_s * straight.velocity_m_s;
        let losses = Losses {
            wall_pa: straight.friction_pa,
            bends_pa: self.bend_k(straight.reynolds, straight.friction, bore_m)? * head_pa,
            ends_pa: ends[0].loss_pa + ends[1].loss_pa,
            other_pa: self.other_pa(&liquid, None)?,
            tank_pa: self.tank_k()? * head_pa,
            motion_pa: self.motion() * head_pa,
            lift_pa: liquid.density_kg_m3 * GRAVITY_M_S2 * self.rise_m(1.0)?,
        };
        let left_out = ends.iter().filter_map(|e| e.left_out.clone()).collect();
        let throat_m_s = ends.iter().map(|e| e.throat_m_s).fold(straight.velocity_m_s, f64::max);
        let pressures = self.pressures(&losses, &liquid, &ends, head_pa)?;
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
            losses,
            pressures,
            vapour_pa: state.vapour_pa,
            density_kg_m3: state.density_kg_m3,
            kinematic_m2_s: state.viscosity_pa_s / state.density_kg_m3,
            surge_pa,
            closing_surge_pa,
            left_out,
        })
    }

    fn roughness_m(&self) -> Result<f64, String> {
        let surface = match &self.line.carrier {
            Carrier::Hose(hose) => hose.surface.as_ref(),
            Carrier::Tube(tube) => tube.surface.as_ref(),
        };
        let surface =
            surface.ok_or("the surface of the bore, a row of the roughness table, is not known")?;
        roughness(self.tables, &surface.value)
            .map(|r| r.value.si())
            .ok_or_else(|| format!("the roughness of \"{}\" is not in the table", surface.value))
    }

    fn bend_k(
        &self,
        reynolds: f64,
        friction: Option<Friction>,
        bore_m: f64,
    ) -> Result<f64, String> {
        let (Some(friction), Some(geometry)) = (friction, self.geometry) else {
            return Ok(0.0);
        };
        let mut sum = 0.0;
        for bend in &geometry.route.bends {
            let radius_m = bend.radius_mm * 1e-3;
            sum += bend_loss(reynolds, friction.factor, bend.angle_rad, radius_m, bore_m)
                .map_err(|e| format!("{}: {e}", bend.place))?;
        }
        Ok(sum)
    }

    fn end_loss(&self, end: usize, run: &Straight, liquid: &Liquid) -> Result<EndLoss, String> {
        let velocity =
            self.duty.flow.si() / (core::f64::consts::FRAC_PI_4 * run.bore_m * run.bore_m);
        let mut result =
            EndLoss { loss_pa: 0.0, throat_m_s: velocity, throat_dip_pa: 0.0, left_out: None };
        let name = if end == 0 { "end A" } else { "end B" };
        let Some(bore_m) = self.end_bore_m(end) else {
            if matches!(self.line.carrier, Carrier::Hose(_)) {
                result.left_out = Some(format!("the bore of {name} is not known"));
            }
            return Ok(result);
        };
        let cut_off = self.geometry.and_then(|g| g.cut_off_mm[end]).unwrap_or(0.0);
        if bore_m < run.bore_m {
            let insert = Insert {
                hose_bore_m: run.bore_m,
                bore_m,
                length_m: cut_off.abs() * 1e-3,
                roughness_m: run.roughness_m,
            };
            let lost = insert_loss(&insert, liquid, self.duty.flow.si())
                .map_err(|e| format!("{name}: {e}"))?;
            result.loss_pa = lost.drop_pa;
            result.throat_m_s = lost.throat_velocity_m_s;
            result.throat_dip_pa = lost.throat_dip_pa;
        }
        result.loss_pa += self.elbow_pa(end, bore_m.min(run.bore_m), liquid)?;
        Ok(result)
    }

    fn end_bore_m(&self, end: usize) -> Option<f64> {
        let port = port(self.plan, self.line, end);
        let fitting = self.line.ends[end].as_ref().and_then(|e| e.bore.as_ref()).map(|b| b.value);
        let carrier = match &self.line.carrier {
            Carrier::Hose(hose) => hose.end_bore.as_ref().map(|b| b.value),
            Carrier::Tube(tube) => tube.end_bore.as_ref().map(|b| b.value),
        };
        let carrier = if port.end.is_spigot() { None } else { carrier };
        let known: Vec<f64> =
            [port.end.bore, fitting, carrier].iter().flatten().map(|b: &Length| b.si()).collect();
        known.into_iter().reduce(f64::min)
    }

    /// Loss of the elbow of an angled end, Pa.
    fn elbow_pa(&self, end: usize, bore_m: f64, liquid: &Liquid) -> Result<f64, String> {
        let angle = self.line.ends[end].as_ref().map_or(0.0, |e| e.angle.si());
        if angle < 1e-9 || self.duty.flow.si() == 0.0 {
            return Ok(0.0);
        }
        let what = if angle > 1.0 { "elbow-90" } else { "elbow-45" };
        let constants = || {
            let table = self.tables.get("loss", "fittings")?;
            let row = table.row(&[("what", what)])?;
            Some((table.number(row, "k1")?.value, table.number(row, "k_infinity")?.value))
        };
        let (k1, k_infinity) = constants().ok_or("the loss of elbows is not in the tables")?;
        let velocity = self.duty.flow.si() / (core::f64::consts::FRAC_PI_4 * bore_m * bore_m);
        let reynolds = velocity * bore_m * liquid.density_kg_m3 / liquid.viscosity_pa_s;
        let k =
            loss::two_k(k1, k_infinity, reynolds, bore_m / 0.0254).map_err(|e| e.to_string())?;
        loss::loss_pa(k, liquid.density_kg_m3, velocity).map_err(|e| e.to_string())
    }

    /// Loss of the extra resistances, all of them or those at one end only, Pa.
    fn other_pa(&self, liquid: &Liquid, at_b: Option<bool>) -> Result<f64, String> {
        let mut sum = 0.0;
        for extra in self.line.losses.iter().filter(|l| at_b.is_none_or(|b| b == l.at_b)) {
            sum += extra_pa(extra, self.duty.flow.si(), liquid.density_kg_m3)
                .map_err(|e| format!("{}: {e}", extra.what))?;
        }
        Ok(sum)
    }

    fn is_tank(&self, end: usize) -> bool {
        let reference = if end == 0 { &self.line.from } else { &self.line.to };
        self.plan.port(reference).0.kind == "tank"
    }

    /// Sharp-edged entrance out of a tank, and the whole velocity head lost into one.
    fn tank_k(&self) -> Result<f64, String> {
        let entrance =
            if self.is_tank(0) { loss::entrance_k(0.0).map_err(|e| e.to_string())? } else { 0.0 };
        Ok(entrance + if self.is_tank(1) { 1.0 } else { 0.0 })
    }

    /// Velocity heads that a still tank at A must provide; none at B, where they are lost.
    fn motion(&self) -> f64 {
        if self.is_tank(0) { 1.0 } else { 0.0 }
    }

    /// Height of a share of the path over end A, m.
    fn rise_m(&self, share: f64) -> Result<f64, String> {
        let route = &self.geometry.ok_or("there is no route")?.route;
        let (a, b) = (port(self.plan, self.line, 0), port(self.plan, self.line, 1));
        let end = if share >= 1.0 {
            b.at_mm
        } else {
            let p = route.path.point_at(route.length_mm * share).map_err(|e| e.to_string())?;
            [p.x, p.y, p.z]
        };
        let up = self.case.up;
        Ok((0..3).map(|i| (end[i] - a.at_mm[i]) * up[i]).sum::<f64>() * 1e-3)
    }

    fn pressures(
        &self,
        losses: &Losses,
        liquid: &Liquid,
        ends: &[EndLoss; 2],
        head_pa: f64,
    ) -> Result<Option<Pressures>, String> {
        let all_pa = losses.drop_pa() + losses.motion_pa + losses.lift_pa;
        let from_pa = match self.duty.anchor {
            Anchor::From(p) => p.si() + self.case.ambient_pa,
            Anchor::To(p) => p.si() + self.case.ambient_pa + all_pa,
            Anchor::None => return Ok(None),
        };
        // The velocity head that is lost into a tank is not missing inside the line.
        let exit_pa = if self.is_tank(1) { head_pa } else { 0.0 };
        let to_pa = from_pa - all_pa;
        let inside_pa = from_pa - (losses.tank_pa - exit_pa) - losses.motion_pa;
        let first_pa = inside_pa - ends[0].loss_pa - self.other_pa(liquid, Some(false))?;
        let last_pa = to_pa + ends[1].loss_pa;
        let throats = [
            (inside_pa - ends[0].throat_dip_pa - ends[0].loss_pa, LowestAt::EndBore("A")),
            (last_pa - ends[1].throat_dip_pa - ends[1].loss_pa, LowestAt::EndBore("B")),
        ];
        let mut lowest = (from_pa.min(to_pa), LowestAt::End);
        let along = self.along(first_pa, losses, liquid)?;
        for (pressure, place) in throats.into_iter().chain(along) {
            // The last bit must not move the place.
            if pressure < lowest.0 - 1e-9 {
                lowest = (pressure, place);
            }
        }
        let (lowest_pa, place) = lowest;
        Ok(Some(Pressures { from_pa, to_pa, lowest_pa, lowest_at: place.words() }))
    }

    /// Pressure, Pa, along the path behind everything that sits at end A.
    fn along(
        &self,
        first_pa: f64,
        losses: &Losses,
        liquid: &Liquid,
    ) -> Result<Vec<(f64, LowestAt)>, String> {
        let length_mm = self.geometry.map_or(0.0, |g| g.route.length_mm);
        let mut list = Vec::new();
        for share in self.shares() {
            let lost = (losses.wall_pa + losses.bends_pa) * share;
            let lift = liquid.density_kg_m3 * GRAVITY_M_S2 * self.rise_m(share)?;
            list.push((first_pa - lost - lift, LowestAt::Station(share * length_mm)));
        }
        Ok(list)
    }

    /// Shares of the path where the pressure is looked at. Along a straight it changes evenly, so
    /// that its lowest place is an end of a piece, the middle of a bend, or a turning point of height.
    fn shares(&self) -> Vec<f64> {
        let Some(geometry) = self.geometry else { return Vec::new() };
        let stations = geometry.route.path.stations().map(|(begins_mm, _)| begins_mm);
        let bends = geometry.bends.iter().map(|b| b.station_mm);
        let extremes = geometry.extremes.iter().map(|e| e.station_mm);
        let all = stations.chain(bends).chain(extremes);
        all.map(|mm| mm / geometry.route.length_mm).filter(|s| *s < 1.0).collect()
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

/// Loss of an extra resistance, Pa.
fn extra_pa(extra: &Loss, flow_m3_s: f64, density_kg_m3: f64) -> Result<f64, String> {
    let text = |e: crate::hydraulics::HydraulicsError| e.to_string();
    match extra.law {
        LossLaw::Coefficient { k, bore } => {
            let area = core::f64::consts::FRAC_PI_4 * bore.si() * bore.si();
            loss::loss_pa(k, density_kg_m3, flow_m3_s / area).map_err(text)
        }
        LossLaw::Valve(kv) => valve::kv_drop_pa(kv.si(), flow_m3_s, density_kg_m3).map_err(text),
        LossLaw::Measured { drop, at, linear } => {
            let ratio = flow_m3_s / at.si();
            Ok(drop.si() * if linear { ratio } else { ratio * ratio.abs() })
        }
    }
}

/// Roughness of a surface: the typical value, or the highest where none is typical.
pub fn roughness(tables: &Tables, surface: &str) -> Option<Sourced<Length>> {
    let table = tables.get("roughness", "bores")?;
    let row = table.row(&[("surface", surface)])?;
    table.quantity(row, "typical").or_else(|| table.quantity(row, "high"))
}

/// Regime in one word.
pub fn regime_word(regime: Regime) -> &'static str {
    match regime {
        Regime::Laminar => "laminar",
        Regime::Transition => "transition",
        Regime::Turbulent => "turbulent",
    }
}
