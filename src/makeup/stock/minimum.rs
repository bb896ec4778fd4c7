//! The cheapest packing there is, or the best found with a bound.

use std::collections::BTreeSet;

use super::bound::{Worth, bound, shares};
use super::covering::{Covering, Pattern};
use super::search::{Found, Question, search};

/// Steps of a first look through all packings, of one with most bars settled, and of a thorough one.
const STEPS: [u64; 3] = [4_000, 10_000, 100_000];
/// Different costs that are listed; beyond them every whole number is tried.
const MOST_COSTS: usize = 10_000;
/// Costs that are tried in vain before the packing at hand must do.
const MOST_TRIED: usize = 6;

/// The cheapest packing found.
#[derive(Debug, Clone)]
pub(super) struct Minimum {
    pub(super) packing: Vec<Pattern>,
    /// No packing costs less.
    pub(super) least_cost: u64,
    pub(super) worth: Worth,
}

impl Minimum {
    pub(super) fn proven(&self, covering: &Covering) -> bool {
        covering.cost(&self.packing) == self.least_cost
    }
}

/// Looks for a cheaper packing than the one at hand.
pub(super) fn minimum(covering: &Covering, packing: Vec<Pattern>) -> Minimum {
    let upper = covering.cost(&packing);
    let mut known = packing.clone();
    known.sort_by(|a, b| (a.kind, &a.counts).cmp(&(b.kind, &b.counts)));
    known.dedup();
    let bound = bound(covering, &known, upper);
    let mut costs = costs(covering, bound.worth.least_cost(), upper);
    let least = costs.next().unwrap_or(upper).min(upper);
    let mut found = Minimum { packing, least_cost: least, worth: bound.worth };
    if least == upper {
        return found;
    }
    let used = shares(covering, &bound.patterns);
    let mut next = Some(least);
    let mut sure = true;
    for _ in 0..MOST_TRIED {
        let Some(cost) = next.filter(|c| *c < upper) else { break };
        next = costs.next();
        match attempt(covering, &found.worth, cost, &used) {
            Found::Packing(packing) => {
                found.packing = packing;
                break;
            }
            Found::None if sure => found.least_cost = next.unwrap_or(upper).min(upper),
            Found::None => {}
            Found::Unknown => sure = false,
        }
    }
    found
}

/// A look through all packings, then with whole bars of the relaxed answer settled, then a thorough look.
fn attempt(covering: &Covering, worth: &Worth, cost: u64, used: &[(Pattern, f64)]) -> Found {
    let [first, settled, thorough] = STEPS;
    let all = Question { covering, worth, cost, spare: None, settled: &[], steps: first };
    let found = search(&all);
    if found != Found::Unknown {
        return found;
    }
    for share in [1.0, 0.7, 0.4] {
        let bars = settled_bars(covering, used, share);
        let found = search(&Question { settled: &bars, steps: settled, ..all });
        if let Found::Packing(_) = found {
            return found;
        }
    }
    search(&Question { steps: thorough, ..all })
}

/// The whole bars of a share of the relaxed answer, without cutting more than is wanted.
fn settled_bars(covering: &Covering, used: &[(Pattern, f64)], share: f64) -> Vec<Pattern> {
    let mut left = covering.demand.clone();
    let mut bars = Vec::new();
    for (pattern, amount) in used {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of bars"
        )]
        let whole = (amount * share + 1e-6).floor().clamp(0.0, 1e6) as u64;
        for _ in 0..whole {
            let enough = |(size, count): &(usize, u64)| left.get(*size).is_some_and(|l| l >= count);
            if !pattern.counts.iter().all(enough) {
                break;
            }
            for (size, count) in &pattern.counts {
                if let Some(left) = left.get_mut(*size) {
                    *left -= count;
                }
            }
            bars.push(pattern.clone());
        }
    }
    bars
}

/// The costs that bars can add up to, from `least` to below `upper`.
fn costs(covering: &Covering, least: u64, upper: u64) -> Box<dyn Iterator<Item = u64>> {
    let mut sums = BTreeSet::from([0_u64]);
    for kind in covering.kinds.iter().filter(|k| k.cost > 0) {
        let mut more = sums.clone();
        let most = kind.available.unwrap_or(u64::MAX).min(upper / kind.cost);
        for count in 1..=most {
            more.extend(sums.iter().map(|s| s + count * kind.cost).filter(|s| *s < upper));
            if more.len() > MOST_COSTS {
                return Box::new(least..upper);
            }
        }
        sums = more;
    }
    Box::new(sums.into_iter().filter(move |s| (least..upper).contains(s)))
}
