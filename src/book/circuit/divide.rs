//! Which components of a group share a drawing.

use std::collections::BTreeMap;

use super::layout::{Block, End, Graph, Wire, layers};
use super::sheet::Kit;

/// The components of a group, drawing by drawing: what does not fit on one sheet is halved, then put together again
/// where two parts fit.
pub fn parts(kit: &Kit<'_>) -> Vec<Vec<usize>> {
    let mut parts = Vec::new();
    divide(kit, kit.group.components(&kit.book.assessment.plan), &mut parts);
    join(kit, &mut parts);
    parts
}

/// Parts that fit on a sheet each: halves of what does not, parted where fewest lines are cut.
fn divide(kit: &Kit<'_>, part: Vec<usize>, parts: &mut Vec<Vec<usize>>) {
    if part.len() < 2 || kit.fits(&part) {
        parts.push(part);
        return;
    }
    let mut order = in_layers(kit, &part);
    let rest = order.split_off(cut(kit, &order));
    divide(kit, order, parts);
    divide(kit, rest, parts);
}

/// Puts parts together that fit on one sheet, first those that most pipes lead between.
fn join(kit: &Kit<'_>, parts: &mut Vec<Vec<usize>>) {
    let mut first = 0;
    while first < parts.len() {
        let between = between(kit, parts, first);
        let mut others: Vec<usize> =
            (first + 1..parts.len()).filter(|other| between[*other] > 0).collect();
        others.sort_by_key(|other| (core::cmp::Reverse(between[*other]), *other));
        let together = others.into_iter().find_map(|other| {
            let mut both = parts[first].clone();
            both.extend(&parts[other]);
            kit.fits(&both).then_some((other, both))
        });
        match together {
            Some((other, both)) => {
                parts[first] = both;
                parts.remove(other);
            }
            None => first += 1,
        }
    }
}

/// How many pipes lead between a part and each of all parts.
fn between(kit: &Kit<'_>, parts: &[Vec<usize>], first: usize) -> Vec<usize> {
    let mut owner = BTreeMap::new();
    for (index, part) in parts.iter().enumerate() {
        owner.extend(part.iter().map(|component| (*component, index)));
    }
    let mut counts = vec![0; parts.len()];
    for pipe in &kit.group.pipes {
        match pipe.ends.map(|end| owner.get(&end.component).copied()) {
            [Some(a), Some(b)] if a == first => counts[b] += 1,
            [Some(a), Some(b)] if b == first => counts[a] += 1,
            _ => {}
        }
    }
    counts
}

/// The place of each component in a list.
fn places(order: &[usize]) -> BTreeMap<usize, usize> {
    order.iter().enumerate().map(|(place, component)| (*component, place)).collect()
}

/// Components in the order of their layers.
fn in_layers(kit: &Kit<'_>, part: &[usize]) -> Vec<usize> {
    let places = places(part);
    let mut graph = Graph { track: 1, ..Graph::default() };
    graph.blocks = vec![Block { width: 1, rows: 1, pins: Vec::new() }; part.len()];
    for pipe in &kit.group.pipes {
        if let [Some(a), Some(b)] = pipe.ends.map(|e| places.get(&e.component).copied()) {
            graph.wires.push(Wire { ends: [a, b].map(|block| End { block, pin: 0 }) });
        }
    }
    let layers = layers(&graph);
    let components = &kit.book.assessment.plan.components;
    let mut order: Vec<usize> = (0..part.len()).collect();
    order.sort_by_key(|i| (layers[*i], components[part[*i]].kind != "tank"));
    order.into_iter().map(|i| part[i]).collect()
}

/// After how many components fewest lines are cut, about the middle.
fn cut(kit: &Kit<'_>, order: &[usize]) -> usize {
    let places = places(order);
    // A pipe is cut by every place between its two ends.
    let (mut begin, mut end) = (vec![0_usize; order.len() + 1], vec![0_usize; order.len() + 1]);
    for pipe in &kit.group.pipes {
        if let [Some(a), Some(b)] = pipe.ends.map(|e| places.get(&e.component).copied()) {
            begin[a.min(b) + 1] += 1;
            end[a.max(b) + 1] += 1;
        }
    }
    let mut open = 0;
    let cuts: Vec<usize> = begin
        .iter()
        .zip(&end)
        .map(|(begin, end)| {
            open = open + begin - end;
            open
        })
        .collect();
    let count = order.len();
    let (low, high) = ((count / 3).max(1), (count - count / 3).min(count - 1));
    (low..=high).min_by_key(|at| (cuts[*at], at.abs_diff(count / 2))).unwrap_or(1)
}
