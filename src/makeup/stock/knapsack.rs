//! The bar that holds the most worth.

use super::covering::Covering;

/// Steps of the search in one bar; beyond them `at_most` is a bound that may not be reached.
const STEPS: u32 = 50_000;

/// A bar filled for the most worth.
#[derive(Debug, Clone)]
pub(super) struct Fullest {
    /// Worth of what is in it.
    pub(super) worth: i64,
    /// No bar holds more.
    pub(super) at_most: i64,
    /// Place of a size, and how many of it.
    pub(super) counts: Vec<(usize, u64)>,
}

/// A size that fits and is worth something.
#[derive(Debug, Clone, Copy)]
struct Choice {
    place: usize,
    size: u64,
    worth: i64,
    most: u64,
}

struct Search<'a> {
    choices: &'a [Choice],
    steps: u32,
    taken: Vec<u64>,
    best: i64,
    best_taken: Vec<u64>,
}

/// Fills a bar of a kind with the sizes wanted, for the most worth.
pub(super) fn fullest(covering: &Covering, kind: usize, worth: &[i64]) -> Fullest {
    let (capacity, single) =
        covering.kinds.get(kind).map_or((0, false), |k| (k.capacity, k.single));
    let sizes = covering.sizes.iter().zip(worth).zip(&covering.demand).enumerate();
    let mut choices: Vec<Choice> = sizes
        .filter(|(_, ((size, worth), demand))| **worth > 0 && **size <= capacity && **demand > 0)
        .map(|(place, ((size, worth), demand))| {
            let most = if single { 1 } else { (capacity / size.max(&1)).min(*demand) };
            Choice { place, size: *size, worth: *worth, most }
        })
        .collect();
    if single {
        let best = choices.iter().max_by_key(|c| (c.worth, core::cmp::Reverse(c.place)));
        let (worth, counts) = best.map_or((0, Vec::new()), |c| (c.worth, vec![(c.place, 1)]));
        return Fullest { worth, at_most: worth, counts };
    }
    // The most worth for its length first; exact in whole numbers.
    choices.sort_by(|a, b| {
        let (a_over_b, b_over_a) =
            (i128::from(a.worth) * i128::from(b.size), i128::from(b.worth) * i128::from(a.size));
        b_over_a.cmp(&a_over_b).then(a.place.cmp(&b.place))
    });
    let root = at_most(&choices, capacity);
    let mut search = Search {
        choices: &choices,
        steps: STEPS,
        taken: vec![0; choices.len()],
        best: -1,
        best_taken: Vec::new(),
    };
    search.fill(0, capacity, 0);
    let counts = choices.iter().zip(&search.best_taken).filter(|(_, n)| **n > 0);
    let mut counts: Vec<(usize, u64)> = counts.map(|(c, n)| (c.place, *n)).collect();
    counts.sort_unstable();
    let worth = search.best.max(0);
    Fullest { worth, at_most: if search.steps == 0 { root.max(worth) } else { worth }, counts }
}

/// What the best choice left could be worth if it could be cut to fill the room.
fn at_most(choices: &[Choice], room: u64) -> i64 {
    let Some(first) = choices.first() else { return 0 };
    let filled = i128::from(first.worth) * i128::from(room) / i128::from(first.size.max(1)) + 1;
    i64::try_from(filled).unwrap_or(i64::MAX)
}

impl Search<'_> {
    fn fill(&mut self, next: usize, room: u64, worth: i64) {
        if worth > self.best {
            self.best = worth;
            self.best_taken.clone_from(&self.taken);
        }
        let choices = self.choices;
        let Some(left) = choices.get(next..).filter(|l| !l.is_empty()) else { return };
        if self.steps == 0 || worth.saturating_add(at_most(left, room)) <= self.best {
            return;
        }
        self.steps -= 1;
        let Some(choice) = left.first() else { return };
        let most = (room / choice.size.max(1)).min(choice.most);
        for count in (0..=most).rev() {
            if let Some(taken) = self.taken.get_mut(next) {
                *taken = count;
            }
            let more = choice.worth.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
            self.fill(next + 1, room - count * choice.size, worth.saturating_add(more));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::covering::{Covering, Kind};
    use super::{Choice, at_most, fullest};
    use crate::geometry::tests::drawn;

    fn covering(sizes: Vec<u64>, demand: Vec<u64>, capacity: u64, single: bool) -> Covering {
        let kind = Kind { capacity, available: None, cost: 1, counted: false, single };
        Covering { sizes, demand, kinds: vec![kind], most_counted: None }
    }

    #[test]
    fn a_bar_holds_the_most_worth_that_any_filling_has() {
        #[expect(clippy::cast_possible_truncation, reason = "drawn from 0")]
        let whole = |index, axis, most: f64| drawn(index, axis, (0.0, most)) as i64;
        for index in 1..300 {
            let sizes: Vec<u64> =
                (0..3).map(|at| (3 + whole(index, at, 15.0)).unsigned_abs()).collect();
            let worth: Vec<i64> = (0..3).map(|at| whole(index, at + 3, 50.0) - 5).collect();
            let covering = covering(sizes.clone(), vec![2, 3, 1], 30, false);
            let found = fullest(&covering, 0, &worth);
            let mut most = 0;
            for a in 0..=2_u32 {
                for b in 0..=3_u32 {
                    for c in 0..=1_u32 {
                        let counts = [a, b, c];
                        let used: u64 =
                            sizes.iter().zip(counts).map(|(s, n)| s * u64::from(n)).sum();
                        let held: i64 =
                            worth.iter().zip(counts).map(|(w, n)| w * i64::from(n)).sum();
                        if used <= 30 {
                            most = most.max(held);
                        }
                    }
                }
            }
            assert_eq!((found.worth, found.at_most), (most, most), "{index}: {sizes:?} {worth:?}");
            let count = |of: &dyn Fn(usize) -> i64| -> i64 {
                found.counts.iter().map(|(at, n)| of(*at) * i64::try_from(*n).unwrap()).sum()
            };
            assert_eq!(count(&|at| worth[at]), most);
            assert!(count(&|at| i64::try_from(sizes[at]).unwrap()) <= 30);
        }
    }

    #[test]
    fn what_takes_one_piece_takes_the_dearest_and_a_bound_rounds_up() {
        let found = fullest(&covering(vec![9, 5], vec![4, 4], 9, true), 0, &[7, 8]);
        assert_eq!((found.worth, found.counts), (8, vec![(1, 1)]));
        let choice = |worth, size| Choice { place: 0, size, worth, most: 9 };
        assert_eq!(at_most(&[choice(10, 3), choice(1, 9)], 7), 24);
        assert_eq!(at_most(&[], 7), 0);
    }
}
