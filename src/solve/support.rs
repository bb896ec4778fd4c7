//! How a line is held: the stretches between its supports, and where clips are missing.

use nalgebra::Point3;

use super::geometry::point;
use crate::geometry::{Piece, Route};
use crate::plan::{Carrier, Line, Plan};
use crate::source::Sourced;
use crate::table::{Tables, limit};
use crate::units::{Length, Quantity};

/// A line of this many missing clips has a fault that no list of them mends.
const MOST_MISSING: usize = 1000;

/// A clip that would be needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MissingClip {
    /// Station from end A, mm.
    pub station_mm: f64,
    /// Where it would hold the line, mm.
    pub at_mm: [f64; 3],
    /// How many of the plan's clips stand before it.
    pub after: usize,
}

/// An end on a component that moves, the other end being on something else.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MovingEnd {
    /// End A (0) or B (1).
    pub end: usize,
    /// Index of the component.
    pub component: usize,
    /// Along the line to the first support, mm.
    pub first_hold_mm: f64,
}

/// How a line is held.
#[derive(Clone, Debug)]
pub struct SupportFacts {
    /// Stations of ends and held clips, mm, from A to B.
    pub stations_mm: Vec<f64>,
    /// Longest stretch without a support, mm.
    pub longest_mm: f64,
    /// Longest stretch allowed, mm.
    pub limit: Option<Sourced<f64>>,
    /// Ends on components that move.
    pub moving: Vec<MovingEnd>,
    /// Clips that would shorten the stretches that are too long.
    pub missing: Vec<MissingClip>,
}

/// The supports of a line on its route.
pub fn solve(plan: &Plan, tables: &Tables, route: &Route, line: &Line) -> SupportFacts {
    let corners = corner_stations(route, line);
    let held = corners.iter().zip(&line.clips).filter(|(_, c)| c.held).map(|(s, _)| *s);
    let mut stations_mm: Vec<f64> = std::iter::once(0.0).chain(held).collect();
    stations_mm.push(route.length_mm);
    stations_mm.sort_by(f64::total_cmp);
    let spans = stations_mm.windows(2).map(|w| w[1] - w[0]);
    let longest_mm = spans.fold(0.0, f64::max);
    let limit = span_limit(tables, line);
    let missing = limit.as_ref().map(|l| missing(route, &stations_mm, &corners, l.value));
    let moving = moving(plan, line, &stations_mm);
    SupportFacts { longest_mm, limit, moving, missing: missing.unwrap_or_default(), stations_mm }
}

/// Most machines have few moving components: what is screwed together is asked for those lines only.
fn moving(plan: &Plan, line: &Line, stations_mm: &[f64]) -> Vec<MovingEnd> {
    let ends = [line.from.component, line.to.component];
    let span = |pair: Option<&[f64]>| pair.map_or(0.0, |w| w[1] - w[0]);
    let first = [span(stations_mm.windows(2).next()), span(stations_mm.windows(2).last())];
    let moves = |end: &usize| plan.components[ends[*end]].moves_mm > 0.0;
    if !(moves(&0) || moves(&1)) || plan.ends_move_as_one(line) {
        return Vec::new();
    }
    let one = |end| MovingEnd { end, component: ends[end], first_hold_mm: first[end] };
    [0, 1].into_iter().filter(moves).map(one).collect()
}

/// Station of each corner of the plan.
fn corner_stations(route: &Route, line: &Line) -> Vec<f64> {
    line.clips.iter().enumerate().map(|(i, c)| corner_station(route, i, c.at_mm)).collect()
}

/// Station of a corner of the plan: the middle of its bend, or the point that passes nearest to it.
pub fn corner_station(route: &Route, index: usize, at_mm: [f64; 3]) -> f64 {
    let bend = route.bends.iter().find(|b| b.clip == Some(index));
    bend.map_or_else(|| nearest_station(route, &point(at_mm)), |b| b.station_mm)
}

/// Station on the path nearest to a clip that the line passes straight.
fn nearest_station(route: &Route, clip: &Point3<f64>) -> f64 {
    let mut best = (f64::INFINITY, 0.0);
    for (begins_mm, piece) in route.path.stations() {
        let Piece::Straight { from, to } = piece else { continue };
        let leg = to - from;
        let along = (clip - from).dot(&leg) / leg.norm_squared();
        let nearest = from + leg * along.clamp(0.0, 1.0);
        let distance = (clip - nearest).norm();
        if distance < best.0 {
            best = (distance, begins_mm + leg.norm() * along.clamp(0.0, 1.0));
        }
    }
    best.1
}

/// Clips that cut every stretch into parts no longer than the limit: as few as can be, evenly spread,
/// each moved onto a straight where that leaves no part too long.
fn missing(
    route: &Route,
    stations_mm: &[f64],
    corners_mm: &[f64],
    limit_mm: f64,
) -> Vec<MissingClip> {
    let mut clips = Vec::new();
    for span in stations_mm.windows(2) {
        let (from_mm, to_mm) = (span[0], span[1]);
        let parts = ((to_mm - from_mm) / limit_mm - 1e-9).ceil().max(1.0);
        let mut last_mm = from_mm;
        let mut left = parts - 1.0;
        while left > 0.5 && clips.len() < MOST_MISSING {
            let even_mm = last_mm + (to_mm - last_mm) / (left + 1.0);
            // What is behind it must be covered by the clips that are left.
            let window = [(to_mm - left * limit_mm).max(last_mm), last_mm + limit_mm];
            last_mm = on_a_straight(route, even_mm, window);
            left -= 1.0;
            let after = corners_mm.iter().filter(|c| **c < last_mm).count();
            if let Ok(at) = route.path.point_at(last_mm) {
                clips.push(MissingClip { station_mm: last_mm, at_mm: [at.x, at.y, at.z], after });
            }
        }
    }
    clips
}

/// The station on a straight nearest to the one wished for, within a window; the wish itself where the
/// window holds none.
fn on_a_straight(route: &Route, wish_mm: f64, [least_mm, most_mm]: [f64; 2]) -> f64 {
    let straights = route.path.stations().filter_map(|(begins_mm, piece)| {
        let Piece::Straight { .. } = piece else { return None };
        let (from, to) = (begins_mm.max(least_mm), (begins_mm + piece.length_mm()).min(most_mm));
        (from <= to).then(|| wish_mm.clamp(from, to))
    });
    let off = |station: &f64| (station - wish_mm).abs();
    straights.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(wish_mm)
}

fn span_limit(tables: &Tables, line: &Line) -> Option<Sourced<f64>> {
    match &line.carrier {
        Carrier::Hose(_) => {
            limit::installation::<Length>(tables, "support-hose").map(|l| l.map(|l| l.si() * 1e3))
        }
        Carrier::Tube(tube) => tube_span(tables, tube.outside.value.si() * 1e3),
    }
}

/// Spacing for the largest tabulated tube that is not larger than this one.
fn tube_span(tables: &Tables, outside_mm: f64) -> Option<Sourced<f64>> {
    let table = tables.get("support", "rigid-tube-mil-h-8891a")?;
    let rows = table.rows.iter().filter_map(|row| {
        let outside = table.quantity::<Length>(row, "outside")?.value.si() * 1e3;
        let spacing = table.quantity::<Length>(row, "spacing")?;
        (outside <= outside_mm + 1e-6).then(|| (outside, spacing.map(|s| s.si() * 1e3)))
    });
    rows.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, spacing)| spacing)
}
