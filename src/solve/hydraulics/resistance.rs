//! What resists the flow in a line: bends, narrow ends, elbows, tanks, and what else the plan names.

use super::Setting;
use crate::hydraulics::bend::bend_loss;
use crate::hydraulics::darcy_weisbach::{Liquid, Straight};
use crate::hydraulics::friction::{Friction, Regime};
use crate::hydraulics::insert::{Insert, insert_loss};
use crate::hydraulics::{HydraulicsError, loss, valve};
use crate::plan::{Carrier, Line, Loss, LossLaw};
use crate::solve::geometry::port;
use crate::source::Sourced;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// What an end fitting or spigot does to the flow.
pub(super) struct EndLoss {
    /// Pressure lost, Pa.
    pub loss_pa: f64,
    /// Velocity in the narrowest bore, m/s.
    pub throat_m_s: f64,
    /// How far the pressure in there lies below that of the line, Pa.
    pub throat_dip_pa: f64,
    /// What could not be counted.
    pub left_out: Option<String>,
}

impl Setting<'_> {
    /// Loss coefficients of the bends from A to B, over their wall friction; none when nothing flows.
    pub(super) fn bend_k(
        &self,
        reynolds: f64,
        friction: Option<Friction>,
        bore_m: f64,
    ) -> Result<Vec<f64>, String> {
        let (Some(friction), Some(geometry)) = (friction, self.geometry) else {
            return Ok(Vec::new());
        };
        let bends = geometry.route.bends.iter().map(|bend| {
            let radius_m = bend.radius_mm * 1e-3;
            bend_loss(reynolds, friction.factor, bend.angle_rad, radius_m, bore_m)
                .map_err(|e| format!("{}: {e}", bend.place))
        });
        bends.collect()
    }

    pub(super) fn end_loss(
        &self,
        end: usize,
        run: &Straight,
        liquid: &Liquid,
    ) -> Result<EndLoss, String> {
        let velocity =
            self.duty.flow.si() / (core::f64::consts::FRAC_PI_4 * run.bore_m * run.bore_m);
        let mut result =
            EndLoss { loss_pa: 0.0, throat_m_s: velocity, throat_dip_pa: 0.0, left_out: None };
        let name = if end == 0 { "end A" } else { "end B" };
        let known_bore_m = self.end_bore_m(end);
        let bare_tube =
            matches!(self.line.carrier, Carrier::Tube(_)) && self.line.ends[end].is_none();
        if known_bore_m.is_none() && !bare_tube {
            result.left_out = Some(format!("the bore of {name} is not known"));
        }
        let bore_m = known_bore_m.unwrap_or(run.bore_m).min(run.bore_m);
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
        result.loss_pa += self.elbow_pa(end, bore_m, liquid)?;
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
    pub(super) fn other_pa(&self, liquid: &Liquid, at_b: Option<bool>) -> Result<f64, String> {
        let mut sum = 0.0;
        for extra in self.line.losses.iter().filter(|l| at_b.is_none_or(|b| b == l.at_b)) {
            sum += extra_pa(extra, self.duty.flow.si(), liquid.density_kg_m3)
                .map_err(|e| format!("{}: {e}", extra.what))?;
        }
        Ok(sum)
    }

    pub(super) fn is_tank(&self, end: usize) -> bool {
        let reference = if end == 0 { &self.line.from } else { &self.line.to };
        self.plan.port(reference).0.kind == "tank"
    }

    /// Sharp-edged entrance out of a tank, and the whole motion of the fluid lost into one.
    pub(super) fn tank_k(&self, regime: Regime) -> Result<f64, String> {
        let entrance =
            if self.is_tank(0) { loss::entrance_k(0.0).map_err(|e| e.to_string())? } else { 0.0 };
        Ok(entrance + if self.is_tank(1) { loss::exit_k(regime) } else { 0.0 })
    }

    /// Velocity heads that a still tank at A must provide, less those that rest in a tank at B.
    pub(super) fn motion(&self, regime: Regime) -> f64 {
        let still = |end| if self.is_tank(end) { loss::exit_k(regime) } else { 0.0 };
        still(0) - still(1)
    }
}

/// Loss of an extra resistance, Pa.
fn extra_pa(extra: &Loss, flow_m3_s: f64, density_kg_m3: f64) -> Result<f64, String> {
    let text = |e: HydraulicsError| e.to_string();
    match extra.law {
        LossLaw::Coefficient { k, bore } => {
            let area = core::f64::consts::FRAC_PI_4 * bore.si() * bore.si();
            loss::loss_pa(k, density_kg_m3, flow_m3_s / area).map_err(text)
        }
        LossLaw::Valve(kv) => valve::kv_drop_pa(kv.si(), flow_m3_s, density_kg_m3).map_err(text),
        LossLaw::Measured { drop, at, linear } => {
            let ratio = flow_m3_s / at.si();
            let lost = drop.si() * if linear { ratio } else { ratio * ratio.abs() };
            if lost.is_finite() {
                Ok(lost)
            } else {
                Err("the loss is too large for a number".into())
            }
        }
    }
}

/// Roughness of the bore of a line.
pub(super) fn line_roughness(tables: &Tables, line: &Line) -> Result<Sourced<Length>, String> {
    let surface = match &line.carrier {
        Carrier::Hose(hose) => hose.surface.as_ref(),
        Carrier::Tube(tube) => tube.surface.as_ref(),
    };
    let surface =
        surface.ok_or("the surface of the bore, a row of the roughness table, is not known")?;
    roughness(tables, &surface.value)
        .ok_or_else(|| format!("the roughness of \"{}\" is not in the table", surface.value))
}

/// Roughness of a surface: the typical value, or the highest where none is typical.
pub fn roughness(tables: &Tables, surface: &str) -> Option<Sourced<Length>> {
    let table = tables.get("roughness", "bores")?;
    let row = table.row(&[("surface", surface)])?;
    table.quantity(row, "typical").or_else(|| table.quantity(row, "high"))
}
