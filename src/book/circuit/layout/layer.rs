//! Layers: how many boxes the fluid has passed before it comes to one.

use super::Graph;

/// How many layers a graph has; more columns than that change nothing.
pub fn depth(graph: &Graph) -> usize {
    layers(graph).into_iter().max().map_or(0, |l| l + 1)
}

/// The layer of each box: every wire leads on by one or more, but for those that close a circle.
pub fn layers(graph: &Graph) -> Vec<usize> {
    let count = graph.blocks.len();
    let mut arcs: Vec<[usize; 2]> = graph
        .wires
        .iter()
        .map(|w| w.ends.map(|e| e.block))
        .filter(|[a, b]| a != b && *a < count && *b < count)
        .collect();
    arcs.sort_unstable();
    arcs.dedup();
    let order = finished(count, &arcs);
    let mut place = vec![0; count];
    for (index, block) in order.iter().enumerate() {
        place[*block] = index;
    }
    // What leads back in the order closes a circle, and is looked at the other way round.
    let arcs: Vec<[usize; 2]> =
        arcs.iter().map(|[a, b]| if place[*a] < place[*b] { [*a, *b] } else { [*b, *a] }).collect();
    let mut layers = vec![0; count];
    for block in &order {
        for [_, next] in arcs.iter().filter(|[a, _]| a == block) {
            layers[*next] = layers[*next].max(layers[*block] + 1);
        }
    }
    pull(&order, &arcs, &mut layers);
    layers
}

/// All boxes in the order of a depth-first search, each before what it leads to but where a circle closes.
fn finished(count: usize, arcs: &[[usize; 2]]) -> Vec<usize> {
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); count];
    for [a, b] in arcs {
        next[*a].push(*b);
    }
    let mut seen = vec![false; count];
    let mut order = Vec::new();
    for root in 0..count {
        if std::mem::replace(&mut seen[root], true) {
            continue;
        }
        let mut stack = vec![(root, 0)];
        while let Some((block, tried)) = stack.pop() {
            match next[block].get(tried) {
                Some(other) => {
                    stack.push((block, tried + 1));
                    if !std::mem::replace(&mut seen[*other], true) {
                        stack.push((*other, 0));
                    }
                }
                None => order.push(block),
            }
        }
    }
    order.reverse();
    order
}

/// Moves what feeds more boxes than feed it next to what it feeds.
fn pull(order: &[usize], arcs: &[[usize; 2]], layers: &mut [usize]) {
    for block in order.iter().rev() {
        let fed = arcs.iter().filter(|[_, b]| b == block).count();
        let feeds = arcs.iter().filter(|[a, _]| a == block);
        if feeds.clone().count() > fed
            && let Some(nearest) = feeds.map(|[_, b]| layers[*b]).min()
        {
            layers[*block] = layers[*block].max(nearest.saturating_sub(1));
        }
    }
}
