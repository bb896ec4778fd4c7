//! The machine as built: ports and clips put where their tapes place them, and what the tapes say of each
//! other.

use std::borrow::Cow;

use nalgebra::{Point3, Vector3};

use crate::geometry::trilateration::{Fix, Tape, TrilaterationError, trilaterate};
use crate::plan::{Plan, PortRef, Tape as Taped, clip_name};
use crate::units::{Length, Quantity};

/// A port or a clip that was measured.
#[derive(Clone, Debug)]
pub struct MeasuredFacts {
    /// Which one, in words: `PUMP.IN`, or `F1, clip 2`.
    pub place: String,
    /// Where it is drawn, mm.
    pub drawn_mm: [f64; 3],
    /// How far it may be from there, mm.
    pub drawn_tolerance_mm: Option<f64>,
    /// Where the tapes place it, or why they do not.
    pub placed: Result<Placed, Unplaced>,
}

/// Where tapes place a port or a clip.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The place, mm.
    pub at_mm: [f64; 3],
    /// The place on the other side of the datums, where the tapes cannot exclude it, mm.
    pub mirror_mm: Option<[f64; 3]>,
    /// From where it is drawn to there, mm.
    pub off_mm: f64,
    /// Farthest the place can be off while every tape is within its tolerance, mm.
    pub tolerance_mm: f64,
    /// Standard deviation along each axis, mm.
    pub deviation_mm: [f64; 3],
    /// Standard deviation in the direction that is known worst, mm.
    pub worst_deviation_mm: f64,
    /// That direction, of length 1.
    pub worst_direction: [f64; 3],
    /// Steps of the search.
    pub steps: u32,
    /// The tapes, in the order of the plan.
    pub tapes: Vec<TapeFacts>,
}

/// What one tape says.
#[derive(Clone, Debug)]
pub struct TapeFacts {
    /// The datum it is taken from.
    pub from: String,
    /// What was read, mm.
    pub distance_mm: f64,
    /// How far that may be off, mm.
    pub tolerance_mm: f64,
    /// What it reads more than its distance to the place, mm.
    pub residual_mm: f64,
    /// What it says against the others; none where these give no place without it.
    pub against: Option<Against>,
}

/// A tape held against the place that the others give without it.
#[derive(Clone, Copy, Debug)]
pub struct Against {
    /// What it reads more than its distance to that place, mm.
    pub differs_mm: f64,
    /// What its own tolerance and those of the others may make of that, mm.
    pub may_differ_mm: f64,
    /// Sum of the squares of what is left over of the others without it, each over its tolerance.
    pub left_over: f64,
    /// Whether the others agree with each other within their tolerances.
    pub others_agree: bool,
    /// From where it is drawn to the place that they give, mm.
    pub off_mm: f64,
}

impl Against {
    /// What it differs as a share of what it may.
    pub fn share(&self) -> f64 {
        self.differs_mm.abs() / self.may_differ_mm
    }
}

/// A tape that is thought to be the wrong one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Suspect {
    /// Index of the tape.
    pub tape: usize,
    /// How many tapes there are, this one among them, without which the others agree.
    pub possible: usize,
}

impl Placed {
    /// The tape without which the others agree best. Of four, each three agree without the fourth: then
    /// it is the one without which the place comes nearest to the drawing.
    pub fn suspect(&self) -> Option<Suspect> {
        let checked = || {
            let each = self.tapes.iter().enumerate();
            each.filter_map(|(i, t)| t.against.map(|against| (i, against)))
        };
        let possible = checked().filter(|(_, a)| a.others_agree).count();
        let order = |a: &Against| if self.tapes.len() == 4 { a.off_mm } else { a.left_over };
        let among = checked().filter(|(_, a)| a.others_agree || possible == 0);
        let worst = among.min_by(|a, b| order(&a.1).total_cmp(&order(&b.1)))?;
        Some(Suspect { tape: worst.0, possible })
    }

    /// The tape that takes the largest share of what it may differ from the others.
    pub fn tightest(&self) -> Option<(&TapeFacts, Against)> {
        let checked = self.tapes.iter().filter_map(|t| Some((t, t.against?)));
        checked.max_by(|a, b| a.1.share().total_cmp(&b.1.share()))
    }

    /// Datums of the tapes that the others do not check.
    pub fn unchecked(&self) -> Vec<&str> {
        self.tapes.iter().filter(|t| t.against.is_none()).map(|t| t.from.as_str()).collect()
    }
}

/// Why tapes give no place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unplaced {
    /// Whether they contradict each other; otherwise they do not say enough.
    pub contradict: bool,
    /// In words.
    pub why: String,
}

/// A plan with every measured port and clip where its tapes place it.
#[derive(Debug)]
pub struct AsBuilt<'p> {
    /// The plan; the one that was given where nothing was measured.
    pub plan: Cow<'p, Plan>,
    /// What was measured, in the order of the plan: ports, then clips.
    pub measured: Vec<MeasuredFacts>,
}

/// The machine as built. What cannot be placed stays where it is drawn. A port that is screwed to a
/// measured one without being measured itself goes with it.
pub fn as_built(plan: &Plan) -> AsBuilt<'_> {
    let mut built = AsBuilt { plan: Cow::Borrowed(plan), measured: Vec::new() };
    for (component, owner) in plan.components.iter().enumerate() {
        for (port, drawn) in owner.ports.iter().enumerate().filter(|(_, p)| !p.measured.is_empty())
        {
            let facts = facts(
                plan,
                format!("{}.{}", owner.id, drawn.name),
                (drawn.at_mm, drawn.tolerance),
                &drawn.measured,
            );
            if let Ok(placed) = &facts.placed {
                put_port(built.plan.to_mut(), PortRef { component, port }, placed);
            }
            built.measured.push(facts);
        }
    }
    for (line, owner) in plan.lines.iter().enumerate() {
        for (clip, drawn) in owner.clips.iter().enumerate().filter(|(_, c)| !c.measured.is_empty())
        {
            let place = clip_name(&owner.id, clip + 1);
            let facts = facts(plan, place, (drawn.at_mm, drawn.tolerance), &drawn.measured);
            if let Ok(placed) = &facts.placed {
                let clip = &mut built.plan.to_mut().lines[line].clips[clip];
                clip.at_mm = placed.at_mm;
                clip.tolerance = Some(Length::from_si(placed.tolerance_mm / 1e3));
            }
            built.measured.push(facts);
        }
    }
    built
}

/// Puts a port where it was measured, and with it the port that is screwed to it.
fn put_port(plan: &mut Plan, port: PortRef, placed: &Placed) {
    let joined = plan.joins.iter().find(|j| j.ports.contains(&port));
    let other = joined.and_then(|j| j.ports.iter().find(|p| **p != port)).copied();
    let own = &mut plan.components[port.component].ports[port.port];
    let moved: Vec<f64> = placed.at_mm.iter().zip(own.at_mm).map(|(new, old)| new - old).collect();
    own.at_mm = placed.at_mm;
    own.tolerance = Some(Length::from_si(placed.tolerance_mm / 1e3));
    let Some(other) = other else { return };
    let other = &mut plan.components[other.component].ports[other.port];
    if other.measured.is_empty() {
        for (at, moved) in other.at_mm.iter_mut().zip(moved) {
            *at += moved;
        }
    }
}

fn facts(
    plan: &Plan,
    place: String,
    (drawn_mm, tolerance): ([f64; 3], Option<Length>),
    measured: &[Taped],
) -> MeasuredFacts {
    let tapes: Vec<Tape> = measured.iter().map(|t| tape(plan, t)).collect();
    let names: Vec<&str> = measured.iter().map(|t| plan.datums[t.datum].id.as_str()).collect();
    let drawn = Point3::from(drawn_mm);
    let placed = trilaterate(&tapes, &drawn);
    MeasuredFacts {
        place,
        drawn_mm,
        drawn_tolerance_mm: tolerance.map(|t| t.si() * 1e3),
        placed: placed.map_or_else(
            |error| Err(unplaced(&error, &names)),
            |fix| Ok(of_fix(&fix, &tapes, &names, &drawn)),
        ),
    }
}

fn tape(plan: &Plan, taped: &Taped) -> Tape {
    Tape {
        from: Point3::from(plan.datums[taped.datum].at_mm),
        distance_mm: taped.distance.si() * 1e3,
        tolerance_mm: taped.tolerance.si() * 1e3,
    }
}

fn of_fix(fix: &Fix, tapes: &[Tape], names: &[&str], drawn: &Point3<f64>) -> Placed {
    let against = all_against(tapes, &fix.at, drawn);
    let each = tapes.iter().zip(names).zip(&fix.residuals_mm).zip(against);
    let tapes = each.map(|(((tape, name), residual_mm), against)| TapeFacts {
        from: (*name).to_owned(),
        distance_mm: tape.distance_mm,
        tolerance_mm: tape.tolerance_mm,
        residual_mm: *residual_mm,
        against,
    });
    Placed {
        at_mm: fix.at.into(),
        mirror_mm: fix.mirror.map(Into::into),
        off_mm: (fix.at - drawn).norm(),
        tolerance_mm: fix.reach_mm,
        deviation_mm: fix.deviation_mm.into(),
        worst_deviation_mm: fix.worst_deviation_mm,
        worst_direction: fix.worst_direction.into(),
        steps: fix.steps,
        tapes: tapes.collect(),
    }
}

/// A tape held against the place that the others give, on the side of the place that all give.
fn against(tapes: &[Tape], index: usize, at: &Point3<f64>, drawn: &Point3<f64>) -> Option<Against> {
    let (own, others) = (tapes.get(index)?, without(tapes, index));
    let place = trilaterate(&others, at).ok()?;
    let way: Vector3<f64> = place.at - own.from;
    let along = way.try_normalize(0.0)?;
    let shares = place.residuals_mm.iter().zip(&others).map(|(r, t)| r / t.tolerance_mm);
    let squares = shares.map(|share| share * share);
    Some(Against {
        differs_mm: own.distance_mm - way.norm(),
        may_differ_mm: own.tolerance_mm + place.reach_along_mm(&others, &along),
        left_over: squares.sum(),
        others_agree: true,
        off_mm: (place.at - drawn).norm(),
    })
}

fn without(tapes: &[Tape], index: usize) -> Vec<Tape> {
    tapes.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, t)| *t).collect()
}

/// Each tape held against the others; whether these agree is only asked where not all do.
fn all_against(tapes: &[Tape], at: &Point3<f64>, drawn: &Point3<f64>) -> Vec<Option<Against>> {
    let each = |tapes: &[Tape]| -> Vec<Option<Against>> {
        (0..tapes.len()).map(|index| against(tapes, index, at, drawn)).collect()
    };
    let agree = |list: &[Option<Against>]| list.iter().flatten().all(|a| a.share() <= 1.0);
    let mut list = each(tapes);
    // Three tapes that meet agree; fewer than that are no place.
    if !agree(&list) && tapes.len() > 4 {
        for (index, against) in list.iter_mut().enumerate() {
            if let Some(against) = against {
                against.others_agree = agree(&each(&without(tapes, index)));
            }
        }
    }
    list
}

/// The reason with the names of the datums in it.
fn unplaced(error: &TrilaterationError, names: &[&str]) -> Unplaced {
    let name = |index: usize| names.get(index).copied().unwrap_or_default();
    match error {
        TrilaterationError::Apart { first, second, misses_mm } => Unplaced {
            contradict: true,
            why: format!(
                "the tapes from {} and {} cannot both be right: {misses_mm:.1} mm are between them",
                name(*first),
                name(*second)
            ),
        },
        TrilaterationError::DoNotMeet { .. } => {
            Unplaced { contradict: true, why: error.to_string() }
        }
        _ => Unplaced { contradict: false, why: error.to_string() },
    }
}
