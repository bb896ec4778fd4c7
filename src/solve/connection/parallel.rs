//! Pumps side by side: whether one that runs drives fluid back through one that stands still.

use std::collections::BTreeSet;

use super::walk::{Pump, Rules, Walk, is_one_way};
use crate::solve::network::circuit::LinkKind;

/// Two pumps that deliver to one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParallelFacts {
    /// The two, by component.
    pub pumps: [usize; 2],
    /// Ways back that nothing shuts.
    pub back: Vec<BackFlow>,
}

/// A way back through a pump that stands still.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BackFlow {
    /// The pump that runs.
    pub runs: usize,
    /// The pump that stands still.
    pub stands: usize,
    /// Lines on the way, from the outlet of the one to that of the other.
    pub lines: Vec<usize>,
}

/// All pairs of pumps of a circuit whose outlets are joined.
pub fn pairs(walk: &Walk<'_>) -> Vec<ParallelFacts> {
    let pumps = walk.pumps();
    let mut pairs = Vec::new();
    for (index, a) in pumps.iter().enumerate() {
        for b in &pumps[index + 1..] {
            // One-way paths aside, so that a pair that has them is spoken of as well.
            if back(walk, a, b, false).is_none() && back(walk, b, a, false).is_none() {
                continue;
            }
            let ways = [back(walk, a, b, true), back(walk, b, a, true)];
            pairs.push(ParallelFacts {
                pumps: [a.component, b.component],
                back: ways.into_iter().flatten().collect(),
            });
        }
    }
    pairs
}

/// The way from the outlet of a pump back through another to where that one draws.
///
/// The two halves of the way must not share a spot: through a shared one the fluid would go straight on.
fn back(walk: &Walk<'_>, runs: &Pump, stands: &Pump, heed_one_way: bool) -> Option<BackFlow> {
    if heed_one_way && is_one_way(walk.path(stands.component, stands.path)) {
        return None;
    }
    let rules = Rules::push(heed_one_way);
    let outlets = BTreeSet::from([runs.outlet, stands.outlet]);
    let home = walk.from(stands.inlet, &rules, &outlets);
    let spots = 0..walk.circuit.spots.len();
    let ends = spots.filter(|s| home.reaches(*s) && (*s == runs.inlet || walk.tank(*s).is_some()));
    for end in ends {
        let (low, _) = home.back_from(end);
        let barred: BTreeSet<usize> = low.into_iter().chain([runs.inlet]).collect();
        let trail = walk.from(runs.outlet, &rules, &barred);
        if trail.reaches(stands.outlet) {
            let (_, links) = trail.back_from(stands.outlet);
            let line = |link: &usize| match walk.circuit.links[*link].kind {
                LinkKind::Line(line) => Some(line),
                _ => None,
            };
            let lines = links.iter().rev().filter_map(line).collect();
            return Some(BackFlow { runs: runs.component, stands: stands.component, lines });
        }
    }
    None
}
