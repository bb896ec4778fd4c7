//! A line as its hydraulic run: bends, narrow ends, elbows, tanks, and what else the plan names.

use crate::hydraulics::run::{Elbow, Extra, Run, RunBend, RunEnd};
use crate::plan::{Carrier, Line, Loss, LossLaw, Plan};
use crate::solve::geometry::{GeometryFacts, port};
use crate::source::Sourced;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// A line as its hydraulic run.
#[derive(Debug)]
pub struct LineRun {
    /// The run.
    pub run: Run,
    /// What could not be counted in it.
    pub left_out: Vec<String>,
}

/// The run of a line, through the whole assembly where its length is known.
///
/// # Errors
/// In words: what is missing.
pub fn line_run(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    geometry: Option<&GeometryFacts>,
    assembly_mm: Option<f64>,
    bore: Option<&Sourced<f64>>,
) -> Result<LineRun, String> {
    let geometry = geometry.ok_or("there is no route, so no length to lose pressure over")?;
    let bore_m = bore.ok_or("the bore is not known")?.value * 1e-3;
    let mut left_out = Vec::new();
    let maker = Ends { plan, tables, line, geometry, bore_m };
    let ends = [maker.end(0, &mut left_out)?, maker.end(1, &mut left_out)?];
    let bends = geometry.route.bends.iter();
    let run = Run {
        bore_m,
        length_m: assembly_mm.unwrap_or(geometry.route.length_mm) * 1e-3,
        roughness_m: line_roughness(tables, line)?.value.si(),
        bends: bends
            .map(|b| RunBend { angle_rad: b.angle_rad, radius_m: b.radius_mm * 1e-3 })
            .collect(),
        ends,
        extras: line.losses.iter().map(|l| (extra(l), l.at_b)).collect(),
    };
    Ok(LineRun { run, left_out })
}

struct Ends<'e> {
    plan: &'e Plan,
    tables: &'e Tables,
    line: &'e Line,
    geometry: &'e GeometryFacts,
    bore_m: f64,
}

impl Ends<'_> {
    fn end(&self, end: usize, left_out: &mut Vec<String>) -> Result<RunEnd, String> {
        let known_bore_m = self.known_bore_m(end);
        let bare_tube =
            matches!(self.line.carrier, Carrier::Tube(_)) && self.line.ends[end].is_none();
        if known_bore_m.is_none() && !bare_tube {
            let name = if end == 0 { "end A" } else { "end B" };
            left_out.push(format!("the bore of {name} is not known"));
        }
        let bore_m = known_bore_m.unwrap_or(self.bore_m).min(self.bore_m);
        let length_m = self.geometry.cut_off_mm[end].unwrap_or(0.0).abs() * 1e-3;
        Ok(RunEnd {
            narrow_m: (bore_m < self.bore_m).then_some((bore_m, length_m)),
            elbow: self.elbow(end, bore_m)?,
            still: is_tank(self.plan, self.line, end),
        })
    }

    fn known_bore_m(&self, end: usize) -> Option<f64> {
        let port = port(self.plan, self.line, end);
        let fitting = self.line.ends[end].as_ref().and_then(|e| e.bore.as_ref()).map(|b| b.value);
        let carrier = match &self.line.carrier {
            Carrier::Hose(hose) => hose.end_bore.as_ref().map(|b| b.value),
            Carrier::Tube(tube) => tube.end_bore.as_ref().map(|b| b.value),
        };
        let carrier = if port.end.is_spigot() { None } else { carrier };
        let known = [port.end.bore, fitting, carrier];
        known.iter().flatten().map(|b: &Length| b.si()).reduce(f64::min)
    }

    /// The elbow of an angled end.
    fn elbow(&self, end: usize, bore_m: f64) -> Result<Option<Elbow>, String> {
        let angle = self.line.ends[end].as_ref().map_or(0.0, |e| e.angle.si());
        if angle < 1e-9 {
            return Ok(None);
        }
        let what = if angle > 1.0 { "elbow-90" } else { "elbow-45" };
        let (k1, k_infinity) =
            two_k_row(self.tables, what).ok_or("the loss of elbows is not in the tables")?;
        Ok(Some(Elbow { k1, k_infinity, bore_m }))
    }
}

/// Both constants of a fitting.
pub(in crate::solve) fn two_k_row(tables: &Tables, what: &str) -> Option<(f64, f64)> {
    let table = tables.get("loss", "fittings")?;
    let row = table.row(&[("what", what)])?;
    Some((table.number(row, "k1")?.value, table.number(row, "k_infinity")?.value))
}

/// Whether a line ends in a tank, where the fluid stands still.
pub(super) fn is_tank(plan: &Plan, line: &Line, end: usize) -> bool {
    let reference = if end == 0 { &line.from } else { &line.to };
    plan.port(reference).0.kind == "tank"
}

fn extra(loss: &Loss) -> Extra {
    match loss.law {
        LossLaw::Coefficient { k, bore } => Extra::Coefficient { k, bore_m: bore.si() },
        LossLaw::Valve(kv) => Extra::Valve { kv_m3_h: kv.si() },
        LossLaw::Measured { drop, at, linear } => {
            Extra::Measured { drop_pa: drop.si(), at_m3_s: at.si(), linear }
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
