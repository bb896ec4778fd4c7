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

#[cfg(test)]
mod tests {
    use super::super::bound::{bound, by_length, shares};
    use super::super::covering::{Covering, Kind, Pattern};
    use super::{costs, minimum, settled_bars};

    fn kind(capacity: u64, cost: u64, available: Option<u64>) -> Kind {
        Kind { capacity, available, cost, counted: false, single: false }
    }

    fn covering() -> Covering {
        let kinds = vec![kind(10, 1, None)];
        Covering { sizes: vec![5, 3], demand: vec![4, 6], kinds, most_counted: None }
    }

    fn pattern(counts: &[(usize, u64)]) -> Pattern {
        Pattern { kind: 0, counts: counts.to_vec(), spare: false }
    }

    #[test]
    fn whole_bars_of_the_relaxed_answer_are_settled_as_far_as_pieces_are_wanted() {
        let (fives, threes) = (pattern(&[(0, 2)]), pattern(&[(1, 3)]));
        let used = [(fives.clone(), 3.0), (threes.clone(), 2.0)];
        let all = [fives.clone(), fives.clone(), threes.clone(), threes.clone()];
        assert_eq!(settled_bars(&covering(), &used, 1.0), all);
        // Of 2.1 and 1.4 bars, two and one.
        assert_eq!(settled_bars(&covering(), &used, 0.7), all[..3]);
        assert_eq!(settled_bars(&covering(), &[(fives.clone(), 2.0 - 1e-9)], 1.0), all[..2]);
    }

    #[test]
    fn costs_are_the_sums_that_bars_can_have() {
        let kinds = vec![kind(9, 4, Some(2)), kind(9, 7, None), kind(9, 0, None)];
        let covering = Covering { kinds, ..covering() };
        assert_eq!(costs(&covering, 5, 20).collect::<Vec<_>>(), [7, 8, 11, 14, 15, 18]);
        assert_eq!(costs(&covering, 0, 8).collect::<Vec<_>>(), [0, 4, 7]);
        // Too many to list: every whole number.
        let many = Covering { kinds: vec![kind(9, 1, None), kind(9, 3, None)], ..covering };
        assert_eq!(costs(&many, 39_990, 40_000).count(), 10);
    }

    #[test]
    fn the_relaxed_answer_shares_bars_and_its_worth_is_a_bound() {
        // Two fives, or three threes, or one five and one three in a bar of ten: 2 + 2 bars.
        let known = [pattern(&[(0, 2)]), pattern(&[(1, 3)]), pattern(&[(0, 1), (1, 1)])];
        let found = shares(&covering(), &known);
        let whole: f64 = found.iter().map(|(_, share)| share).sum();
        assert!((whole - 4.0).abs() < 1e-9, "{found:?}");
        let cut = |size: usize| -> f64 {
            let count = |p: &Pattern| p.counts.iter().find(|c| c.0 == size).map_or(0, |c| c.1);
            found.iter().map(|(p, share)| share * f64::from(u32::try_from(count(p)).unwrap())).sum()
        };
        assert!(cut(0) >= 4.0 - 1e-9 && cut(1) >= 6.0 - 1e-9, "{found:?}");
        // By length alone 38 of 10 need four bars as well; bars limited to none need more of the dear ones.
        assert_eq!(by_length(&covering()).least_cost(), 4);
        assert_eq!(bound(&covering(), &[], 9).worth.least_cost(), 4);
        let scarce = Covering { kinds: vec![kind(10, 1, Some(2)), kind(5, 3, None)], ..covering() };
        let worth = bound(&scarce, &known, 99).worth;
        assert!((7..=14).contains(&worth.least_cost()), "{}", worth.least_cost());
        assert!(worth.budget(worth.least_cost()) >= 0 && worth.budget(worth.least_cost() - 1) < 0);
    }

    #[test]
    fn a_dear_packing_is_beaten_and_the_cheapest_is_proven() {
        let dear: Vec<Pattern> =
            [vec![pattern(&[(0, 1)]); 4], vec![pattern(&[(1, 1)]); 6]].concat();
        let found = minimum(&covering(), dear);
        assert_eq!((covering().cost(&found.packing), found.least_cost), (4, 4));
        assert!(found.proven(&covering()));
        // Limits on bars hold: two of ten and the rest of five.
        let scarce = Covering { kinds: vec![kind(10, 1, Some(2)), kind(5, 3, None)], ..covering() };
        let in_fives = |size: usize| Pattern { kind: 1, counts: vec![(size, 1)], spare: false };
        let dear = [vec![in_fives(0); 4], vec![in_fives(1); 6]].concat();
        let found = minimum(&scarce, dear);
        // Three threes twice in the bars of ten, the fives in bars of their own.
        assert_eq!((scarce.cost(&found.packing), found.least_cost), (14, 14));
        assert_eq!(found.packing.iter().filter(|p| p.kind == 0).count(), 2);
    }
}
