//! Every path of an arc, a straight and an arc between two poses.
//!
//! With the angle `alpha` of the first arc given, the tangent length `tau = tan(beta / 2)` of the second arc and
//! the distance `reach` from the end of the first arc to the corner of the second fulfil one linear and one
//! quadratic equation; what is left is one equation in `alpha`, whose every root is a path.

use std::f64::consts::{PI, TAU};

use nalgebra::Vector3;

use super::chain::{Front, Goal, Link, closed, length};

/// Cells in which a change of sign is looked for: no two roots of the pairs tried lie in one, or only
/// such that neither is the shortest.
const CELLS: u32 = 32;
/// Angles this close below zero, or to a full turn, are zero: rounding.
const NO_TURN: f64 = 1e-11;
const MOST_HALVINGS: u32 = 200;
/// The search begins a little below no turn and ends a little above a full one, so that a root there is inside.
const BEYOND: f64 = 0.01;
const EDGE_HALVINGS: u32 = 36;
/// Tangent of half the change of the second arc that is allowed from one sample to the next.
const SMALL_CHANGE: f64 = 0.1;
/// Halvings of a cell for that.
const DEEPEST: u32 = 12;
/// How close to a place where a tangent length is infinite the equation is looked at.
const BESIDE: f64 = 1e-7;
/// More places on both sides of such a place, and of no turn at all, where roots gather.
const LADDER: [f64; 4] = [BESIDE, 1e-5, 1e-3, 1e-2];
/// A value this small without a change of sign is two roots that have become one.
const TOUCHES: f64 = 1e-13;
const MOST_NEWTON_STEPS: u32 = 30;
/// Largest change of the direction in one step.
const MOST_TURN: f64 = 0.5;
/// Beyond this distance every path lies next to the chord.
const FAR: f64 = 25.0;
/// A root must end this close to the goal before it is closed exactly.
const NEARLY: f64 = 3e-5;

/// What lengths and angles between two poses are, whatever the axes.
#[derive(Debug, Clone, Copy)]
struct Shape {
    /// Goal ahead of the start, along the direction there.
    ahead: f64,
    /// The same along the direction at the goal.
    behind: f64,
    /// Cosine between the directions.
    parallel: f64,
    /// Distance, squared.
    apart: f64,
}

/// The second arc and the straight that belong to a first arc, and how far they miss.
#[derive(Debug, Clone, Copy)]
struct Fit {
    tau: f64,
    reach: f64,
    off: f64,
}

/// Sines and cosines of the first arc and of its half.
#[derive(Debug, Clone, Copy)]
struct First {
    alpha: f64,
    sin: f64,
    cos: f64,
    half_sin: f64,
    half_cos: f64,
}

impl First {
    fn new(alpha: f64) -> Self {
        let (half_sin, half_cos) = libm::sincos(0.5 * alpha);
        let sin = 2.0 * half_sin * half_cos;
        let cos = (half_cos - half_sin) * (half_cos + half_sin);
        Self { alpha, sin, cos, half_sin, half_cos }
    }
}

/// The two branches of the quadratic at one first arc.
type Both = [Option<Fit>; 2];

impl Shape {
    fn new(goal: &Goal) -> Self {
        Self {
            ahead: goal.at.x,
            behind: goal.at.dot(&goal.direction),
            parallel: goal.direction.x,
            apart: goal.at.norm_squared(),
        }
    }

    /// The fits on both branches; none where they do not reach.
    fn fits(&self, first: &First) -> Both {
        let First { sin, cos, half_sin, .. } = *first;
        let along = self.ahead - sin;
        let norm = self.parallel * self.parallel + cos * cos;
        let (tau0, reach0) = (along * self.parallel / norm, along * cos / norm);
        let root = norm.sqrt();
        let (tau1, reach1) = (-cos / root, self.parallel / root);
        let square = tau1 * tau1 - reach1 * reach1;
        let half = tau0 * tau1 - reach0 * reach1 - self.behind * tau1 - sin * reach1;
        let rest = tau0 * (tau0 - 2.0 * self.behind) - reach0 * (reach0 + 2.0 * sin) + self.apart
            - 4.0 * half_sin * half_sin;
        let inside = half * half - square * rest;
        if inside < 0.0 {
            return [None; 2];
        }
        [1.0, -1.0].map(|branch| {
            let spread = branch * inside.sqrt();
            // Of the two forms of a root, the one in which nothing cancels.
            let step = if half * spread > 0.0 {
                -rest / (half + spread)
            } else {
                (spread - half) / square
            };
            self.fit(first, tau0 + step * tau1, reach0 + step * reach1)
        })
    }

    fn fit(&self, first: &First, tau: f64, reach: f64) -> Option<Fit> {
        let First { half_sin, half_cos, .. } = *first;
        let cos_beta = (1.0 - tau * tau) / (1.0 + tau * tau);
        let off = half_cos * (self.behind - tau)
            - self.parallel * half_sin
            - cos_beta * (half_sin + reach * half_cos);
        // Long tangents make everything large; the sign is what counts.
        let off = off / (1.0 + tau.abs() + reach.abs());
        off.is_finite().then_some(Fit { tau, reach, off })
    }

    fn one(&self, alpha: f64, branch: usize) -> Option<Fit> {
        self.fits(&First::new(alpha))[branch]
    }
}

/// All paths of arc, straight and arc, as chains that end at the goal up to rounding of the search.
pub(super) fn all(goal: &Goal) -> Vec<[Link; 3]> {
    let shape = Shape::new(goal);
    let samples = samples(&shape);
    let mut found: Vec<[Link; 3]> = Vec::new();
    for branch in [0, 1] {
        for alpha in roots(&shape, &samples, branch) {
            let chain = chain(goal, &shape, alpha, branch);
            found.extend(chain.filter(|chain| !found.iter().any(|known| same(known, chain))));
        }
    }
    found
}

/// The equation at one first arc, on both branches; none where they do not reach.
#[derive(Debug, Clone, Copy)]
struct Sample {
    alpha: f64,
    fits: Option<[Fit; 2]>,
}

impl Sample {
    fn new(shape: &Shape, first: &First) -> Self {
        let fits = match shape.fits(first) {
            [Some(one), Some(other)] => Some([one, other]),
            _ => None,
        };
        Self { alpha: first.alpha, fits }
    }

    fn at(shape: &Shape, alpha: f64) -> Self {
        Self::new(shape, &First::new(alpha))
    }
}

/// The equation at all knots, at the ends of the branches, and between where the second arc changes much.
fn samples(shape: &Shape) -> Vec<Sample> {
    let knots = knots(shape);
    let mut samples: Vec<Sample> = Vec::with_capacity(4 * knots.len());
    for first in knots {
        let next = Sample::new(shape, &first);
        if let Some(last) = samples.last().copied() {
            let edge = match (last.fits, next.fits) {
                (Some(_), None) => Some(edge(shape, last.alpha, next.alpha)),
                (None, Some(_)) => Some(edge(shape, next.alpha, last.alpha)),
                _ => None,
            };
            if let Some(edge) = edge {
                if last.fits.is_some() {
                    refine(shape, &mut samples, &last, &edge, DEEPEST);
                }
                samples.push(edge);
            }
            let last = edge.unwrap_or(last);
            refine(shape, &mut samples, &last, &next, DEEPEST);
        }
        samples.push(next);
    }
    samples
}

/// Puts samples between two until the second arc changes little from one to the next.
fn refine(shape: &Shape, samples: &mut Vec<Sample>, low: &Sample, high: &Sample, depth: u32) {
    let (Some(a), Some(b)) = (low.fits, high.fits) else { return };
    let far = |a: &Fit, b: &Fit| {
        // Tangent of half the change of the second arc, without leaving the circle where it is infinite.
        let (across, along) = ((a.tau - b.tau).abs(), (1.0 + a.tau * b.tau).abs());
        across > SMALL_CHANGE * along
    };
    if depth == 0 || high.alpha - low.alpha < 3.0 * BESIDE {
        return;
    }
    let middle = Sample::at(shape, 0.5 * (low.alpha + high.alpha));
    let Some(m) = middle.fits else { return };
    let near = a.iter().zip(&m).zip(&b).all(|((a, m), b)| !far(a, m) && !far(m, b));
    if near {
        samples.push(middle);
        return;
    }
    refine(shape, samples, low, &middle, depth - 1);
    samples.push(middle);
    refine(shape, samples, &middle, high, depth - 1);
}

/// The last place, from `inner` outwards, at which the branches reach.
fn edge(shape: &Shape, mut inner: f64, mut outer: f64) -> Sample {
    let mut found = Sample::at(shape, inner);
    for _ in 0..EDGE_HALVINGS {
        let middle = 0.5 * (inner + outer);
        let sample = Sample::at(shape, middle);
        if sample.fits.is_some() {
            (inner, found) = (middle, sample);
        } else {
            outer = middle;
        }
    }
    found
}

/// Where a branch of the equation vanishes.
fn roots(shape: &Shape, samples: &[Sample], branch: usize) -> Vec<f64> {
    let mut roots = Vec::new();
    let off = |sample: &Sample| sample.fits.map(|fits| fits[branch].off);
    for (at, pair) in samples.windows(2).enumerate() {
        let (Some(f), Some(g)) = (off(&pair[0]), off(&pair[1])) else { continue };
        let (low, high) = (pair[0].alpha, pair[1].alpha);
        if high - low < 3.0 * BESIDE {
            continue;
        }
        if f * g <= 0.0 {
            roots.push(root(shape, branch, low, f, high, g));
            continue;
        }
        let Some(next) = samples.get(at + 2) else { continue };
        let Some(h) = off(next) else { continue };
        if g * h > 0.0 && g.abs() < f.abs().min(h.abs()) {
            roots.extend(touch(shape, branch, [low, high, next.alpha], g));
        }
    }
    roots
}

/// Where the equation is looked at: evenly, and close to both sides of where a tangent length is infinite.
fn knots(shape: &Shape) -> Vec<First> {
    let step = (TAU + 2.0 * BEYOND) / f64::from(CELLS);
    let mut knots: Vec<f64> = (0..=CELLS).map(|at| f64::from(at) * step - BEYOND).collect();
    let square = (1.0 - shape.parallel * shape.parallel).max(0.0).sqrt();
    let pole = libm::atan2(square, shape.parallel);
    for at in [pole, PI - pole, TAU - pole, PI + pole] {
        knots.extend(LADDER.iter().flat_map(|beside| [at - beside, at + beside]));
    }
    knots.extend(LADDER.iter().flat_map(|beside| [*beside, TAU - beside]));
    knots.sort_by(f64::total_cmp);
    knots.into_iter().map(First::new).collect()
}

/// Root between two places of unlike sign, by false position with halved weights and bisection.
fn root(shape: &Shape, branch: usize, mut low: f64, mut f: f64, mut high: f64, mut g: f64) -> f64 {
    if f == 0.0 {
        return low;
    }
    let mut side = 0;
    for step in 0..MOST_HALVINGS {
        if g == 0.0 || (high - low).abs() <= 4.0 * f64::EPSILON {
            break;
        }
        let middle =
            if step % 3 == 2 { 0.5 * (low + high) } else { (low * g - high * f) / (g - f) };
        if (middle - low).abs() == 0.0 || (middle - high).abs() == 0.0 {
            break;
        }
        let Some(fit) = shape.one(middle, branch) else { break };
        if fit.off * g > 0.0 {
            (high, g) = (middle, fit.off);
            if side == 1 {
                f *= 0.5;
            }
            side = 1;
        } else {
            (low, f) = (middle, fit.off);
            if fit.off == 0.0 {
                return middle;
            }
            if side == 2 {
                g *= 0.5;
            }
            side = 2;
        }
    }
    if f.abs() < g.abs() { low } else { high }
}

/// Two roots that lie close together, or one that only touches: the least value is sought between three places.
fn touch(shape: &Shape, branch: usize, places: [f64; 3], middle_off: f64) -> Vec<f64> {
    let [mut low, mut best, mut high] = places;
    let sign = middle_off.signum();
    let mut least = middle_off.abs();
    for _ in 0..48 {
        let (left, right) = (0.5 * (low + best), 0.5 * (best + high));
        for (at, is_left) in [(left, true), (right, false)] {
            let Some(fit) = shape.one(at, branch) else { return Vec::new() };
            let value = fit.off * sign;
            if value <= 0.0 {
                let ends = |end: f64, off: f64| root(shape, branch, at, fit.off, end, off);
                let off_at = |end: f64| shape.one(end, branch).map_or(sign, |f| f.off);
                return vec![ends(low, off_at(low)), ends(high, off_at(high))];
            }
            if value < least {
                least = value;
                if is_left {
                    high = best;
                } else {
                    low = best;
                }
                best = at;
                break;
            }
            if is_left {
                low = at;
            } else {
                high = at;
            }
        }
        if least < TOUCHES {
            return vec![best];
        }
    }
    Vec::new()
}

/// The chain of a root, if it is one: it ends at the goal, nothing runs backwards.
fn chain(goal: &Goal, shape: &Shape, alpha: f64, branch: usize) -> Option<[Link; 3]> {
    let first = First::new(alpha);
    let Fit { tau, reach, .. } = shape.fits(&first)[branch]?;
    let corner = goal.at - goal.direction * tau;
    let aside = 2.0 * first.half_sin * first.half_sin + reach * first.sin;
    let part = corner - Vector3::x() * (first.sin + reach * first.cos);
    let no_turn = alpha.abs() < NO_TURN || aside.abs() < 1e-14;
    let normal = if no_turn { Vector3::y() } else { part / aside };
    let twist = libm::atan2(normal.z, normal.y);
    let alpha = whole(alpha)?;
    let straight = reach - tau;
    let beta = whole(2.0 * libm::atan(tau) + if tau < -NO_TURN { TAU } else { 0.0 })?;
    last_arc(goal, twist, alpha, straight, beta)
}

/// The chain with the last arc turned into its plane, if it ends at the goal.
fn last_arc(goal: &Goal, twist: f64, alpha: f64, straight: f64, beta: f64) -> Option<[Link; 3]> {
    if straight < -NEARLY * (1.0 + goal.at.amax()) {
        return None;
    }
    let arc = Link::arc(twist, alpha);
    let front = Front::start().twisted(twist).advanced(&arc);
    let line = Link::straight(straight.max(0.0));
    let front = front.advanced(&line);
    let (sin, cos) = libm::sincos(beta);
    let bend = if sin.abs() > 1.0 - cos {
        (goal.direction - front.tangent * cos) / sin
    } else {
        (goal.at - front.at - front.tangent * sin) / (1.0 - cos)
    };
    let binormal = front.tangent.cross(&front.normal);
    let twist =
        if beta > 0.0 { libm::atan2(bend.dot(&binormal), bend.dot(&front.normal)) } else { 0.0 };
    let last = Link::arc(twist, beta);
    let links = [arc, line, last];
    (miss(goal, &links) < NEARLY * (1.0 + goal.at.amax())).then_some(links)
}

/// How far the chain ends from the goal.
fn miss(goal: &Goal, links: &[Link; 3]) -> f64 {
    let end =
        links.iter().fold(Front::start(), |front, link| front.twisted(link.twist).advanced(link));
    (end.at - goal.at).amax().max((end.tangent - goal.direction).amax())
}

/// An angle of an arc from 0 to a full turn, both ends of which are no turn at all.
fn whole(angle: f64) -> Option<f64> {
    if angle.abs() < NO_TURN || (angle - TAU).abs() < NO_TURN {
        return Some(0.0);
    }
    (angle > 0.0 && angle < TAU).then_some(angle)
}

fn same(a: &[Link; 3], b: &[Link; 3]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let turned = |a: f64, b: f64| libm::sin(0.5 * (a - b)).abs() < 1e-6;
    let runs = a.iter().zip(b).all(|(a, b)| near(a.run, b.run));
    runs && (a[0].run < 1e-6 || turned(a[0].twist, b[0].twist))
}

/// The paths next to the chord: Newton's method for the direction of the straight, from the direction of the
/// chord, for short and long arcs at either end.
pub(super) fn along_chord(goal: &Goal) -> Vec<[Link; 3]> {
    let signs = [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)];
    signs.into_iter().filter_map(|signs| settled(goal, signs)).collect()
}

fn settled(goal: &Goal, signs: (f64, f64)) -> Option<[Link; 3]> {
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
/// poses tried, so the search through all of them is spared. Far apart there are four, all next to the chord.
pub(super) fn candidates(goal: &Goal) -> Vec<[Link; 3]> {
    let mut found = along_chord(goal);
    if !found.iter().any(gentle) {
        found.extend(around_chord(goal));
        found.extend(shared_corner(goal));
        found.extend(in_line(goal));
        if goal.at.norm() < FAR {
            found.extend(all(goal));
        }
        if found.is_empty() {
            found.extend(beside(goal));
        }
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
            let mut found = along_chord(&beside);
            found.extend(around_chord(&beside));
            found.extend(all(&beside));
            found
        })
        .collect()
}

/// Both arcs are half a turn at most.
pub(super) fn gentle(links: &[Link; 3]) -> bool {
    links[0].run <= PI && links[2].run <= PI
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
            let cos = (1.0 - tau * tau) / (1.0 + tau * tau);
            let sin = (1.0 - cos * cos).max(0.0).sqrt();
            let t = Vector3::new(cos, sin * libm::cos(plane), sin * libm::sin(plane));
            assembled(goal, &t, (tau, tau_goal), -tau - tau_goal)
        })
        .collect()
}

/// The pairs of numbers `(x + y, y)` with this product.
fn tangents(x: f64, product: f64) -> Vec<(f64, f64)> {
    let square = x * x + 4.0 * product;
    if square < 0.0 {
        return Vec::new();
    }
    // The larger root first: the other one from the product, so that nothing cancels.
    let large = -0.5 * (x + square.sqrt().copysign(x));
    [large, -product / large].into_iter().map(|y| (x + y, y)).collect()
}
