//! Two poses in axes of their own, and chains brought back from there.

use nalgebra::Vector3;

use super::chain::{Front, Goal, Link};
use super::{Piece, Pose};

/// A part shorter than this many radii is rounding and is left out.
const NOTHING: f64 = 1e-12;

/// Axes in which the start stands at the origin and looks along x, the goal above x (y from 0) and its direction
/// on one side (z from 0), the radius being 1; the line may be travelled the other way. Poses that differ by a
/// movement, a mirror, a scale or the way of travel get one and the same goal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    start: Pose,
    goal: Goal,
    directions: [Vector3<f64>; 3],
    radius_mm: f64,
    backwards: bool,
}

impl Axes {
    pub(super) fn new(from: &Pose, to: &Pose, radius_mm: f64) -> Self {
        let between = to.at - from.at;
        // The end that looks less at the other comes first; it is the same whichever way the line is given.
        let backwards = between.dot(&from.direction) > between.dot(&to.direction);
        let (start, end) = if backwards { (to.turned(), from.turned()) } else { (*from, *to) };
        let x = start.direction;
        let run = (end.at - start.at) / radius_mm;
        let aside = run - x * run.dot(&x);
        let turned = end.direction - x * end.direction.dot(&x);
        let clear = |part: &Vector3<f64>, whole: f64| part.norm() > 1e-12 * (1.0 + whole);
        let wish = if clear(&aside, run.norm()) { aside } else { turned };
        let square = (wish - x * wish.dot(&x)).try_normalize(1e-12);
        let y = square.unwrap_or_else(|| super::any_square(&x));
        let mut z = x.cross(&y);
        if end.direction.dot(&z) < 0.0 {
            z = -z;
        }
        let seen = |v: &Vector3<f64>| Vector3::new(v.dot(&x), v.dot(&y), v.dot(&z));
        let goal = Goal { at: seen(&run), direction: seen(&end.direction).normalize() };
        Self { start, goal, directions: [x, y, z], radius_mm, backwards }
    }

    pub(super) fn goal(&self) -> Goal {
        self.goal
    }

    /// The chain as pieces between the poses as they were given.
    pub(super) fn pieces(&self, links: &[Link]) -> Vec<Piece> {
        let place = |v: &Vector3<f64>| {
            self.directions[0] * v.x + self.directions[1] * v.y + self.directions[2] * v.z
        };
        let point = |v: &Vector3<f64>| self.start.at + place(v) * self.radius_mm;
        let mut front = Front::start();
        let mut pieces = Vec::with_capacity(links.len() + 2);
        for link in links {
            let begin = front.twisted(link.twist);
            front = begin.advanced(link);
            if link.run <= NOTHING {
                continue;
            }
            let forward = if link.bent {
                let (tangent, normal) = (place(&begin.tangent), place(&begin.normal));
                Piece::Arc {
                    start: point(&begin.at),
                    centre: point(&(begin.at + begin.normal)),
                    axis: tangent.cross(&normal).normalize(),
                    radius_mm: self.radius_mm,
                    angle_rad: link.run,
                }
            } else {
                Piece::Straight { from: point(&begin.at), to: point(&front.at) }
            };
            pieces.push(if self.backwards { reversed(&forward) } else { forward });
        }
        if self.backwards {
            pieces.reverse();
        }
        pieces
    }
}

fn reversed(piece: &Piece) -> Piece {
    match *piece {
        Piece::Straight { from, to } => Piece::Straight { from: to, to: from },
        Piece::Arc { centre, axis, radius_mm, angle_rad, .. } => {
            Piece::Arc { start: piece.end(), centre, axis: -axis, radius_mm, angle_rad }
        }
    }
}
