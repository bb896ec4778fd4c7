//! The lines as tubes: as drawn, with what moves, and with the bow of their slack.

use crate::geometry::bow::bow_of_slack;
use crate::geometry::clearance::{Swept, SweptEnd};
use crate::plan::{Line, Plan};
use crate::solve::geometry::{GeometryFacts, port};
use crate::solve::makeup::MakeupFacts;
use crate::solve::{LineFacts, outside_mm};
use crate::table::{Tables, limit};

/// Where a bow reaches its full width, as a share of the span: straights to there and back from there hold a half
/// wave between clamped ends.
const FULL_BOW: [f64; 2] = [0.375, 0.625];
/// Shorter spans between two holds are none, mm.
const SHORTEST_SPAN_MM: f64 = 1e-3;

/// The lines that can be looked at.
#[derive(Debug)]
pub(super) struct Tubes {
    /// Their numbers in the plan.
    pub lines: Vec<usize>,
    /// As drawn.
    pub drawn: Vec<Swept>,
    /// With movements and tolerances.
    pub moved: Vec<Swept>,
    /// With the bow of their slack besides.
    pub bowed: Vec<Swept>,
    /// The others, and why.
    pub left_out: Vec<(usize, String)>,
    /// For each component the first of those that it is screwed together with.
    places: Vec<usize>,
}

impl Tubes {
    /// All lines of a plan.
    pub fn new(plan: &Plan, tables: &Tables, facts: &[LineFacts]) -> Self {
        let mut tubes = Self {
            lines: Vec::new(),
            drawn: Vec::new(),
            moved: Vec::new(),
            bowed: Vec::new(),
            left_out: Vec::new(),
            places: plan.places(),
        };
        for (index, (line, own)) in plan.lines.iter().zip(facts).enumerate() {
            match (&own.geometry, outside_mm(line)) {
                (Err(none), _) => tubes.left_out.push((index, none.why.clone())),
                (_, None) => {
                    let why = "its outside diameter is not known".to_owned();
                    tubes.left_out.push((index, why));
                }
                (Ok(geometry), Some(outside)) => {
                    let mut drawn = Swept::along(&geometry.route.path, 0.5 * outside.value);
                    drawn.ends = tubes.ends(tables, line, geometry, outside.value);
                    tubes.add(plan, index, drawn, geometry, own.makeup.as_ref().ok());
                }
            }
        }
        tubes
    }

    /// The number of the place that a component belongs to.
    pub fn place_of(&self, component: usize) -> usize {
        self.places[component]
    }

    fn add(
        &mut self,
        plan: &Plan,
        index: usize,
        drawn: Swept,
        geometry: &GeometryFacts,
        makeup: Option<&MakeupFacts>,
    ) {
        let line = &plan.lines[index];
        let moves_mm = [0, 1].map(|end| end_moves_mm(plan, line, end));
        // A rigid tube has no slack that could bow.
        let slack = makeup.filter(|m| m.slack_least.is_some()).map(|m| m.cut.slack_percent / 100.0);
        let share = bow_share(slack.unwrap_or(0.0));
        self.lines.push(index);
        self.moved.push(Swept {
            grow: grow(&geometry.support.stations_mm, moves_mm, 0.0),
            ..drawn.clone()
        });
        self.bowed.push(Swept {
            grow: grow(&geometry.support.stations_mm, moves_mm, share),
            ..drawn.clone()
        });
        self.drawn.push(drawn);
    }

    /// What of each end is fitting and the straight behind it: there lines of one component are neighbours.
    fn ends(
        &self,
        tables: &Tables,
        line: &Line,
        geometry: &GeometryFacts,
        outside_mm: f64,
    ) -> [Option<SweptEnd>; 2] {
        let diameters = limit::installation_number(tables, "straight-after-end");
        let straight_mm = diameters.map_or(0.0, |d| d.value * outside_mm);
        let of = |end: usize, component: usize| {
            let cut_off_mm = geometry.cut_off_mm[end].unwrap_or(0.0).max(0.0);
            let place = self.place_of(component);
            Some(SweptEnd { place, leave_out_mm: cut_off_mm + straight_mm })
        };
        [of(0, line.from.component), of(1, line.to.component)]
    }
}

/// How far an end may be off: its component moves, and its place is known so well only.
fn end_moves_mm(plan: &Plan, line: &Line, end: usize) -> f64 {
    let component = if end == 0 { line.from.component } else { line.to.component };
    let tolerance_mm = plan.port_tolerance_mm(port(plan, line, end)).unwrap_or(0.0);
    plan.components[component].moves_mm + tolerance_mm
}

/// How far a span bows, as a share of its path. A hose that is pulled tight does not.
fn bow_share(slack: f64) -> f64 {
    let rise = bow_of_slack(slack.max(0.0)).unwrap_or(0.0);
    rise / (1.0 - slack.max(0.0))
}

/// The allowance along a line: what the ends move falls evenly to the first hold, and each span bows.
fn grow(holds_mm: &[f64], moves_mm: [f64; 2], bow_share: f64) -> Vec<(f64, f64)> {
    let last = holds_mm.len().saturating_sub(1);
    let at_hold = |i: usize| match i {
        0 => moves_mm[0],
        i if i == last => moves_mm[1],
        _ => 0.0,
    };
    let mut grow: Vec<(f64, f64)> = Vec::new();
    for (i, pair) in holds_mm.windows(2).enumerate() {
        let (from, to) = (pair[0], pair[1]);
        if to - from < SHORTEST_SPAN_MM {
            continue;
        }
        let (first, second) = (at_hold(i), at_hold(i + 1));
        if grow.is_empty() {
            grow.push((from, first));
        }
        if bow_share > 0.0 {
            let bow = bow_share * (to - from);
            let along =
                |share: f64| (from + share * (to - from), first + share * (second - first) + bow);
            grow.extend(FULL_BOW.map(along));
        }
        grow.push((to, second));
    }
    grow
}
