//! The plan of an elimination: which nodes leave together, which rows they touch, where their remains go.

use super::order::{Elimination, Lists, NONE, order};

/// Networks up to this size are one dense front: ordering would cost more than it saves.
const ONE_FRONT_UP_TO: usize = 40;
/// Joined fronts of up to so many own nodes may hold so large a part of empty places; the last holds for all larger ones.
const EMPTY_PART: [(usize, f64); 4] = [(4, 1.0), (16, 0.5), (48, 0.1), (usize::MAX, 0.05)];

/// Nodes eliminated together.
pub(super) struct Front {
    /// First place of its own nodes.
    pub(super) first: usize,
    /// How many nodes it eliminates.
    pub(super) own: usize,
    /// Places it touches, rising, its own first.
    pub(super) rows: Vec<usize>,
    /// The front above, to which its remains are added; none at a root.
    pub(super) up: Option<usize>,
    /// Where each row beyond its own lies in the front above.
    pub(super) above: Vec<usize>,
    /// Fronts whose remains are added to this one, in the order in which they were left: their count.
    pub(super) below: usize,
    /// Places in its own columns that only joining brought in.
    empty: usize,
}

/// Where the conductance of a link is added.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    pub(super) front: usize,
    pub(super) column: usize,
    pub(super) row: usize,
}

/// The whole plan.
pub(super) struct Plan {
    /// Fronts, each after those below it.
    pub(super) fronts: Vec<Front>,
    /// Spot of each edge; none where both ends are the ground.
    pub(super) spots: Vec<Option<Spot>>,
    /// Place of each node.
    pub(super) place: Vec<usize>,
}

/// An end of an edge that is no unknown node.
pub(super) const GROUND: usize = usize::MAX;

/// Plans the elimination of `count` nodes joined by edges.
pub(super) fn plan(count: usize, edges: &[(usize, usize)]) -> Plan {
    let (place, mut fronts) = if count <= ONE_FRONT_UP_TO {
        let whole = Front {
            first: 0,
            own: count,
            rows: (0..count).collect(),
            up: None,
            above: Vec::new(),
            below: 0,
            empty: 0,
        };
        ((0..count).collect(), vec![whole])
    } else {
        let inside = |&&(a, b): &&(usize, usize)| a != GROUND && b != GROUND && a != b;
        let neighbours = Lists::neighbours(count, edges.iter().filter(inside).copied());
        let tree = order(&neighbours);
        let fronts = joined(structures(&tree, &neighbours));
        (tree.place, fronts)
    };
    let mut front_of = vec![0; count];
    for (index, front) in fronts.iter().enumerate() {
        front_of[front.first..front.first + front.own].fill(index);
    }
    connect(&mut fronts, &front_of);
    let spots = edges.iter().map(|&edge| spot(edge, &place, &fronts, &front_of)).collect();
    Plan { fronts, spots, place }
}

/// Nodes with the same rows beyond them, one front each.
fn structures(tree: &Elimination, neighbours: &Lists) -> Vec<Front> {
    let count = tree.parent.len();
    let mut marked = vec![NONE; count];
    let mut fronts: Vec<Front> = Vec::new();
    // Fronts that hang from each place, as a chain: the first one there, and the next one of each front.
    let (mut first, mut next) = (vec![NONE; count], Vec::new());
    let mut list = Vec::new();
    for at in 0..count {
        list.clear();
        marked[at] = at;
        let mut touch = |row: usize| {
            if row > at && marked[row] != at {
                marked[row] = at;
                list.push(row);
            }
        };
        neighbours.get(tree.node[at]).iter().for_each(|&n| touch(tree.place[n]));
        let mut child = first[at];
        while child != NONE {
            let front: &Front = &fronts[child];
            front.rows[front.own..].iter().for_each(|&row| touch(row));
            child = next[child];
        }
        add(&mut fronts, tree, at, &list);
        next.resize(fronts.len(), NONE);
        let (index, up) = (fronts.len() - 1, tree.parent[at]);
        if up != NONE {
            next[index] = core::mem::replace(&mut first[up], index);
        }
    }
    fronts
}

/// Adds a node to the last front when it touches the same rows, else as a front of its own.
fn add(fronts: &mut Vec<Front>, tree: &Elimination, at: usize, list: &[usize]) {
    if let Some(last) = fronts.last_mut()
        && tree.parent[at - 1] == at
        && last.rows.len() - last.own == list.len() + 1
    {
        last.own += 1;
        return;
    }
    let mut rows = Vec::with_capacity(list.len() + 1);
    rows.push(at);
    rows.extend_from_slice(list);
    rows.sort_unstable();
    fronts.push(Front { first: at, own: 1, rows, up: None, above: Vec::new(), below: 0, empty: 0 });
}

/// Joins a front with the one above it where that brings in few empty places.
fn joined(fronts: Vec<Front>) -> Vec<Front> {
    let mut kept: Vec<Front> = Vec::new();
    for mut now in fronts {
        while let Some(last) = kept.last()
            && let Some(empty) = joined_empty(last, &now)
        {
            let mut rows = last.rows[..last.own].to_vec();
            rows.extend_from_slice(&now.rows);
            now = Front { first: last.first, own: last.own + now.own, rows, empty, ..now };
            kept.pop();
        }
        kept.push(now);
    }
    kept
}

/// Empty places after joining a front with the one above it; none when that is not worth it.
fn joined_empty(last: &Front, now: &Front) -> Option<usize> {
    let up = *last.rows.get(last.own)?;
    if !(now.first..now.first + now.own).contains(&up) {
        return None;
    }
    let own = last.own + now.own;
    let tall = last.own + now.rows.len();
    let empty = last.empty + now.empty + last.own * (tall - last.rows.len());
    let whole = own * tall - own * (own - 1) / 2;
    let (_, part) = EMPTY_PART.iter().find(|(most, _)| own <= *most)?;
    (as_real(empty) <= part * as_real(whole)).then_some(empty)
}

#[expect(clippy::cast_precision_loss, reason = "a count of stored numbers, far below 2^52")]
fn as_real(count: usize) -> f64 {
    count as f64
}

/// Finds for each front where its remains go in the front above.
fn connect(fronts: &mut [Front], front_of: &[usize]) {
    let mut below = vec![0; fronts.len()];
    for index in 0..fronts.len() {
        let front = &fronts[index];
        let Some(&up) = front.rows.get(front.own) else { continue };
        let target = &fronts[front_of[up]].rows;
        let mut at = 0;
        let mut above = Vec::with_capacity(front.rows.len() - front.own);
        for &row in &front.rows[front.own..] {
            while target.get(at).is_some_and(|&r| r < row) {
                at += 1;
            }
            above.push(at);
        }
        below[front_of[up]] += 1;
        fronts[index].above = above;
        fronts[index].up = Some(front_of[up]);
    }
    for (front, count) in fronts.iter_mut().zip(below) {
        front.below = count;
    }
}

fn spot(
    (a, b): (usize, usize),
    place: &[usize],
    fronts: &[Front],
    front_of: &[usize],
) -> Option<Spot> {
    let at = |node: usize| if node == GROUND { GROUND } else { place[node] };
    let (low, high) = (at(a).min(at(b)), at(a).max(at(b)));
    if low == high {
        return None;
    }
    let index = front_of[low];
    let front = &fronts[index];
    let row =
        if high == GROUND { front.rows.len() } else { front.rows.partition_point(|&r| r < high) };
    Some(Spot { front: index, column: low - front.first, row })
}
