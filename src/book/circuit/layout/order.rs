//! The order of items in their columns: few wires that cross.

use std::cmp::Ordering;

use super::channel::Side;
use super::web::{Foot, Hop, Web};

/// Sweeps over all columns; beyond a few nothing changes any more.
const SWEEPS: usize = 8;
/// Rounds of swaps.
const ROUNDS: usize = 12;

/// Brings the items of each column into the order that crosses least of those tried.
pub fn settle(web: &mut Web) {
    let mut best = web.columns.clone();
    let mut least = all_crossings(web);
    for sweep in 0..SWEEPS {
        let count = web.columns.len();
        for step in 0..count {
            let column = if sweep % 2 == 0 { step } else { count - 1 - step };
            sort(web, column);
        }
        let crossings = all_crossings(web);
        if crossings < least {
            least = crossings;
            best.clone_from(&web.columns);
        }
    }
    web.columns = best;
    let mut places = places(web);
    for _ in 0..ROUNDS {
        let mut swapped = false;
        for column in 0..web.columns.len() {
            swapped |= swap(web, &mut places, column);
        }
        if !swapped {
            break;
        }
    }
}

/// Place of each item in its column.
fn places(web: &Web) -> Vec<usize> {
    let mut places = vec![0; web.items.len()];
    for column in &web.columns {
        for (place, item) in column.iter().enumerate() {
            places[*item] = place;
        }
    }
    places
}

/// Sorts a column by the mean place of what its items are wired to, as shares of the columns' heights.
fn sort(web: &mut Web, column: usize) {
    let places = places(web);
    let mut sums: Vec<(f64, f64)> = vec![(0.0, 0.0); web.items.len()];
    for hop in web.hops_in(column).chain(web.hops_in(column + 1)) {
        for (own, other) in [(hop.feet[0], hop.feet[1]), (hop.feet[1], hop.feet[0])] {
            if own.column == column && own.item != other.item {
                let sum = &mut sums[own.item];
                *sum = (sum.0 + share(web, &places, other), sum.1 + 1.0);
            }
        }
    }
    let items = &web.items;
    let height = web.columns[column].len();
    let key = |item: usize| {
        let (sum, number) = sums[item];
        if number > 0.0 { sum / number } else { middle(places[item], height) }
    };
    let mut sorted = web.columns[column].clone();
    sorted.sort_by(|a, b| {
        let groups = items[*a].group.cmp(&items[*b].group);
        groups.then(key(*a).partial_cmp(&key(*b)).unwrap_or(Ordering::Equal))
    });
    web.columns[column] = sorted;
}

#[expect(clippy::cast_precision_loss, reason = "a column has far fewer items than 2^52")]
fn middle(place: usize, of: usize) -> f64 {
    (place as f64 + 0.5) / of.max(1) as f64
}

fn share(web: &Web, places: &[usize], foot: Foot) -> f64 {
    let height = web.columns[foot.column].len();
    let within = (f64::from(foot.row) + 0.5) / f64::from(web.items[foot.item].rows) - 0.5;
    middle(places[foot.item], height) + within * middle(0, height)
}

/// Swaps neighbours of a column where that saves crossings; only wires of the two cross more or less by it.
fn swap(web: &mut Web, places: &mut [usize], column: usize) -> bool {
    let mut swapped = false;
    for place in 1..web.columns[column].len() {
        let [a, b] = [place - 1, place].map(|p| web.columns[column][p]);
        if web.items[a].group != web.items[b].group {
            continue;
        }
        let before = between(web, column, [a, b], places);
        places.swap(a, b);
        if between(web, column, [a, b], places) < before {
            web.columns[column].swap(place - 1, place);
            swapped = true;
        } else {
            places.swap(a, b);
        }
    }
    swapped
}

/// Crossings of the wires of one item of a column with those of another.
fn between(web: &Web, column: usize, [a, b]: [usize; 2], places: &[usize]) -> usize {
    let at = |hop: &Hop, item| hop.feet.iter().any(|f| f.item == item);
    let in_channel = |channel| {
        let of = |item, other| {
            let hops = web.hops_in(channel).filter(move |h| at(h, item) && !at(h, other));
            hops.map(|h| chord(h, places)).collect::<Vec<_>>()
        };
        let theirs = of(b, a);
        let crossing = |c| theirs.iter().filter(|d| cross(c, d)).count();
        of(a, b).iter().map(crossing).sum::<usize>()
    };
    in_channel(column) + in_channel(column + 1)
}

fn all_crossings(web: &Web) -> usize {
    let places = places(web);
    (0..=web.columns.len()).map(|c| crossings(web, c, &places)).sum()
}

/// Pairs of wires in a channel that cannot help crossing.
fn crossings(web: &Web, channel: usize, places: &[usize]) -> usize {
    let chords: Vec<Chord> = web.hops_in(channel).map(|h| chord(h, places)).collect();
    let earlier = |(index, c)| chords[..index].iter().filter(move |d| cross(c, d)).count();
    chords.iter().enumerate().map(earlier).sum()
}

/// Where the feet of a hop stand on the way round the channel, down the left bank and up the right one.
type Chord = [(u8, i64, i64); 2];

fn chord(hop: &Hop, places: &[usize]) -> Chord {
    let around = |f: Foot| {
        let place = i64::try_from(places[f.item]).unwrap_or(i64::MAX);
        match f.side {
            Side::Left => (0, place, i64::from(f.row)),
            Side::Right => (1, -place, -i64::from(f.row)),
        }
    };
    let [a, b] = hop.feet.map(around);
    if a < b { [a, b] } else { [b, a] }
}

/// Whether the feet of one part those of the other.
fn cross([a, b]: &Chord, [c, d]: &Chord) -> bool {
    let inside = |p| a < p && p < b;
    inside(c) != inside(d)
}
