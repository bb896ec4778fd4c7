//! Arcs that end at a goal, made as short as they get: the twists and runs of a closed chain are moved downhill by
//! Newton's method while it stays closed.
//!
//! Each twist and each run turns everything after it about an axis. With `a` the axis of one of them, `w` the way and
//! `u` the turn of the end under a later one, the second change of the end under both is `a x w` and `a x u`: all second
//! derivatives are known, and so is the Newton step, which is worked out from the last piece to the first (dynamic
//! programming) in a time that grows with the number of pieces only.

use nalgebra::{Matrix5, Matrix6, Matrix6x5, Vector3, Vector5, Vector6};

use super::chain::{Goal, Link};

/// A run this short is gone: it grows again only where that shortens the chain.
const GONE: f64 = 1e-12;
/// A chain that misses by less is closed while its length is sought; how closely while the least distance is.
const CLOSED: f64 = 1e-9;
const CLOSED_FINELY: f64 = 1e-13;
const CLOSING_STEPS: u32 = 5;
/// Largest change of a twist or run in one closing step.
const MOST_CHANGE: f64 = 0.5;
/// Largest change in the first Newton step, and in any.
const FIRST_REACH: f64 = 0.6;
const FARTHEST_REACH: f64 = 0.8;
const NEAREST_REACH: f64 = 1e-4;
/// Where the length is not convex a share of the largest second derivative is added until it is.
const FIRST_SHIFT: f64 = 1e-2;
const MORE_SHIFT: f64 = 3.0;
const LESS_SHIFT: f64 = 0.3;
const LARGEST_SHIFT: f64 = 1e4;
/// Weight on a miss against the second derivatives, which makes a convex sum of what is convex while closed.
const MISS_WEIGHT: f64 = 100.0;
/// Changes below this end the search.
const NO_CHANGE: f64 = 1e-9;
/// Shares of the trace that keep directions which no piece can move, such as across a plane.
const RIDGE: f64 = 1e-13;

/// What is made least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Least {
    Length,
    /// How far the goal stands apart, in shares of where it is: up to 1 the arcs reach it.
    Apart,
}

/// The goal, with two directions square to its own.
#[derive(Debug, Clone, Copy)]
pub(super) struct Aim {
    pub(super) goal: Goal,
    across: [Vector3<f64>; 2],
    /// A run counts by this length, so that short chains twist as readily as they stretch.
    unit: f64,
    least: Least,
}

impl Aim {
    pub(super) fn new(goal: &Goal, least: Least) -> Self {
        let first = super::any_square(&goal.direction);
        let across = [first, goal.direction.cross(&first)];
        Self { goal: *goal, across, unit: goal.at.norm().clamp(0.05, 1.0), least }
    }

    fn seen(&self, way: &Vector3<f64>, turn: &Vector3<f64>) -> Vector5<f64> {
        Vector5::new(way.x, way.y, way.z, turn.dot(&self.across[0]), turn.dot(&self.across[1]))
    }

    /// The miss of an end; directions that point away count by the whole angle.
    fn off(&self, at: &Vector3<f64>, tangent: &Vector3<f64>) -> Vector5<f64> {
        let mut off = self.seen(at, tangent);
        let cos = tangent.dot(&self.goal.direction);
        if cos < 0.0 {
            let sin = (off[3] * off[3] + off[4] * off[4]).sqrt();
            let share = libm::atan2(sin, cos) / sin.max(1e-9);
            off[3] *= share;
            off[4] *= share;
        }
        off
    }
}

/// One number that may change: a twist, a run, or how far the goal stands apart.
#[derive(Debug, Clone, Copy)]
struct Free {
    axis: Vector3<f64>,
    /// What the end does: its way and the turn of its direction.
    way: Vector3<f64>,
    turn: Vector3<f64>,
    column: Vector5<f64>,
    /// Square of the unit that it is counted in; none where it is held.
    weight: f64,
    /// What it adds to what is made least.
    slope: f64,
}

/// A chain of arcs on its way to a goal.
#[derive(Debug, Clone)]
pub(super) struct Arcs {
    pub(super) links: Vec<Link>,
    pub(super) apart: f64,
    free: Vec<Free>,
    off: Vector5<f64>,
    tangent: Vector3<f64>,
    facing: bool,
}

/// How far the next step may go, and what is added to make it convex.
#[derive(Debug, Clone, Copy)]
struct Pace {
    reach: f64,
    shift: f64,
    left: u32,
}

impl Arcs {
    pub(super) fn new(links: Vec<Link>, apart: f64, aim: &Aim) -> Self {
        let zero = Vector3::zeros();
        let (mut at, mut tangent, mut normal) = (zero, Vector3::x(), Vector3::y());
        let mut free = Vec::with_capacity(2 * links.len() + 1);
        let mut add = |axis, through, weight, slope| {
            free.push(Free {
                axis,
                way: through,
                turn: zero,
                column: Vector5::zeros(),
                weight,
                slope,
            });
        };
        let longer = if aim.least == Least::Length { 1.0 } else { 0.0 };
        for link in &links {
            add(tangent, at, 1.0, 0.0);
            let (sin, cos) = libm::sincos(link.twist);
            normal = normal * cos + tangent.cross(&normal) * sin;
            let weight = if link.run > GONE { aim.unit * aim.unit } else { 0.0 };
            add(tangent.cross(&normal), at + normal, weight, longer);
            let (sin, cos) = libm::sincos(link.run);
            at += tangent * sin + normal * (1.0 - cos);
            (tangent, normal) = (tangent * cos + normal * sin, normal * cos - tangent * sin);
        }
        for part in &mut free {
            part.turn = part.axis.cross(&tangent);
            part.way = part.axis.cross(&(at - part.way));
            part.column = aim.seen(&part.way, &part.turn);
        }
        if aim.least == Least::Apart {
            let way = -aim.goal.at;
            let column = aim.seen(&way, &zero);
            free.push(Free { axis: zero, way, turn: zero, column, weight: 1.0, slope: 1.0 });
        }
        let off = aim.off(&(at - aim.goal.at * apart), &tangent);
        let facing = tangent.dot(&aim.goal.direction) > 0.0;
        Self { links, apart, free, off, tangent, facing }
    }

    /// What is made least.
    pub(super) fn value(&self, aim: &Aim) -> f64 {
        match aim.least {
            Least::Apart => self.apart,
            Least::Length => super::length(&self.links),
        }
    }

    fn moved(&self, changes: &[f64], share: f64, aim: &Aim) -> Self {
        let mut links = self.links.clone();
        for (link, change) in links.iter_mut().zip(changes.chunks_exact(2)) {
            link.twist += share * change[0];
            link.run = (link.run + share * change[1]).max(0.0);
        }
        let farther = if aim.least == Least::Apart { changes.last().copied() } else { None };
        Self::new(links, self.apart + share * farther.unwrap_or(0.0), aim)
    }

    /// Sum of the squares of all columns, weighted.
    fn square(&self) -> Matrix5<f64> {
        let mut square = Matrix5::zeros();
        for part in self.free.iter().filter(|part| part.weight > 0.0) {
            square.ger(1.0, &(part.column * part.weight), &part.column, 1.0);
        }
        ridged(square)
    }

    /// The smallest changes that take the miss away, step by step; `None` where that does not settle.
    pub(super) fn closed(self, aim: &Aim, steps: u32) -> Option<Self> {
        let closely = if aim.least == Least::Apart { CLOSED_FINELY } else { CLOSED };
        self.closed_to(aim, steps, closely)
    }

    /// Closed but for rounding, or as it was where the conditions hardly tell the pieces apart.
    pub(super) fn exactly_closed(self, aim: &Aim) -> Self {
        self.clone().closed_to(aim, CLOSING_STEPS, CLOSED_FINELY).unwrap_or(self)
    }

    fn closed_to(mut self, aim: &Aim, steps: u32, closely: f64) -> Option<Self> {
        for _ in 0..steps {
            if self.facing && self.off.amax() < closely {
                return Some(self);
            }
            let push = self.square().cholesky()?.solve(&-self.off);
            let change = |part: &Free| part.weight * part.column.dot(&push);
            let changes: Vec<f64> = self.free.iter().map(change).collect();
            let most = changes.iter().fold(0.0_f64, |most, change| most.max(change.abs()));
            let share = (MOST_CHANGE / most).min(1.0);
            if !share.is_finite() {
                return None;
            }
            self = self.moved(&changes, share, aim);
        }
        (self.facing && self.off.amax() < closely).then_some(self)
    }

    /// What each condition costs.
    fn multipliers(&self) -> Option<Vector5<f64>> {
        let slopes = self.free.iter().filter(|part| part.weight > 0.0 && part.slope > 0.0);
        let sum = slopes.fold(Vector5::zeros(), |sum, part| sum + part.column * part.weight);
        Some(self.square().cholesky()?.solve(&sum))
    }

    /// The closed chain moved downhill until a step gains less than a share `gain`, or an end stands near enough.
    pub(super) fn lowered(mut self, aim: &Aim, steps: u32, gain: f64) -> Self {
        let mut pace = Pace { reach: FIRST_REACH, shift: 0.0, left: steps };
        while pace.left > 0 {
            let Some(next) = self.lower(aim, &mut pace) else { break };
            let before = self.value(aim);
            self = next;
            let near = aim.least == Least::Apart && self.apart <= 1.0;
            if near || before - self.value(aim) < gain * before {
                break;
            }
        }
        self
    }

    fn lower(&mut self, aim: &Aim, pace: &mut Pace) -> Option<Self> {
        let multipliers = self.multipliers()?;
        for part in &mut self.free {
            // A run that is gone grows again where the chain gets shorter by it.
            if part.weight <= 0.0 && part.slope - part.column.dot(&multipliers) < -1e-6 {
                part.weight = aim.unit * aim.unit;
            }
        }
        let place = multipliers.fixed_rows::<3>(0).into_owned();
        let direction = aim.across[0] * multipliers[3] + aim.across[1] * multipliers[4];
        let lever = |part: &Free| part.way.cross(&place) + part.turn.cross(&direction);
        let levers: Vec<Vector3<f64>> = self.free.iter().map(lever).collect();
        let bends = self.free.iter().zip(&levers).map(|(part, lever)| part.axis.dot(lever).abs());
        let stiff = bends.fold(1e-9, f64::max);
        let before = self.value(aim);
        while pace.left > 0 {
            let Some(changes) = self.newton(aim, &levers, stiff, pace.shift + NO_CHANGE * stiff)
            else {
                pace.shift = (pace.shift * MORE_SHIFT).max(FIRST_SHIFT * stiff);
                if pace.shift > LARGEST_SHIFT * stiff {
                    return None;
                }
                continue;
            };
            pace.left -= 1;
            let (share, most) = self.share(aim, &changes, pace.reach);
            if most * share < NO_CHANGE {
                return None;
            }
            let next = self.moved(&changes, share, aim).closed(aim, CLOSING_STEPS);
            let after = next.as_ref().map_or(f64::INFINITY, |next| next.value(aim));
            if after < before {
                if share > 0.999 {
                    pace.shift *= LESS_SHIFT;
                }
                if pace.shift < 1e-3 * FIRST_SHIFT * stiff {
                    pace.shift = 0.0;
                }
                pace.reach = (1.5 * pace.reach).min(FARTHEST_REACH);
                return next;
            }
            pace.reach = 0.3 * (most * share).min(pace.reach);
            if after < before + 1e-12 || pace.reach < NEAREST_REACH {
                return None;
            }
        }
        None
    }

    /// The share of the changes to take, and the largest of them in units.
    fn share(&self, aim: &Aim, changes: &[f64], reach: f64) -> (f64, f64) {
        let pieces = changes.iter().zip(&self.free).take(2 * self.links.len());
        let most = pieces.fold(0.0_f64, |most, (change, part)| {
            if part.weight > 0.0 { most.max(change.abs() / part.weight.sqrt()) } else { most }
        });
        let share = (reach / most).min(1.0);
        let (Least::Apart, Some(nearer)) = (aim.least, changes.last()) else {
            return (share, most);
        };
        // A step gains half of what it promises at first. Where that leads below 1, it goes there and hardly farther:
        // at the least distance itself a chain cannot be closed on the goal.
        let lowest = self.apart + 0.5 * nearer;
        if lowest >= 1.0 || *nearer >= 0.0 {
            return (share, most);
        }
        let part = (self.apart - 1.0 + 0.1 * (1.0 - lowest)) / -nearer;
        (share.min(1.0 - (1.0 - 2.0 * part).max(0.0).sqrt()), most)
    }

    /// The Newton step of what is made least under the closing conditions; `None` where it is not convex.
    ///
    /// Going back along the chain, what comes after a piece is a quadratic of how the piece's front is turned and moved
    /// (the first six numbers) and linear in the multipliers; its own best change follows from that.
    fn newton(
        &self,
        aim: &Aim,
        levers: &[Vector3<f64>],
        stiff: f64,
        shift: f64,
    ) -> Option<Vec<f64>> {
        let mut pull = Matrix6x5::zeros();
        for (at, across) in aim.across.iter().enumerate() {
            pull.fixed_view_mut::<3, 1>(0, 3 + at).copy_from(&self.tangent.cross(across));
        }
        pull.fixed_view_mut::<3, 3>(3, 0).fill_with_identity();
        let longest = self.free.iter().fold(1e-6_f64, |m, part| m.max(part.column.norm_squared()));
        let weight = MISS_WEIGHT * stiff / longest;
        let mut square: Matrix6<f64> = pull * pull.transpose() * weight;
        let mut slope = Vector6::zeros();
        let (mut dual, mut rest) = (Matrix5::zeros(), Vector5::zeros());
        let mut gains = Vec::with_capacity(self.free.len());
        for (part, lever) in self.free.iter().zip(levers).rev() {
            if part.weight <= 0.0 {
                gains.push((Vector6::zeros(), 0.0, Vector5::zeros()));
                continue;
            }
            let moves = part.moves();
            let mut lean = square * moves;
            let bend = moves.dot(&lean) - part.axis.dot(lever) + shift / part.weight;
            if bend.is_nan() || bend <= f64::EPSILON * weight {
                return None;
            }
            lean.fixed_rows_mut::<3>(0).zip_apply(lever, |lean, lever| *lean -= lever);
            let (pulls, slopes) = (pull.tr_mul(&moves), part.slope + slope.dot(&moves));
            let share = 1.0 / bend;
            square.ger(-share, &lean, &lean, 1.0);
            pull.ger(-share, &lean, &pulls, 1.0);
            slope -= lean * (slopes * share);
            dual.ger(share, &pulls, &pulls, 1.0);
            rest += pulls * (slopes * share);
            gains.push((lean * share, slopes * share, pulls * share));
        }
        let prices = ridged(dual).cholesky()?.solve(&(self.off - rest));
        let mut moved = Vector6::zeros();
        let forth =
            self.free.iter().zip(gains.iter().rev()).map(|(part, (lean, slopes, pulls))| {
                let change = -(lean.dot(&moved) + slopes + pulls.dot(&prices));
                moved += part.moves() * change;
                change
            });
        Some(forth.collect())
    }
}

impl Free {
    /// Turn and way of the end.
    fn moves(&self) -> Vector6<f64> {
        let (axis, way) = (&self.axis, &self.way);
        Vector6::new(axis.x, axis.y, axis.z, way.x, way.y, way.z)
    }
}

fn ridged(mut square: Matrix5<f64>) -> Matrix5<f64> {
    let ridge = RIDGE * square.trace();
    for at in 0..5 {
        square[(at, at)] += ridge;
    }
    square
}
