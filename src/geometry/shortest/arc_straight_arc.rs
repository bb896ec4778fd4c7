//! Paths of an arc, a straight and an arc between two poses, and which of them need to be looked at.

#[cfg(test)]
mod tests;

use std::f64::consts::{PI, TAU};

use nalgebra::Vector3;

use super::chain::{Front, Goal, Link, closed, end, length};
use super::first_arc;

/// Angles this close below zero, or to a full turn, are zero: rounding.
pub(super) const NO_TURN: f64 = 1e-11;
const MOST_NEWTON_STEPS: u32 = 30;
/// Largest change of the direction in one step.
const MOST_TURN: f64 = 0.5;
/// Beyond this distance every path lies next to the chord.
const FAR: f64 = 25.0;
/// A root must end this close to the goal before it is closed exactly.
const NEARLY: f64 = 3e-5;
/// Short arcs at either end: half a turn at most.
pub(super) const SHORT_ARCS: (f64, f64) = (1.0, 1.0);

/// The chain with the last arc turned into its plane, if it ends at the goal.
pub(super) fn last_arc(
    goal: &Goal,
    twist: f64,
    alpha: f64,
    straight: f64,
    beta: f64,
) -> Option<[Link; 3]> {
    if straight < -NEARLY * (1.0 + goal.at.amax()) {
        return None;
    }
    let arc = Link::arc(twist, alpha);
    let front = Front::start().twisted(twist).advanced(&arc);
    let line = Link::straight(straight.max(0.0));
    let front = front.advanced(&line);
    let (sin, cos) = libm::sincos(beta);
    // What it bends towards; of this only what is square to the tangent counts, and which way that points.
    let bend = if sin.abs() > 1.0 - cos { goal.direction * sin } else { goal.at - front.at };
    let binormal = front.tangent.cross(&front.normal);
    let twist =
        if beta > 0.0 { libm::atan2(bend.dot(&binormal), bend.dot(&front.normal)) } else { 0.0 };
    let last = Link::arc(twist, beta);
    let links = [arc, line, last];
    (miss(goal, &links) < NEARLY * (1.0 + goal.at.amax())).then_some(links)
}

/// How far the chain ends from the goal.
fn miss(goal: &Goal, links: &[Link; 3]) -> f64 {
    let end = end(links);
    (end.at - goal.at).amax().max((end.tangent - goal.direction).amax())
}

/// An angle of an arc from 0 to a full turn, both ends of which are no turn at all.
pub(super) fn whole(angle: f64) -> Option<f64> {
    if angle.abs() < NO_TURN || (angle - TAU).abs() < NO_TURN {
        return Some(0.0);
    }
    (angle > 0.0 && angle < TAU).then_some(angle)
}

pub(super) fn same(a: &[Link; 3], b: &[Link; 3]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let turned = |a: f64, b: f64| libm::sin(0.5 * (a - b)).abs() < 1e-6;
    let runs = a.iter().zip(b).all(|(a, b)| near(a.run, b.run));
    runs && (a[0].run < 1e-6 || turned(a[0].twist, b[0].twist))
}

/// The paths next to the chord, for short and long arcs at either end; `short` is the one with short arcs.
fn along_chord(goal: &Goal, short: Option<[Link; 3]>) -> Vec<[Link; 3]> {
    let others = [(-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)];
    short.into_iter().chain(others.into_iter().filter_map(|signs| settled(goal, signs))).collect()
}

/// The path next to the chord with short (1) or long (-1) arcs at either end: Newton's method for the direction of the
/// straight, from the direction of the chord.
pub(super) fn settled(goal: &Goal, signs: (f64, f64)) -> Option<[Link; 3]> {
    let mut toward = goal.at.try_normalize(1e-3)?;
    for _ in 0..MOST_NEWTON_STEPS {
        let (tau, slope) = half_tangent(toward.x, signs.0)?;
        let (tau_goal, slope_goal) = half_tangent(toward.dot(&goal.direction), signs.1)?;
        let run = goal.at - Vector3::x() * tau - goal.direction * tau_goal;
        let across = super::any_square(&toward);
        let axes = [across, toward.cross(&across)];
        let off = axes.map(|axis| run.dot(&axis));
        let forth = run.dot(&toward);
        // What the line between the corners gains along one axis when the direction turns towards another.
        let gain = |axis: usize, turned: usize| {
            let (from, to) =
                (axes[axis].x * axes[turned].x, |at: usize| axes[at].dot(&goal.direction));
            let own = if axis == turned { forth } else { 0.0 };
            -slope * from - slope_goal * to(axis) * to(turned) - own
        };
        let det = gain(0, 0) * gain(1, 1) - gain(0, 1) * gain(1, 0);
        let turn = [
            (gain(0, 1) * off[1] - gain(1, 1) * off[0]) / det,
            (gain(1, 0) * off[0] - gain(0, 0) * off[1]) / det,
        ];
        let step = turn[0].abs().max(turn[1].abs());
        if !step.is_finite() {
            return None;
        }
        let share = (MOST_TURN / step).min(1.0);
        toward = (toward + (axes[0] * turn[0] + axes[1] * turn[1]) * share).normalize();
        if step < 1e-9 {
            return assembled(goal, &toward, (tau, tau_goal), forth - tau - tau_goal);
        }
    }
    None
}

/// `tan` of half the arc to a direction with this cosine, and its change with the cosine.
fn half_tangent(cos: f64, sign: f64) -> Option<(f64, f64)> {
    let tau = ((1.0 - cos).max(0.0) / (1.0 + cos)).sqrt();
    if !tau.is_finite() || tau > 1e7 {
        return None;
    }
    let slope = if tau < 1e-9 { 0.0 } else { -1.0 / (tau * (1.0 + cos) * (1.0 + cos)) };
    Some((sign * tau, sign * slope))
}

/// The chain with these half tangents whose straight stands out from the start's line to the side of `t`.
fn assembled(goal: &Goal, t: &Vector3<f64>, tau: (f64, f64), straight: f64) -> Option<[Link; 3]> {
    let angle = |tau: f64| whole(2.0 * libm::atan(tau) + if tau < -NO_TURN { TAU } else { 0.0 });
    let alpha = angle(tau.0)?;
    // Over half a turn the arc begins away from where the straight points.
    let twist = if alpha > PI { libm::atan2(-t.z, -t.y) } else { libm::atan2(t.z, t.y) };
    last_arc(goal, twist, alpha, straight, angle(tau.1)?)
}

/// The paths next to the chord where an arc of half a turn or near makes its tangents endless: the chain itself is
/// closed from four guesses, with each arc bent towards the goal or the other way round.
fn around_chord(goal: &Goal) -> Vec<[Link; 3]> {
    let Some(t) = goal.at.try_normalize(1e-3) else { return Vec::new() };
    let aside =
        |from: &Vector3<f64>, to: &Vector3<f64>| (to - from * to.dot(from)).try_normalize(1e-9);
    // Straight ahead or straight behind leaves the plane open: the one with the other direction is taken.
    let towards = aside(&Vector3::x(), &t).or_else(|| aside(&Vector3::x(), &goal.direction));
    let normal = towards.unwrap_or_else(Vector3::y);
    let twist = libm::atan2(normal.z, normal.y);
    let alpha = super::angle_between(&Vector3::x(), &t);
    let beta = super::angle_between(&t, &goal.direction);
    let mut found = Vec::new();
    for (first, alpha) in [(0.0, alpha), (PI, TAU - alpha)] {
        let arc = Link::arc(twist + first, alpha);
        let front = Front::start().twisted(arc.twist).advanced(&arc);
        let bend = aside(&t, &goal.direction).unwrap_or(front.normal);
        let binormal = front.tangent.cross(&front.normal);
        let turn = libm::atan2(bend.dot(&binormal), bend.dot(&front.normal));
        for (second, beta) in [(0.0, beta), (PI, TAU - beta)] {
            let links = [arc, Link::straight(goal.at.norm()), Link::arc(turn + second, beta)];
            found.extend(exactly(goal, &links));
        }
    }
    found
}

/// No arc of a whole turn or more.
fn sound(links: &[Link; 3]) -> bool {
    links.iter().all(|link| !link.bent || link.run < TAU)
}

/// Paths of arc, straight and arc among which the shortest is, each ending at the goal exactly, the shortest first.
///
/// Where a path with two arcs of half a turn at most exists, none of the others was shorter in any of the pairs of
/// poses tried, so the search for them is spared. Far apart there are four, all next to the chord.
pub(super) fn candidates(goal: &Goal) -> Vec<[Link; 3]> {
    let short = settled(goal, SHORT_ARCS);
    if let Some(short) = short.filter(gentle).and_then(|links| exactly(goal, &links)) {
        return vec![short];
    }
    let mut found = along_chord(goal, short);
    found.extend(in_plane(goal));
    found.extend(shared_corner(goal));
    found.extend(in_line(goal));
    if goal.at.norm() < FAR {
        found.extend(first_arc::all(goal));
    } else {
        found.extend(around_chord(goal));
    }
    if found.is_empty() {
        found.extend(beside(goal));
    }
    let mut exact: Vec<[Link; 3]> = Vec::with_capacity(found.len());
    for links in found.iter().filter_map(|links| exactly(goal, links)) {
        if !exact.iter().any(|known| same(known, &links)) {
            exact.push(links);
        }
    }
    exact.sort_by(|a, b| length(a).total_cmp(&length(b)));
    exact
}

fn exactly(goal: &Goal, links: &[Link; 3]) -> Option<[Link; 3]> {
    let closed = closed(links.to_vec(), goal)?;
    <[Link; 3]>::try_from(closed).ok().filter(sound)
}

/// Where every search fails, for poses a hair off a line or a plane: those of a goal close by.
fn beside(goal: &Goal) -> Vec<[Link; 3]> {
    let square = super::any_square(&goal.direction);
    [1e-3, -1e-3]
        .into_iter()
        .flat_map(|turn| {
            let direction = (goal.direction + square * turn).normalize();
            let beside = Goal { at: goal.at, direction };
            let mut found = along_chord(&beside, settled(&beside, SHORT_ARCS));
            found.extend(around_chord(&beside));
            found.extend(first_arc::all(&beside));
            found
        })
        .collect()
}

/// Both arcs are half a turn at most.
pub(super) fn gentle(links: &[Link; 3]) -> bool {
    links[0].run <= PI && links[2].run <= PI
}

/// The paths that stay in the plane of the poses, where they have one: straights along tangents of two circles.
fn in_plane(goal: &Goal) -> Vec<[Link; 3]> {
    if goal.direction.z != 0.0 || goal.at.z.abs() > NEARLY {
        return Vec::new();
    }
    let heading = libm::atan2(goal.direction.y, goal.direction.x);
    let sides = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
    let path = |(first, last): (f64, f64)| {
        // From the centre of the first circle to that of the last.
        let across = goal.at.x - last * goal.direction.y;
        let up = goal.at.y + last * goal.direction.x - first;
        let apart = first - last;
        let square = across * across + up * up - apart * apart;
        let straight = square.max(0.0).sqrt();
        let along = libm::atan2(up, across) + libm::atan2(apart, straight);
        let turn = |angle: f64| whole(angle - (angle / TAU).floor() * TAU);
        let (alpha, beta) = (turn(first * along)?, turn(last * (heading - along))?);
        let twist = |same: bool| if same { 0.0 } else { PI };
        let links = [
            Link::arc(twist(first > 0.0), alpha),
            Link::straight(straight),
            Link::arc(twist(first * last > 0.0), beta),
        ];
        (square >= 0.0).then_some(links)
    };
    sides.into_iter().filter_map(path).collect()
}

/// Both arcs with one corner, which exists where the lines of both directions meet: the straight may leave the
/// plane of the poses. The search through all paths cannot see it, since the second arc says nothing of the first.
fn shared_corner(goal: &Goal) -> Vec<[Link; 3]> {
    let Goal { at, direction } = goal;
    let Some(normal) = Vector3::x().cross(direction).try_normalize(1e-9) else { return Vec::new() };
    if at.dot(&normal).abs() > NEARLY {
        return Vec::new();
    }
    let square = 1.0 - direction.x * direction.x;
    let tau_goal = (at.dot(direction) - at.x * direction.x) / square;
    let tau = at.x - tau_goal * direction.x;
    let straight = -tau - tau_goal;
    // The straight makes known angles with both directions.
    let cos = |tau: f64| (1.0 - tau * tau) / (1.0 + tau * tau);
    let (first, second) = (cos(tau), cos(tau_goal));
    let in_plane = (second - first * direction.x) / square.sqrt();
    let out = 1.0 - first * first - in_plane * in_plane;
    if straight < 0.0 || out < 0.0 {
        return Vec::new();
    }
    let sideways = normal.cross(&Vector3::x());
    let t = Vector3::x() * first + sideways * in_plane + normal * out.sqrt();
    assembled(goal, &t, (tau, tau_goal), straight).into_iter().collect()
}

/// Both poses on one line, forwards or backwards: any plane will do, and both arcs have one corner.
fn in_line(goal: &Goal) -> Vec<[Link; 3]> {
    let Goal { at, direction } = goal;
    let aside = at.y.abs().max(at.z.abs());
    if direction.y.abs().max(direction.z.abs()) > NEARLY || aside > NEARLY * (1.0 + at.x.abs()) {
        return Vec::new();
    }
    let pairs = if direction.x > 0.0 {
        vec![(0.5 * at.x, 0.5 * at.x)]
    } else {
        // The tangents of the half arcs differ by the distance, and their product is 1 or -1.
        [1.0, -1.0].into_iter().flat_map(|product| tangents(at.x, product)).collect()
    };
    let paths = pairs.into_iter().filter(|(tau, tau_goal)| tau + tau_goal <= 0.0);
    let every_plane = (0..8).map(|eighth| f64::from(eighth) * 0.125 * TAU);
    paths
        .flat_map(|pair| every_plane.clone().map(move |plane| (pair, plane)))
        .filter_map(|((tau, tau_goal), plane)| {
            let out = Vector3::new(0.0, libm::cos(plane), libm::sin(plane));
            assembled(goal, &out, (tau, tau_goal), -tau - tau_goal)
        })
        .collect()
}

/// The pairs of numbers `(x + y, y)` with this product.
fn tangents(x: f64, product: f64) -> Vec<(f64, f64)> {
    let square = x * x + 4.0 * product;
    if square < 0.0 {
        return Vec::new();
    }
    // The larger root first: the other one and the sums from the product, so that nothing cancels.
    let large = -0.5 * (x + square.sqrt().copysign(x));
    let small = product / large;
    vec![(small, large), (-large, -small)]
}
