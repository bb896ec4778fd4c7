//! The order in which nodes are eliminated, so that few new links arise: approximate minimum degree.
//!
//! The one file that knows the ordering library. Its answer is a list of whole numbers, the same on every machine.

/// Lists of numbers, one after the other.
pub(super) struct Lists {
    starts: Vec<usize>,
    items: Vec<usize>,
}

impl Lists {
    pub(super) fn get(&self, index: usize) -> &[usize] {
        &self.items[self.starts[index]..self.starts[index + 1]]
    }

    pub(super) fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// The neighbours of every node of a graph, each list rising and without repeats.
    pub(super) fn neighbours(
        count: usize,
        pairs: impl Iterator<Item = (usize, usize)> + Clone,
    ) -> Self {
        let mut starts = vec![0; count + 1];
        for (a, b) in pairs.clone() {
            starts[a + 1] += 1;
            starts[b + 1] += 1;
        }
        for index in 0..count {
            starts[index + 1] += starts[index];
        }
        let mut next = starts.clone();
        let mut items = vec![0; starts[count]];
        for (a, b) in pairs {
            for (from, to) in [(a, b), (b, a)] {
                items[next[from]] = to;
                next[from] += 1;
            }
        }
        let mut kept = 0;
        for index in 0..count {
            let (from, to) = (core::mem::replace(&mut starts[index], kept), next[index]);
            items[from..to].sort_unstable();
            for at in from..to {
                if at == from || items[at] != items[at - 1] {
                    // Never beyond `at`, so what is still to be read stays.
                    items[kept] = items[at];
                    kept += 1;
                }
            }
        }
        starts[count] = kept;
        items.truncate(kept);
        Self { starts, items }
    }
}

/// A forest of eliminated nodes in an order that keeps each branch together.
pub(super) struct Elimination {
    /// Place of each node in the order.
    pub(super) place: Vec<usize>,
    /// The node at each place.
    pub(super) node: Vec<usize>,
    /// The place that each place hangs from, or [`NONE`].
    pub(super) parent: Vec<usize>,
}

/// No place.
pub(super) const NONE: usize = usize::MAX;

/// Orders the nodes of a graph.
pub(super) fn order(neighbours: &Lists) -> Elimination {
    let count = neighbours.count();
    let first = minimum_degree(neighbours);
    let parent = forest(neighbours, &first);
    let later = postorder(&parent);
    let place: Vec<usize> = first.iter().map(|&p| later[p]).collect();
    let mut hung = vec![NONE; count];
    for (at, &up) in parent.iter().enumerate() {
        hung[later[at]] = if up == NONE { NONE } else { later[up] };
    }
    Elimination { node: inverse(&place), place, parent: hung }
}

fn inverse(place: &[usize]) -> Vec<usize> {
    let mut node = vec![0; place.len()];
    for (index, &at) in place.iter().enumerate() {
        node[at] = index;
    }
    node
}

/// Place of each node by the library; the given order where it refuses, which it does not for such lists.
fn minimum_degree(neighbours: &Lists) -> Vec<usize> {
    let count = neighbours.count();
    match amd::order(count, &neighbours.starts, &neighbours.items, &amd::Control::default()) {
        Ok((_, place, _)) => place,
        Err(_) => (0..count).collect(),
    }
}

/// Elimination forest by places: the parent is the first place that a place gets linked to (Liu 1990, from memory).
fn forest(neighbours: &Lists, place: &[usize]) -> Vec<usize> {
    let count = place.len();
    let node_at = inverse(place);
    let (mut parent, mut ancestor) = (vec![NONE; count], vec![NONE; count]);
    for (at, &node) in node_at.iter().enumerate() {
        for &neighbour in neighbours.get(node) {
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
    let mut open = Vec::new();
    for at in (0..count).rev() {
        match parent[at] {
            NONE => open.push(at),
            up => {
                sibling[at] = first_child[up];
                first_child[up] = at;
            }
        }
    }
    let mut later = vec![0; count];
    let mut next = 0;
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
