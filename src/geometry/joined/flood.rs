//! The flood from the outlets: the height at which gas gets out from every place.

use core::cmp::Ordering;
use std::collections::BinaryHeap;

use super::profile::Profile;
use crate::geometry::elevation::LEVEL_MM;

/// From where gas gets out, and where it passes.
#[derive(Debug)]
pub(super) struct Flood {
    /// The height at which gas gets out from each vertex; minus infinity where no way leads out.
    pub heights_mm: Vec<f64>,
    /// The lowest vertex on the way out.
    passes: Vec<Option<usize>>,
}

impl Flood {
    /// The lowest vertex on the way out of a vertex.
    pub fn pass_of(&self, vertex: usize) -> Option<usize> {
        self.passes[vertex]
    }
}

/// A vertex that has been reached, the highest way first.
struct Reached {
    height_mm: f64,
    vertex: usize,
}

impl Ord for Reached {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_height = self.height_mm.total_cmp(&other.height_mm);
        by_height.then(other.vertex.cmp(&self.vertex))
    }
}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Reached {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Reached {}

/// Floods the profile from its outlets, against the way of the gas.
pub(super) fn flood(profile: &Profile<'_>, outlets: &[usize]) -> Flood {
    let count = profile.vertices.len();
    let mut flood = Flood { heights_mm: vec![f64::NEG_INFINITY; count], passes: vec![None; count] };
    let mut next = BinaryHeap::new();
    for outlet in outlets {
        let height_mm = profile.vertices[*outlet].height_mm;
        flood.heights_mm[*outlet] = height_mm;
        flood.passes[*outlet] = Some(*outlet);
        next.push(Reached { height_mm, vertex: *outlet });
    }
    while let Some(Reached { height_mm, vertex }) = next.pop() {
        if height_mm < flood.heights_mm[vertex] {
            continue;
        }
        for edge in profile.at[vertex].iter().map(|e| &profile.edges[*e]) {
            let here = usize::from(edge.ends[0] != vertex);
            let other = edge.ends[1 - here];
            // Gas comes from the other end to this one.
            if !edge.passes[1 - here] {
                continue;
            }
            let own_mm = profile.vertices[other].height_mm;
            let over_mm = own_mm.min(height_mm);
            if over_mm > flood.heights_mm[other] {
                flood.heights_mm[other] = over_mm;
                // Of places that are level with each other the one nearer to the outlet is named.
                let lower = own_mm < height_mm - LEVEL_MM;
                flood.passes[other] = if lower { Some(other) } else { flood.passes[vertex] };
                next.push(Reached { height_mm: over_mm, vertex: other });
            }
        }
    }
    flood
}
