//! What was read, held against what was planned.

use std::sync::Arc;

use super::readings::{LineReadings, Reading, Readings};
use crate::assess::Assessment;
use crate::assess::poured::{Amount, Outcome, filling};
use crate::diagnostic::SourceText;
use crate::finding::Verdict;
use crate::plan::{Plan, clip_name};
use crate::solve::fill;
use crate::solve::joints::{self, JointMade, Turning};
use crate::table::Tables;
use crate::table::torque::Turn;
use crate::trial::flow::{Asked, flow};
use crate::units::{Quantity, Time, Volume};

/// What the plan wants.
#[derive(Clone, Debug, PartialEq)]
pub enum Planned {
    /// A number, within a tolerance where the plan gives one.
    Number {
        /// The number.
        value: f64,
        /// How far it may be off.
        tolerance: Option<f64>,
    },
    /// Anything from one number to another.
    Window {
        /// What is planned.
        value: f64,
        /// The least that is right.
        least: f64,
        /// The most that is right, where there is one.
        most: Option<f64>,
    },
    /// Anything from one number to another, none of which is better.
    Between {
        /// The least that is right.
        least: f64,
        /// The most that is right.
        most: f64,
    },
    /// At least a number.
    AtLeast {
        /// What is expected.
        value: f64,
        /// What must come at least.
        least: f64,
    },
    /// A place, mm, within a tolerance where the plan gives one.
    Place {
        /// The place.
        at_mm: [f64; 3],
        /// How far it may be off, mm.
        tolerance: Option<f64>,
    },
    /// Nothing: the reading is shown.
    Nothing,
}

/// One thing that was read, against the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// What it was read of.
    pub of: String,
    /// What was read.
    pub what: &'static str,
    /// Its unit, as in a finding.
    pub unit: &'static str,
    /// What the plan wants.
    pub planned: Planned,
    /// What was read; of a place the distance from the planned one.
    pub built: f64,
    /// Where a place was read, mm.
    pub at_mm: Option<[f64; 3]>,
    /// By how much the reading may be off.
    pub error: Option<f64>,
    /// The verdict; a reading whose error reaches over the limit is a caution.
    pub verdict: Verdict,
    /// Number of the entry.
    pub entry: u64,
    /// What else there is to say.
    pub note: Option<String>,
}

impl Drift {
    fn new(
        of: &str,
        what: &'static str,
        unit: &'static str,
        read: &Reading<f64>,
        planned: Planned,
    ) -> Self {
        let error = read.error.unwrap_or(0.0);
        let verdict = verdict(&planned, read.value, error);
        Self {
            of: of.to_owned(),
            what,
            unit,
            planned,
            built: read.value,
            at_mm: None,
            error: read.error,
            verdict,
            entry: read.entry,
            note: None,
        }
    }

    /// Built less planned; of a place the distance; none where no single number is planned.
    pub fn difference(&self) -> Option<f64> {
        match self.planned {
            Planned::Number { value, .. }
            | Planned::Window { value, .. }
            | Planned::AtLeast { value, .. } => Some(self.built - value),
            Planned::Place { .. } => Some(self.built),
            Planned::Between { .. } | Planned::Nothing => None,
        }
    }
}

/// Within what is right at both ends of the error is ok, outside at both fails; between them the reading does not
/// tell.
fn verdict(planned: &Planned, read: f64, error: f64) -> Verdict {
    // A reading of just the limit is within it, whatever its last bit.
    let slip = 1e-9 * read.abs().max(1.0);
    let (least, most) = match *planned {
        Planned::Number { value, tolerance: Some(t) } => (value - t, value + t),
        Planned::Window { least, most, .. } => (least, most.unwrap_or(f64::INFINITY)),
        Planned::Between { least, most } => (least, most),
        Planned::AtLeast { least, .. } => (least, f64::INFINITY),
        Planned::Place { tolerance: Some(t), .. } => (f64::NEG_INFINITY, t),
        _ => return Verdict::Open,
    };
    let holds = |value: f64| value >= least - slip && value <= most + slip;
    match (holds(read - error), holds(read + error)) {
        (true, true) => Verdict::Ok,
        // Outside on both sides of a narrow window is no proof either.
        (false, false) if !holds(read) => Verdict::Fail,
        _ => Verdict::Caution,
    }
}

/// Every reading against the plan: lengths and angles, places, torques, what was poured, what was timed.
pub fn all(
    file: &Arc<SourceText>,
    tables: &Tables,
    planned: &Assessment,
    readings: &mut Readings,
) -> Vec<Drift> {
    let mut drift: Vec<Drift> =
        readings.lines.iter().flat_map(|(id, read)| line(planned, id, read)).collect();
    drift
        .extend(readings.places.iter().filter_map(|(port, read)| place(&planned.plan, port, read)));
    if !readings.torques.is_empty() {
        let joints = joints::solve(&planned.plan, tables).joints;
        let torques = readings.torques.iter();
        drift.extend(torques.map(|(port, read)| torque(&planned.plan, &joints, port, read)));
    }
    let poured: Vec<_> =
        readings.poured.iter().map(|(id, read)| poured(file, tables, planned, id, read)).collect();
    let timed: Vec<_> = readings
        .timed
        .iter()
        .map(|(id, read)| timed(&planned.plan, tables, id, read.can_m3, &read.time))
        .collect();
    for outcome in poured.into_iter().chain(timed) {
        match outcome {
            Ok(found) => drift.push(found),
            Err(why) => readings.not_used.push(why),
        }
    }
    // A stable sort: within a verdict the order of the plan's parts stays.
    drift.sort_by_key(|d| core::cmp::Reverse(d.verdict));
    drift
}

fn line(planned: &Assessment, id: &str, read: &LineReadings) -> Vec<Drift> {
    let mut drift = Vec::new();
    let facts = planned.facts.lines.iter().find(|l| l.id == id);
    let Some((facts, makeup)) = facts.and_then(|f| Some((f, f.makeup.as_ref().ok()?))) else {
        let all = [(&read.cut, "cut"), (&read.assembly, "assembly")];
        let shown = all.into_iter().filter_map(|(r, what)| Some((r.as_ref()?, what)));
        drift.extend(shown.map(|(r, what)| Drift::new(id, what, "mm", r, Planned::Nothing)));
        return drift;
    };
    let tolerance = planned.plan.tolerances.cut_mm;
    if let Some(cut) = &read.cut {
        let value = makeup.cut.cut_mm;
        drift.push(Drift::new(id, "cut", "mm", cut, Planned::Number { value, tolerance }));
    }
    if let Some(assembly) = &read.assembly {
        let value = makeup.cut.assembly_mm;
        let wanted = if makeup.slack_least.is_some() {
            Planned::Window { value, least: makeup.cut.shortest_mm, most: facts.longest_mm() }
        } else {
            Planned::Number { value, tolerance }
        };
        drift.push(Drift::new(id, "assembly", "mm", assembly, wanted));
    }
    if let Some(clock) = &read.clock {
        drift.push(clock_angle(id, makeup, clock));
    }
    drift
}

/// A clock angle, in degrees, by the shorter way round.
fn clock_angle(id: &str, makeup: &crate::solve::makeup::MakeupFacts, read: &Reading<f64>) -> Drift {
    let degrees = Reading {
        value: read.value.to_degrees(),
        error: read.error.map(f64::to_degrees),
        entry: read.entry,
    };
    let Ok(Some(clock)) = &makeup.clock else {
        let note =
            Some("this line has no two angled ends: there is nothing to hold it against".into());
        return Drift { note, ..Drift::new(id, "clock angle", "deg", &degrees, Planned::Nothing) };
    };
    let planned = clock.angle_rad.to_degrees();
    let turned = (degrees.value - planned + 180.0).rem_euclid(360.0) - 180.0;
    let tolerance = clock.tolerance.as_ref().map(|t| t.value.to_degrees());
    let read = Reading { value: planned + turned, ..degrees };
    Drift::new(id, "clock angle", "deg", &read, Planned::Number { value: planned, tolerance })
}

/// A port or a clip as it is drawn: where, how well that is known, and how many tapes there are to it.
fn drawn(plan: &Plan, name: &str) -> Option<([f64; 3], Option<f64>, usize)> {
    let mut ports = plan.components.iter().flat_map(|c| c.ports.iter().map(move |p| (c, p)));
    if let Some((_, port)) = ports.find(|(c, p)| format!("{}.{}", c.id, p.name) == name) {
        return Some((port.at_mm, plan.port_tolerance_mm(port), port.measured.len()));
    }
    let clips = plan.lines.iter().flat_map(|l| (1..).zip(&l.clips).map(move |(n, c)| (l, n, c)));
    let (_, _, clip) = clips.into_iter().find(|(l, n, _)| clip_name(&l.id, *n) == name)?;
    Some((clip.at_mm, clip.tolerance.map(|t| t.si() * 1e3), clip.measured.len()))
}

fn place(plan: &Plan, name: &str, read: &Reading<[f64; 3]>) -> Option<Drift> {
    let (at_mm, tolerance, tapes) = drawn(plan, name)?;
    let [x, y, z] = [0, 1, 2].map(|axis| read.value[axis] - at_mm[axis]);
    let off =
        Reading { value: (x * x + y * y + z * z).sqrt(), error: read.error, entry: read.entry };
    let taped = (tapes > 0)
        .then(|| "the plan has tapes to it as well; this reading went before them".to_owned());
    let wanted = Planned::Place { at_mm, tolerance };
    Some(Drift {
        at_mm: Some(read.value),
        note: taped,
        ..Drift::new(name, "place", "mm", &off, wanted)
    })
}

/// A torque against the band of the table that the plan tightens by.
fn torque(plan: &Plan, joints: &[JointMade], port: &str, read: &Reading<f64>) -> Drift {
    let drift = |planned| Drift::new(port, "torque", "N m", read, planned);
    let open = |why: String| Drift { note: Some(why), ..drift(Planned::Nothing) };
    let Some(joint) = joints.iter().find(|j| j.is_at(plan, port)) else {
        return open("no line and no other port with a thread is joined there".into());
    };
    match &joint.turning {
        Turning::Never(why) => Drift {
            verdict: Verdict::Fail,
            ..open(format!("this joint is not to be tightened: {why}"))
        },
        Turning::Open { why, .. } => open(why.clone()),
        Turning::Set(setting) => match setting.turn.value {
            Turn::Flats { .. } => {
                open(format!("torque/{} counts flats, and a torque tells none", setting.table))
            }
            Turn::Torque { least, most } => {
                let threads = setting.threads.as_ref();
                let threads = threads.map_or(String::new(), |t| format!(", threads {}", t.value));
                let note = Some(format!("by torque/{}{threads}", setting.table));
                let (least, most) = (least.si(), most.si());
                Drift { note, ..drift(Planned::Between { least, most }) }
            }
        },
    }
}

/// What was poured into the system of a tank.
fn poured(
    file: &Arc<SourceText>,
    tables: &Tables,
    planned: &Assessment,
    id: &str,
    read: &Reading<f64>,
) -> Result<Drift, (u64, String)> {
    let plan = &planned.plan;
    let is_it = |component: usize| plan.components[component].id == id;
    let systems = fill::solve(plan, &planned.facts);
    let mut of = systems.iter().filter(|s| {
        s.tanks.iter().any(|t| is_it(t.component))
            || s.components.iter().any(|h| is_it(h.component))
    });
    let (Some(system), None) = (of.next(), of.next()) else {
        return Err((read.entry, format!("{id} is not filled, or belongs to several systems")));
    };
    let amount = Amount { of: system.name.clone(), volume_m3: read.value, error_m3: read.error };
    let found = filling(file, tables, planned, &[amount]).map_err(|(why, _)| (read.entry, why))?;
    let found = found.poured.into_iter().next();
    let found = found.ok_or_else(|| (read.entry, format!("{id}: no system is filled")))?;
    let litres =
        Reading { value: read.value * 1e3, error: read.error.map(|e| e * 1e3), entry: read.entry };
    let wanted = Planned::Number {
        value: found.predicted_m3 * 1e3,
        tolerance: found.predicted_error_m3.map(|e| e * 1e3),
    };
    let note = match found.outcome {
        Outcome::Within => "within the errors: no air can be told",
        Outcome::Air => "less than there is room for: air is still in it",
        Outcome::More if found.at_least => "more: what the plan does not know takes it",
        Outcome::More => "more than the plan predicts: a volume of the plan is wrong",
    };
    let verdict = match found.outcome {
        Outcome::Within | Outcome::More if found.at_least => Verdict::Open,
        Outcome::Within => Verdict::Ok,
        Outcome::Air | Outcome::More => Verdict::Caution,
    };
    let of = format!("{id}, system {}", system.name);
    Ok(Drift {
        verdict,
        note: Some(note.into()),
        ..Drift::new(&of, "poured", "L", &litres, wanted)
    })
}

/// A can that was timed, against what the need uses and what the plan expects.
fn timed(
    plan: &Plan,
    tables: &Tables,
    id: &str,
    can_m3: f64,
    time: &Reading<f64>,
) -> Result<Drift, (u64, String)> {
    let asked = Asked {
        nose_up_rad: None,
        open: false,
        temperature: None,
        cans: vec![Volume::from_si(can_m3)],
        measured: vec![(id.to_owned(), Time::from_si(time.value))],
        error: Time::from_si(time.error.unwrap_or(0.0)),
    };
    let trial = flow(plan, tables, &asked).map_err(|why| (time.entry, why))?;
    let row = trial.rows.iter().find_map(|row| Some((row, row.result.as_ref()?)));
    let (row, result) =
        row.ok_or_else(|| (time.entry, format!("{id}: no test was held against it")))?;
    let error = (result.flow.high_m3_s - result.flow.low_m3_s) / 2.0;
    let read = Reading {
        value: result.flow.flow_m3_s * 60e3,
        error: time.error.map(|_| error * 60e3),
        entry: time.entry,
    };
    let wanted =
        Planned::AtLeast { value: row.test.predicted_m3_s * 60e3, least: row.wanted_m3_s() * 60e3 };
    Ok(Drift {
        verdict: result.verdicts.iter().copied().max().unwrap_or(Verdict::Open),
        ..Drift::new(id, "flow", "L/min", &read, wanted)
    })
}
