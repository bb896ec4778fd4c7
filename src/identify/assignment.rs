//! Who goes where: the one best sharing out of all pipes, and the chance of every pair.

use pathfinding::prelude::{Matrix, kuhn_munkres_min};

use super::marginal::{by_messages, exact};
use super::{IdentifyError, finite};

/// Places that a connected part of the pile may have for its chances to be summed exactly.
const MOST_EXACT: usize = 14;
/// Steps of a weight's logarithm that the search for the best sharing out tells apart.
const STEPS: i64 = 1_000_000;
/// Logarithms are cut off here, far beyond what any reading can tell.
const FARTHEST: i32 = 10_000;

/// Weights of pipes at places, as natural logarithms.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    /// By pipe, then by place; none where the pipe can never go there.
    pub at: Vec<Vec<Option<f64>>>,
    /// By pipe: of going nowhere.
    pub nowhere: Vec<f64>,
}

/// Pipes at places.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    /// By pipe: its place in the sharing out that is likeliest as a whole; none for nowhere.
    pub best: Vec<Option<usize>>,
    /// By pipe, then by place: the chance of the pair over all ways of sharing out.
    pub chance: Vec<Vec<f64>>,
    /// By pipe: the chance that it goes nowhere.
    pub nowhere: Vec<f64>,
    /// Whether every chance is a sum over all ways of sharing out, and not an approximation.
    pub exact: bool,
}

/// # What it gives
///
/// The likeliest sharing out of pipes to places, at most one pipe a place, and the chance of every pair.
///
/// # Formula
///
/// A way of sharing out weighs the product of the weights of its pairs, or of nowhere. The best one
/// is the least sum of negative logarithms (Hungarian method, each pipe with a nowhere of its own).
/// The chance of a pair is the share of all ways that hold it. Pipes and places that no possible pair
/// joins are shared out by themselves; in each such part the sum goes over all sets of places
/// that the first pipes and the last pipes can fill, where it has 14 places or fewer. Larger parts
/// take sum-product messages, which come to rest always, and are marked as not exact.
///
/// # Valid for
///
/// Finite logarithms; any number of pipes and places, none included.
///
/// # Source
///
/// Kuhn 1955 and Munkres 1957 for the best; sums over subsets are derived here and held against
/// enumeration in the tests; the messages: J. Williams and R. Lau, Approximate evaluation of marginal
/// association probabilities with belief propagation, IEEE Transactions on Aerospace and Electronic
/// Systems 50(4), 2014 (from memory).
///
/// # Notes
///
/// The best sharing out can hold a pair that is not the likeliest one of its pipe.
///
/// # Errors
///
/// Refuses tables that are not square-cut and logarithms that are not finite;
/// [`IdentifyError::NotConverged`] for messages that did not come to rest.
///
/// # Example
///
/// ```
/// use hosewright::identify::assignment::{Weights, assign};
///
/// let at = vec![vec![Some(2.0), Some(1.9)], vec![Some(2.0), None]];
/// let shared = assign(&Weights { at, nowhere: vec![0.0; 2] })?;
/// assert_eq!(shared.best, [Some(1), Some(0)]);
/// assert!(shared.exact && shared.chance[0][1] > 0.7);
/// # Ok::<(), hosewright::identify::IdentifyError>(())
/// ```
pub fn assign(weights: &Weights) -> Result<Assignment, IdentifyError> {
    let places = check(weights)?;
    let mut chance = vec![vec![0.0; places]; weights.at.len()];
    let mut nowhere = vec![1.0; weights.at.len()];
    let mut all_exact = true;
    for part in parts(weights, places) {
        let ratios = part.ratios(weights);
        let small = part.places.len() <= MOST_EXACT;
        all_exact &= small;
        let found = if small { exact(&ratios) } else { by_messages(&ratios)? };
        for (pipe, row) in part.pipes.iter().zip(found) {
            nowhere[*pipe] = (1.0 - row.iter().sum::<f64>()).clamp(0.0, 1.0);
            for (place, value) in part.places.iter().zip(row) {
                chance[*pipe][*place] = value;
            }
        }
    }
    Ok(Assignment { best: best(weights, places), chance, nowhere, exact: all_exact })
}

fn check(weights: &Weights) -> Result<usize, IdentifyError> {
    let wanted = weights.at.first().map_or(0, Vec::len);
    for (row, cells) in weights.at.iter().enumerate() {
        if cells.len() != wanted || weights.nowhere.len() != weights.at.len() {
            return Err(IdentifyError::NotATable { row, has: cells.len(), wanted });
        }
        for value in cells.iter().flatten().chain([&weights.nowhere[row]]) {
            finite("a weight", *value)?;
        }
    }
    Ok(wanted)
}

/// Pipes and places that possible pairs join.
struct Part {
    pipes: Vec<usize>,
    places: Vec<usize>,
}

impl Part {
    /// Weights against nowhere; 0 where there is no pair.
    fn ratios(&self, weights: &Weights) -> Vec<Vec<f64>> {
        let ratio = |pipe: usize, place: usize| {
            weights.at[pipe][place].map_or(0.0, |w| {
                // Beyond this one way outweighs all others in every digit.
                libm::exp((w - weights.nowhere[pipe]).clamp(-200.0, 40.0))
            })
        };
        let row = |pipe: &usize| self.places.iter().map(|place| ratio(*pipe, *place)).collect();
        self.pipes.iter().map(row).collect()
    }
}

fn parts(weights: &Weights, places: usize) -> Vec<Part> {
    let mut part_of: Vec<usize> = (0..places).collect();
    for row in &weights.at {
        let joined: Vec<usize> = (0..places).filter(|p| row[*p].is_some()).collect();
        if let Some(lowest) = joined.iter().map(|p| part_of[*p]).min() {
            let merged: Vec<usize> = joined.iter().map(|p| part_of[*p]).collect();
            part_of.iter_mut().filter(|p| merged.contains(p)).for_each(|p| *p = lowest);
        }
    }
    let members = |name: usize| Part {
        pipes: (0..weights.at.len())
            .filter(|pipe| {
                (0..places).any(|p| part_of[p] == name && weights.at[*pipe][p].is_some())
            })
            .collect(),
        places: (0..places).filter(|p| part_of[*p] == name).collect(),
    };
    (0..places).filter(|name| part_of[*name] == *name).map(members).collect()
}

/// The likeliest sharing out as a whole.
fn best(weights: &Weights, places: usize) -> Vec<Option<usize>> {
    let pipes = weights.at.len();
    if pipes == 0 {
        return Vec::new();
    }
    // Dearer than all pairs of any way together.
    let never = i64::from(FARTHEST) * STEPS * 4 * i64::try_from(pipes).unwrap_or(1);
    let cell = |(pipe, place): (usize, usize)| {
        if place < places {
            weights.at[pipe][place].map_or(never, |w| cost(w - weights.nowhere[pipe]))
        } else if place - places == pipe {
            0
        } else {
            never
        }
    };
    let costs = Matrix::from_fn(pipes, places + pipes, cell);
    let (_, columns) = kuhn_munkres_min(&costs);
    columns.into_iter().map(|place| (place < places).then_some(place)).collect()
}

/// A logarithm as a whole cost.
fn cost(log: f64) -> i64 {
    let farthest = f64::from(FARTHEST);
    let steps = (-log.clamp(-farthest, farthest) * 1e6).round();
    #[expect(clippy::cast_possible_truncation, reason = "a whole number, clamped to 1e10")]
    let whole = steps as i64;
    whole
}
