//! Linear equations of a chain of nodes with the force common to all, and the signs of their pivots.

use nalgebra::{Matrix2, Matrix2x3, Matrix3, Vector2, Vector3};

/// Negative pivots of a shape of least energy: those of the force alone.
pub(super) const NEGATIVE_AT_LEAST: u32 = 3;
/// How much more stiffly a node is held than it is by its neighbours.
const HELD: f64 = 1e8;

/// The equations of one node.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Row {
    /// The node with itself.
    pub(super) own: Matrix2<f64>,
    /// The node with the next one.
    pub(super) next: Matrix2<f64>,
    /// The node with the force.
    pub(super) force: Matrix2x3<f64>,
    /// What the equations must give.
    pub(super) given: Vector2<f64>,
}

impl Row {
    /// Keeps the node from moving along `turn`.
    pub(super) fn hold(&mut self, turn: &Vector2<f64>) {
        let stiff = HELD * (self.own.m11.abs() + self.own.m22.abs()) / turn.norm_squared();
        self.own += turn * turn.transpose() * stiff;
    }
}

/// The equations of the force.
#[derive(Debug, Clone, Copy)]
pub(super) struct Closing {
    pub(super) own: Matrix3<f64>,
    pub(super) given: Vector3<f64>,
}

/// The answer of a solve.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub(super) nodes: Vec<Vector2<f64>>,
    pub(super) force: Vector3<f64>,
    /// Negative pivots.
    pub(super) negative: u32,
}

impl Answer {
    /// Largest movement of a node.
    pub(super) fn furthest(&self) -> f64 {
        self.nodes.iter().fold(0.0_f64, |most, node| most.max(node.norm()))
    }
}

/// Eliminates node after node, then the force; the rows are used up.
///
/// By Sylvester's law of inertia the signs of the pivots are those of the eigenvalues. `None` where
/// a pivot vanishes.
pub(super) fn solve(rows: &mut [Row], mut closing: Closing) -> Option<Answer> {
    let mut negative = 0;
    for at in 0..rows.len() {
        let Row { own, next, force, given } = rows[at];
        let inverse = inverse(&own)?;
        negative += negative_of(&own);
        let (pushed, pulled) = (inverse * force, inverse * given);
        closing.own -= force.transpose() * pushed;
        closing.given -= force.transpose() * pulled;
        if let Some(after) = rows.get_mut(at + 1) {
            let back = next.transpose();
            after.own -= back * (inverse * next);
            after.force -= back * pushed;
            after.given -= back * pulled;
        }
        rows[at].own = inverse;
    }
    let (force, below) = close(&closing)?;
    Some(Answer { nodes: back(rows, &force), force, negative: negative + below })
}

/// Puts the force back, then node after node from the last.
fn back(rows: &[Row], force: &Vector3<f64>) -> Vec<Vector2<f64>> {
    let mut nodes = vec![Vector2::zeros(); rows.len()];
    let mut after = Vector2::zeros();
    for (node, row) in nodes.iter_mut().zip(rows).rev() {
        after = row.own * (row.given - row.next * after - row.force * force);
        *node = after;
    }
    nodes
}

pub(super) fn inverse(block: &Matrix2<f64>) -> Option<Matrix2<f64>> {
    let over = 1.0 / determinant(block);
    let turned = Matrix2::new(block.m22, -block.m12, -block.m21, block.m11);
    over.is_finite().then(|| turned * over)
}

fn determinant(block: &Matrix2<f64>) -> f64 {
    block.m11 * block.m22 - block.m12 * block.m21
}

fn negative_of(block: &Matrix2<f64>) -> u32 {
    if determinant(block) < 0.0 { 1 } else { 2 * u32::from(block.trace() < 0.0) }
}

/// The force by elimination with the largest diagonal first, and the negative pivots.
fn close(closing: &Closing) -> Option<(Vector3<f64>, u32)> {
    let Closing { mut own, mut given } = *closing;
    let mut negative = 0;
    let mut order = [0, 1, 2];
    for step in 0..3 {
        let size = |place: &usize| own[(order[*place], order[*place])].abs();
        let largest = (step..3).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        order.swap(step, largest);
        let pivot = order[step];
        let over = 1.0 / own[(pivot, pivot)];
        if !over.is_finite() {
            return None;
        }
        negative += u32::from(over < 0.0);
        for &i in &order[step + 1..] {
            let share = own[(i, pivot)] * over;
            for &j in &order[step + 1..] {
                own[(i, j)] -= share * own[(pivot, j)];
            }
            given[i] -= share * given[pivot];
        }
    }
    let mut force = Vector3::zeros();
    for step in (0..3).rev() {
        let pivot = order[step];
        let rest: f64 = order[step + 1..].iter().map(|&j| own[(pivot, j)] * force[j]).sum();
        force[pivot] = (given[pivot] - rest) / own[(pivot, pivot)];
    }
    Some((force, negative))
}
