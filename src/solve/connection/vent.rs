//! Vents: where liquid can collect in them, and how high they climb over the liquid.

use std::collections::BTreeSet;

use crate::plan::{Line, Plan, Service};
use crate::solve::network::setup::height_m;
use crate::solve::{CaseFacts, LineFacts};

/// A line of a vent.
#[derive(Clone, Debug, PartialEq)]
pub struct VentFacts {
    /// The line.
    pub line: usize,
    /// Tanks that breathe through it.
    pub tanks: BTreeSet<usize>,
    /// Low points without a drain, the worst case of each.
    pub lows: Vec<VentLow>,
    /// Whether the route is known.
    pub routed: bool,
    /// Its mouth, if it ends at one, and how high the way there climbs over the liquid.
    pub mouth: Option<MouthFacts>,
}

/// A low point of a vent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VentLow {
    /// Station from end A, mm.
    pub station_mm: f64,
    /// Depth under the lower side, mm.
    pub depth_mm: f64,
    /// Index of the case.
    pub case: usize,
}

/// The way to the mouth of a vent against the liquid of the tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MouthFacts {
    /// The component that is the mouth.
    pub mouth: usize,
    /// The tank.
    pub tank: usize,
    /// Height of the highest point of the way over the surface, mm, at its least.
    pub over_mm: f64,
    /// Index of the case.
    pub case: usize,
}

/// Places nearer to each other than this are one low point, mm.
const SAME_MM: f64 = 100.0;

/// The lines of all vents.
pub fn vents(plan: &Plan, cases: &[CaseFacts], lines: &[LineFacts]) -> Vec<VentFacts> {
    let vents = plan.lines.iter().enumerate().filter(|(_, l)| l.service == Service::Vent);
    vents
        .map(|(index, line)| {
            let Reached { tanks, lines: way } = reached(plan, line);
            let geometry = lines.get(index).and_then(|l| l.geometry.as_ref().ok());
            VentFacts {
                line: index,
                lows: geometry.map_or_else(Vec::new, |g| lows(&g.extremes)),
                routed: geometry.is_some(),
                mouth: mouth(plan, line).and_then(|m| against(plan, cases, m, &tanks, &way)),
                tanks,
            }
        })
        .collect()
}

fn lows(extremes: &[crate::solve::geometry::ExtremeFacts]) -> Vec<VentLow> {
    let mut lows: Vec<VentLow> = Vec::new();
    for low in extremes.iter().filter(|e| !e.high && !e.relieved) {
        let here = VentLow { station_mm: low.station_mm, depth_mm: low.rise_mm, case: low.case };
        let known = |l: &&mut VentLow| (l.station_mm - here.station_mm).abs() < SAME_MM;
        match lows.iter_mut().find(known) {
            Some(worse) if worse.depth_mm < here.depth_mm => *worse = here,
            Some(_) => {}
            None => lows.push(here),
        }
    }
    lows
}

/// What a vent leads through.
struct Reached<'p> {
    tanks: BTreeSet<usize>,
    lines: Vec<&'p Line>,
}

/// The tanks and lines of the vent that a line belongs to, through tees and other vent lines.
fn reached<'p>(plan: &'p Plan, line: &'p Line) -> Reached<'p> {
    let mut tanks = BTreeSet::new();
    let mut seen = BTreeSet::new();
    let mut next = vec![line.from.component, line.to.component];
    let vents = || plan.lines.iter().filter(|l| l.service == Service::Vent);
    while let Some(at) = next.pop() {
        if !seen.insert(at) {
            continue;
        }
        match plan.components[at].kind.as_str() {
            "tank" => {
                tanks.insert(at);
            }
            "vent" => {}
            _ => {
                let ends =
                    vents().map(|l| [l.from, l.to]).chain(plan.joins.iter().map(|j| j.ports));
                let here = ends.filter(|ends| ends.iter().any(|p| p.component == at));
                next.extend(here.flatten().map(|p| p.component));
            }
        }
    }
    let inside = |l: &&Line| [l.from, l.to].iter().all(|p| seen.contains(&p.component));
    Reached { tanks, lines: vents().filter(inside).collect() }
}

fn mouth(plan: &Plan, line: &Line) -> Option<usize> {
    let mut ends = [line.from, line.to].into_iter().map(|port| port.component);
    ends.find(|component| plan.components[*component].kind == "vent")
}

/// How high the way to a mouth climbs over the liquid of its tanks, at the least in the named cases.
fn against(
    plan: &Plan,
    cases: &[CaseFacts],
    mouth: usize,
    tanks: &BTreeSet<usize>,
    way: &[&Line],
) -> Option<MouthFacts> {
    let corners = |l: &&Line| {
        let ends = [l.from, l.to].map(|p| plan.port(&p).1.at_mm);
        ends.into_iter().chain(l.clips.iter().map(|c| c.at_mm)).collect::<Vec<_>>()
    };
    let points: Vec<[f64; 3]> = way.iter().flat_map(corners).collect();
    let named = cases.iter().enumerate().filter(|(_, c)| !c.combined);
    let each = named.flat_map(|(index, case)| {
        let highest = points.iter().map(|p| height_m(case, *p)).reduce(f64::max);
        tanks.iter().filter_map(move |tank| {
            let surface = surface_mm(plan, *tank, case)?;
            let over_mm = 1e3 * (highest? - height_m(case, surface));
            Some(MouthFacts { mouth, tank: *tank, over_mm, case: index })
        })
    });
    each.reduce(|least, next| if next.over_mm < least.over_mm { next } else { least })
}

/// A point on the surface of the liquid of a tank in a case, mm.
pub fn surface_mm(plan: &Plan, tank: usize, case: &CaseFacts) -> Option<[f64; 3]> {
    let component = &plan.components[tank];
    let state = case.states.get(tank).and_then(|s| component.states.get(*s));
    let stated = state.and_then(|s| s.surface_mm);
    stated.or_else(|| component.tank.as_ref()?.surface_mm)
}
