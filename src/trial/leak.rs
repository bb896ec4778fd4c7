//! The leak test with air: the pressure or vacuum for each line, what a leak would do to the gauge, and what a reading
//! means.

mod allowed;
mod result;

use crate::check::deferred::{Deferred, deferred};
use crate::finding::Verdict;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::leak::hole::mass_flux_kg_m2_s;
use crate::hydraulics::leak::{WaitRule, wait_s};
use crate::plan::{Line, Plan};
use crate::solve::closed::{air, closed};
use crate::solve::fluid::state;
use crate::solve::hydraulics::DutyFacts;
use crate::solve::{Facts, GRAVITY_M_S2, LineFacts, geometry};
use crate::source::Sourced;
use crate::table::{Tables, limit};
use crate::units::{GaugePressure, PressureDifference, Quantity, Ratio, Temperature, Time, Volume};

use super::reading::{Instruments, Reading};
pub use allowed::{Allowed, Loss};
pub use result::{Hole, InService, LeakResult, Through};

/// Row of limit/regulation that says at which pressure a fuel system is tested with air.
const BOAT_RULE: &str = "33-183.542";

/// What the builder asks for.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Temperature of the test.
    pub temperature: Temperature,
    /// Instruments and their errors.
    pub instruments: Instruments,
    /// What was read.
    pub measured: Vec<Reading>,
}

/// The leak tests of a machine.
#[derive(Debug)]
pub struct LeakTrial {
    /// Every line, in the order of the plan.
    pub rows: Vec<LeakRow>,
    /// How long the system stands at one temperature before.
    pub settle: Option<Sourced<Time>>,
    /// The highest pressure with gas.
    pub gas_most: Sourced<f64>,
    /// Share of air before a pump that is no longer small.
    pub air_most: Sourced<f64>,
    /// Coefficient of discharge of a hole.
    pub discharge: Sourced<f64>,
    /// Temperature of the test.
    pub temperature: Temperature,
    /// What was read, judged.
    pub results: Vec<LeakResult>,
}

/// A line and its leak tests.
#[derive(Debug)]
pub struct LeakRow {
    /// Index of the line.
    pub line: usize,
    /// Left to others; no test is planned then.
    pub deferred: Vec<Deferred>,
    /// The test with pressure; why there is none.
    pub pressure: Result<PressureTest, String>,
    /// The test with vacuum, for a line that works below the pressure of the air.
    pub vacuum: Option<VacuumTest>,
    /// Room in the line, m3.
    pub volume_m3: Option<f64>,
    /// Time between both readings, with the tanks at its ends, s.
    pub wait_s: f64,
}

/// A leak test under pressure.
#[derive(Clone, Debug)]
pub struct PressureTest {
    /// Test pressure, Pa gauge.
    pub pressure: Sourced<f64>,
    /// Height of liquid that could stand over the lowest place, as a pressure, Pa; none where density or attitude is not known.
    pub head_pa: Option<f64>,
}

/// A leak test under vacuum.
#[derive(Clone, Debug)]
pub struct VacuumTest {
    /// Below the pressure of the air, Pa: the deepest suction of all cases.
    pub depth_pa: f64,
    /// The case.
    pub case: usize,
    /// What the line stands; none for a rigid tube.
    pub stands: Option<Sourced<f64>>,
    /// Whether it stands that.
    pub verdict: Verdict,
    /// By how much the pressure rises in the time to wait if so much air comes in as is no longer small, Pa.
    pub rise_pa: Option<f64>,
}

impl LeakTrial {
    /// The worst verdict of tests and readings.
    pub fn worst(&self) -> Verdict {
        let rows = self.rows.iter().map(LeakRow::verdict);
        rows.chain(self.results.iter().map(|r| r.verdict)).max().unwrap_or(Verdict::Ok)
    }
}

impl LeakRow {
    /// Whether the line may be tested as planned; a line that is left to others fails.
    pub fn verdict(&self) -> Verdict {
        if !self.deferred.is_empty() {
            return Verdict::Fail;
        }
        self.vacuum.as_ref().map_or(Verdict::Ok, |v| v.verdict)
    }
}

/// Plans the leak tests of a machine and judges what was read.
///
/// # Errors
/// In words: a line that is not there; readings that cannot be; a rule that the tables lack.
pub fn leak(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    asked: &Asked,
) -> Result<LeakTrial, String> {
    let lacks = |rule: &str| format!("limit/test has no rule {rule}");
    let gas_most = limit::test::<GaugePressure>(tables, "gas-most")
        .ok_or_else(|| lacks("gas-most"))?
        .map(Quantity::si);
    let air_most = limit::test::<Ratio>(tables, "suction-air-most")
        .ok_or_else(|| lacks("suction-air-most"))?
        .map(Quantity::si);
    let discharge =
        limit::test_number(tables, "hole-discharge").ok_or_else(|| lacks("hole-discharge"))?;
    let wait = wait_rule(tables).ok_or_else(|| lacks("wait-least"))?;
    let stops = deferred(plan, facts, tables);
    let mut rows = Vec::new();
    for (index, (line, own)) in plan.lines.iter().zip(&facts.lines).enumerate() {
        let mine: Vec<Deferred> = stops.iter().filter(|d| d.line == index).cloned().collect();
        let planner = Planner {
            plan,
            tables,
            asked,
            line,
            own,
            gas_most: &gas_most,
            air_most: air_most.value,
        };
        rows.push(planner.row(index, mine, &wait)?);
    }
    let mut trial = LeakTrial {
        rows,
        settle: limit::test(tables, "settle"),
        gas_most,
        air_most,
        discharge,
        temperature: asked.temperature,
        results: Vec::new(),
    };
    for reading in &asked.measured {
        let result = result::judge(plan, facts, tables, asked, &trial, reading)?;
        trial.results.push(result);
    }
    Ok(trial)
}

fn wait_rule(tables: &Tables) -> Option<WaitRule> {
    let time = |rule: &str| limit::test::<Time>(tables, rule).map(|t| t.value.si());
    let volume = |rule: &str| limit::test::<Volume>(tables, rule).map(|v| v.value.si());
    Some(WaitRule {
        least_s: time("wait-least")?,
        above_m3: volume("wait-above")?,
        step_m3: volume("wait-step")?,
        each_s: time("wait-each")?,
    })
}

struct Planner<'p> {
    plan: &'p Plan,
    tables: &'p Tables,
    asked: &'p Asked,
    line: &'p Line,
    own: &'p LineFacts,
    gas_most: &'p Sourced<f64>,
    air_most: f64,
}

impl Planner<'_> {
    fn row(
        &self,
        index: usize,
        deferred: Vec<Deferred>,
        wait: &WaitRule,
    ) -> Result<LeakRow, String> {
        let capacity = [self.line.from, self.line.to]
            .iter()
            .filter_map(|p| self.plan.components[p.component].tank.as_ref()?.capacity)
            .map(Quantity::si)
            .sum::<f64>();
        let wait_s = wait_s(wait, capacity).map_err(|e| e.to_string())?;
        let volume_m3 = closed(self.tables, self.line, self.own).ok().map(|c| c.volume_m3);
        let stopped = !deferred.is_empty();
        let vacuum = if stopped { None } else { self.vacuum(volume_m3, wait_s) };
        let pressure = if stopped { Err("left to others".into()) } else { self.pressure() };
        Ok(LeakRow { line: index, deferred, pressure, vacuum, volume_m3, wait_s })
    }

    /// The boat rule's pressure, within what is planned with gas and what the line is rated for.
    fn pressure(&self) -> Result<PressureTest, String> {
        let rule = limit::regulation::<GaugePressure>(self.tables, BOAT_RULE);
        let (least, factor) = rule.ok_or_else(|| format!("limit/regulation has no {BOAT_RULE}"))?;
        let head_pa = self.head_pa();
        let by_head = factor.zip(head_pa).map_or(0.0, |(f, head)| f.value * head);
        let wanted = least.value.si().max(by_head);
        if wanted > self.gas_most.value {
            return Err(format!(
                "the head of its liquid asks for {:.2} bar, more than is planned with gas ({:.2} bar): test it with liquid",
                wanted / 1e5,
                self.gas_most.value / 1e5
            ));
        }
        if let Some(rated) =
            self.own.rating.derated_pa().or_else(|| self.own.rating.rated_pa.clone())
            && rated.value < wanted
        {
            return Err(format!(
                "it is rated for {:.2} bar only, less than the {:.2} bar of the test",
                rated.value / 1e5,
                wanted / 1e5
            ));
        }
        Ok(PressureTest { pressure: Sourced::new(wanted, least.cite), head_pa })
    }

    /// What liquid up to the highest port of the plan would press with at the lowest place of the line: at least as much
    /// as the overflow does.
    fn head_pa(&self) -> Option<f64> {
        let up = geometry::up(&self.plan.axes, 0.0, 0.0)?;
        let height = |at: &[f64; 3]| at.iter().zip(up).map(|(a, u)| a * u).sum::<f64>();
        let own_ports = [self.line.from, self.line.to].map(|p| self.plan.port(&p).1.at_mm);
        let clips = self.line.clips.iter().map(|c| c.at_mm);
        let lowest = own_ports.into_iter().chain(clips).map(|p| height(&p)).reduce(f64::min)?;
        let same = self.plan.lines.iter().filter(|l| l.fluid == self.line.fluid);
        let ports = same.flat_map(|l| [l.from, l.to]).map(|p| self.plan.port(&p).1.at_mm);
        let highest = ports.map(|p| height(&p)).reduce(f64::max)?;
        let fluid = &self.plan.fluids[self.line.fluid].fluid;
        let density = state(fluid, self.asked.temperature).ok()?.density_kg_m3;
        Some(density * GRAVITY_M_S2 * (highest - lowest).max(0.0) / 1e3)
    }

    fn vacuum(&self, volume_m3: Option<f64>, wait_s: f64) -> Option<VacuumTest> {
        let fluid = &self.plan.fluids[self.line.fluid].fluid;
        let counts = limit::installation::<PressureDifference>(self.tables, "vacuum-least")?;
        let duty = deepest(self.own).filter(|_| !fluid.gas)?;
        let depth_pa = depth_pa(duty)?;
        if depth_pa <= counts.value.si() {
            return None;
        }
        let stands = self.own.rating.vacuum_pa.clone();
        let verdict = match &stands {
            Some(stands) if depth_pa > stands.value => Verdict::Fail,
            None if !self.own.rating.rigid => Verdict::Open,
            _ => Verdict::Ok,
        };
        let rise_pa = volume_m3.and_then(|v| self.rise_pa(duty, depth_pa, v, wait_s));
        Some(VacuumTest { depth_pa, case: duty.case, stands, verdict, rise_pa })
    }

    /// What a leak that lets in as much air as is no longer small does to the vacuum.
    fn rise_pa(&self, duty: &DutyFacts, depth_pa: f64, volume_m3: f64, wait_s: f64) -> Option<f64> {
        let kelvin = self.asked.temperature.si();
        let gas = air(self.tables, kelvin).ok()?;
        let rt = gas.constant_j_kg_k * kelvin;
        let inside = duty.ambient_pa - depth_pa;
        let liquid = duty.flow_m3_s.abs();
        let mass = self.air_most / (1.0 - self.air_most) * liquid * inside / rt;
        let flux = |before: f64, behind: f64| mass_flux_kg_m2_s(&gas, before, kelvin, behind).ok();
        let jet = mass / flux(duty.ambient_pa, inside)?;
        let outside = self.asked.instruments.air.si();
        let start = outside - depth_pa;
        let room = volume_m3 + self.asked.instruments.rig.si();
        let rate = jet * flux(outside, start)? * rt / room;
        Some((rate * wait_s).min(depth_pa)).filter(|rise| *rise > 0.0)
    }
}

/// Pressure below the air, Pa, at the lowest place of a duty.
fn depth_pa(duty: &DutyFacts) -> Option<f64> {
    let pressures = duty.flow.as_ref().ok()?.pressures.as_ref()?;
    (pressures.lowest_pa > 0.0).then_some(duty.ambient_pa - pressures.lowest_pa)
}

/// The duty of a line with its deepest suction.
fn deepest(own: &LineFacts) -> Option<&DutyFacts> {
    let known = own.duties.iter().filter_map(|d| Some((d, depth_pa(d)?)));
    known.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(d, _)| d)
}

fn words(error: HydraulicsError) -> String {
    error.to_string()
}
