//! Pockets: what a flood leaves above itself.

use std::collections::BTreeMap;

use super::flood::Flood;
use super::profile::{Edge, Profile};
use super::{Level, Part, Pocket, Spot};
use crate::geometry::elevation::LEVEL_MM;

/// The pockets of a profile, in the order of their first vertices.
pub(super) fn pockets(profile: &Profile<'_>, flood: &Flood) -> Vec<Pocket> {
    let (pocket_of, first) = regions(profile, flood);
    let mut gathered: Vec<Gathered> = first.iter().map(|_| Gathered::default()).collect();
    for (vertex, pocket) in pocket_of.iter().enumerate() {
        if let Some(pocket) = pocket {
            gathered[*pocket].vertices.push(vertex);
        }
    }
    for edge in &profile.edges {
        let [a, b] = edge.ends.map(|end| pocket_of[end]);
        let Some(pocket) = owner(a, b, &first, flood) else { continue };
        let over_mm = flood.heights_mm[first[pocket]];
        if let Some(range) = profile.over(edge, over_mm) {
            gathered[pocket].add(profile, edge, range);
        }
    }
    gathered
        .into_iter()
        .zip(&first)
        .map(|(region, first)| region.described(profile, flood.pass_of(*first)))
        .collect()
}

/// Of two pockets that a valve parts, the one that gas leaves at the greater height has the edge.
fn owner(a: Option<usize>, b: Option<usize>, first: &[usize], flood: &Flood) -> Option<usize> {
    let (Some(a), Some(b)) = (a, b) else { return a.or(b) };
    let height = |pocket: usize| flood.heights_mm[first[pocket]];
    Some(if height(b) > height(a) { b } else { a })
}

/// The pocket of each vertex that stands over its flood, and the first vertex of each pocket.
fn regions(profile: &Profile<'_>, flood: &Flood) -> (Vec<Option<usize>>, Vec<usize>) {
    let count = profile.vertices.len();
    let dry = |v: usize| profile.vertices[v].height_mm > flood.heights_mm[v] + LEVEL_MM;
    let alike = |v: usize, w: usize| {
        let (a, b) = (flood.heights_mm[v], flood.heights_mm[w]);
        a.total_cmp(&b).is_eq() || (a - b).abs() <= LEVEL_MM
    };
    let mut pocket_of = vec![None; count];
    let mut first = Vec::new();
    for start in (0..count).filter(|v| dry(*v)) {
        if pocket_of[start].is_some() {
            continue;
        }
        let pocket = first.len();
        first.push(start);
        pocket_of[start] = Some(pocket);
        let mut next = vec![start];
        while let Some(vertex) = next.pop() {
            for edge in profile.at[vertex].iter().map(|e| &profile.edges[*e]) {
                let other = if edge.ends[0] == vertex { edge.ends[1] } else { edge.ends[0] };
                if pocket_of[other].is_none() && dry(other) && alike(start, other) {
                    pocket_of[other] = Some(pocket);
                    next.push(other);
                }
            }
        }
    }
    (pocket_of, first)
}

/// What belongs to a pocket.
#[derive(Default)]
struct Gathered {
    vertices: Vec<usize>,
    parts: BTreeMap<usize, Vec<[f64; 2]>>,
    /// Level runs at the top by stretch: from, to.
    runs: Vec<(usize, [usize; 2], [f64; 2])>,
}

impl Gathered {
    fn add(&mut self, profile: &Profile<'_>, edge: &Edge, range: [f64; 2]) {
        let ranges = self.parts.entry(edge.stretch).or_default();
        match ranges.last_mut() {
            Some(last) if last[1] >= range[0] => last[1] = range[1],
            _ => ranges.push(range),
        }
        let [a, b] = edge.ends.map(|end| profile.vertices[end].height_mm);
        if (a - b).abs() <= LEVEL_MM {
            self.runs.push((edge.stretch, edge.ends, [edge.from_mm, edge.to_mm]));
        }
    }

    fn described(mut self, profile: &Profile<'_>, pass: Option<usize>) -> Pocket {
        let peak = self.peak(profile);
        let mut parts = Vec::new();
        let (mut volume_mm3, mut unmeasured) = (0.0, Vec::new());
        for (stretch, ranges) in &self.parts {
            let length_mm: f64 = ranges.iter().map(|[from, to]| to - from).sum();
            match profile.joined.stretches[*stretch].area_mm2 {
                Some(area) => volume_mm3 += area * length_mm,
                None => unmeasured.push(*stretch),
            }
            let part = |[from_mm, to_mm]: &[f64; 2]| Part {
                stretch: *stretch,
                from_mm: *from_mm,
                to_mm: *to_mm,
            };
            parts.extend(ranges.iter().map(part));
        }
        self.vertices.retain(|v| matches!(profile.vertices[*v].spot, Spot::Node(_)));
        let pass = pass.map(|vertex| profile.level(vertex));
        Pocket { peak, pass, parts, nodes: self.vertices, volume_mm3, unmeasured }
    }

    /// The highest vertex, or the middle of the longest level run at its height.
    fn peak(&self, profile: &Profile<'_>) -> Level {
        let height = |v: usize| profile.vertices[v].height_mm;
        // Nodes come first, and a place at the end of a way is level with its node.
        let higher = |a: usize, b: usize| if height(b) > height(a) + LEVEL_MM { b } else { a };
        let top = self.vertices.iter().copied().reduce(higher).unwrap_or_default();
        let at_top = |v: usize| height(v) >= height(top) - LEVEL_MM;
        let mut runs: Vec<(usize, [f64; 2])> = Vec::new();
        for (stretch, ends, range) in &self.runs {
            if !ends.iter().all(|v| at_top(*v)) {
                continue;
            }
            match runs.last_mut() {
                Some((on, last)) if on == stretch && last[1] >= range[0] => last[1] = range[1],
                _ => runs.push((*stretch, *range)),
            }
        }
        let longest = runs.into_iter().reduce(|a, b| {
            let length = |run: &(usize, [f64; 2])| run.1[1] - run.1[0];
            if length(&b) > length(&a) { b } else { a }
        });
        match longest {
            Some((stretch, [from, to])) => {
                let station_mm = f64::midpoint(from, to);
                profile.level_at(Spot::Along { stretch, station_mm }, height(top))
            }
            None => profile.level(top),
        }
    }
}
