//! Linear equations of a chain of nodes with a few unknowns common to all, and the signs of their pivots.

/// Unknowns common to all nodes: the force.
pub(super) const COMMON: usize = 3;
/// Negative pivots of a shape of least energy: those of the force alone.
pub(super) const NEGATIVE_AT_LEAST: u32 = 3;

/// How much more stiffly a node is held than it is by its neighbours.
const HELD: f64 = 1e8;

/// A 2 x 2 block.
pub(super) type Block = [[f64; 2]; 2];

/// The equations of one node.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Row {
    /// The node with itself.
    pub(super) own: Block,
    /// The node with the next one.
    pub(super) next: Block,
    /// The node with the common unknowns.
    pub(super) common: [[f64; COMMON]; 2],
    /// What the equations must give.
    pub(super) given: [f64; 2],
}

impl Row {
    /// Keeps the node from moving along `turn`.
    pub(super) fn hold(&mut self, turn: [f64; 2]) {
        let size = turn[0] * turn[0] + turn[1] * turn[1];
        let stiff = HELD * (self.own[0][0].abs() + self.own[1][1].abs()) / size;
        for i in 0..2 {
            for j in 0..2 {
                self.own[i][j] += stiff * turn[i] * turn[j];
            }
        }
    }
}

/// The equations of the common unknowns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Closing {
    pub(super) own: [[f64; COMMON]; COMMON],
    pub(super) given: [f64; COMMON],
}

/// The answer of a solve.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub(super) nodes: Vec<[f64; 2]>,
    pub(super) common: [f64; COMMON],
    /// Negative pivots.
    pub(super) negative: u32,
}

/// Eliminates node after node, then the common unknowns; the rows are used up.
///
/// By Sylvester's law of inertia the signs of the pivots are those of the eigenvalues. `None` where
/// a pivot vanishes.
pub(super) fn solve(rows: &mut [Row], mut closing: Closing) -> Option<Answer> {
    let mut negative = 0;
    for at in 0..rows.len() {
        let inverse = inverse(&rows[at].own)?;
        negative += negative_of(&rows[at].own);
        let Row { next, common, given, .. } = rows[at];
        let turned = turned_common(&inverse, &common);
        let pulled = times(&inverse, given);
        for i in 0..COMMON {
            for j in 0..COMMON {
                closing.own[i][j] -= common[0][i] * turned[0][j] + common[1][i] * turned[1][j];
            }
            closing.given[i] -= common[0][i] * pulled[0] + common[1][i] * pulled[1];
        }
        if let Some(after) = rows.get_mut(at + 1) {
            for i in 0..2 {
                let [a, b] = [next[0][i], next[1][i]];
                for j in 0..2 {
                    after.own[i][j] -= a
                        * (inverse[0][0] * next[0][j] + inverse[0][1] * next[1][j])
                        + b * (inverse[1][0] * next[0][j] + inverse[1][1] * next[1][j]);
                }
                for (place, (one, two)) in
                    after.common[i].iter_mut().zip(turned[0].iter().zip(&turned[1]))
                {
                    *place -= a * one + b * two;
                }
                after.given[i] -= a * pulled[0] + b * pulled[1];
            }
        }
        rows[at].own = inverse;
    }
    let (common, below) = close(&closing)?;
    Some(Answer { nodes: back(rows, &common), common, negative: negative + below })
}

/// Puts the common unknowns back, then node after node from the last.
fn back(rows: &[Row], common: &[f64; COMMON]) -> Vec<[f64; 2]> {
    let mut nodes = vec![[0.0; 2]; rows.len()];
    let mut after = [0.0; 2];
    for (node, row) in nodes.iter_mut().zip(rows).rev() {
        let mut left = row.given;
        for i in 0..2 {
            left[i] -= row.next[i][0] * after[0] + row.next[i][1] * after[1];
            left[i] -= row.common[i].iter().zip(common).map(|(a, b)| a * b).sum::<f64>();
        }
        after = times(&row.own, left);
        *node = after;
    }
    nodes
}

pub(super) fn times(block: &Block, [a, b]: [f64; 2]) -> [f64; 2] {
    [block[0][0] * a + block[0][1] * b, block[1][0] * a + block[1][1] * b]
}

pub(super) fn product(a: &Block, b: &Block) -> Block {
    let column = |j: usize| times(a, [b[0][j], b[1][j]]);
    let (first, second) = (column(0), column(1));
    [[first[0], second[0]], [first[1], second[1]]]
}

pub(super) fn inverse(block: &Block) -> Option<Block> {
    let [[a, b], [c, d]] = *block;
    let determinant = a * d - b * c;
    let over = 1.0 / determinant;
    (over.is_finite()).then(|| [[d * over, -b * over], [-c * over, a * over]])
}

fn negative_of(block: &Block) -> u32 {
    let [[a, b], [c, d]] = *block;
    let determinant = a * d - b * c;
    if determinant < 0.0 { 1 } else { 2 * u32::from(a + d < 0.0) }
}

fn turned_common(inverse: &Block, common: &[[f64; COMMON]; 2]) -> [[f64; COMMON]; 2] {
    let mut turned = [[0.0; COMMON]; 2];
    for j in 0..COMMON {
        let column = times(inverse, [common[0][j], common[1][j]]);
        turned[0][j] = column[0];
        turned[1][j] = column[1];
    }
    turned
}

/// The common unknowns by elimination with the largest diagonal first, and the negative pivots.
fn close(closing: &Closing) -> Option<([f64; COMMON], u32)> {
    let Closing { mut own, mut given } = *closing;
    let mut open: Vec<usize> = (0..COMMON).collect();
    let mut order = Vec::with_capacity(COMMON);
    let mut negative = 0;
    while let Some(place) = (0..open.len())
        .max_by(|&a, &b| own[open[a]][open[a]].abs().total_cmp(&own[open[b]][open[b]].abs()))
    {
        let pivot = open.swap_remove(place);
        let over = 1.0 / own[pivot][pivot];
        if !over.is_finite() {
            return None;
        }
        negative += u32::from(over < 0.0);
        for &i in &open {
            let share = own[i][pivot] * over;
            for &j in &open {
                own[i][j] -= share * own[pivot][j];
            }
            given[i] -= share * given[pivot];
        }
        order.push((pivot, open.clone()));
    }
    let mut common = [0.0; COMMON];
    for (pivot, after) in order.iter().rev() {
        let rest: f64 = after.iter().map(|&j| own[*pivot][j] * common[j]).sum();
        common[*pivot] = (given[*pivot] - rest) / own[*pivot][*pivot];
    }
    Some((common, negative))
}
