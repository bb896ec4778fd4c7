//! What is drawn: the lines of one system with all that stands about them, in one attitude.

use std::collections::BTreeSet;

use crate::book::Book;
use crate::geometry::Path;
use crate::plan::{Line, Plan, PortRef, Service};
use crate::solve::joined::PocketFacts;
use crate::solve::network::matrix::angle_words;

/// Ups nearer to each other than this are one.
const SAME: f64 = 1e-6;
/// A high point nearer to the peak of a pocket is the same place, mm.
const SAME_PLACE_MM: f64 = 40.0;

/// An attitude of the machine.
#[derive(Clone, Debug)]
pub struct Attitude {
    /// `level`, `nose up 12 degrees`.
    pub words: String,
    /// Up as the fluid feels it, in the plan's coordinates.
    pub up: [f64; 3],
    /// The named cases in it, by index.
    pub cases: Vec<usize>,
}

/// The attitudes of the named cases, each once, the level one first.
pub fn attitudes(book: &Book<'_>) -> Vec<Attitude> {
    let level_up = book.assessment.plan.axes.up;
    let mut all = vec![Attitude { words: "level".into(), up: level_up, cases: Vec::new() }];
    let named = book.assessment.facts.cases.iter().enumerate().filter(|(_, c)| !c.combined);
    for (index, case) in named {
        if let Some(known) = all.iter_mut().find(|a| same(a.up, case.up)) {
            known.cases.push(index);
        } else {
            let words = words(case.attitude_rad);
            all.push(Attitude { words, up: case.up, cases: vec![index] });
        }
    }
    all
}

fn same(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME)
}

/// An attitude in words; one that only the fluid feels is that of a machine that speeds up or slows down.
fn words([nose, roll]: [f64; 2]) -> String {
    let nose = angle_words(nose, ["nose up", "nose down"]);
    let roll = angle_words(roll, ["right side down", "left side down"]);
    let words: Vec<String> = nose.into_iter().chain(roll).collect();
    if words.is_empty() {
        return "level, as the fluid feels it while the speed changes".into();
    }
    words.join(", ").replace(" deg", " degrees")
}

/// The lines of a system and what they connect.
pub struct Scene<'s> {
    /// The book.
    pub book: &'s Book<'s>,
    /// The plan as built.
    pub plan: &'s Plan,
    /// The system.
    pub system: &'s str,
    /// Its lines with a route, by index.
    pub lines: Vec<usize>,
    /// Its lines without one, by index, and why.
    pub undrawn: Vec<(usize, &'s str)>,
    /// Ports that are shown.
    pub ports: Vec<PortRef>,
    /// Ports that a line of the system is on.
    pub used: Vec<PortRef>,
}

/// A high or a low point.
#[derive(Clone, Debug, PartialEq)]
pub struct Extreme {
    /// Where, mm.
    pub at_mm: [f64; 3],
    /// Whether it is a high one.
    pub high: bool,
    /// Whether air or liquid stays there.
    pub stays: bool,
    /// What is written beside it.
    pub words: &'static str,
}

impl<'s> Scene<'s> {
    /// The scenes of a plan, one for each system, in the order of the lines.
    pub fn all(book: &'s Book<'s>, plan: &'s Plan) -> Vec<Self> {
        let mut systems: Vec<&str> = Vec::new();
        for line in &plan.lines {
            if !systems.contains(&line.system.as_str()) {
                systems.push(&line.system);
            }
        }
        systems.into_iter().map(|system| Self::of(book, plan, system)).collect()
    }

    fn of(book: &'s Book<'s>, plan: &'s Plan, system: &'s str) -> Self {
        let mut lines = Vec::new();
        let mut undrawn = Vec::new();
        let mut used = Vec::new();
        for (index, line) in plan.lines.iter().enumerate().filter(|(_, l)| l.system == system) {
            match &book.assessment.facts.lines[index].geometry {
                Ok(_) => lines.push(index),
                Err(no) => undrawn.push((index, no.why.as_str())),
            }
            used.extend([line.from, line.to]);
        }
        let ports = shown(plan, &used);
        Self { book, plan, system, lines, undrawn, ports, used }
    }

    /// The centre line of a line of the scene.
    pub fn path(&self, line: usize) -> Option<&'s Path> {
        let geometry = self.book.assessment.facts.lines.get(line)?.geometry.as_ref().ok()?;
        Some(&geometry.route.path)
    }

    /// Its lines with their centre lines.
    pub fn routed(&self) -> impl Iterator<Item = (usize, &'s Line, &'s Path)> + '_ {
        self.lines.iter().filter_map(|i| Some((*i, &self.plan.lines[*i], self.path(*i)?)))
    }

    /// Components that are shown, by index.
    pub fn components(&self) -> BTreeSet<usize> {
        self.ports.iter().map(|p| p.component).collect()
    }

    /// The high and low points of its lines in an attitude: where air or liquid stays, and the turning points
    /// of single lines.
    pub fn extremes(&self, attitude: &Attitude) -> Vec<Extreme> {
        let mut found = self.pockets(attitude);
        for (line, _, path) in self.routed() {
            let Ok(geometry) = &self.book.assessment.facts.lines[line].geometry else { continue };
            let Some(case) = attitude.cases.first() else { continue };
            for extreme in geometry.extremes.iter().filter(|e| e.case == *case) {
                let Ok(point) = path.point_at(extreme.station_mm) else { continue };
                let words = match (extreme.high, extreme.relieved) {
                    (true, true) => "high, bleed",
                    (true, false) => "high",
                    (false, true) => "low, drain",
                    (false, false) => "low",
                };
                let at_mm: [f64; 3] = point.coords.into();
                add(&mut found, Extreme { at_mm, high: extreme.high, stays: false, words });
            }
        }
        found
    }

    fn pockets(&self, attitude: &Attitude) -> Vec<Extreme> {
        let joined = &self.book.assessment.facts.joined;
        let here = |p: &&PocketFacts| {
            let up = joined.attitudes.get(p.attitude).map(|a| a.up);
            up.is_some_and(|up| same(up, attitude.up))
                && p.lines.iter().any(|l| self.lines.contains(l))
        };
        let mut found = Vec::new();
        for pocket in joined.pockets.iter().filter(here) {
            let stays = pocket.reliefs.is_empty();
            let words = match (pocket.air, stays) {
                (true, true) => "air stays",
                (true, false) => "high, bled",
                (false, true) => "liquid stays",
                (false, false) => "low, drained",
            };
            let at_mm = pocket.peak.point_mm;
            add(&mut found, Extreme { at_mm, high: pocket.air, stays, words });
        }
        found
    }
}

/// Adds a place unless one of its kind is there.
fn add(found: &mut Vec<Extreme>, extreme: Extreme) {
    let near = |other: &Extreme| {
        let off = (0..3).map(|i| (other.at_mm[i] - extreme.at_mm[i]).abs());
        other.high == extreme.high && off.fold(0.0, f64::max) < SAME_PLACE_MM
    };
    if !found.iter().any(near) {
        found.push(extreme);
    }
}

/// The ports that lines are on, and those of all that is screwed to their components.
fn shown(plan: &Plan, used: &[PortRef]) -> Vec<PortRef> {
    let mut components: BTreeSet<usize> = used.iter().map(|p| p.component).collect();
    let mut ports: BTreeSet<(usize, usize)> = used.iter().map(|p| (p.component, p.port)).collect();
    // A chain of joins is no longer than there are joins.
    for _ in &plan.joins {
        for join in &plan.joins {
            if join.ports.iter().any(|p| components.contains(&p.component)) {
                components.extend(join.ports.map(|p| p.component));
                ports.extend(join.ports.map(|p| (p.component, p.port)));
            }
        }
    }
    ports.into_iter().map(|(component, port)| PortRef { component, port }).collect()
}

/// Whether a line carries what the machine runs on; a vent, a drain or a gauge line is drawn thinner.
pub fn is_main(line: &Line) -> bool {
    matches!(
        line.service,
        Service::Suction | Service::Pressure | Service::Return | Service::Gravity
    )
}
