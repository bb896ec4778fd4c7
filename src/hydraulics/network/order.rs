//! The order in which nodes are eliminated, so that few new links arise: approximate minimum degree.
//!
//! The one file that knows the ordering library. Its answer is a list of whole numbers, the same on every machine.

/// A forest of eliminated nodes in an order that keeps each branch together.
pub(super) struct Elimination {
    /// Place of each node in the order.
    pub(super) place: Vec<usize>,
    /// Higher neighbours of each place in the graph itself, by place.
    pub(super) above: Vec<Vec<usize>>,
    /// The place that each place hangs from, or [`NONE`].
    pub(super) parent: Vec<usize>,
}

/// No place.
pub(super) const NONE: usize = usize::MAX;

/// Orders the nodes of a graph given by its neighbour lists, without repeats.
pub(super) fn order(neighbours: &[Vec<usize>]) -> Elimination {
    let count = neighbours.len();
    let first = minimum_degree(neighbours);
    let parent = forest(neighbours, &first);
    let later = postorder(&parent);
    let place: Vec<usize> = first.iter().map(|&p| later[p]).collect();
    let mut above = vec![Vec::new(); count];
    for (node, list) in neighbours.iter().enumerate() {
        let at = place[node];
        above[at] = list.iter().map(|&n| place[n]).filter(|&p| p > at).collect();
    }
    let mut hung = vec![NONE; count];
    for (at, &up) in parent.iter().enumerate() {
        hung[later[at]] = if up == NONE { NONE } else { later[up] };
    }
    Elimination { place, above, parent: hung }
}

/// Place of each node by the library; the given order where it refuses, which it does not for such lists.
fn minimum_degree(neighbours: &[Vec<usize>]) -> Vec<usize> {
    let count = neighbours.len();
    let mut starts = Vec::with_capacity(count + 1);
    let mut rows = Vec::new();
    starts.push(0);
    for list in neighbours {
        let from = rows.len();
        rows.extend_from_slice(list);
        rows[from..].sort_unstable();
        starts.push(rows.len());
    }
    match amd::order(count, &starts, &rows, &amd::Control::default()) {
        Ok((_, place, _)) => place,
        Err(_) => (0..count).collect(),
    }
}

/// Elimination forest by places: the parent is the first place that a place gets linked to (Liu 1990, from memory).
fn forest(neighbours: &[Vec<usize>], place: &[usize]) -> Vec<usize> {
    let count = place.len();
    let mut node_at = vec![0; count];
    for (node, &at) in place.iter().enumerate() {
        node_at[at] = node;
    }
    let (mut parent, mut ancestor) = (vec![NONE; count], vec![NONE; count]);
    for at in 0..count {
        for &neighbour in &neighbours[node_at[at]] {
            let mut climb = place[neighbour];
            while climb < at {
                let next = ancestor[climb];
                ancestor[climb] = at;
                if next == NONE {
                    parent[climb] = at;
                    break;
                }
                climb = next;
            }
        }
    }
    parent
}

/// New place of each place, so that every branch of the forest is one stretch that ends at its root.
fn postorder(parent: &[usize]) -> Vec<usize> {
    let count = parent.len();
    let (mut first_child, mut sibling) = (vec![NONE; count], vec![NONE; count]);
    let mut roots = Vec::new();
    for at in (0..count).rev() {
        match parent[at] {
            NONE => roots.push(at),
            up => {
                sibling[at] = first_child[up];
                first_child[up] = at;
            }
        }
    }
    let mut later = vec![0; count];
    let mut next = 0;
    let mut open = roots;
    while let Some(&top) = open.last() {
        let child = first_child[top];
        if child == NONE {
            open.pop();
            later[top] = next;
            next += 1;
        } else {
            first_child[top] = sibling[child];
            open.push(child);
        }
    }
    later
}
