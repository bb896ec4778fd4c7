//! The longest further piece that still comes out of what is bought anyway.

use super::bound;
use super::covering::{Covering, Pattern};
use super::minimum::Minimum;
use super::search::{Found, Question, search};

/// Steps of the search for one length.
const STEPS: u64 = 5_000;

/// The longest size that still goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Longest {
    pub(super) size: u64,
    /// No longer one does.
    pub(super) at_most: u64,
    pub(super) proven: bool,
}

/// The packing of the same cost that has room for the longest size, and that size; none where nothing has room.
pub(super) fn longest(covering: &Covering, found: &Minimum) -> Option<(Vec<Pattern>, Longest)> {
    let cost = covering.cost(&found.packing);
    let (mut packing, mut least) = roomiest(covering, found.packing.clone())?;
    let by_length = bound::by_length(covering);
    let capacities = covering.kinds.iter().filter(|k| !k.single).map(|k| k.capacity);
    let slack = u64::try_from(by_length.budget(cost).max(0)).unwrap_or(0);
    let most = capacities.max().unwrap_or(0).min(slack / unit(covering, &by_length)).max(least);
    // Sizes up to `least` go in, those over `proven` do not, and those from `open` on were not settled.
    let (mut proven, mut open) = (most, most + 1);
    while least + 1 < open.min(proven + 1) {
        let size = least + (open.min(proven + 1) - least) / 2;
        let spare = Some(size);
        let worth = &found.worth;
        match search(&Question { covering, worth, cost, spare, settled: &[], steps: STEPS }) {
            Found::Packing(better) => match roomiest(covering, better) {
                Some((better, room)) if room >= size => (packing, least) = (better, room),
                _ => open = size,
            },
            Found::None => proven = size - 1,
            Found::Unknown => open = size,
        }
    }
    let longest = Longest { size: least, at_most: proven.max(least), proven: proven <= least };
    Some((packing, longest))
}

/// Worth of a unit of length.
fn unit(covering: &Covering, by_length: &bound::Worth) -> u64 {
    let dense = covering.sizes.iter().zip(&by_length.of_size).next();
    dense.map_or(1, |(size, worth)| worth.unsigned_abs() / (*size).max(1)).max(1)
}

/// Marks the bar with the most room, which may be one that is not begun.
fn roomiest(covering: &Covering, mut packing: Vec<Pattern>) -> Option<(Vec<Pattern>, u64)> {
    packing.retain(|p| !p.counts.is_empty());
    for pattern in &mut packing {
        pattern.spare = false;
    }
    let room = |pattern: &Pattern| {
        let size =
            |(size, count): &(usize, u64)| covering.sizes.get(*size).map_or(0, |s| s * count);
        let used: u64 = pattern.counts.iter().map(size).sum();
        covering.kinds.get(pattern.kind).map_or(0, |k| k.capacity.saturating_sub(used))
    };
    let begun =
        packing.iter().map(room).enumerate().max_by_key(|(at, room)| (*room, usize::MAX - at));
    let free = covering.kinds.iter().enumerate().filter(|(kind, k)| {
        let used = packing.iter().filter(|p| p.kind == *kind).count() as u64;
        k.cost == 0 && k.available.is_some_and(|a| a > used)
    });
    let untouched = free.map(|(kind, k)| (k.capacity, kind)).max();
    match (begun, untouched) {
        (Some((at, room)), other) if other.is_none_or(|(capacity, _)| room >= capacity) => {
            if let Some(pattern) = packing.get_mut(at) {
                pattern.spare = true;
            }
            Some((packing, room))
        }
        (_, Some((capacity, kind))) => {
            packing.push(Pattern { kind, counts: Vec::new(), spare: true });
            Some((packing, capacity))
        }
        _ => None,
    }
}
