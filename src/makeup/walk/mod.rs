//! The order in which places are visited with tools: fewest changes of tool, then least walking.

mod bound;
mod sequence;
mod within;

use super::{MakeupError, finite};
use sequence::sequence;
use within::Legs;

/// More places than this are refused.
const MOST_PLACES: usize = 1000;

/// An order of places.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Indices of the places, in the order of the walk.
    pub order: Vec<usize>,
    /// How often another tool is taken up; the first one does not count.
    pub changes: usize,
    /// Length of the walk, mm.
    pub length_mm: f64,
    /// No walk with as few changes is shorter than this, mm.
    pub least_mm: f64,
    /// Whether every order with as few changes was compared, so that none is shorter.
    pub proven: bool,
}

/// Distance of two places, mm.
fn distance(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    let apart = |axis: usize| a[axis] - b[axis];
    (apart(0) * apart(0) + apart(1) * apart(1) + apart(2) * apart(2)).sqrt()
}

/// # What it gives
///
/// The order in which places are visited, each with the tool that it needs: no tool is taken up twice, and
/// among all such orders the walk is short.
///
/// # Formula
///
/// An open walk from the first place to the last, straight from each to the next. The places of one tool
/// stand together, so there are as many changes as there are tools, less one. Tools with few places are
/// gone through by dynamic programming over sets of places, from every first to every last place; so is
/// the order of few tools. Longer lists begin with the nearest place not yet visited and are then improved
/// by turning round a stretch (2-opt) and by moving one to three places (or-opt) until neither helps.
///
/// # Valid for
///
/// Up to 1000 places; `tools` has one number for each place, which may be any.
///
/// # Source
///
/// M. Held and R. M. Karp, A dynamic programming approach to sequencing problems, J. SIAM 10 (1962), from
/// memory; G. A. Croes, A method for solving traveling-salesman problems, Operations Research 6 (1958),
/// from memory.
///
/// # Notes
///
/// `least_mm` is the length itself where it is proven. Elsewhere it adds the shortest trees that hold the
/// places of each tool together, and the tools: a walk is such a tree. Where several orders are as good the
/// one is taken that is found first, and the search goes by the indices of the places: the same places
/// give the same order. Distances are straight; what stands in the way is not known.
///
/// # Errors
///
/// [`MakeupError::NotFinite`] for a place, [`MakeupError::TooMany`] for too many of them,
/// [`MakeupError::TooFew`] where there are fewer tools than places.
///
/// # Example
///
/// ```
/// use hosewright::makeup::walk::walk;
///
/// // Along a beam, with a small and a large spanner in turn: 200 mm, 100 mm to the other, 200 mm.
/// let places = [[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [200.0, 0.0, 0.0], [300.0, 0.0, 0.0]];
/// let walk = walk(&places, &[11, 14, 11, 14])?;
/// assert_eq!((walk.changes, walk.length_mm, walk.proven), (1, 500.0, true));
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn walk(places_mm: &[[f64; 3]], tools: &[usize]) -> Result<Walk, MakeupError> {
    let has = places_mm.len();
    if has > MOST_PLACES {
        return Err(MakeupError::TooMany { what: "places", has, most: MOST_PLACES });
    }
    if tools.len() != has {
        let (what, least) = ("tools", has);
        return Err(MakeupError::TooFew { what, has: tools.len(), least });
    }
    for coordinate in places_mm.iter().flatten() {
        finite("places_mm", *coordinate)?;
    }
    let groups = grouped(tools);
    let legs: Vec<Legs> = groups.iter().map(|g| Legs::new(places_mm, g, &groups)).collect();
    let (order, all_orders) = sequence(places_mm, &legs);
    let steps = order.windows(2).map(|w| distance(&places_mm[w[0]], &places_mm[w[1]]));
    let length_mm = steps.fold(0.0, |sum, step| sum + step);
    let proven = all_orders && legs.iter().all(|l| l.proven);
    let least_mm = if proven { length_mm } else { bound::bound_mm(places_mm, &groups) };
    Ok(Walk { order, changes: groups.len().saturating_sub(1), length_mm, least_mm, proven })
}

/// Indices of the places of each tool, tools by their number.
fn grouped(tools: &[usize]) -> Vec<Vec<usize>> {
    let mut groups = std::collections::BTreeMap::<usize, Vec<usize>>::new();
    for (place, tool) in tools.iter().enumerate() {
        groups.entry(*tool).or_default().push(place);
    }
    groups.into_values().collect()
}
