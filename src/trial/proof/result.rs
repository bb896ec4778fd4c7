//! What two readings of a proof test mean: how much of the change temperature explains, how much leaked.

use super::{Asked, ProofPlan, ProofTrial, Pumped, give_per_pa};
use crate::finding::Verdict;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::leak::Banded;
use crate::hydraulics::leak::liquid::{Filled, LiquidDecay, leaked_m3, trapped_air_m3};
use crate::plan::{Carrier, Plan};
use crate::solve::Facts;
use crate::solve::closed::{closed, growth, test_liquid};
use crate::table::Tables;
use crate::trial::reading::{Reading, indices};
use crate::units::Quantity;

/// Where it is known from how much the closed lines give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stiffness {
    /// Liquid and tubes calculated, no air.
    Calculated,
    /// Of a hose the liquid alone: what leaked is at least what is said.
    LiquidAlone,
    /// From what was pumped in; with the air that would explain it where nothing but air was left out, m3.
    Measured(f64),
    /// As measured, more given than liquid and tubes do, taken as trapped air, m3.
    Air(f64),
}

/// Two readings of a proof test, judged.
#[derive(Debug)]
pub struct ProofResult {
    /// What was read.
    pub reading: Reading,
    /// Indices of the lines.
    pub lines: Vec<usize>,
    /// Room under pressure, m3.
    pub volume_m3: f64,
    /// How the stiffness is known.
    pub stiffness: Stiffness,
    /// Pressure at the end if nothing had leaked, Pa gauge.
    pub tight_pa: f64,
    /// What leaked, m3, with the band of the errors.
    pub leaked_m3: Banded,
    /// Test pressure of the plan that was not reached, Pa gauge.
    pub short_of_pa: Option<f64>,
    /// Whether the pressure was not held long enough.
    pub too_short: bool,
    /// The verdict.
    pub verdict: Verdict,
}

pub(super) fn judge(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    asked: &Asked,
    trial: &ProofTrial,
    reading: &Reading,
) -> Result<ProofResult, String> {
    let lines = reading.indices(plan)?;
    let mut wanted: f64 = 0.0;
    for line in &lines {
        match &trial.rows[*line].test {
            ProofPlan::Deferred(_) => {
                return Err(format!(
                    "line {} is left to others: no test of it is judged",
                    plan.lines[*line].id
                ));
            }
            ProofPlan::Test(test) => wanted = wanted.max(test.pressure.value),
            _ => {}
        }
    }
    let room = Room::new(plan, facts, tables, asked, reading, &lines)?;
    let text = |e: HydraulicsError| format!("{}: {e}", reading.lines.join(" "));
    let (filled, stiffness) = room.stiffness(plan, asked, &lines)?;
    let leaked = leaked(&filled, &room, asked, reading).map_err(text)?;
    let tight_pa = tight_pa(&filled, &room, asked, reading).map_err(text)?;
    let start_pa = reading.pressure[0].si();
    let short_of_pa = (start_pa + asked.instruments.pressure.si() < wanted).then_some(wanted);
    let too_short = reading.time.si() < trial.hold.value.si();
    let unknown = stiffness == Stiffness::LiquidAlone;
    let verdict = if leaked.low > 0.0 {
        Verdict::Fail
    } else if leaked.high < 0.0 || unknown || short_of_pa.is_some() || too_short {
        Verdict::Caution
    } else {
        Verdict::Ok
    };
    Ok(ProofResult {
        reading: reading.clone(),
        volume_m3: filled.volume_m3,
        lines,
        stiffness,
        tight_pa,
        leaked_m3: leaked,
        short_of_pa,
        too_short,
        verdict,
    })
}

/// Closed lines and the liquid in them.
struct Room {
    volume_m3: f64,
    give_per_pa: f64,
    grown_share: f64,
    /// Growth of the liquid over that of the room for each kelvin.
    per_k: f64,
    hose: bool,
}

impl Room {
    fn new(
        plan: &Plan,
        facts: &Facts,
        tables: &Tables,
        asked: &Asked,
        reading: &Reading,
        lines: &[usize],
    ) -> Result<Self, String> {
        let [from, to] = reading.kelvin();
        let mut room =
            Self { volume_m3: 0.0, give_per_pa: 0.0, grown_share: 0.0, per_k: 0.0, hose: false };
        let mut liquid = None;
        for index in lines {
            let line = &plan.lines[*index];
            let closed = closed(tables, line, &facts.lines[*index])
                .map_err(|why| format!("line {}: {why}", line.id))?;
            let fluid = test_liquid(plan, tables, line, asked.rules.liquid.as_deref())?;
            let wall = closed.growth_per_k.unwrap_or(0.0);
            let grown = growth(&fluid, from, to)?;
            // Over a kelvin towards the other reading, so that it stays inside the figures.
            let step = if to < from { -1.0 } else { 1.0 };
            let each = growth(&fluid, from, from + step)
                .or_else(|_| growth(&fluid, from, from - step).map(|g| -g))?
                * step;
            room.give_per_pa += closed.volume_m3 * give_per_pa(&closed, &fluid, from)?;
            room.grown_share += closed.volume_m3 * (grown - wall * (to - from));
            room.per_k += closed.volume_m3 * (each - wall);
            room.volume_m3 += closed.volume_m3;
            room.hose |=
                matches!(line.carrier, Carrier::Hose(_)) || closed.swelling_per_pa.is_none();
            if liquid.replace(fluid.label.clone()).is_some_and(|other| other != fluid.label) {
                return Err("the lines of one test hold one liquid: name it with --liquid".into());
            }
        }
        let lines_m3 = room.volume_m3;
        for share in [&mut room.give_per_pa, &mut room.grown_share, &mut room.per_k] {
            *share /= lines_m3;
        }
        // What stands in pump and gauge is taken to give and to grow as the lines do.
        room.volume_m3 += asked.instruments.rig.si();
        Ok(room)
    }

    /// The lines as they were filled, by what was pumped in where that was measured.
    fn stiffness(
        &self,
        plan: &Plan,
        asked: &Asked,
        lines: &[usize],
    ) -> Result<(Filled, Stiffness), String> {
        let outside_pa = asked.instruments.air.si();
        let filled = Filled {
            volume_m3: self.volume_m3,
            give_per_pa: self.give_per_pa,
            air_m3: 0.0,
            outside_pa,
        };
        let mut own = lines.to_vec();
        own.sort_unstable();
        for pumped in &asked.pumped {
            let mut theirs = indices(plan, &pumped.lines)?;
            theirs.sort_unstable();
            if theirs == own {
                return self.measured(filled, pumped);
            }
        }
        let by = if self.hose { Stiffness::LiquidAlone } else { Stiffness::Calculated };
        Ok((filled, by))
    }

    fn measured(&self, filled: Filled, pumped: &Pumped) -> Result<(Filled, Stiffness), String> {
        let [from, to] = [pumped.from, pumped.to].map(|p| p.si() + filled.outside_pa);
        let volume = pumped.volume.si();
        let air = trapped_air_m3(&filled, volume, from, to)
            .map_err(|e| format!("--pumped {}: {e}", pumped.lines.join(" ")))?;
        if self.hose {
            let give_per_pa = volume / (filled.volume_m3 * (to - from));
            return Ok((Filled { give_per_pa, ..filled }, Stiffness::Measured(air)));
        }
        Ok((Filled { air_m3: air, ..filled }, Stiffness::Air(air)))
    }
}

/// What leaked, with every error at its worst.
fn leaked(
    filled: &Filled,
    room: &Room,
    asked: &Asked,
    reading: &Reading,
) -> Result<Banded, HydraulicsError> {
    let [start, end] = reading.absolute_pa(asked.instruments.air);
    let (pressure, kelvin) = (asked.instruments.pressure.si(), asked.instruments.temperature.si());
    let off = |sign: f64| {
        leaked_m3(&LiquidDecay {
            filled: *filled,
            start_pa: start + sign * pressure,
            end_pa: end - sign * pressure,
            grown_share: room.grown_share + sign * 2.0 * kelvin * room.per_k.abs(),
        })
    };
    Ok(Banded { rate: off(0.0)?, low: off(-1.0)?, high: off(1.0)? })
}

/// Gauge pressure at the end if nothing had leaked, by halving; the lines give more at every higher pressure.
fn tight_pa(
    filled: &Filled,
    room: &Room,
    asked: &Asked,
    reading: &Reading,
) -> Result<f64, HydraulicsError> {
    let [start_pa, _] = reading.absolute_pa(asked.instruments.air);
    let at = |end_pa: f64| {
        leaked_m3(&LiquidDecay { filled: *filled, start_pa, end_pa, grown_share: room.grown_share })
    };
    let swing = room.grown_share.abs() / filled.give_per_pa;
    let bracket = ((start_pa - swing).max(1.0), start_pa + swing + 1.0);
    let found = crate::hydraulics::search::falling_zero("the pressure", bracket, 1e-9, at);
    let absolute = match found {
        Ok(found) => found.at,
        // Nothing is left of the pressure: the liquid boils or lets go of its air.
        Err(HydraulicsError::NoAnswer { low, .. }) => low,
        Err(other) => return Err(other),
    };
    Ok(absolute - filled.outside_pa)
}
