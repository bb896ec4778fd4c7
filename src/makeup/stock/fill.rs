//! The rules that put sizes into bars, in whole numbers.

/// What is to be packed: sizes and capacities already carry the kerf.
#[derive(Debug, Clone)]
pub(super) struct Problem {
    /// Place in the list of pieces, and size; largest first.
    pub(super) items: Vec<(usize, u64)>,
    /// Stock and capacity of each bar on the shelf, shortest first.
    pub(super) shelf: Vec<(usize, u64)>,
    /// Stock and capacity of what can be bought, shortest first.
    pub(super) endless: Vec<(usize, u64)>,
}

/// A bar with pieces in it.
#[derive(Debug, Clone)]
pub(super) struct Bin {
    pub(super) stock: usize,
    pub(super) capacity: u64,
    pub(super) used: u64,
    pub(super) items: Vec<usize>,
    pub(super) bought: bool,
}

impl Bin {
    pub(super) fn empty(stock: usize, capacity: u64, bought: bool) -> Self {
        Self { stock, capacity, used: 0, items: Vec::new(), bought }
    }

    pub(super) fn room(&self) -> u64 {
        self.capacity.saturating_sub(self.used)
    }

    pub(super) fn put(&mut self, item: (usize, u64)) {
        self.items.push(item.0);
        self.used += item.1;
    }
}

/// Largest table a bar is filled by; beyond it the plain rules must do.
const MOST_CELLS: u64 = 2_000_000;

/// Packs the items by every rule and keeps the best.
pub(super) fn by_rules(problem: &Problem) -> Vec<Bin> {
    if let Some(only) = one_bar(problem) {
        return only;
    }
    let mut best = Vec::new();
    for main in 0..problem.endless.len().max(1) {
        for packed in [
            by_fit(problem, main, false),
            by_fit(problem, main, true),
            by_filling(problem, main, true),
            by_filling(problem, main, false),
        ] {
            let packed = shrunk(problem, packed);
            if best.is_empty() || rank(problem, &packed) < rank(problem, &best) {
                best = packed;
            }
        }
    }
    best
}

/// The one bar that takes everything, where there is but one kind of bar to take: nothing is better.
fn one_bar(problem: &Problem) -> Option<Vec<Bin>> {
    let [(_, capacity)] = problem.endless[..] else { return None };
    let all: u64 = problem.items.iter().map(|(_, size)| size).sum();
    let fits = problem.shelf.is_empty() && !problem.items.is_empty() && all <= capacity;
    fits.then(|| by_fit(problem, 0, false))
}

/// Left out, bars bought, their length, begun from the shelf: less is better.
fn rank(problem: &Problem, bins: &[Bin]) -> (usize, usize, u64, u64) {
    let length = |bought: bool| -> u64 {
        bins.iter().filter(|bin| bin.bought == bought).map(|bin| bin.capacity).sum()
    };
    let bought = bins.iter().filter(|bin| bin.bought).count();
    (left_out(problem, bins), bought, length(true), length(false))
}

/// Pieces that are on no bar.
pub(super) fn left_out(problem: &Problem, bins: &[Bin]) -> usize {
    let placed: usize = bins.iter().map(|bin| bin.items.len()).sum();
    problem.items.len().saturating_sub(placed)
}

/// A new bar for a piece: the main length if it takes the piece, else the shortest that does.
pub(super) fn new_bar(problem: &Problem, main: usize, size: u64) -> Option<Bin> {
    let wanted = problem.endless.get(main).filter(|(_, capacity)| *capacity >= size);
    let shortest = problem.endless.iter().find(|(_, capacity)| *capacity >= size);
    wanted.or(shortest).map(|(stock, capacity)| Bin::empty(*stock, *capacity, true))
}

fn shelf_bars(problem: &Problem) -> Vec<Bin> {
    problem.shelf.iter().map(|(stock, capacity)| Bin::empty(*stock, *capacity, false)).collect()
}

/// Longest piece first, into the first bar that takes it or into the one it fills best.
fn by_fit(problem: &Problem, main: usize, fullest: bool) -> Vec<Bin> {
    let mut bins = shelf_bars(problem);
    for item in &problem.items {
        let mut taking = bins.iter_mut().filter(|bin| bin.room() >= item.1);
        let chosen = if fullest { taking.min_by_key(|bin| bin.room()) } else { taking.next() };
        if let Some(bin) = chosen {
            bin.put(*item);
        } else if let Some(mut bin) = new_bar(problem, main, item.1) {
            bin.put(*item);
            bins.push(bin);
        }
    }
    bins.retain(|bin| !bin.items.is_empty());
    bins
}

/// One bar after the other, each as full as can be; `lead` puts the longest piece left in first.
fn by_filling(problem: &Problem, main: usize, lead: bool) -> Vec<Bin> {
    let mut left = problem.items.clone();
    let mut bins = Vec::new();
    for bin in shelf_bars(problem) {
        filled(&mut left, bin, lead, &mut bins);
    }
    // What only the shelf could have held stays out.
    let longest_bought = problem.endless.last().map_or(0, |(_, capacity)| *capacity);
    left.retain(|item| item.1 <= longest_bought);
    while let Some(longest) = left.first() {
        let Some(bin) = new_bar(problem, main, longest.1) else {
            break;
        };
        // The bar takes the longest piece left, so every round places at least one.
        filled(&mut left, bin, lead, &mut bins);
    }
    bins
}

/// Fills one bar from what is left.
fn filled(left: &mut Vec<(usize, u64)>, mut bin: Bin, lead: bool, bins: &mut Vec<Bin>) {
    if lead && let Some(first) = left.iter().position(|item| item.1 <= bin.room()) {
        bin.put(left.remove(first));
    }
    for size in best_fill(left, bin.room()) {
        if let Some(at) = left.iter().position(|item| item.1 == size) {
            bin.put(left.remove(at));
        }
    }
    if !bin.items.is_empty() {
        bins.push(bin);
    }
}

/// The sizes whose sum comes nearest to `room` without passing it; large sizes where there is a choice.
fn best_fill(left: &[(usize, u64)], room: u64) -> Vec<u64> {
    let mut groups: Vec<(u64, u32)> = Vec::new();
    for (_, size) in left.iter().filter(|item| item.1 <= room) {
        match groups.last_mut() {
            Some((same, count)) if same == size => *count += 1,
            _ => groups.push((*size, 1)),
        }
    }
    if groups.is_empty() {
        return Vec::new();
    }
    let unit = groups.iter().fold(0, |unit, (size, _)| divisor(unit, *size)).max(1);
    let cells = room / unit + 1;
    if cells.saturating_mul(groups.len() as u64) > MOST_CELLS {
        return largest_first(&groups, room);
    }
    let Ok(cells) = usize::try_from(cells) else {
        return Vec::new();
    };
    fill_table(&groups, unit, cells)
}

fn divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { divisor(b, a % b) }
}

fn largest_first(groups: &[(u64, u32)], mut room: u64) -> Vec<u64> {
    let mut sizes = Vec::new();
    for (size, count) in groups {
        for _ in 0..*count {
            if *size <= room {
                room -= size;
                sizes.push(*size);
            }
        }
    }
    sizes
}

/// For every sum that can be made: the group added last and how many of it; then reads back the largest.
fn fill_table(groups: &[(u64, u32)], unit: u64, cells: usize) -> Vec<u64> {
    let mut made: Vec<Option<(usize, u32)>> = vec![None; cells];
    if let Some(nothing) = made.first_mut() {
        *nothing = Some((usize::MAX, 0));
    }
    let steps: Vec<usize> =
        groups.iter().map(|(size, _)| usize::try_from(size / unit).unwrap_or(cells)).collect();
    for (group, (step, (_, count))) in steps.iter().zip(groups).enumerate() {
        for sum in *step..cells {
            let before = made.get(sum - step).copied().flatten();
            let used = before.map(|(last, used)| if last == group { used } else { 0 });
            if let Some(used) = used.filter(|used| used < count)
                && let Some(cell @ None) = made.get_mut(sum)
            {
                *cell = Some((group, used + 1));
            }
        }
    }
    let mut sum = made.iter().rposition(Option::is_some).unwrap_or(0);
    let mut sizes = Vec::new();
    while sum > 0 {
        let Some((group, _)) = made.get(sum).copied().flatten() else {
            break;
        };
        let (Some((size, _)), Some(step)) = (groups.get(group), steps.get(group)) else {
            break;
        };
        sizes.push(*size);
        sum -= step;
    }
    sizes
}

/// Bought bars shortened to the shortest stock that holds what is in them.
pub(super) fn shrunk(problem: &Problem, mut bins: Vec<Bin>) -> Vec<Bin> {
    for bin in bins.iter_mut().filter(|bin| bin.bought) {
        let shortest = problem.endless.iter().find(|(_, capacity)| *capacity >= bin.used);
        if let Some((stock, capacity)) = shortest {
            bin.stock = *stock;
            bin.capacity = *capacity;
        }
    }
    bins
}

/// A number of bars no packing can do without.
///
/// Pieces over `C - K` share with none of size `K` or more; those over `C / 2` need a bar each; what the
/// pieces from `K` to `C / 2` cannot put beside them needs more bars. The best `K` counts.
pub(super) fn least_bars(problem: &Problem) -> usize {
    let bars = problem.shelf.iter().chain(&problem.endless);
    let Some(capacity) = bars.map(|(_, capacity)| *capacity).max().filter(|c| *c > 0) else {
        return 0;
    };
    let sizes: Vec<u64> = problem.items.iter().map(|(_, size)| *size).collect();
    let mut halves: Vec<u64> = sizes.clone();
    halves.retain(|size| size * 2 <= capacity);
    halves.dedup();
    halves
        .into_iter()
        .chain(std::iter::once(0))
        .map(|least| bars_for_threshold(&sizes, capacity, least))
        .max()
        .unwrap_or(0)
}

fn bars_for_threshold(sizes: &[u64], capacity: u64, least: u64) -> usize {
    let alone = sizes.iter().filter(|size| **size > capacity - least).count();
    let is_large = |size: &u64| *size <= capacity - least && *size * 2 > capacity;
    let large = sizes.iter().copied().filter(is_large);
    let large_count = large.clone().count();
    let beside: u64 = large.map(|size| capacity - size).sum();
    let small = sizes.iter().filter(|size| **size * 2 <= capacity && **size >= least);
    let small_sum: u64 = small.sum();
    let more = small_sum.saturating_sub(beside).div_ceil(capacity);
    alone + large_count + usize::try_from(more).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::{
        Problem, best_fill, by_filling, by_fit, divisor, largest_first, least_bars, left_out,
    };
    use crate::geometry::tests::drawn;

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "drawn from 0")]
    fn whole(index: u32, axis: u32, most: f64) -> u64 {
        drawn(index, axis, (1.0, most + 1.0)) as u64
    }

    fn items(index: u32) -> Vec<(usize, u64)> {
        let mut sizes: Vec<u64> = (0..6).map(|axis| whole(index, axis, 40.0)).collect();
        sizes.sort_unstable_by(|a, b| b.cmp(a));
        sizes.into_iter().enumerate().collect()
    }

    /// Every sum of some of the items.
    fn sums(items: &[(usize, u64)]) -> Vec<u64> {
        let some = 0..1_u32 << items.len();
        some.map(|set| items.iter().filter(|item| set >> item.0 & 1 == 1).map(|item| item.1).sum())
            .collect()
    }

    #[test]
    fn a_bar_is_filled_to_the_largest_sum_there_is() {
        for index in 1..300 {
            let (items, room) = (items(index), whole(index, 6, 120.0));
            let filled = best_fill(&items, room);
            let most = sums(&items).into_iter().filter(|sum| *sum <= room).max();
            assert_eq!(Some(filled.iter().sum()), most, "{index}: {items:?} in {room}");
            // No piece is taken twice.
            for size in &filled {
                let count = |of: &mut dyn Iterator<Item = u64>| of.filter(|s| s == size).count();
                let there = count(&mut items.iter().map(|item| item.1));
                assert!(count(&mut filled.iter().copied()) <= there, "{index}: {filled:?}");
            }
        }
        assert!(best_fill(&[(0, 9)], 8).is_empty());
        assert_eq!((divisor(12, 18), divisor(0, 7)), (6, 7));
        assert_eq!(largest_first(&[(5, 2), (3, 3)], 14), [5, 5, 3]);
    }

    #[test]
    fn no_bound_is_above_what_the_rules_need_and_those_over_half_need_one_each() {
        for index in 1..300 {
            let items = items(index);
            let problem = Problem { items, shelf: Vec::new(), endless: vec![(0, 40)] };
            let least = least_bars(&problem);
            let all: u64 = problem.items.iter().map(|item| item.1).sum();
            assert!(least >= usize::try_from(all.div_ceil(40)).unwrap(), "{index}");
            assert!(least >= problem.items.iter().filter(|item| item.1 > 20).count(), "{index}");
            for packed in [
                by_fit(&problem, 0, false),
                by_fit(&problem, 0, true),
                by_filling(&problem, 0, true),
                by_filling(&problem, 0, false),
            ] {
                assert!(packed.len() >= least && left_out(&problem, &packed) == 0, "{index}");
                for bin in &packed {
                    let sizes = bin.items.iter().map(|item| problem.items[*item].1);
                    assert!(sizes.sum::<u64>() == bin.used && bin.used <= bin.capacity);
                }
            }
        }
        // Two of 26 need a bar each and leave no room for the three of 15, two of which go into one.
        let of = |sizes: &[u64]| Problem {
            items: sizes.iter().copied().enumerate().collect(),
            shelf: Vec::new(),
            endless: vec![(0, 40)],
        };
        assert_eq!(least_bars(&of(&[26, 26, 15, 15, 15])), 4);
        assert_eq!(least_bars(&of(&[26, 26, 14, 14])), 2);
        assert_eq!(least_bars(&of(&[])), 0);
    }

    #[test]
    fn each_rule_packs_as_its_name_says() {
        let shelf = vec![(1, 20), (2, 30)];
        let items = vec![(0, 18), (1, 11), (2, 10), (3, 9), (4, 3)];
        let problem = Problem { items, shelf, endless: vec![(0, 40)] };
        let packed = |bins: Vec<super::Bin>| -> Vec<(usize, Vec<usize>)> {
            let sorted = |mut items: Vec<usize>| {
                items.sort_unstable();
                items
            };
            bins.into_iter().map(|bin| (bin.stock, sorted(bin.items))).collect()
        };
        let longest = [(1, vec![0]), (2, vec![1, 2, 3]), (0, vec![4])];
        assert_eq!(packed(by_fit(&problem, 0, false)), longest);
        assert_eq!(packed(by_filling(&problem, 0, true)), longest);
        // As full as can be: 11 and 9 fill 20 wholly, 18 and 10 the most of 30.
        let fullest = [(1, vec![1, 3]), (2, vec![0, 2]), (0, vec![4])];
        assert_eq!(packed(by_filling(&problem, 0, false)), fullest);
        // Eight go into the first bar that takes them, or into the one with eight left.
        let problem = Problem { items: vec![(0, 22), (1, 8)], ..problem };
        assert_eq!(packed(by_fit(&problem, 0, false)), [(1, vec![1]), (2, vec![0])]);
        assert_eq!(packed(by_fit(&problem, 0, true)), [(2, vec![0, 1])]);
    }
}
