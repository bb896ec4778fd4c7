//! Chains laid forward: goals whose path is known, for the tests of each search by itself.

use nalgebra::Vector3;

use super::chain::{Goal, Link, end};

/// Where a chain ends.
pub(super) fn end_of(links: &[Link]) -> Goal {
    let end = end(links);
    Goal { at: end.at, direction: end.tangent }
}

/// An arc, a straight and an arc.
pub(super) fn three(twist: f64, alpha: f64, straight: f64, turned: f64, beta: f64) -> [Link; 3] {
    [Link::arc(twist, alpha), Link::straight(straight), Link::arc(turned, beta)]
}

/// The same goal turned about the start's direction and mirrored: no z, y from 0, the direction's z from 0.
pub(super) fn stood(goal: &Goal) -> Goal {
    let (sin, cos) = libm::sincos(-libm::atan2(goal.at.z, goal.at.y));
    let seen = |v: &Vector3<f64>| Vector3::new(v.x, v.y * cos - v.z * sin, v.y * sin + v.z * cos);
    let (at, mut direction) = (seen(&goal.at), seen(&goal.direction));
    direction.z = direction.z.abs();
    Goal { at, direction }
}
