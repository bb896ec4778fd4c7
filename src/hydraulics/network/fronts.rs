//! The plan of an elimination: which nodes leave together, which rows they touch, where their remains go.

use core::ops::Range;

use super::order::{Elimination, Lists, NONE, order};

/// Networks up to this size are one dense front: ordering would cost more than it saves.
const ONE_FRONT_UP_TO: usize = 40;
/// Joined fronts of up to so many own nodes may hold so large a part of empty places; the last holds for all larger ones.
const EMPTY_PART: [(usize, f64); 4] = [(4, 1.0), (16, 0.5), (48, 0.1), (usize::MAX, 0.05)];

/// Nodes eliminated together. Their places follow each other.
pub(super) struct Front {
    /// First place of its own nodes.
    pub(super) first: usize,
    /// How many nodes it eliminates.
    pub(super) own: usize,
    /// Where the rows beyond its own stand in [`Plan::rows`].
    pub(super) beyond: Range<usize>,
    /// The front above, to which its remains are added; none at a root.
    pub(super) up: Option<usize>,
    /// Fronts whose remains are added to this one, in the order in which they were left: their count.
    pub(super) below: usize,
    /// Places in its own columns that only joining brought in.
    empty: usize,
}

impl Front {
    fn new(first: usize, own: usize, beyond: Range<usize>) -> Self {
        Self { first, own, beyond, up: None, below: 0, empty: 0 }
    }

    /// Rows it touches, its own first.
    pub(super) fn tall(&self) -> usize {
        self.own + self.beyond.len()
    }
}

/// The whole plan.
pub(super) struct Plan {
    /// Fronts, each after those below it.
    pub(super) fronts: Vec<Front>,
    /// Places that fronts touch beyond their own, rising in each.
    pub(super) rows: Vec<usize>,
    /// Place of each node.
    pub(super) place: Vec<usize>,
    /// The front that eliminates each place.
    pub(super) front_of: Vec<usize>,
}

/// An end of an edge that is no unknown node.
pub(super) const GROUND: usize = usize::MAX;

impl Plan {
    /// Plans the elimination of `count` nodes joined by edges.
    pub(super) fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let (place, rows, mut fronts) = if count <= ONE_FRONT_UP_TO {
            ((0..count).collect(), Vec::new(), vec![Front::new(0, count, 0..0)])
        } else {
            let inside = |&&(a, b): &&(usize, usize)| a != GROUND && b != GROUND && a != b;
            let neighbours = Lists::neighbours(count, edges.iter().filter(inside).copied());
            let tree = order(&neighbours);
            let (fronts, rows) = structures(&tree, &neighbours);
            let fronts = joined(fronts, &rows);
            (tree.place, rows, fronts)
        };
        let mut front_of = vec![0; count];
        for (index, front) in fronts.iter().enumerate() {
            front_of[front.first..front.first + front.own].fill(index);
        }
        for index in 0..fronts.len() {
            if let Some(&row) = rows[fronts[index].beyond.clone()].first() {
                fronts[index].up = Some(front_of[row]);
                fronts[front_of[row]].below += 1;
            }
        }
        Self { fronts, rows, place, front_of }
    }

    /// Where a place that a front touches, or the ground, stands among the rows of the front.
    pub(super) fn row(&self, front: &Front, place: usize) -> usize {
        match place.checked_sub(front.first) {
            Some(own) if own < front.own => own,
            _ => front.own + self.rows[front.beyond.clone()].partition_point(|&row| row < place),
        }
    }
}

/// Nodes with the same rows beyond them, one front each; and the rows beyond.
fn structures(tree: &Elimination, neighbours: &Lists) -> (Vec<Front>, Vec<usize>) {
    let count = tree.parent.len();
    let mut marked = vec![NONE; count];
    let (mut fronts, mut rows): (Vec<Front>, Vec<usize>) = (Vec::new(), Vec::new());
    // Fronts that hang from each place, as a chain: the first one there, and the next one of each front.
    let (mut first, mut next) = (vec![NONE; count], Vec::new());
    for at in 0..count {
        let start = rows.len();
        let mut touch = |row: usize, rows: &mut Vec<usize>| {
            if row > at && marked[row] != at {
                marked[row] = at;
                rows.push(row);
            }
        };
        for &neighbour in neighbours.get(tree.node[at]) {
            touch(tree.place[neighbour], &mut rows);
        }
        let mut child = first[at];
        while child != NONE {
            for index in fronts[child].beyond.clone() {
                touch(rows[index], &mut rows);
            }
            child = next[child];
        }
        match fronts.last_mut() {
            // It touches the same rows as the front of its only child: that one takes it up.
            Some(last)
                if tree.parent[at - 1] == at && last.beyond.len() == rows.len() - start + 1 =>
            {
                last.own += 1;
                last.beyond.start += 1;
                rows.truncate(start);
            }
            _ => {
                rows[start..].sort_unstable();
                fronts.push(Front::new(at, 1, start..rows.len()));
                next.push(NONE);
            }
        }
        let (index, up) = (fronts.len() - 1, tree.parent[at]);
        if up != NONE {
            next[index] = core::mem::replace(&mut first[up], index);
        }
    }
    (fronts, rows)
}

/// Joins a front with the one above it where that brings in few empty places.
fn joined(fronts: Vec<Front>, rows: &[usize]) -> Vec<Front> {
    let mut kept: Vec<Front> = Vec::with_capacity(fronts.len());
    for mut now in fronts {
        while let Some(last) = kept.last()
            && let Some(empty) = joined_empty(last, &now, rows)
        {
            now = Front { first: last.first, own: last.own + now.own, empty, ..now };
            kept.pop();
        }
        kept.push(now);
    }
    kept
}

/// Empty places after joining a front with the one above it; none when that is not worth it.
fn joined_empty(last: &Front, now: &Front, rows: &[usize]) -> Option<usize> {
    let up = *rows[last.beyond.clone()].first()?;
    if !(now.first..now.first + now.own).contains(&up) {
        return None;
    }
    let own = last.own + now.own;
    let tall = last.own + now.tall();
    let empty = last.empty + now.empty + last.own * (tall - last.tall());
    let whole = own * tall - own * (own - 1) / 2;
    let (_, part) = EMPTY_PART.iter().find(|(most, _)| own <= *most)?;
    (as_real(empty) <= part * as_real(whole)).then_some(empty)
}

#[expect(clippy::cast_precision_loss, reason = "a count of stored numbers, far below 2^52")]
fn as_real(count: usize) -> f64 {
    count as f64
}
