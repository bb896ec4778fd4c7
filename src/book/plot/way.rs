//! The ways of the fluid with the pressures along them, those of all cases together.

use super::chain::{Passage, Step, chains, steps};
use crate::book::Book;
use crate::solve::hydraulics::FlowFacts;
use crate::solve::network::facts::CircuitFacts;

/// The pressure along a way in a case.
pub struct Profile {
    /// Index of the case.
    pub case: usize,
    /// The way.
    pub way: Vec<Step>,
    /// Distance, m, and pressure, Pa absolute, at each end of each step.
    pub points: Vec<[f64; 2]>,
}

/// A way with its profiles in all cases that have it.
pub struct Way {
    /// One for each of its cases.
    pub profiles: Vec<Profile>,
}

/// The ways of a circuit in the named cases.
pub fn ways(book: &Book<'_>, circuit: &CircuitFacts) -> Vec<Way> {
    let plan = &book.assessment.plan;
    let mut ways: Vec<Way> = Vec::new();
    for (case, answer) in &circuit.answers {
        let named = book.assessment.facts.cases.get(*case).is_some_and(|c| !c.combined);
        let Some(answer) = answer.as_ref().ok().filter(|_| named) else { continue };
        for way in chains(plan, &steps(plan, answer)) {
            let Some(points) = points(book, &way) else { continue };
            let profile = Profile { case: *case, way, points };
            let alike = |w: &&mut Way| is_same(&w.profiles[0].way, &profile.way);
            match ways.iter_mut().find(alike) {
                Some(known) => known.profiles.push(profile),
                None => ways.push(Way { profiles: vec![profile] }),
            }
        }
    }
    ways
}

fn is_same(a: &[Step], b: &[Step]) -> bool {
    let step = |(a, b): (&Step, &Step)| a.what == b.what && a.from == b.from && a.to == b.to;
    a.len() == b.len() && a.iter().zip(b).all(step)
}

/// Distance and pressure at the ends of every step whose pressures are known; none where a line has no route,
/// or no pressure is known.
fn points(book: &Book<'_>, way: &[Step]) -> Option<Vec<[f64; 2]>> {
    let mut along = 0.0;
    let mut points = Vec::new();
    for step in way {
        let begin = along;
        if let Passage::Line(line, _) = step.what {
            along += length_m(book, line)?;
        }
        let ends = [begin, along].into_iter().zip(step.ends_pa);
        points.extend(ends.filter_map(|(x, pa)| Some([x, pa?])));
    }
    (along > 0.0 && points.len() > 1).then_some(points)
}

fn length_m(book: &Book<'_>, line: usize) -> Option<f64> {
    let geometry = book.assessment.facts.lines[line].geometry.as_ref().ok()?;
    Some(geometry.route.length_mm / 1e3)
}

/// What flows in a line in a case.
pub fn flow<'b>(book: &Book<'b>, line: usize, case: usize) -> Option<&'b FlowFacts> {
    let duty = book.assessment.facts.lines[line].duties.iter().find(|d| d.case == case)?;
    duty.flow.as_ref().ok()
}

/// A line of the way between two distances, m.
#[derive(Clone, Copy)]
pub struct Span {
    /// The line.
    pub line: usize,
    /// Where it begins.
    pub from_m: f64,
    /// Where it ends.
    pub to_m: f64,
}

/// The lines of a way with their distances.
pub fn spans(book: &Book<'_>, way: &[Step]) -> Vec<Span> {
    let mut along = 0.0;
    let mut spans = Vec::new();
    for step in way {
        if let Passage::Line(line, _) = step.what {
            let length = length_m(book, line).unwrap_or(0.0);
            spans.push(Span { line, from_m: along, to_m: along + length });
            along += length;
        }
    }
    spans
}

/// Components with their distances, m; those at one place together.
pub fn marks(book: &Book<'_>, way: &[Step]) -> Vec<(f64, String)> {
    let plan = &book.assessment.plan;
    let mut along = 0.0;
    let mut all: Vec<(f64, Vec<&str>)> = Vec::new();
    let mut note = |at: f64, component: usize| {
        let id = plan.components[component].id.as_str();
        match all.last_mut().filter(|(x, _)| (*x - at).abs() < 1e-6) {
            Some((_, ids)) if ids.last() == Some(&id) => {}
            Some((_, ids)) => ids.push(id),
            None => all.push((at, vec![id])),
        }
    };
    for step in way {
        note(along, step.from.component());
        if let Passage::Line(line, _) = step.what {
            along += length_m(book, line).unwrap_or(0.0);
        }
        note(along, step.to.component());
    }
    all.into_iter().map(|(at, ids)| (at, ids.join(" "))).collect()
}

/// What each point of a profile is.
pub fn labels(book: &Book<'_>, profile: &Profile) -> Vec<String> {
    let plan = &book.assessment.plan;
    let mut labels = Vec::new();
    for step in &profile.way {
        let words = match step.what {
            Passage::Line(line, onward) => {
                let ends = if onward { ["A", "B"] } else { ["B", "A"] };
                ends.map(|e| format!("{}, end {e}", plan.lines[line].id))
            }
            Passage::Path(component, path) => {
                let owner = &plan.components[component];
                let name = format!("{} {}", owner.id, owner.paths[path].name);
                [format!("{name}, in"), format!("{name}, out")]
            }
            Passage::Join | Passage::Leg => continue,
        };
        let known = words.into_iter().zip(step.ends_pa).filter(|(_, pa)| pa.is_some());
        labels.extend(known.map(|(w, _)| w));
    }
    labels
}
