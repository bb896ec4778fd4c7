//! The machine as it was really built, out of its record: what was read against what was planned, and all checks
//! run again on it.
//!
//! Of each thing the last reading counts; a piece that was made anew or replaced begins again. A hose is as long as
//! it was measured, seat to seat or, where that was not measured, by its cut; two angled ends stand as they were
//! read; a port or a clip is where `x`, `y` and `z` of one entry put it, before its tapes. A rigid tube that was cut
//! off its length has lost that, or has it too much, behind its last bend.

pub mod data;
mod drift;
mod readings;
pub mod text;

use std::sync::Arc;

pub use drift::{Drift, Planned};
pub use readings::Readings;

use crate::assess::{Assessment, assess};
use crate::diagnostic::SourceText;
use crate::finding::Verdict;
use crate::plan::{Plan, clip_name};
use crate::record::Entry;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// What was read off the machine, and what the checks make of it.
#[derive(Debug)]
pub struct Built {
    /// What was read, held against the plan.
    pub drift: Vec<Drift>,
    /// Readings that could not be used, by the number of their entry, and why.
    pub not_used: Vec<(u64, String)>,
    /// All checks on the machine as built.
    pub assessment: Assessment,
}

impl Built {
    /// The worst verdict of drift and checks.
    pub fn worst(&self) -> Verdict {
        let drift = self.drift.iter().map(|d| d.verdict).max().unwrap_or(Verdict::Ok);
        drift.max(self.assessment.worst())
    }
}

/// Feeds the readings of a record back into its plan; `planned` has to be the assessment of the same text.
pub fn built(
    file: &Arc<SourceText>,
    tables: &Tables,
    planned: &Assessment,
    entries: &[Entry],
) -> Built {
    let mut readings = Readings::of(entries, &planned.plan);
    let mut plan = planned.plan.clone();
    move_ports(&mut plan, &readings);
    move_clips(&mut plan, &readings);
    set_clocks(&mut plan, &readings);
    // How much shorter a hose is than it should be depends on the route between the ports as built.
    let routed = assess(plan.clone(), tables);
    set_lengths(&mut plan, &routed, &readings);
    let assessment = assess(plan, tables);
    let drift = drift::all(file, tables, planned, &mut readings);
    Built { drift, not_used: readings.not_used, assessment }
}

fn move_ports(plan: &mut Plan, readings: &Readings) {
    let overall = plan.tolerances.port_mm;
    for component in &mut plan.components {
        for port in &mut component.ports {
            let Some(place) = readings.places.get(&format!("{}.{}", component.id, port.name))
            else {
                continue;
            };
            port.at_mm = place.value;
            port.measured.clear();
            // Without an error of its own a reading is no better than the drawing.
            let drawn = port.tolerance.map(|t| t.si() * 1e3).or(overall);
            port.tolerance = place.error.or(drawn).map(|mm| Length::from_si(mm / 1e3));
        }
    }
}

fn move_clips(plan: &mut Plan, readings: &Readings) {
    for line in &mut plan.lines {
        for (number, clip) in (1..).zip(&mut line.clips) {
            let name = clip_name(&line.id, number);
            let Some(place) = readings.places.get(&name) else { continue };
            clip.at_mm = place.value;
            clip.measured.clear();
            let error = place.error.map(|mm| Length::from_si(mm / 1e3));
            clip.tolerance = error.or(clip.tolerance);
        }
    }
}

fn set_clocks(plan: &mut Plan, readings: &Readings) {
    for line in &mut plan.lines {
        let angled = line.ends.iter().all(|e| e.as_ref().is_some_and(|e| e.angle.si() > 1e-9));
        let read = readings.lines.get(&line.id).and_then(|l| l.clock.as_ref());
        if let Some(clock) = read.filter(|_| angled) {
            line.clock_rad = Some(clock.value);
        }
    }
}

fn set_lengths(plan: &mut Plan, routed: &Assessment, readings: &Readings) {
    for (line, facts) in plan.lines.iter_mut().zip(&routed.facts.lines) {
        let (Some(read), Ok(makeup)) = (readings.lines.get(&line.id), &facts.makeup) else {
            continue;
        };
        let by_assembly = read.assembly.as_ref().map(|a| makeup.cut.assembly_mm - a.value);
        let short = by_assembly.or(read.cut.as_ref().map(|c| makeup.cut.cut_mm - c.value));
        if let Some(short) = short {
            line.cut_short_mm = short;
        }
    }
}
