//! Arcs that end at a goal, made as short as they get: the twists and runs of a closed chain are moved downhill by
//! Newton's method while it stays closed.
//!
//! Each twist and each run turns everything after it about an axis. With `a` the axis of one of them, `w` the way and
//! `u` the turn of the end under a later one, the second change of the end under both is `a x w` and `a x u`: all second
//! derivatives are known, and so is the Newton step, which is worked out from the last piece to the first (dynamic
//! programming) in a time that grows with the number of pieces only.

use nalgebra::Vector3;

use super::chain::{Goal, Link};
use super::symmetric::{dot, largest, solved};

/// A run this short is gone: it grows again only where that shortens the chain.
const GONE: f64 = 1e-12;
/// A chain that misses by less is closed while its length is sought, while the least distance is, and at last.
const CLOSED: f64 = 1e-9;
const CLOSED_APART: f64 = 1e-10;
const CLOSED_FINELY: f64 = 1e-13;
const CLOSING_STEPS: u32 = 5;
/// A miss that is left to the next Newton step while the length is sought: of a few arcs, which a larger one would lead
/// to another path, and of twice as many along a path that is known.
const NEARLY: f64 = 1e-6;
const ROUGHLY: f64 = 0.05;
/// A chain that after so many steps still misses by more than this, in radii or shares of the first miss, does not close.
const LOST: (u32, f64) = (4, 0.3);
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
/// Weight on a miss against the second derivatives: a step leaves one part in so many of it.
const MISS_WEIGHT: f64 = 1e5;
/// Changes below this end the search.
const NO_CHANGE: f64 = 1e-9;

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
    /// A miss that is left to the next Newton step.
    nearly: f64,
}

impl Aim {
    pub(super) fn new(goal: &Goal, least: Least) -> Self {
        let first = super::any_square(&goal.direction);
        let across = [first, goal.direction.cross(&first)];
        // What is only just reached leaves no room for a miss.
        let nearly = if least == Least::Apart { CLOSED_APART } else { NEARLY };
        Self { goal: *goal, across, unit: goal.at.norm().clamp(0.05, 1.0), least, nearly }
    }

    /// The same for chains that follow a path which is known.
    pub(super) fn roughly(self) -> Self {
        Self { nearly: ROUGHLY, ..self }
    }

    fn seen(&self, way: &Vector3<f64>, turn: &Vector3<f64>) -> [f64; 5] {
        [way.x, way.y, way.z, turn.dot(&self.across[0]), turn.dot(&self.across[1])]
    }

    /// What a way and a turn of the goal cost.
    fn parts(&self, multipliers: &[f64; 5]) -> (Vector3<f64>, Vector3<f64>) {
        let [x, y, z, first, second] = *multipliers;
        (Vector3::new(x, y, z), self.across[0] * first + self.across[1] * second)
    }

    /// The miss of an end; directions that point away count by the whole angle.
    fn off(&self, at: &Vector3<f64>, tangent: &Vector3<f64>) -> [f64; 5] {
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
    column: [f64; 5],
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
    off: [f64; 5],
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
        let free = Vec::with_capacity(2 * links.len() + 1);
        let off = [0.0; 5];
        let mut arcs = Self { links, apart, free, off, tangent: Vector3::x(), facing: false };
        arcs.lay(aim);
        arcs
    }

    /// Works out the end of the chain and how it moves.
    fn lay(&mut self, aim: &Aim) {
        let Self { links, apart, free, .. } = self;
        let zero = Vector3::zeros();
        let (mut at, mut tangent, mut normal) = (zero, Vector3::x(), Vector3::y());
        free.clear();
        let mut add = |axis, through, weight, slope| {
            free.push(Free { axis, way: through, turn: zero, column: [0.0; 5], weight, slope });
        };
        let longer = if aim.least == Least::Length { 1.0 } else { 0.0 };
        for link in &*links {
            add(tangent, at, 1.0, 0.0);
            let (sin, cos) = libm::sincos(link.twist);
            normal = normal * cos + tangent.cross(&normal) * sin;
            let weight = if link.run > GONE { aim.unit * aim.unit } else { 0.0 };
            add(tangent.cross(&normal), at + normal, weight, longer);
            let (sin, cos) = libm::sincos(link.run);
            at += tangent * sin + normal * (1.0 - cos);
            (tangent, normal) = (tangent * cos + normal * sin, normal * cos - tangent * sin);
        }
        for part in &mut *free {
            part.turn = part.axis.cross(&tangent);
            part.way = part.axis.cross(&(at - part.way));
            part.column = aim.seen(&part.way, &part.turn);
        }
        if aim.least == Least::Apart {
            let way = -aim.goal.at;
            let column = aim.seen(&way, &zero);
            free.push(Free { axis: zero, way, turn: zero, column, weight: 1.0, slope: 1.0 });
        }
        self.off = aim.off(&(at - aim.goal.at * *apart), &tangent);
        self.facing = tangent.dot(&aim.goal.direction) > 0.0;
        self.tangent = tangent;
    }

    /// What is made least.
    pub(super) fn value(&self, aim: &Aim) -> f64 {
        match aim.least {
            Least::Apart => self.apart,
            Least::Length => super::length(&self.links),
        }
    }

    fn move_by(&mut self, changes: &[f64], share: f64, aim: &Aim) {
        for (link, change) in self.links.iter_mut().zip(changes.chunks_exact(2)) {
            link.twist += share * change[0];
            link.run = (link.run + share * change[1]).max(0.0);
        }
        let farther = if aim.least == Least::Apart { changes.last().copied() } else { None };
        self.apart += share * farther.unwrap_or(0.0);
        self.lay(aim);
    }

    /// Sum of the squares of all columns, weighted.
    fn square(&self) -> [[f64; 5]; 5] {
        let mut square = [[0.0; 5]; 5];
        for part in self.free.iter().filter(|part| part.weight > 0.0) {
            for (row, along) in square.iter_mut().zip(&part.column) {
                let along = along * part.weight;
                for (place, across) in row.iter_mut().zip(&part.column) {
                    *place += along * across;
                }
            }
        }
        square
    }

    /// The smallest changes that take the miss away, step by step; `None` where that does not settle.
    pub(super) fn closed(self, aim: &Aim, steps: u32) -> Option<Self> {
        let closely = if aim.least == Least::Apart { CLOSED_APART } else { CLOSED };
        self.closed_to(aim, steps, closely)
    }

    /// Closed but for rounding, or as it was where the conditions hardly tell the pieces apart.
    pub(super) fn exactly_closed(self, aim: &Aim) -> Self {
        self.clone().closed_to(aim, CLOSING_STEPS, CLOSED_FINELY).unwrap_or(self)
    }

    fn closed_to(mut self, aim: &Aim, steps: u32, closely: f64) -> Option<Self> {
        let first = largest(&self.off).max(1.0);
        let mut changes = Vec::with_capacity(self.free.len());
        for step in 0..steps {
            let off = largest(&self.off);
            if self.facing && off < closely {
                return Some(self);
            }
            if aim.least == Least::Length && step >= LOST.0 && off > LOST.1 * first {
                return None;
            }
            let push = solved(self.square(), self.off.map(|off| -off))?;
            let change = |part: &Free| part.weight * dot(&part.column, &push);
            changes.clear();
            changes.extend(self.free.iter().map(change));
            let most = changes.iter().fold(0.0_f64, |most, change| most.max(change.abs()));
            let share = (MOST_CHANGE / most).min(1.0);
            if !share.is_finite() {
                return None;
            }
            self.move_by(&changes, share, aim);
        }
        (self.facing && largest(&self.off) < closely).then_some(self)
    }

    /// What each condition costs.
    fn multipliers(&self) -> Option<[f64; 5]> {
        let slopes = self.free.iter().filter(|part| part.weight > 0.0 && part.slope > 0.0);
        let mut sum = [0.0; 5];
        for part in slopes {
            for (sum, column) in sum.iter_mut().zip(&part.column) {
                *sum += column * part.weight * part.slope;
            }
        }
        solved(self.square(), sum)
    }

    /// The closed chain moved downhill until a step gains less than a share `gain`, or an end stands near enough.
    pub(super) fn lowered(self, aim: &Aim, steps: u32, gain: f64) -> Option<Self> {
        let mut pace = Pace { reach: FIRST_REACH, shift: 0.0, left: steps };
        let mut low = self.clone();
        while pace.left > 0 {
            let Some((next, gained)) = low.lower(aim, &mut pace) else { break };
            let before = low.value(aim);
            low = next;
            let near = aim.least == Least::Apart && low.apart <= 1.0;
            if near || gained < gain * before {
                break;
            }
        }
        low.closed(aim, CLOSING_STEPS).or_else(|| self.closed(aim, CLOSING_STEPS))
    }

    /// What is made least once the chain is closed, to first order of what it misses by.
    fn closing(&self, aim: &Aim, multipliers: &[f64; 5]) -> f64 {
        self.value(aim) - dot(multipliers, &self.off)
    }

    /// Closed but for what the next Newton step closes.
    pub(super) fn nearly_closed(self, aim: &Aim) -> Option<Self> {
        self.closed_to(aim, CLOSING_STEPS, aim.nearly)
    }

    fn lower(&mut self, aim: &Aim, pace: &mut Pace) -> Option<(Self, f64)> {
        let multipliers = self.multipliers()?;
        let (pull, turning) = aim.parts(&multipliers);
        for part in &mut self.free {
            // A run that is gone grows again where the chain gets shorter by it.
            if part.weight <= 0.0 && part.slope - dot(&part.column, &multipliers) < -1e-6 {
                part.weight = aim.unit * aim.unit;
            }
        }
        let lever = |part: &Free| part.way.cross(&pull) + part.turn.cross(&turning);
        let levers: Vec<Vector3<f64>> = self.free.iter().map(lever).collect();
        let bends = self.free.iter().zip(&levers).map(|(part, lever)| part.axis.dot(lever).abs());
        let stiff = bends.fold(1e-9, f64::max);
        let before = self.closing(aim, &multipliers);
        while pace.left > 0 {
            let shift = pace.shift + NO_CHANGE * stiff;
            let Some(changes) = self.newton(aim, (&multipliers, &levers), stiff, shift) else {
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
            let mut moved = Self {
                links: self.links.clone(),
                free: Vec::with_capacity(self.free.len()),
                ..*self
            };
            moved.move_by(&changes, share, aim);
            let next = moved.nearly_closed(aim);
            let after = next.as_ref().map_or(f64::INFINITY, |next| next.closing(aim, &multipliers));
            if after < before {
                if share > 0.999 {
                    pace.shift *= LESS_SHIFT;
                }
                if pace.shift < 1e-3 * FIRST_SHIFT * stiff {
                    pace.shift = 0.0;
                }
                pace.reach = (1.5 * pace.reach).min(FARTHEST_REACH);
                return next.map(|next| (next, before - after));
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

    /// The weighted square of the miss, as a quadratic of how the end is turned and moved, and its slope.
    fn miss(&self, aim: &Aim, weight: f64) -> ([[f64; 6]; 6], [f64; 6]) {
        let mut square = [[0.0; 6]; 6];
        let mut slope = [0.0; 6];
        let off = aim.parts(&self.off);
        let turned = off.1.cross(&self.tangent) * -weight;
        let across = aim.across.map(|across| self.tangent.cross(&across));
        for axis in 0..3 {
            for other in 0..3 {
                square[axis][other] =
                    weight * across.iter().map(|a| a[axis] * a[other]).sum::<f64>();
            }
            square[3 + axis][3 + axis] = weight;
            slope[axis] = turned[axis];
            slope[3 + axis] = weight * off.0[axis];
        }
        (square, slope)
    }

    /// The Newton step of what is made least under the closing conditions; `None` where it is not convex.
    ///
    /// Going back along the chain, what comes after a piece is a quadratic of how the piece's front is turned and moved;
    /// its own best change follows from that. A heavy weight on the miss stands for the conditions: with what they cost
    /// taken off, it leaves a share of the step of the order of one over the weight.
    fn newton(
        &self,
        aim: &Aim,
        (multipliers, levers): (&[f64; 5], &[Vector3<f64>]),
        stiff: f64,
        shift: f64,
    ) -> Option<Vec<f64>> {
        let longest =
            self.free.iter().fold(1e-6_f64, |m, part| m.max(dot(&part.column, &part.column)));
        let weight = MISS_WEIGHT * stiff / longest;
        let (mut square, mut slope) = self.miss(aim, weight);
        let mut gains = Vec::with_capacity(self.free.len());
        for (part, lever) in self.free.iter().zip(levers).rev() {
            if part.weight <= 0.0 {
                gains.push(([0.0; 6], 0.0));
                continue;
            }
            let moves = part.moves();
            let mut lean = [0.0; 6];
            for (lean, row) in lean.iter_mut().zip(&square) {
                *lean = dot(row, &moves);
            }
            let bend = dot(&moves, &lean) - part.axis.dot(lever) + shift / part.weight;
            if bend.is_nan() || bend <= f64::EPSILON * weight {
                return None;
            }
            for (lean, lever) in lean.iter_mut().zip(lever.iter()) {
                *lean -= lever;
            }
            let slopes = part.slope - dot(&part.column, multipliers) + dot(&slope, &moves);
            let share = 1.0 / bend;
            for (row, along) in square.iter_mut().zip(&lean) {
                let along = along * share;
                for (place, across) in row.iter_mut().zip(&lean) {
                    *place -= along * across;
                }
            }
            let change = slopes * share;
            for (slope, lean) in slope.iter_mut().zip(&mut lean) {
                *slope -= *lean * change;
                *lean *= share;
            }
            gains.push((lean, change));
        }
        let mut moved = [0.0; 6];
        let forth = self.free.iter().zip(gains.iter().rev()).map(|(part, (lean, own))| {
            let change = -(dot(lean, &moved) + own);
            for (moved, way) in moved.iter_mut().zip(&part.moves()) {
                *moved += way * change;
            }
            change
        });
        Some(forth.collect())
    }
}

impl Free {
    /// Turn and way of the end.
    fn moves(&self) -> [f64; 6] {
        let (axis, way) = (&self.axis, &self.way);
        [axis.x, axis.y, axis.z, way.x, way.y, way.z]
    }
}
