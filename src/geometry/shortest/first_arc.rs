//! Every path of arc, straight and arc, through one equation in the angle of the first arc.
//!
//! With the angle `alpha` of the first arc given, the tangent length `tau = tan(beta / 2)` of the second arc and
//! the distance `reach` from the end of the first arc to the corner of the second fulfil one linear and one
//! quadratic equation; what is left is one equation in `alpha`, whose every root is a path.

#[cfg(test)]
mod tests;

use std::f64::consts::{PI, TAU};
use std::sync::LazyLock;

use super::arc_straight_arc::{NO_TURN, last_arc, same, whole};
use super::chain::{Goal, Link};

/// Cells in which a change of sign is looked for: no two roots of the pairs tried lie in one, or only
/// such that neither is the shortest.
const CELLS: u32 = 32;
const MOST_STEPS: u32 = 60;
const EDGE_HALVINGS: u32 = 36;
/// Places closer than this are one.
const SIDE_BY_SIDE: f64 = 1e-14;
/// The search begins a little below no turn and ends a little above a full one, so that a root there is inside.
const BEYOND: f64 = 0.01;
/// Steps towards the least of what is under the root.
const MOST_LOWERINGS: u32 = 30;
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

/// First arcs that are always looked at: evenly apart, and beside none and a whole turn.
static FIXED: LazyLock<Vec<First>> = LazyLock::new(|| {
    let step = (TAU + 2.0 * BEYOND) / f64::from(CELLS);
    let even = (0..=CELLS).map(|at| f64::from(at) * step - BEYOND);
    let ends = LADDER.iter().flat_map(|beside| [*beside, TAU - beside]);
    let mut fixed: Vec<First> = even.chain(ends).map(First::new).collect();
    fixed.sort_by(|a, b| a.alpha.total_cmp(&b.alpha));
    fixed
});

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

    /// The fits on both branches, none where they do not reach, and what is under their root.
    #[inline]
    fn fits(&self, first: &First) -> (Both, f64) {
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
            return ([None; 2], inside);
        }
        let spread = inside.sqrt();
        let branch = |spread: f64| {
            // Of the two forms of a root, the one in which nothing cancels.
            let step = if half * spread > 0.0 {
                -rest / (half + spread)
            } else {
                (spread - half) / square
            };
            self.fit(first, tau0 + step * tau1, reach0 + step * reach1)
        };
        ([branch(spread), branch(-spread)], inside)
    }

    #[inline]
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
        self.fits(&First::new(alpha)).0[branch]
    }
}

/// All paths of arc, straight and arc, as chains that end at the goal up to rounding of the search.
pub(super) fn all(goal: &Goal) -> Vec<[Link; 3]> {
    let shape = Shape::new(goal);
    let mut samples = samples(&shape);
    part(&shape, &mut samples);
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
    /// What is under the root of the branches: below zero they do not reach.
    inside: f64,
}

impl Sample {
    fn new(shape: &Shape, first: &First) -> Self {
        let (both, inside) = shape.fits(first);
        let fits = match both {
            [Some(one), Some(other)] => Some([one, other]),
            _ => None,
        };
        Self { alpha: first.alpha, fits, inside }
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
                (Some(_), None) => Some(edge(shape, last, next)),
                (None, Some(_)) => Some(edge(shape, next, last)),
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

/// Where the branches come close between three samples, they may part for a stretch with roots at both of its ends.
fn part(shape: &Shape, samples: &mut Vec<Sample>) {
    let mut more = Vec::new();
    for three in samples.windows(3) {
        let [left, middle, right] = [three[0], three[1], three[2]];
        let reach = [left, middle, right].iter().all(|sample| sample.fits.is_some());
        if !reach || middle.inside > left.inside || middle.inside >= right.inside {
            continue;
        }
        let lowest = lowest(|alpha| Sample::at(shape, alpha), left, middle, right);
        let gap = match lowest.fits {
            Some(_) => [lowest; 2],
            None => [edge(shape, left, lowest), edge(shape, right, lowest)],
        };
        refine(shape, &mut more, &left, &gap[0], DEEPEST);
        more.extend([gap[0], lowest, gap[1]]);
        refine(shape, &mut more, &gap[1], &right, DEEPEST);
    }
    if !more.is_empty() {
        samples.extend(more);
        samples.sort_by(|a, b| a.alpha.total_cmp(&b.alpha));
    }
}

/// The least of what is under the root between three samples, or the first place where it is below zero.
fn lowest(
    at: impl Fn(f64) -> Sample,
    mut left: Sample,
    mut middle: Sample,
    mut right: Sample,
) -> Sample {
    for step in 0..MOST_LOWERINGS {
        let (back, forth) = (middle.alpha - left.alpha, right.alpha - middle.alpha);
        let (a, b) = (back * (right.inside - middle.inside), forth * (left.inside - middle.inside));
        let vertex = middle.alpha + 0.5 * (forth * b - back * a) / (a + b);
        let wider =
            if back > forth { middle.alpha - 0.4 * back } else { middle.alpha + 0.4 * forth };
        let near = (vertex - middle.alpha).abs() < 1e-3 * back.max(forth);
        let inner = vertex > left.alpha && vertex < right.alpha && !near && step % 3 != 2;
        let next = at(if inner { vertex } else { wider });
        if next.fits.is_none() {
            return next;
        }
        let ahead = next.alpha > middle.alpha;
        if next.inside < middle.inside {
            if ahead {
                left = middle;
            } else {
                right = middle;
            }
            middle = next;
        } else if ahead {
            right = next;
        } else {
            left = next;
        }
        if right.alpha - left.alpha < 4.0 * BESIDE {
            break;
        }
    }
    middle
}

/// The last place, from `inner` outwards, at which the branches reach.
fn edge(shape: &Shape, inner: Sample, outer: Sample) -> Sample {
    let (mut found, mut outer) = (inner, outer.alpha);
    for _ in 0..EDGE_HALVINGS {
        let middle = Sample::at(shape, 0.5 * (found.alpha + outer));
        if middle.fits.is_some() {
            found = middle;
        } else {
            outer = middle.alpha;
        }
    }
    found
}

/// Two places side by side between which a value changes its sign, with the values there; the one first that has the
/// sign of `low`.
///
/// By T. R. Chandrupatla's rule (Advances in Engineering Software 28, 1997; from memory): the parabola through three
/// places where it is steady, else the middle.
fn crossing(
    value: impl Fn(f64) -> Option<f64>,
    low: (f64, f64),
    high: (f64, f64),
) -> [(f64, f64); 2] {
    let (mut last, mut other, mut share) = (low, high, 0.5);
    for _ in 0..MOST_STEPS {
        let at = last.0 + share * (other.0 - last.0);
        let Some(here) = value(at) else { break };
        let third =
            if (here < 0.0) == (last.1 < 0.0) { last } else { std::mem::replace(&mut other, last) };
        last = (at, here);
        let nearest = SIDE_BY_SIDE / (other.0 - last.0).abs();
        if nearest > 0.5 {
            break;
        }
        share = parabola(last, other, third).clamp(nearest, 1.0 - nearest);
    }
    if (last.1 < 0.0) == (low.1 < 0.0) { [last, other] } else { [other, last] }
}

/// How far from `last` to `other` the parabola through three places vanishes, or half way.
fn parabola(last: (f64, f64), other: (f64, f64), third: (f64, f64)) -> f64 {
    let (a, b, c) = (last.1, other.1, third.1);
    let place = (last.0 - other.0) / (third.0 - other.0);
    let height = (a - b) / (c - b);
    if height * height >= place || (1.0 - height) * (1.0 - height) >= 1.0 - place {
        return 0.5;
    }
    let over = (third.0 - last.0) / (other.0 - last.0);
    a / (b - a) * (c / (b - c)) + over * (a / (c - a)) * (b / (c - b))
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
            roots.push(root(shape, branch, (low, f), (high, g)));
            continue;
        }
        let Some(next) = samples.get(at + 2) else { continue };
        let Some(h) = off(next) else { continue };
        if g * h > 0.0 && g.abs() < f.abs().min(h.abs()) {
            roots.extend(touch(shape, branch, [(low, f), (high, g), (next.alpha, h)]));
        }
    }
    roots
}

/// Where the equation is looked at: evenly, and close to both sides of where a tangent length is infinite.
fn knots(shape: &Shape) -> Vec<First> {
    let mut knots = FIXED.clone();
    let square = (1.0 - shape.parallel * shape.parallel).max(0.0).sqrt();
    let pole = libm::atan2(square, shape.parallel);
    for at in [pole, PI - pole, TAU - pole, PI + pole] {
        let beside = LADDER.iter().flat_map(|beside| [at - beside, at + beside]);
        knots.extend(beside.map(First::new));
    }
    knots.sort_by(|a, b| a.alpha.total_cmp(&b.alpha));
    knots
}

/// Root between two places of unlike sign.
fn root(shape: &Shape, branch: usize, low: (f64, f64), high: (f64, f64)) -> f64 {
    if low.1 == 0.0 {
        return low.0;
    }
    let [one, other] = crossing(|alpha| Some(shape.one(alpha, branch)?.off), low, high);
    if one.1.abs() < other.1.abs() { one.0 } else { other.0 }
}

/// Two roots that lie close together, or one that only touches: the least value is sought between three places.
fn touch(shape: &Shape, branch: usize, places: [(f64, f64); 3]) -> Vec<f64> {
    let sign = places[1].1.signum();
    let [mut low, mut best, mut high] = places.map(|(at, off)| (at, off * sign));
    for _ in 0..MOST_STEPS {
        if best.1 < TOUCHES {
            return vec![best.0];
        }
        // A curve that has risen so little to both sides of its least value does not fall far below it between.
        if low.1.max(high.1) < 1.01 * best.1 {
            break;
        }
        for left in [true, false] {
            let at = 0.5 * (best.0 + if left { low.0 } else { high.0 });
            let Some(fit) = shape.one(at, branch) else { return Vec::new() };
            let here = (at, fit.off * sign);
            if here.1 <= 0.0 {
                let signed = |(at, off): (f64, f64)| (at, off * sign);
                let root = |end| root(shape, branch, signed(here), signed(end));
                return vec![root(low), root(high)];
            }
            if here.1 < best.1 {
                *(if left { &mut high } else { &mut low }) = best;
                best = here;
                break;
            }
            *(if left { &mut low } else { &mut high }) = here;
        }
    }
    Vec::new()
}

/// The chain of a root, if it is one: it ends at the goal, nothing runs backwards.
fn chain(goal: &Goal, shape: &Shape, alpha: f64, branch: usize) -> Option<[Link; 3]> {
    let first = First::new(alpha);
    let Fit { tau, reach, .. } = shape.fits(&first).0[branch]?;
    let corner = goal.at - goal.direction * tau;
    let aside = 2.0 * first.half_sin * first.half_sin + reach * first.sin;
    let no_turn = alpha.abs() < NO_TURN || aside.abs() < 1e-14;
    // Over half a turn the arc begins away from where the corner stands.
    let side = aside.signum();
    let twist = if no_turn { 0.0 } else { libm::atan2(side * corner.z, side * corner.y) };
    let alpha = whole(alpha)?;
    let straight = reach - tau;
    let beta = whole(2.0 * libm::atan(tau) + if tau < -NO_TURN { TAU } else { 0.0 })?;
    last_arc(goal, twist, alpha, straight, beta)
}
