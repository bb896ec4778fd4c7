//! In which order the tools are taken up, and by which of its ways each is gone through.

use super::distance;
use super::within::Legs;

/// Up to so many tools every order is compared.
const EXACT: usize = 9;

/// A way of a tool, by the index of both.
type Way = (usize, usize);

/// The shortest walk over all tools, and whether every order of them was compared.
pub(super) fn sequence(places: &[[f64; 3]], legs: &[Legs]) -> (Vec<usize>, bool) {
    let all_orders = legs.len() <= EXACT;
    let ways = if all_orders { every_order(places, legs) } else { nearest_tools(places, legs) };
    let order = ways.into_iter().flat_map(|(tool, way)| legs[tool].ways[way].order.iter().copied());
    (order.collect(), all_orders)
}

fn ends(legs: &[Legs], (tool, way): Way) -> [usize; 2] {
    let order = &legs[tool].ways[way].order;
    [order[0], order[order.len() - 1]]
}

/// The walk on from a place through a tool: the best way for each of its last places, with the length.
fn onward(places: &[[f64; 3]], legs: &[Legs], from: Option<usize>, tool: usize) -> Vec<(Way, f64)> {
    let mut best: Vec<(Way, f64)> = Vec::new();
    for (way, leg) in legs[tool].ways.iter().enumerate() {
        let [first, last] = ends(legs, (tool, way));
        let to_it = from.map_or(0.0, |from| distance(&places[from], &places[first]));
        let length = to_it + leg.length_mm;
        match best.iter_mut().find(|(other, _)| ends(legs, *other)[1] == last) {
            Some(known) if length < known.1 => *known = ((tool, way), length),
            Some(_) => {}
            None => best.push(((tool, way), length)),
        }
    }
    best
}

/// By dynamic programming over sets of tools and the place where the walk stands.
fn every_order(places: &[[f64; 3]], legs: &[Legs]) -> Vec<Way> {
    let whole = (1_usize << legs.len()) - 1;
    // For each place what leads on from it through each tool; asked many times.
    let from_place: Vec<Vec<Vec<(Way, f64)>>> = (0..places.len())
        .map(|p| (0..legs.len()).map(|tool| onward(places, legs, Some(p), tool)).collect())
        .collect();
    let mut best: Vec<Vec<Option<Reached>>> = vec![vec![None; places.len()]; whole + 1];
    for tool in 0..legs.len() {
        for (way, length) in onward(places, legs, None, tool) {
            best[1 << tool][ends(legs, way)[1]] = Some(Reached { length, way, before: None });
        }
    }
    for set in 1..=whole {
        for at in 0..places.len() {
            let Some(so_far) = best[set][at].map(|r| r.length) else { continue };
            for tool in (0..legs.len()).filter(|t| set & (1 << t) == 0) {
                for (way, more) in &from_place[at][tool] {
                    let length = so_far + more;
                    let entry = &mut best[set | (1 << tool)][ends(legs, *way)[1]];
                    if entry.is_none_or(|e| length < e.length) {
                        *entry = Some(Reached { length, way: *way, before: Some(at) });
                    }
                }
            }
        }
    }
    traced(&best, whole)
}

/// A walk that stands at a place.
#[derive(Clone, Copy, Debug)]
struct Reached {
    length: f64,
    way: Way,
    before: Option<usize>,
}

fn traced(best: &[Vec<Option<Reached>>], whole: usize) -> Vec<Way> {
    let Some(row) = best.get(whole) else { return Vec::new() };
    let shorter = |a: usize, b: usize| match (row[a], row[b]) {
        (Some(x), Some(y)) => {
            if y.length < x.length {
                b
            } else {
                a
            }
        }
        (None, _) => b,
        _ => a,
    };
    let mut at = (0..row.len()).reduce(shorter);
    let (mut set, mut ways) = (whole, Vec::new());
    while let Some(reached) = at.and_then(|place| best[set][place]) {
        ways.push(reached.way);
        set &= !(1 << reached.way.0);
        at = reached.before;
    }
    ways.reverse();
    ways
}

/// From every tool on by what adds least, and the best of these walks.
fn nearest_tools(places: &[[f64; 3]], legs: &[Legs]) -> Vec<Way> {
    let mut best: Option<(f64, Vec<Way>)> = None;
    for first in 0..legs.len() {
        for (way, length) in onward(places, legs, None, first) {
            let mut left: Vec<usize> = (0..legs.len()).filter(|t| *t != first).collect();
            let (mut ways, mut total) = (vec![way], length);
            while let Some(last) = ways.last().map(|w| ends(legs, *w)[1]) {
                let steps = left.iter().flat_map(|t| onward(places, legs, Some(last), *t));
                let Some((next, more)) = steps.reduce(|a, b| if b.1 < a.1 { b } else { a }) else {
                    break;
                };
                left.retain(|t| *t != next.0);
                ways.push(next);
                total += more;
            }
            if best.as_ref().is_none_or(|(least, _)| total < *least) {
                best = Some((total, ways));
            }
        }
    }
    best.map_or_else(Vec::new, |(_, ways)| ways)
}
