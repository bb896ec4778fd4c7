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
    let order = finished(&leading(count, arcs.iter().copied()));
    let mut place = vec![0; count];
    for (index, block) in order.iter().enumerate() {
        place[*block] = index;
    }
    // What leads back in the order closes a circle, and is looked at the other way round.
    let onward = arcs.iter().map(|[a, b]| if place[*a] < place[*b] { [*a, *b] } else { [*b, *a] });
    let next = leading(count, onward);
    let mut layers = vec![0; count];
    for block in &order {
        for other in &next[*block] {
            layers[*other] = layers[*other].max(layers[*block] + 1);
        }
    }
    pull(&order, &next, &mut layers);
    layers
}

/// What each box leads to.
fn leading(count: usize, arcs: impl Iterator<Item = [usize; 2]>) -> Vec<Vec<usize>> {
    let mut next = vec![Vec::new(); count];
    for [a, b] in arcs {
        next[a].push(b);
    }
    next
}

/// All boxes in the order of a depth-first search, each before what it leads to but where a circle closes.
fn finished(next: &[Vec<usize>]) -> Vec<usize> {
    let count = next.len();
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
fn pull(order: &[usize], next: &[Vec<usize>], layers: &mut [usize]) {
    let mut fed = vec![0; next.len()];
    for other in next.iter().flatten() {
        fed[*other] += 1;
    }
    for block in order.iter().rev() {
        let feeds = &next[*block];
        if feeds.len() > fed[*block]
            && let Some(nearest) = feeds.iter().map(|b| layers[*b]).min()
        {
            layers[*block] = layers[*block].max(nearest.saturating_sub(1));
        }
    }
}
