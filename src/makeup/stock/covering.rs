//! Demands to be covered by bars of several kinds, in whole numbers.

/// A kind of bar.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// Length that sizes may fill.
    pub(super) capacity: u64,
    /// How many there are; none where there is no end.
    pub(super) available: Option<u64>,
    /// What beginning one costs.
    pub(super) cost: u64,
    /// Whether it counts towards [`Covering::most_counted`].
    pub(super) counted: bool,
    /// Takes one piece at most: what is left out is "cut" from such a kind.
    pub(super) single: bool,
}

/// The least cost of bars that cover every demand.
#[derive(Debug, Clone)]
pub(super) struct Covering {
    /// Different sizes, largest first.
    pub(super) sizes: Vec<u64>,
    /// How many of each.
    pub(super) demand: Vec<u64>,
    /// What to cut from.
    pub(super) kinds: Vec<Kind>,
    /// Most bars of the kinds that are counted.
    pub(super) most_counted: Option<u64>,
}

impl Covering {
    /// What a packing costs.
    pub(super) fn cost(&self, packing: &[Pattern]) -> u64 {
        packing.iter().filter_map(|p| self.kinds.get(p.kind)).map(|k| k.cost).sum()
    }
}

/// A bar and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pattern {
    /// Kind of the bar.
    pub(super) kind: usize,
    /// Place of a size, and how many of it.
    pub(super) counts: Vec<(usize, u64)>,
    /// Whether it also holds the spare that was asked for.
    pub(super) spare: bool,
}
