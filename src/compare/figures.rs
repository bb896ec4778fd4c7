//! Lengths, angles, flows and pressures of each line, before and after.

use super::names::Renames;
use super::{Part, differ};
use crate::assess::Assessment;
use crate::solve::LineFacts;
use crate::solve::hydraulics::DutyFacts;

/// A result that is another number, or that there is no longer, or that there was not.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The line.
    pub of: String,
    /// The case, where the number depends on one.
    pub case: Option<String>,
    /// What it is.
    pub what: &'static str,
    /// Its unit, as in a finding.
    pub unit: &'static str,
    /// Before.
    pub old: Option<f64>,
    /// After.
    pub new: Option<f64>,
}

impl Figure {
    /// The change as a share of the larger of both; 1 where one is missing.
    pub fn share(&self) -> f64 {
        match (self.old, self.new) {
            (Some(old), Some(new)) => {
                (new - old).abs() / old.abs().max(new.abs()).max(f64::MIN_POSITIVE)
            }
            _ => 1.0,
        }
    }

    /// The change in percent of what it was; none for what has no zero of its own, such as a pressure.
    pub fn percent(&self) -> Option<f64> {
        let scaled = matches!(self.what, "flow" | "velocity" | "drop");
        let (old, new) = self.old.zip(self.new).filter(|(old, _)| scaled && old.abs() > 0.0)?;
        Some(100.0 * (new - old) / old.abs())
    }
}

/// A number with its name, its unit and the least step of it that is told.
type Named = (&'static str, &'static str, f64, Option<f64>);

/// Everything that came out otherwise for the lines that both plans have, the largest change first: lengths and
/// angles, then what flows in each case.
pub fn changes(old: &Assessment, new: &Assessment, renames: &Renames) -> [Part<Figure>; 2] {
    let mut parts = [Part::default(), Part::default()];
    for line in &old.facts.lines {
        let id = renames.lines.get(&line.id).unwrap_or(&line.id);
        let Some(other) = new.facts.lines.iter().find(|l| l.id == *id) else { continue };
        hold(&mut parts[0], (id, None), &lengths(line), &lengths(other));
        for duty in &line.duties {
            let name = renames.case(&old.facts.cases[duty.case].name);
            let same_case = |d: &&DutyFacts| new.facts.cases[d.case].name == name;
            if let Some(after) = other.duties.iter().find(same_case) {
                hold(&mut parts[1], (id, Some(name)), &flows(duty), &flows(after));
            }
        }
    }
    for part in &mut parts {
        part.changes.sort_by(|a, b| b.share().total_cmp(&a.share()));
    }
    parts
}

fn hold(part: &mut Part<Figure>, (of, case): (&str, Option<&str>), old: &[Named], new: &[Named]) {
    for ((what, unit, step, old), (_, _, _, new)) in old.iter().zip(new) {
        let changed = match (old, new) {
            (Some(old), Some(new)) => {
                // Iterations end at 1e-12; a millionth is more than any noise and less than any rule.
                differ(*old, *new, step.max(1e-6 * old.abs().max(new.abs())))
            }
            (None, None) => continue,
            _ => true,
        };
        if changed {
            part.changes.push(Figure {
                of: of.to_owned(),
                case: case.map(str::to_owned),
                what,
                unit,
                old: *old,
                new: *new,
            });
        } else {
            part.same += 1;
        }
    }
}

/// What is cut and how it lies; a tenth of a millimetre is all that a tape shows.
fn lengths(line: &LineFacts) -> [Named; 6] {
    let makeup = line.makeup.as_ref().ok();
    let geometry = line.geometry.as_ref().ok();
    let clock = makeup.and_then(|m| m.clock.as_ref().ok()?.as_ref());
    let tightest = geometry.and_then(|g| g.bends.iter().map(|b| b.radius_mm).reduce(f64::min));
    let hose = makeup.filter(|m| m.slack_least.is_some());
    [
        ("cut", "mm", 0.05, makeup.map(|m| m.cut.cut_mm)),
        ("assembly", "mm", 0.05, makeup.map(|m| m.cut.assembly_mm)),
        ("path", "mm", 0.05, geometry.map(|g| g.route.length_mm)),
        ("slack", "%", 0.005, hose.map(|m| m.cut.slack_percent)),
        ("clock angle", "deg", 0.05, clock.map(|c| c.angle_rad.to_degrees())),
        ("tightest bend", "mm", 0.05, tightest),
    ]
}

fn flows(duty: &DutyFacts) -> [Named; 6] {
    let flow = duty.flow.as_ref().ok();
    let ends = flow.and_then(|f| f.pressures.as_ref());
    let over_vapour = ends.zip(flow.and_then(|f| f.vapour_pa)).map(|(p, v)| p.lowest_pa - v);
    let kpa = |pascal: Option<f64>| pascal.map(|p| p / 1e3);
    [
        ("flow", "L/min", 0.0, Some(duty.flow_m3_s * 60e3)),
        ("velocity", "m/s", 0.0, flow.map(|f| f.velocity_m_s)),
        ("drop", "kPa", 1e-4, kpa(flow.map(|f| f.losses.drop_pa()))),
        ("absolute pressure at A", "kPa", 1e-3, kpa(ends.map(|p| p.from_pa))),
        ("absolute pressure at B", "kPa", 1e-3, kpa(ends.map(|p| p.to_pa))),
        ("margin over vapour", "kPa", 1e-3, kpa(over_vapour)),
    ]
}
