//! Ways through the places of one tool, from one of them to another.

use super::distance;

/// Up to so many places every order is compared.
const EXACT: usize = 10;
/// Up to so many places each pair of first and last is tried; of more, a few that lie far out.
const ALL_PAIRS: usize = 30;
/// A change must help by more than rounding could feign, mm.
const NOISE_MM: f64 = 1e-9;

/// One way through all places of a tool.
#[derive(Clone, Debug)]
pub(super) struct Leg {
    /// Indices of the places, in order.
    pub order: Vec<usize>,
    /// Its length, mm.
    pub length_mm: f64,
}

/// The ways through the places of a tool.
#[derive(Debug)]
pub(super) struct Legs {
    /// One for each pair of first and last place that was tried.
    pub ways: Vec<Leg>,
    /// Whether none of them can be shorter, and no pair is missing.
    pub proven: bool,
}

impl Legs {
    /// The ways through a group among all groups.
    pub fn new(places: &[[f64; 3]], group: &[usize], groups: &[Vec<usize>]) -> Self {
        if let [only] = group {
            let way = Leg { order: vec![*only], length_mm: 0.0 };
            return Self { ways: vec![way], proven: true };
        }
        let between: Vec<Vec<f64>> = group
            .iter()
            .map(|a| group.iter().map(|b| distance(&places[*a], &places[*b])).collect())
            .collect();
        let proven = group.len() <= EXACT;
        let orders = if proven {
            every_order(&between)
        } else {
            improved(&between, &ends(places, group, groups))
        };
        let leg = |order: Vec<usize>| Leg {
            length_mm: length(&between, &order),
            order: order.into_iter().map(|i| group[i]).collect(),
        };
        Self { ways: orders.into_iter().map(leg).collect(), proven }
    }
}

fn length(between: &[Vec<f64>], order: &[usize]) -> f64 {
    order.windows(2).map(|w| between[w[0]][w[1]]).sum()
}

/// The shortest order for each pair of first and last, by dynamic programming over sets.
fn every_order(between: &[Vec<f64>]) -> Vec<Vec<usize>> {
    let count = between.len();
    let whole = (1_usize << count) - 1;
    let mut found = Vec::new();
    for first in 0..count {
        // Shortest way over a set of places to the last of it, and the one before that.
        let mut best = vec![vec![(f64::INFINITY, first); count]; whole + 1];
        best[1 << first][first].0 = 0.0;
        for set in 1..=whole {
            for last in (0..count).filter(|l| set & (1 << l) != 0) {
                let so_far = best[set][last].0;
                if so_far.is_infinite() {
                    continue;
                }
                for next in (0..count).filter(|n| set & (1 << n) == 0) {
                    let longer = so_far + between[last][next];
                    let entry = &mut best[set | (1 << next)][next];
                    if longer < entry.0 {
                        *entry = (longer, last);
                    }
                }
            }
        }
        found.extend((0..count).filter(|l| *l != first).map(|last| traced(&best, whole, last)));
    }
    found
}

fn traced(best: &[Vec<(f64, usize)>], whole: usize, last: usize) -> Vec<usize> {
    let (mut set, mut at, mut order) = (whole, last, vec![last]);
    while set.count_ones() > 1 {
        let before = best[set][at].1;
        set &= !(1 << at);
        at = before;
        order.push(at);
    }
    order.reverse();
    order
}

/// First and last places worth trying in a group that is too long for all of them.
fn ends(places: &[[f64; 3]], group: &[usize], groups: &[Vec<usize>]) -> Vec<usize> {
    if group.len() <= ALL_PAIRS {
        return (0..group.len()).collect();
    }
    let from = |place: usize| move |i: &usize| distance(&places[place], &places[group[*i]]);
    let farthest = |place: usize| {
        let far = from(place);
        (0..group.len()).reduce(|a, b| if far(&b) > far(&a) { b } else { a }).unwrap_or(0)
    };
    let one = farthest(group[0]);
    let mut ends = vec![one, farthest(group[one])];
    // Where the others come nearest, the walk is likely to come in or to leave.
    for other in groups.iter().filter(|g| g[0] != group[0]).take(2) {
        let near = |i: &usize| other.iter().map(|p| from(*p)(i)).fold(f64::INFINITY, f64::min);
        ends.extend((0..group.len()).reduce(|a, b| if near(&b) < near(&a) { b } else { a }));
    }
    ends.sort_unstable();
    ends.dedup();
    ends
}

/// A good order for each pair of these first and last places.
fn improved(between: &[Vec<f64>], ends: &[usize]) -> Vec<Vec<usize>> {
    let pairs = ends.iter().flat_map(|a| ends.iter().map(move |b| (*a, *b)));
    pairs
        .filter(|(first, last)| first < last)
        .flat_map(|(first, last)| {
            let mut order = nearest_first(between, first, last);
            while turned(between, &mut order) || moved(between, &mut order) {}
            let back = order.iter().rev().copied().collect();
            [order, back]
        })
        .collect()
}

/// Always on to the nearest place that is left, with the last one kept for the end.
fn nearest_first(between: &[Vec<f64>], first: usize, last: usize) -> Vec<usize> {
    let mut left: Vec<usize> = (0..between.len()).filter(|i| *i != first && *i != last).collect();
    let mut order = vec![first];
    let mut at = first;
    while let Some(near) = (0..left.len())
        .reduce(|a, b| if between[at][left[b]] < between[at][left[a]] { b } else { a })
    {
        at = left.remove(near);
        order.push(at);
    }
    order.push(last);
    order
}

/// Turns round every stretch that is better the other way; whether one was. Both ends stay.
fn turned(between: &[Vec<f64>], order: &mut [usize]) -> bool {
    let mut any = false;
    for from in 1..order.len().saturating_sub(2) {
        for to in from + 1..order.len() - 1 {
            let [a, b, c, d] = [order[from - 1], order[from], order[to], order[to + 1]];
            if between[a][c] + between[b][d] + NOISE_MM < between[a][b] + between[c][d] {
                order[from..=to].reverse();
                any = true;
            }
        }
    }
    any
}

/// Moves one to three neighbours to where they cost least; whether any were moved. Both ends stay.
fn moved(between: &[Vec<f64>], order: &mut Vec<usize>) -> bool {
    for many in 1..=3 {
        for from in 1..order.len().saturating_sub(many) {
            let piece = order[from..from + many].to_vec();
            let [before, after] = [order[from - 1], order[from + many]];
            let (head, tail) = (piece[0], piece[many - 1]);
            let gain = between[before][head] + between[tail][after] - between[before][after];
            let mut rest = order.clone();
            rest.drain(from..from + many);
            let cost = |gap: &usize| {
                let [a, b] = [rest[*gap], rest[gap + 1]];
                let straight = between[a][head] + between[tail][b] - between[a][b];
                let back = between[a][tail] + between[head][b] - between[a][b];
                (straight.min(back), back < straight)
            };
            let gap =
                (0..rest.len() - 1).reduce(|a, b| if cost(&b).0 < cost(&a).0 { b } else { a });
            if let Some(gap) = gap.filter(|g| cost(g).0 + NOISE_MM < gain) {
                let back = cost(&gap).1;
                let piece = if back { piece.into_iter().rev().collect() } else { piece };
                rest.splice(gap + 1..=gap, piece);
                *order = rest;
                return true;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::{ALL_PAIRS, ends, every_order, improved, length, moved, nearest_first, turned};
    use crate::geometry::tests::drawn;
    use crate::makeup::walk::distance;

    fn places(index: u32, count: u32) -> Vec<[f64; 3]> {
        let place = |at: u32| [0, 1, 2].map(|axis| drawn(index * 97 + at, axis, (0.0, 1000.0)));
        (0..count).map(place).collect()
    }

    fn between(places: &[[f64; 3]]) -> Vec<Vec<f64>> {
        places.iter().map(|a| places.iter().map(|b| distance(a, b)).collect()).collect()
    }

    #[test]
    fn every_order_has_the_shortest_from_each_place_to_each_other() {
        for index in 1..10 {
            let between = between(&places(index, 5));
            let found = every_order(&between);
            assert_eq!(found.len(), 20);
            for order in &found {
                let (first, last) = (order[0], order[4]);
                let mut inner: Vec<usize> = (0..5).filter(|i| *i != first && *i != last).collect();
                let mut least = f64::INFINITY;
                // All six orders of the three between.
                for turn in 0..6 {
                    inner.swap(turn % 2, turn % 2 + 1);
                    let all = [vec![first], inner.clone(), vec![last]].concat();
                    least = least.min(length(&between, &all));
                }
                assert!((length(&between, order) - least).abs() < 1e-9, "{index}: {order:?}");
            }
        }
    }

    #[test]
    fn improved_orders_are_near_the_shortest_and_no_stretch_is_better_turned_or_moved() {
        let (mut all, mut least) = (0.0, 0.0);
        for index in 1..20 {
            let between = between(&places(index, 9));
            let exact = every_order(&between);
            for order in improved(&between, &(0..9).collect::<Vec<_>>()) {
                let same = |o: &&Vec<usize>| o[0] == order[0] && o[8] == order[8];
                let best = length(&between, exact.iter().find(same).unwrap());
                let found = length(&between, &order);
                assert!(found >= best - 1e-9, "{index}: {found} {best}");
                (all, least) = (all + found, least + best);
                let mut again = order.clone();
                assert!(!turned(&between, &mut again) && !moved(&between, &mut again), "{index}");
                for from in 1..7 {
                    for to in from + 1..8 {
                        let mut other = order.clone();
                        other[from..=to].reverse();
                        assert!(length(&between, &other) > found - 1e-6, "{index}: {from} {to}");
                    }
                }
            }
        }
        assert!(all < 1.01 * least, "{} longer", all / least - 1.0);
    }

    #[test]
    fn a_change_is_made_only_where_it_shortens() {
        let line: Vec<[f64; 3]> = (0..6).map(|at| [f64::from(at), 0.0, 0.0]).collect();
        let between = between(&line);
        assert_eq!(nearest_first(&between, 0, 5), [0, 1, 2, 3, 4, 5]);
        assert_eq!(nearest_first(&between, 3, 0), [3, 2, 1, 4, 5, 0]);
        let mut crossed = vec![0, 3, 2, 1, 4, 5];
        assert!(turned(&between, &mut crossed));
        assert_eq!(crossed, [0, 1, 2, 3, 4, 5]);
        let mut carried = vec![0, 2, 3, 4, 1, 5];
        while moved(&between, &mut carried) {}
        assert_eq!(carried, [0, 1, 2, 3, 4, 5]);
        // Three that go in backwards.
        let mut backwards = vec![0, 4, 3, 2, 1, 5];
        while turned(&between, &mut backwards) || moved(&between, &mut backwards) {}
        assert_eq!(backwards, [0, 1, 2, 3, 4, 5]);
    }

    #[test]
    fn of_many_places_the_ones_far_out_and_near_the_others_are_ends() {
        let mut line: Vec<[f64; 3]> = (0..40).map(|at| [f64::from(at), 0.0, 0.0]).collect();
        line.extend([[20.0, 5.0, 0.0], [20.0, 6.0, 0.0]]);
        let (group, other): (Vec<usize>, Vec<usize>) = ((0..40).collect(), vec![40, 41]);
        assert_eq!(ends(&line, &group, &[group.clone(), other.clone()]), [0, 20, 39]);
        let few: Vec<usize> = (0..ALL_PAIRS).collect();
        assert_eq!(ends(&line, &few, &[few.clone(), other]), few);
    }
}
