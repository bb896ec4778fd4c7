//! What is best comes in stages: nothing left out, few bars bought, little length bought, a long spare.

use super::covering::{Covering, Kind, Pattern};
use super::fill::{self, Bin, Problem};
use super::minimum::{Minimum, minimum};
use super::spare::{self, Longest};

/// Stands for the spare in a list of pieces.
const SPARE: usize = usize::MAX;

/// The best packing found.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) bins: Vec<Bin>,
    /// Pieces on no bar.
    pub(super) left_out: Vec<usize>,
    /// No packing that leaves out no more buys fewer bars.
    pub(super) least_bought: usize,
    /// No packing begins fewer bars.
    pub(super) least_bars: usize,
    /// Nothing leaves out fewer pieces, buys fewer bars or the same number with less length.
    pub(super) proven: bool,
    /// The longest size that still goes in.
    pub(super) spare: Option<Longest>,
    /// Bought bars of a packing that holds one longer than that.
    pub(super) with_longer: Option<Vec<(usize, usize)>>,
}

/// Sizes that are wanted and what they can come from, with the pieces and bars behind the numbers.
#[derive(Debug, Clone)]
struct Stage {
    covering: Covering,
    /// Pieces of each size.
    pieces: Vec<Vec<usize>>,
    /// Stock of each bar of a kind; the last is there as often as is wanted.
    sources: Vec<Source>,
}

#[derive(Debug, Clone)]
struct Source {
    stock: Vec<usize>,
    bought: bool,
}

impl Stage {
    fn new(items: &[(usize, u64)]) -> Self {
        let mut sizes = Vec::new();
        let mut pieces: Vec<Vec<usize>> = Vec::new();
        for (piece, size) in items {
            let same = pieces.last_mut().filter(|_| sizes.last() == Some(size));
            if let Some(same) = same {
                same.push(*piece);
            } else {
                sizes.push(*size);
                pieces.push(vec![*piece]);
            }
        }
        let demand = pieces.iter().map(|p| p.len() as u64).collect();
        let covering = Covering { sizes, demand, kinds: Vec::new(), most_counted: None };
        Self { covering, pieces, sources: Vec::new() }
    }

    fn kind(&mut self, kind: Kind, source: Source) {
        self.covering.kinds.push(kind);
        self.sources.push(source);
    }

    /// Bars of the shelf, those of one length as one kind.
    fn with_shelf(mut self, shelf: &[(usize, u64)], costs_length: bool) -> Self {
        for group in shelf.chunk_by(|a, b| a.1 == b.1) {
            let Some((_, capacity)) = group.first().copied() else { continue };
            let cost = if costs_length { capacity } else { 0 };
            let available = Some(group.len() as u64);
            let kind = Kind { capacity, available, cost, counted: false, single: false };
            let stock = group.iter().map(|(stock, _)| *stock).collect();
            self.kind(kind, Source { stock, bought: false });
        }
        self
    }

    fn with_bought(
        mut self,
        (stock, capacity): (usize, u64),
        cost: u64,
        available: Option<u64>,
    ) -> Self {
        let kind = Kind { capacity, available, cost, counted: true, single: false };
        self.kind(kind, Source { stock: vec![stock], bought: true });
        self
    }

    /// The bars as patterns; a bought one as the kind of its stock, or as the longest.
    fn patterns(&self, bins: &[Bin]) -> Vec<Pattern> {
        bins.iter().filter_map(|bin| self.pattern(bin)).collect()
    }

    fn pattern(&self, bin: &Bin) -> Option<Pattern> {
        let of_kind = |k: &usize| self.sources.get(*k).is_some_and(|s| s.bought == bin.bought);
        let same = |k: &usize| {
            self.covering.kinds.get(*k).is_some_and(|kind| kind.capacity == bin.capacity)
        };
        let kinds = || (0..self.sources.len()).filter(of_kind);
        let kind = kinds().find(same).or_else(|| kinds().next_back().filter(|_| bin.bought))?;
        let mut counts: Vec<(usize, u64)> = Vec::new();
        for (size, pieces) in self.pieces.iter().enumerate() {
            let count = bin.items.iter().filter(|item| pieces.contains(item)).count() as u64;
            if count > 0 {
                counts.push((size, count));
            }
        }
        Some(Pattern { kind, counts, spare: false })
    }

    /// The patterns as bars with pieces in them; a bar with nothing in it is not begun.
    fn bins(&self, packing: &[Pattern]) -> Vec<Bin> {
        let mut pieces: Vec<std::vec::IntoIter<usize>> =
            self.pieces.iter().map(|p| p.clone().into_iter()).collect();
        let mut begun = vec![0_usize; self.sources.len()];
        let mut bins = Vec::new();
        for pattern in packing.iter().filter(|p| !p.counts.is_empty()) {
            let Some((source, kind)) =
                self.sources.get(pattern.kind).zip(self.covering.kinds.get(pattern.kind))
            else {
                continue;
            };
            let Some(nth) = begun.get_mut(pattern.kind) else { continue };
            let stock = source.stock.get(*nth).or(source.stock.last());
            *nth += 1;
            let mut bin = Bin::empty(stock.copied().unwrap_or(0), kind.capacity, source.bought);
            for (size, count) in &pattern.counts {
                let length = self.covering.sizes.get(*size).copied().unwrap_or(0);
                let Some(pieces) = pieces.get_mut(*size) else { continue };
                for piece in pieces.take(usize::try_from(*count).unwrap_or(usize::MAX)) {
                    bin.put((piece, length));
                }
            }
            bins.push(bin);
        }
        bins
    }
}

/// Packs the items stage by stage.
pub(super) fn solve(problem: &Problem) -> Solved {
    let mut bins = fill::by_rules(problem);
    let mut kept = problem.clone();
    let mut left_out = Vec::new();
    let mut proven = true;
    if fill::left_out(problem, &bins) > 0 {
        (bins, left_out, proven) = least_left_out(problem, &bins);
        kept.items.retain(|(piece, _)| !left_out.contains(piece));
    }
    let bought = bought_least(&kept, bins);
    proven &= bought.proven;
    let (bins, spare) = with_long_spare(&kept, &bought);
    let with_longer =
        spare.filter(|s| s.proven).and_then(|s| with_longer(&kept, &bins, s.size + 1));
    Solved {
        least_bars: fill::least_bars(&kept).max(bought.least),
        least_bought: bought.least,
        left_out,
        proven,
        with_longer,
        spare,
        bins,
    }
}

/// Chooses what the shelf cannot hold; what can be bought is never left out.
fn least_left_out(problem: &Problem, bins: &[Bin]) -> (Vec<Bin>, Vec<usize>, bool) {
    let longest = problem.endless.last().map_or(0, |(_, capacity)| *capacity);
    let items: Vec<(usize, u64)> =
        problem.items.iter().filter(|(_, size)| *size > longest).copied().collect();
    let mut stage = Stage::new(&items).with_shelf(&problem.shelf, false);
    let omitted = stage.sources.len();
    let most = stage.covering.sizes.first().copied().unwrap_or(0);
    let kind = Kind { capacity: most, available: None, cost: 1, counted: false, single: true };
    stage.kind(kind, Source { stock: vec![0], bought: false });
    let shelf: Vec<Bin> = bins.iter().filter(|b| !b.bought).cloned().collect();
    let mut packing: Vec<Pattern> =
        stage.patterns(&shelf).into_iter().filter(|p| !p.counts.is_empty()).collect();
    for size in 0..stage.covering.sizes.len() {
        let cut: u64 = packing
            .iter()
            .flat_map(|p| &p.counts)
            .filter(|(s, _)| *s == size)
            .map(|(_, n)| n)
            .sum();
        let wanted = stage.covering.demand.get(size).copied().unwrap_or(0);
        let omit = Pattern { kind: omitted, counts: vec![(size, 1)], spare: false };
        packing.extend((cut..wanted).map(|_| omit.clone()));
    }
    let found = minimum(&stage.covering, packing);
    let proven = found.proven(&stage.covering);
    let (omits, cuts): (Vec<Pattern>, Vec<Pattern>) =
        found.packing.into_iter().partition(|p| p.kind == omitted);
    // Bars first, so that the first pieces of a size are cut and the last are left out.
    let all = stage.bins(&[cuts.clone(), omits].concat());
    let (bins, omitted) = all.split_at(cuts.len().min(all.len()));
    let left_out: Vec<usize> = omitted.iter().flat_map(|b| b.items.clone()).collect();
    let rest = problem.items.iter().filter(|(_, size)| *size <= longest);
    (continued(problem, bins.to_vec(), rest), left_out, proven)
}

/// Puts further items into the first bar that takes them.
fn continued<'a>(
    problem: &Problem,
    mut bins: Vec<Bin>,
    items: impl Iterator<Item = &'a (usize, u64)>,
) -> Vec<Bin> {
    let mut shelf = problem.shelf.clone();
    for bin in &bins {
        if let Some(at) = shelf.iter().position(|(stock, _)| *stock == bin.stock) {
            shelf.remove(at);
        }
    }
    bins.extend(shelf.iter().map(|(stock, capacity)| Bin::empty(*stock, *capacity, false)));
    for item in items {
        if let Some(bin) = bins.iter_mut().find(|bin| bin.room() >= item.1) {
            bin.put(*item);
        } else if let Some(mut bin) = fill::new_bar(problem, usize::MAX, item.1) {
            bin.put(*item);
            bins.push(bin);
        }
    }
    bins.retain(|bin| !bin.items.is_empty());
    fill::shrunk(problem, bins)
}

/// A packing with the least bought, and what it was shown by.
struct Bought {
    stage: Stage,
    minimum: Minimum,
    least: usize,
    proven: bool,
}

/// The fewest bars bought, then the least length.
fn bought_least(problem: &Problem, bins: Vec<Bin>) -> Bought {
    let stage = || Stage::new(&problem.items).with_shelf(&problem.shelf, false);
    let longest = problem.endless.last().filter(|_| bins.iter().any(|b| b.bought));
    let Some(longest) = longest else {
        let stage = stage();
        let packing = stage.patterns(&bins);
        let minimum = minimum(&stage.covering, packing);
        return Bought { stage, minimum, least: 0, proven: true };
    };
    let by_count = stage().with_bought(*longest, 1, None);
    let packing = by_count.patterns(&bins);
    let before = by_count.covering.cost(&packing);
    let fewest = minimum(&by_count.covering, packing);
    let count = by_count.covering.cost(&fewest.packing);
    let least = usize::try_from(fewest.least_cost).unwrap_or(usize::MAX);
    let proven = fewest.proven(&by_count.covering);
    if problem.endless.len() < 2 {
        return Bought { stage: by_count, minimum: fewest, least, proven };
    }
    let mut by_length = stage();
    by_length.covering.most_counted = Some(count);
    for bar in &problem.endless {
        by_length = by_length.with_bought(*bar, bar.1, None);
    }
    let bins =
        if count < before { fill::shrunk(problem, by_count.bins(&fewest.packing)) } else { bins };
    let packing = by_length.patterns(&bins);
    let shortest = minimum(&by_length.covering, packing);
    let proven = proven && shortest.proven(&by_length.covering);
    Bought { stage: by_length, minimum: shortest, least, proven }
}

/// Of the packings that buy no more, one that leaves a long bar, and of those one that begins little of the shelf.
fn with_long_spare(problem: &Problem, bought: &Bought) -> (Vec<Bin>, Option<Longest>) {
    let Bought { stage, minimum, .. } = bought;
    let longest = spare::longest(&stage.covering, minimum);
    let Some((packing, longest)) = longest else {
        return (stage.bins(&minimum.packing), None);
    };
    let shelf_begun = packing
        .iter()
        .any(|p| !p.counts.is_empty() && stage.sources.get(p.kind).is_some_and(|s| !s.bought));
    if !shelf_begun {
        return (stage.bins(&packing), Some(longest));
    }
    (least_of_shelf(problem, stage, &packing, longest.size), Some(longest))
}

/// Begins as little of the shelf as can be with the same bars bought and the same spare.
fn least_of_shelf(problem: &Problem, stage: &Stage, packing: &[Pattern], spare: u64) -> Vec<Bin> {
    let bins = stage.bins(packing);
    // An untouched bar that holds the spare stays untouched.
    let mut shelf = problem.shelf.clone();
    let untouched = packing.iter().find(|p| p.spare && p.counts.is_empty());
    let capacity = |p: &Pattern| stage.covering.kinds.get(p.kind).map(|k| k.capacity);
    let mut items = problem.items.clone();
    if let Some(capacity) = untouched.and_then(capacity) {
        if let Some(at) = shelf.iter().rposition(|(_, c)| *c == capacity) {
            shelf.remove(at);
        }
    } else {
        items = with_item(&items, spare);
    }
    let mut least = Stage::new(&items).with_shelf(&shelf, true);
    for (stock, capacity) in &problem.endless {
        let used = bins.iter().filter(|b| b.bought && b.stock == *stock).count() as u64;
        if used > 0 {
            least = least.with_bought((*stock, *capacity), 0, Some(used));
        }
    }
    let mut before = bins.clone();
    if untouched.is_none()
        && let Some(bin) = before.iter_mut().find(|bin| bin.room() >= spare)
    {
        bin.put((SPARE, spare));
    }
    let found = minimum(&least.covering, least.patterns(&before));
    let mut bins = least.bins(&found.packing);
    for bin in bins.iter_mut().filter(|b| b.items.contains(&SPARE)) {
        bin.items.retain(|piece| *piece != SPARE);
        bin.used -= spare;
    }
    bins.retain(|bin| !bin.items.is_empty());
    bins
}

/// The items with a spare among them, largest first.
fn with_item(items: &[(usize, u64)], spare: u64) -> Vec<(usize, u64)> {
    let at = items.iter().position(|(_, size)| *size < spare).unwrap_or(items.len());
    let mut items = items.to_vec();
    items.insert(at, (SPARE, spare));
    items
}

/// What has to be bought of each stock for a spare of this size as well.
fn with_longer(problem: &Problem, bins: &[Bin], spare: u64) -> Option<Vec<(usize, usize)>> {
    let more = Problem { items: with_item(&problem.items, spare), ..problem.clone() };
    let mut all = bins.to_vec();
    let mut bar = fill::new_bar(problem, usize::MAX, spare)?;
    bar.put((SPARE, spare));
    all.push(bar);
    let bought = bought_least(&more, all);
    let bins = bought.stage.bins(&bought.minimum.packing);
    let count = |stock: usize| bins.iter().filter(|b| b.bought && b.stock == stock).count();
    let all = problem.endless.iter().map(|(stock, _)| (*stock, count(*stock)));
    bought.proven.then(|| all.filter(|(_, count)| *count > 0).collect())
}
