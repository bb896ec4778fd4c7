//! A search through all packings that lose no more worth than a cost allows.

use std::collections::BTreeMap;

use super::bound::Worth;
use super::covering::{Covering, Pattern};

/// Patterns of one bar that are compared; where there are more, the search is not complete.
const MOST_PATTERNS: usize = 4_000;
/// States remembered as hopeless.
const MOST_STATES: usize = 100_000;

/// What a search came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Found {
    /// A packing.
    Packing(Vec<Pattern>),
    /// There is none.
    None,
    /// The steps were used up.
    Unknown,
}

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question<'a> {
    pub(super) covering: &'a Covering,
    pub(super) worth: &'a Worth,
    /// What the packing may cost.
    pub(super) cost: u64,
    /// A further size that one bar has to hold.
    pub(super) spare: Option<u64>,
    /// Bars that are settled.
    pub(super) settled: &'a [Pattern],
    /// Steps to take at most.
    pub(super) steps: u64,
}

/// Looks for a packing.
pub(super) fn search(question: &Question<'_>) -> Found {
    let covering = question.covering;
    let mut left = Left {
        demand: covering.demand.clone(),
        bars: covering.kinds.iter().map(|k| k.available.unwrap_or(u64::MAX)).collect(),
        counted: covering.most_counted.unwrap_or(u64::MAX),
        money: question.cost,
    };
    let mut lost: i64 = 0;
    for pattern in question.settled {
        lost = lost.saturating_add(loss(question, pattern));
        left.take(covering, pattern);
    }
    let mut search = Search {
        question,
        budget: question.worth.budget(question.cost),
        densest: densest(covering, question.worth),
        steps: question.steps,
        complete: true,
        hopeless: BTreeMap::new(),
        bars: question.settled.to_vec(),
    };
    if search.place(&mut left, lost, question.spare) {
        return Found::Packing(search.bars);
    }
    if search.complete && search.steps > 0 { Found::None } else { Found::Unknown }
}

/// Worth that a bar does without.
fn loss(question: &Question<'_>, pattern: &Pattern) -> i64 {
    let worth = |(size, count): &(usize, u64)| {
        let one = question.worth.of_size.get(*size).copied().unwrap_or(0);
        one.saturating_mul(i64::try_from(*count).unwrap_or(i64::MAX))
    };
    let held: i64 = pattern.counts.iter().map(worth).sum();
    question.worth.of_bar(question.covering, pattern.kind).saturating_sub(held)
}

/// For each size the most worth for a length that it or a smaller one has, a little too much.
fn densest(covering: &Covering, worth: &Worth) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "raised by more than is lost")]
    let dense = |(size, worth): (&u64, &i64)| *worth as f64 / (*size).max(1) as f64 * (1.0 + 1e-12);
    let mut most = 0.0_f64;
    let each = covering.sizes.iter().zip(&worth.of_size).map(dense);
    let mut list: Vec<f64> = each
        .rev()
        .map(|d| {
            most = most.max(d);
            most
        })
        .collect();
    list.reverse();
    list
}

/// What is still to be done, and with what.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Left {
    demand: Vec<u64>,
    bars: Vec<u64>,
    counted: u64,
    /// What may still be spent.
    money: u64,
}

impl Left {
    fn take(&mut self, covering: &Covering, pattern: &Pattern) {
        self.change(covering, pattern, u64::saturating_sub);
    }

    fn give_back(&mut self, covering: &Covering, pattern: &Pattern) {
        self.change(covering, pattern, u64::saturating_add);
    }

    fn change(&mut self, covering: &Covering, pattern: &Pattern, by: fn(u64, u64) -> u64) {
        for (size, count) in &pattern.counts {
            if let Some(demand) = self.demand.get_mut(*size) {
                *demand = by(*demand, *count);
            }
        }
        let kind = covering.kinds.get(pattern.kind);
        if kind.is_some_and(|k| k.available.is_some())
            && let Some(bars) = self.bars.get_mut(pattern.kind)
        {
            *bars = by(*bars, 1);
        }
        if covering.most_counted.is_some() && kind.is_some_and(|k| k.counted) {
            self.counted = by(self.counted, 1);
        }
        self.money = by(self.money, kind.map_or(0, |k| k.cost));
    }
}

struct Search<'a> {
    question: &'a Question<'a>,
    budget: i64,
    densest: Vec<f64>,
    steps: u64,
    complete: bool,
    hopeless: BTreeMap<Left, i64>,
    bars: Vec<Pattern>,
}

impl Search<'_> {
    /// Fills the bar that holds the spare or else the largest size left, then the rest.
    fn place(&mut self, left: &mut Left, lost: i64, spare: Option<u64>) -> bool {
        let first = left.demand.iter().position(|d| *d > 0);
        if first.is_none() && spare.is_none() {
            return true;
        }
        if self.hopeless.get(left).is_some_and(|before| *before <= lost) {
            return false;
        }
        for (loss, pattern) in self.patterns(left, lost, first, spare) {
            if self.steps == 0 {
                return false;
            }
            left.take(self.question.covering, &pattern);
            self.bars.push(pattern.clone());
            if self.place(left, lost + loss, None) {
                return true;
            }
            self.bars.pop();
            left.give_back(self.question.covering, &pattern);
        }
        if self.steps > 0 && spare.is_none() && self.hopeless.len() < MOST_STATES {
            self.hopeless.insert(left.clone(), lost);
        }
        false
    }

    /// The bars to try, the one that loses least first.
    fn patterns(
        &mut self,
        left: &Left,
        lost: i64,
        first: Option<usize>,
        spare: Option<u64>,
    ) -> Vec<(i64, Pattern)> {
        let (covering, worth) = (self.question.covering, self.question.worth);
        let allowed = self.budget.saturating_sub(lost);
        let mut list = Vec::new();
        for (kind, k) in covering.kinds.iter().enumerate() {
            let there = left.bars.get(kind).is_some_and(|n| *n > 0);
            if !there || (k.counted && left.counted == 0) || k.cost > left.money {
                continue;
            }
            let of_bar = worth.of_bar(covering, kind);
            let mut filling = Filling {
                left,
                kind,
                single: k.single,
                need: of_bar.saturating_sub(allowed),
                spare: spare.is_some(),
                counts: Vec::new(),
            };
            let mut held = Vec::new();
            match (spare, first) {
                (Some(spare), _) if !k.single && spare <= k.capacity => {
                    self.fill(&mut filling, 0, (k.capacity - spare, 0), &mut held);
                }
                (None, Some(first)) => self.begin(&mut filling, first, k.capacity, &mut held),
                _ => {}
            }
            // The loss is what the bar should hold less what it does.
            list.extend(held.into_iter().map(|(held, bar)| (of_bar.saturating_sub(held), bar)));
        }
        list.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.counts.cmp(&a.1.counts)));
        list
    }

    /// Bars with at least one of the first size.
    fn begin(
        &mut self,
        filling: &mut Filling<'_>,
        first: usize,
        capacity: u64,
        list: &mut Vec<(i64, Pattern)>,
    ) {
        let size = self.question.covering.sizes.get(first).copied().unwrap_or(u64::MAX);
        let demand = filling.left.demand.get(first).copied().unwrap_or(0);
        let worth = self.question.worth.of_size.get(first).copied().unwrap_or(0);
        let fitting = (capacity / size.max(1)).min(demand);
        let most = if filling.single { fitting.min(1) } else { fitting };
        for count in (1..=most).rev() {
            filling.counts.push((first, count));
            let held = worth.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
            self.fill(filling, first + 1, (capacity - count * size, held), list);
            filling.counts.pop();
        }
    }

    /// Adds smaller sizes in every way that holds the worth needed and leaves no room for another piece.
    fn fill(
        &mut self,
        filling: &mut Filling<'_>,
        next: usize,
        (room, held): (u64, i64),
        list: &mut Vec<(i64, Pattern)>,
    ) {
        if self.steps == 0 {
            return;
        }
        self.steps -= 1;
        let sizes = &self.question.covering.sizes;
        let left = |size: usize| filling.left.demand.get(size).copied().unwrap_or(0);
        let fits = |size: &usize| left(*size) > 0 && sizes.get(*size).is_some_and(|s| *s <= room);
        let following = if filling.single { None } else { (next..sizes.len()).find(fits) };
        let Some(size) = following else {
            if held >= filling.need && filling.is_maximal(sizes, room) {
                if list.len() >= MOST_PATTERNS {
                    self.complete = false;
                    return;
                }
                let counts = filling.counts.clone();
                list.push((held, Pattern { kind: filling.kind, counts, spare: filling.spare }));
            }
            return;
        };
        let dense = self.densest.get(size).copied().unwrap_or(0.0);
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "rounded up generously"
        )]
        let more = (dense * room as f64 * (1.0 + 1e-12)) as i64 + 2;
        if held.saturating_add(more) < filling.need {
            return;
        }
        let length = sizes.get(size).copied().unwrap_or(u64::MAX);
        let worth = self.question.worth.of_size.get(size).copied().unwrap_or(0);
        for count in (0..=(room / length.max(1)).min(left(size))).rev() {
            if count > 0 {
                filling.counts.push((size, count));
            }
            let added = worth.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
            self.fill(filling, size + 1, (room - count * length, held.saturating_add(added)), list);
            if count > 0 {
                filling.counts.pop();
            }
        }
    }
}

/// A bar being filled.
struct Filling<'a> {
    left: &'a Left,
    kind: usize,
    single: bool,
    /// Worth that it must hold.
    need: i64,
    spare: bool,
    counts: Vec<(usize, u64)>,
}

impl Filling<'_> {
    /// Whether no piece that is left would still go in: if one does, there is a packing where it is in.
    fn is_maximal(&self, sizes: &[u64], room: u64) -> bool {
        let taken =
            |size: usize| self.counts.iter().find(|(s, _)| *s == size).map_or(0, |(_, n)| *n);
        self.single
            || !(0..sizes.len()).any(|size| {
                let left = self.left.demand.get(size).copied().unwrap_or(0);
                left > taken(size) && sizes.get(size).is_some_and(|s| *s <= room)
            })
    }
}
