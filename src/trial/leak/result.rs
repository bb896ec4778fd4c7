//! What two readings of a leak test mean: the leak, the hole that explains it, and what comes through it in service.

use super::allowed::Loss;
use super::{Asked, LeakTrial, deepest, depth_pa, words};
use crate::check::rating::highest_of;
use crate::finding::Verdict;
use crate::hydraulics::leak::hole::{
    Gas, hole_diameter_m, jet_area_m2, jet_flow_m3_s, mass_flux_kg_m2_s,
};
use crate::hydraulics::leak::passage::{
    passage_flow_m3_s, passage_leak_pa_m3_s, passage_m3_pa_s, passage_of_length,
};
use crate::hydraulics::leak::{
    Banded, GasDecay, GasState, ReadingError, leak_rate_pa_m3_s, pressure_after_pa,
};
use crate::plan::Plan;
use crate::solve::closed::{air, closed};
use crate::solve::hydraulics::DutyFacts;
use crate::solve::{Facts, LineFacts};
use crate::table::Tables;
use crate::trial::reading::Reading;
use crate::units::Quantity;

/// Two readings of a leak test, judged.
#[derive(Debug)]
pub struct LeakResult {
    /// What was read.
    pub reading: Reading,
    /// Indices of the lines.
    pub lines: Vec<usize>,
    /// Room under pressure, m3.
    pub volume_m3: f64,
    /// Pressure at the end if nothing had leaked, Pa gauge.
    pub tight_pa: f64,
    /// The leak in Pa m3/s at the temperature of the test, positive towards the lower pressure.
    pub leak: Banded,
    /// The hole that explains it.
    pub hole: Option<Hole>,
    /// The hole that the errors could hide, or the largest that they allow.
    pub at_most: Option<Hole>,
    /// What comes through either in service.
    pub service: Vec<InService>,
    /// A leak that is sure, against what may leak; none where nothing is sure, or what it means is not known.
    pub loss: Option<Loss>,
    /// Highest pressure with gas that was passed, Pa gauge.
    pub over_pa: Option<f64>,
    /// Whether both readings were closer together than the rule wants, s.
    pub too_short_s: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
}

/// What explains a leak rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Area of the jet, m2.
    pub jet_m2: f64,
    /// Diameter of a sharp round hole, m.
    pub hole_m: f64,
    /// Constant of a thin passage instead, m3/(Pa s).
    pub passage_m3_pa_s: f64,
    /// Bore of a round passage through the wall, m; none where the wall is not known or the law does not hold.
    pub passage_m: Option<f64>,
}

/// What comes through a leak in service.
#[derive(Clone, Debug)]
pub struct InService {
    /// Index of the line.
    pub line: usize,
    /// Index of the case that is worst.
    pub case: usize,
    /// Pressure in the line over that of the air, Pa.
    pub over_air_pa: f64,
    /// What comes through.
    pub through: Through,
}

/// Air in or liquid out; each through a sharp hole and through a thin passage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Through {
    /// Share of air in what arrives at the pump.
    Air([f64; 2]),
    /// Liquid out, m3/s, and as a share of the flow of the line where there is one.
    Liquid([f64; 2], Option<[f64; 2]>),
}

pub(super) struct Bench<'b> {
    pub(super) plan: &'b Plan,
    facts: &'b Facts,
    asked: &'b Asked,
    trial: &'b LeakTrial,
    gas: Gas,
    pub(super) lines: Vec<usize>,
    wall_m: Option<f64>,
    decay: GasDecay,
}

pub(super) fn judge(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    asked: &Asked,
    trial: &LeakTrial,
    reading: &Reading,
) -> Result<LeakResult, String> {
    let bench = Bench::new(plan, facts, tables, asked, trial, reading)?;
    let instruments = &asked.instruments;
    let error = ReadingError {
        pressure_pa: instruments.pressure.si(),
        temperature_k: instruments.temperature.si(),
        volume_share: 0.0,
    };
    let outside = instruments.air.si();
    let vacuum = bench.decay.start.pressure_pa < outside;
    let outwards =
        leak_rate_pa_m3_s(&bench.decay, &error, asked.temperature.si()).map_err(words)?;
    let leak = if vacuum {
        Banded { rate: -outwards.rate, low: -outwards.high, high: -outwards.low }
    } else {
        outwards
    };
    let hole = (leak.low > 0.0).then(|| bench.hole(leak.rate)).flatten();
    let at_most = bench.hole(leak.high);
    let service = hole.or(at_most).map_or_else(Vec::new, |hole| bench.service(&hole));
    let needs_s = bench.lines.iter().map(|l| trial.rows[*l].wait_s).fold(0.0, f64::max);
    let too_short_s = (reading.time.si() < needs_s).then_some(needs_s);
    let over = reading.pressure[0].si();
    let over_pa = (over > trial.gas_most.value * (1.0 + 1e-9)).then_some(trial.gas_most.value);
    let loss = hole.and_then(|_| bench.loss(tables, &service, at_most.as_ref()));
    let hidden = service.iter().any(|s| match s.through {
        Through::Air(shares) => shares.iter().any(|s| *s > trial.air_most.value),
        Through::Liquid(..) => false,
    });
    let unclear = leak.high < 0.0 || too_short_s.is_some() || hidden || at_most.is_none();
    let verdict = match over_pa {
        Some(_) => Verdict::Fail,
        None if unclear => of_leak(&leak, loss.as_ref(), hidden).max(Verdict::Caution),
        None => of_leak(&leak, loss.as_ref(), hidden),
    };
    let tight = pressure_after_pa(&bench.decay.start, bench.decay.end.temperature_k);
    Ok(LeakResult {
        reading: reading.clone(),
        volume_m3: bench.decay.volume_m3,
        tight_pa: tight.map_err(words)? - outside,
        lines: bench.lines,
        leak,
        hole,
        at_most,
        service,
        loss,
        over_pa,
        too_short_s,
        verdict,
    })
}

/// The verdict on the leak alone; `drawn` where air that comes in is no longer small.
fn of_leak(leak: &Banded, loss: Option<&Loss>, drawn: bool) -> Verdict {
    if leak.low > 0.0 {
        loss.map_or(Verdict::Fail, |loss| loss.verdict(drawn))
    } else {
        Verdict::Ok
    }
}

impl<'b> Bench<'b> {
    fn new(
        plan: &'b Plan,
        facts: &'b Facts,
        tables: &Tables,
        asked: &'b Asked,
        trial: &'b LeakTrial,
        reading: &Reading,
    ) -> Result<Self, String> {
        let lines = reading.indices(plan)?;
        let mut volume_m3 = asked.instruments.rig.si();
        let mut wall_m: Option<f64> = None;
        for index in &lines {
            let line = &plan.lines[*index];
            if !trial.rows[*index].deferred.is_empty() {
                return Err(format!("line {} is left to others: no test of it is judged", line.id));
            }
            let room = closed(tables, line, &facts.lines[*index])
                .map_err(|why| format!("line {}: {why}", line.id))?;
            volume_m3 += room.volume_m3;
            // The thinnest wall: the shortest way through.
            wall_m = [wall_m, room.wall_m].into_iter().flatten().reduce(f64::min);
        }
        let ([p1, p2], [t1, t2]) = (reading.absolute_pa(asked.instruments.air), reading.kelvin());
        let gas = air(tables, t1)?;
        let state = |pressure_pa, temperature_k| GasState { pressure_pa, temperature_k };
        let decay = GasDecay {
            volume_m3,
            start: state(p1, t1),
            end: state(p2, t2),
            time_s: reading.time.si(),
        };
        Ok(Self { plan, facts, asked, trial, gas, lines, wall_m, decay })
    }

    /// What explains a leak rate over the time of the test; none where none does.
    fn hole(&self, rate: f64) -> Option<Hole> {
        let outside = self.asked.instruments.air.si();
        let inwards = self.decay.start.pressure_pa < outside;
        let lost = rate * self.decay.time_s / (self.decay.volume_m3 * self.asked.temperature.si());
        let amount = self.decay.start.pressure_pa / self.decay.start.temperature_k;
        let left = if inwards { amount + lost } else { amount - lost };
        let kelvin = self.decay.start.temperature_k;
        let end = GasState { pressure_pa: left * kelvin, temperature_k: kelvin };
        let decay = GasDecay { end, ..self.decay };
        let jet_m2 = jet_area_m2(&self.gas, &decay, outside).ok()?;
        let passage_m3_pa_s = passage_m3_pa_s(&decay, outside).ok()?;
        let start = &self.decay.start;
        let passage = self.wall_m.and_then(|length| {
            passage_of_length(&self.gas, passage_m3_pa_s, length, start, outside).ok()
        });
        Some(Hole {
            jet_m2,
            hole_m: hole_diameter_m(jet_m2, self.trial.discharge.value).ok()?,
            passage_m3_pa_s,
            passage_m: passage.map(|p| p.bore_m),
        })
    }

    pub(super) fn service(&self, hole: &Hole) -> Vec<InService> {
        let of_line = |index: &usize| {
            let own = &self.facts.lines[*index];
            let gas = self.plan.fluids[self.plan.lines[*index].fluid].fluid.gas;
            let air = self.air_in(*index, own, hole);
            [air, self.liquid_out(*index, own, hole)].into_iter().flatten().filter(move |_| !gas)
        };
        self.lines.iter().flat_map(of_line).collect()
    }

    /// Air that comes in at the deepest suction.
    fn air_in(&self, line: usize, own: &LineFacts, hole: &Hole) -> Option<InService> {
        let duty = deepest(own)?;
        let depth = depth_pa(duty).filter(|d| *d > 0.0)?;
        let inside = duty.ambient_pa - depth;
        let kelvin = self.asked.temperature.si();
        let rt = self.gas.constant_j_kg_k * kelvin;
        let flux = mass_flux_kg_m2_s(&self.gas, duty.ambient_pa, kelvin, inside).ok()?;
        let by_jet = hole.jet_m2 * flux * rt;
        let by_passage =
            passage_leak_pa_m3_s(hole.passage_m3_pa_s, duty.ambient_pa, inside).ok()?;
        let liquid = duty.flow_m3_s.abs();
        if liquid <= 0.0 {
            return None;
        }
        let share = |leak: f64| {
            let air = leak / inside;
            air / (air + liquid)
        };
        let through = Through::Air([share(by_jet), share(by_passage)]);
        Some(InService { line, case: duty.case, over_air_pa: -depth, through })
    }

    /// Liquid that comes out at the highest pressure.
    fn liquid_out(&self, line: usize, own: &LineFacts, hole: &Hole) -> Option<InService> {
        let highest = highest_of(own, self.facts).filter(|h| h.pa > 0.0)?;
        let of_case = |d: &&DutyFacts| d.case == highest.case && d.flow.is_ok();
        let duty = own.duties.iter().find(of_case)?;
        let flow = duty.flow.as_ref().ok()?;
        let by_jet = jet_flow_m3_s(hole.jet_m2, highest.pa, flow.density_kg_m3).ok()?;
        let liquid = flow.kinematic_m2_s * flow.density_kg_m3;
        let gas = self.gas.viscosity_pa_s;
        let by_passage = passage_flow_m3_s(hole.passage_m3_pa_s, gas, highest.pa, liquid).ok()?;
        let both = [by_jet, by_passage];
        let share = (duty.flow_m3_s != 0.0).then(|| both.map(|q| q / duty.flow_m3_s.abs()));
        let through = Through::Liquid(both, share);
        Some(InService { line, case: highest.case, over_air_pa: highest.pa, through })
    }
}
