//! A hose of straight pieces: brought to rest from any shape, to find out near which shape it settles.

#[cfg(test)]
mod tests;

use std::rc::Rc;

use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

use super::band::{self, Answer, Closing, NEGATIVE_AT_LEAST, Row};
use super::clamped::{Clamped, Square, turning};

/// Steps after which a chain is given up.
pub(super) const MOST_STEPS: u32 = 60;
/// No tangent turns more than this in a step, radians.
const FURTHEST: f64 = 0.7;
/// Tangents that turn less than this in a step are at rest: the next stage goes on from there.
const AT_REST: f64 = 2e-3;
/// A chain on its way whose tangents are all this close to those of one at rest comes to rest with it.
const SAME_REST: f64 = 0.2;
/// Turns that take a chain off a saddle, radians.
const KICK: f64 = 0.05;

/// Tangents at places along a hose, and the force at its second end.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub(super) places: Rc<[f64]>,
    pub(super) tangents: Vec<Vector3<f64>>,
    pub(super) force: Vector3<f64>,
}

/// A chain at rest.
#[derive(Debug, Clone)]
pub(super) struct Rested {
    pub(super) chain: Chain,
    pub(super) energy: f64,
    pub(super) steps: u32,
}

/// Energy of a chain and how far it is from closing.
struct Held {
    energy: f64,
    open: Vector3<f64>,
}

/// Energy of a corner over its curvature, by the versed sine of its angle; two terms of the series.
fn corner(versed: f64) -> f64 {
    versed * (1.0 + versed / 6.0)
}

impl Chain {
    fn pieces(&self) -> usize {
        self.places.len() - 1
    }

    fn piece(&self, at: usize) -> f64 {
        self.places[at + 1] - self.places[at]
    }

    /// Length of hose that stands for a node.
    fn share(&self, node: usize) -> f64 {
        let before = if node > 0 { self.piece(node - 1) } else { 0.0 };
        let after = if node < self.pieces() { self.piece(node) } else { 0.0 };
        0.5 * (before + after)
    }

    fn held(&self, clamped: &Clamped) -> Held {
        let mut held = Held { energy: 0.0, open: clamped.chord };
        for (node, tangent) in self.tangents.iter().enumerate() {
            let share = self.share(node);
            held.energy += share * (1.0 - self.places[node]) * clamped.weight.dot(tangent);
            held.open -= tangent * share;
            if let Some(next) = self.tangents.get(node + 1) {
                held.energy += corner(1.0 - tangent.dot(next)) / self.piece(node);
            }
        }
        held
    }

    /// The equation of a node between the ends in a Newton step.
    fn row(&self, clamped: &Clamped, node: usize, squares: &[Square]) -> Row {
        let (tangent, square, share) = (&self.tangents[node], &squares[node], self.share(node));
        let mut gradient = clamped.pull(self.places[node], &self.force) * share;
        let mut row = Row::default();
        for (other, over) in
            [(node - 1, 1.0 / self.piece(node - 1)), (node + 1, 1.0 / self.piece(node))]
        {
            let beside = &self.tangents[other];
            let steep = (1.0 + (1.0 - tangent.dot(beside)) / 3.0) * over;
            gradient -= beside * steep;
            let aside = square.parts(beside);
            row.own += aside * aside.transpose() * (over / 3.0);
            if other > node && other < self.pieces() {
                let there = &squares[other];
                let turned = Matrix2::from_columns(&[
                    square.parts(&there.first),
                    square.parts(&there.second),
                ]);
                let back = there.parts(tangent);
                row.next = aside * back.transpose() * (over / 3.0) - turned * steep;
            }
        }
        row.own -= Matrix2::identity() * gradient.dot(tangent);
        row.force = square.rows() * -share;
        row.given = -square.parts(&gradient);
        row
    }

    /// Whether it will come to rest where another chain of the same pieces did.
    fn close_to(&self, other: &Self) -> bool {
        let mut pairs = self.tangents.iter().zip(&other.tangents);
        pairs.all(|(one, two)| (one - two).norm_squared() < SAME_REST * SAME_REST)
    }

    fn moved(&self, squares: &[Square], nodes: &[Vector2<f64>], share: f64) -> Self {
        let mut moved = self.clone();
        for (node, step) in nodes.iter().enumerate() {
            let tangent = &mut moved.tangents[node + 1];
            *tangent = (*tangent + squares[node + 1].vector(&(step * share))).normalize();
        }
        moved
    }
}

/// A Newton step that closes what is `open` and along which the energy of closed shapes falls, and the stiffening it
/// took.
fn falling_step(
    chain: &Chain,
    clamped: &Clamped,
    open: &Vector3<f64>,
    stiffening: &mut f64,
) -> Option<(Answer, Vec<Square>)> {
    let squares: Vec<Square> = chain.tangents.iter().map(Square::to).collect();
    let row = |node: usize| chain.row(clamped, node, &squares);
    let rows: Vec<Row> = (1..chain.pieces()).map(row).collect();
    let hinge = clamped.hinge.and_then(|line| turning(line, &chain.tangents, &squares));
    let closing = Closing { own: Matrix3::zeros(), given: -open };
    let mut tried = if *stiffening > 1.0 { *stiffening / 4.0 } else { 0.0 };
    for _ in 0..20 {
        let mut rows = rows.clone();
        for (at, row) in rows.iter_mut().enumerate() {
            row.own += Matrix2::identity() * (tried * chain.share(at + 1));
        }
        if let Some((node, turn)) = hinge {
            rows[node - 1].hold(&turn);
        }
        if let Some(answer) = band::solve(&mut rows, closing)
            && answer.negative == NEGATIVE_AT_LEAST
        {
            *stiffening = tried;
            return Some((answer, squares));
        }
        tried = if tried > 0.0 { 4.0 * tried } else { 10.0 };
    }
    None
}

/// Small turns without any symmetry.
fn kick(nodes: usize) -> Vec<Vector2<f64>> {
    let mut at = 0.0;
    let mut turn = || {
        at += 1.0;
        Vector2::new(libm::sin(1.7 * at), libm::cos(2.3 * at)) * KICK
    };
    (0..nodes).map(|_| turn()).collect()
}

/// Brings a chain to rest at an energy that is the least near by; `None` also where that is one of those found.
///
/// Newton steps on the energy with the closing as a condition, stiffened until the energy falls along
/// them, and shortened until the energy and `penalty` times the gap together fall.
pub(super) fn rest(
    start: Chain,
    clamped: &Clamped,
    most_steps: u32,
    found: &[Rested],
) -> Option<Rested> {
    let mut chain = start;
    let mut held = chain.held(clamped);
    let mut stiffening = 0.0;
    let mut penalty: f64 = 0.0;
    for steps in 1..=most_steps {
        let (answer, squares) = falling_step(&chain, clamped, &held.open, &mut stiffening)?;
        let force = chain.force + answer.force;
        let turn = answer.furthest();
        let gap = held.open.norm();
        if turn < AT_REST && stiffening == 0.0 {
            let mut chain = chain.moved(&squares, &answer.nodes, 1.0);
            chain.force = force;
            let energy = chain.held(clamped).energy;
            return Some(Rested { chain, energy, steps });
        }
        if turn < AT_REST {
            // At rest, but not where the energy is least: a saddle, to be left to any side.
            chain = chain.moved(&squares, &kick(answer.nodes.len()), 1.0);
            held = chain.held(clamped);
            continue;
        }
        penalty = penalty.max(1.5 * force.norm());
        let merit = |held: &Held| held.energy + penalty * held.open.norm();
        let before = merit(&held);
        let mut share = (FURTHEST / turn).min(1.0);
        let mut next = chain.moved(&squares, &answer.nodes, share);
        held = next.held(clamped);
        // Close to rest the merit is flat to rounding and to second order of the gap: take the step.
        let close = turn < 0.05 && gap < 0.05;
        for _ in 0..8 {
            if close || merit(&held) < before {
                break;
            }
            share *= 0.5;
            next = chain.moved(&squares, &answer.nodes, share);
            held = next.held(clamped);
        }
        next.force = chain.force + (force - chain.force) * share;
        if stiffening == 0.0 && found.iter().any(|other| next.close_to(&other.chain)) {
            return None;
        }
        chain = next;
    }
    None
}
