//! The hose as stretches that must meet: Newton's method on tangents and their rates at the joints.

use nalgebra::{Matrix3, Vector2, Vector3};

use super::band::{self, Answer, Closing, NEGATIVE_AT_LEAST, Row};
use super::change::{FINE, ROUGH};
use super::clamped::{Clamped, Square, turning};
use super::series::Series;
use super::stretch::{Misfit, Stretch};

/// Newton steps after which a shape is given up.
const MOST_STEPS: u32 = 30;
/// No tangent turns more than this in a step, radians.
const FURTHEST: f64 = 0.5;
/// Times that a step is halved.
const MOST_HALVINGS: u32 = 7;
/// Steps added after the stretches meet, for shapes that turn easily.
const POLISH: u32 = 3;
/// Stretches no further apart than this keep their changes for the next step.
const NEAR: f64 = 1e-2;
/// Kept changes serve while a step leaves less than this share.
const SERVES: f64 = 0.05;
/// Stretches meet where they are no further apart than this.
const MEETING: f64 = 5e-12;
/// A step that turns no tangent by more than this is not worth its time, radians.
const STILL: f64 = 5e-11;

/// Tangents and their rates at the joints, and the force at the second end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joints {
    pub(super) places: Vec<f64>,
    pub(super) tangents: Vec<Vector3<f64>>,
    pub(super) rates: Vec<Vector3<f64>>,
    pub(super) force: Vector3<f64>,
}

/// A shape in equilibrium.
#[derive(Debug, Clone)]
pub(super) struct Settled {
    pub(super) joints: Joints,
    pub(super) stretches: Vec<Series>,
    /// Furthest that two stretches, or the last and the second end, are apart.
    pub(super) residual: f64,
    /// How far a point moves if the last term of every series is left out.
    pub(super) cut_off: f64,
    /// Where a turn was held: the turn that brings the hose nearer to rest when it is let go.
    pub(super) swing: f64,
    /// Largest turn of a tangent that the next step would bring.
    pub(super) left: f64,
    pub(super) stable: bool,
    pub(super) steps: u32,
}

/// A turn about a line, held at a joint.
#[derive(Debug, Clone, Copy)]
struct Hold {
    line: Vector3<f64>,
    joint: usize,
}

impl Hold {
    fn turn(&self, joints: &Joints, squares: &[Square]) -> Vector2<f64> {
        squares[self.joint].parts(&self.line.cross(&joints.tangents[self.joint]))
    }
}

/// How stretches change with what they begin with, in the coordinates of their joints.
struct Changes {
    squares: Vec<Square>,
    stretches: Vec<Stretch>,
}

/// Stretches from joint to joint, with what does not fit.
struct Fitting {
    series: Vec<Series>,
    misfits: Vec<Misfit>,
    residual: f64,
}

impl Changes {
    fn new(clamped: &Clamped, joints: &Joints, series: &[Series], order: usize) -> Option<Self> {
        let squares: Vec<Square> = joints.tangents.iter().map(Square::to).collect();
        let stretches = Stretch::all(clamped, joints, series, &squares, order)?;
        Some(Self { squares, stretches })
    }
}

/// Furthest that stretches are apart; rates count in units of their own size.
fn residual(
    clamped: &Clamped,
    joints: &Joints,
    misfits: &[Misfit],
    (squares, hold): (&[Square], Option<Hold>),
) -> f64 {
    let pull = joints.force.norm().sqrt();
    let mut gap = clamped.chord;
    let mut most: f64 = 0.0;
    for (at, misfit) in misfits.iter().enumerate() {
        gap -= misfit.way;
        most = most.max(misfit.tangent.norm()).max(if misfit.back { 2.0 } else { 0.0 });
        if at + 1 < misfits.len() {
            let mut apart = misfit.rate - squares[at + 1].parts(&joints.rates[at + 1]);
            if let Some(hold) = hold
                && hold.joint == at + 1
            {
                // The holding takes up its part.
                let turn = hold.turn(joints, squares);
                apart -= turn * (apart.dot(&turn) / turn.norm_squared());
            }
            most = most.max(apart.norm() / (1.0 + misfit.rate.norm() + pull));
        }
    }
    most.max(gap.norm())
}

impl Fitting {
    fn new(
        clamped: &Clamped,
        joints: &Joints,
        series: Vec<Series>,
        (changes, hold): (&Changes, Option<Hold>),
    ) -> Self {
        let nexts = changes.stretches.iter().zip(&series).zip(&joints.tangents[1..]);
        let misfit = |((stretch, series), next): ((&Stretch, &Series), &Vector3<f64>)| {
            stretch.misfit(&series.at(1.0), next)
        };
        let misfits: Vec<Misfit> = nexts.map(misfit).collect();
        let residual = residual(clamped, joints, &misfits, (&changes.squares, hold));
        Self { series, misfits, residual }
    }
}

/// The step that makes everything meet to first order.
fn step(
    clamped: &Clamped,
    joints: &Joints,
    changes: &Changes,
    misfits: &[Misfit],
    (ask, hold): (Ask, Option<Hold>),
) -> Option<Answer> {
    let mut rows = vec![Row::default(); changes.stretches.len() - 1];
    let chord = if ask == Ask::Meet { clamped.chord } else { Vector3::zeros() };
    let mut closing = Closing { own: Matrix3::zeros(), given: -chord };
    for (at, (stretch, misfit)) in changes.stretches.iter().zip(misfits).enumerate() {
        let rate = match ask {
            Ask::Meet => stretch.begins.parts(&joints.rates[at]),
            Ask::Shift => Vector2::zeros(),
        };
        stretch.add_to((&mut rows, &mut closing), at, misfit, &rate);
    }
    if let Some(hold) = hold {
        rows[hold.joint - 1].hold(&hold.turn(joints, &changes.squares));
    }
    band::solve(&mut rows, closing)
}

/// What a step is for: to make the stretches meet, or to see what a small misfit shifts.
#[derive(Clone, Copy, PartialEq)]
enum Ask {
    Meet,
    Shift,
}

impl Joints {
    /// Turned about a line, but for the tangents of the ends.
    pub(super) fn turned(&self, line: &Vector3<f64>, angle: f64) -> Self {
        let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
        let turn = |v: &Vector3<f64>| {
            let along = line * line.dot(v);
            along + (v - along) * cosine + line.cross(v) * sine
        };
        let mut turned = self.clone();
        let last = self.tangents.len() - 1;
        for joint in 1..last {
            turned.tangents[joint] = turn(&self.tangents[joint]);
        }
        for (rate, tangent) in turned.rates.iter_mut().zip(&turned.tangents) {
            let new = turn(rate);
            *rate = new - tangent * new.dot(tangent);
        }
        turned.force = turn(&self.force);
        turned
    }

    /// Joints moved by a share of a step.
    fn moved(
        &self,
        changes: &Changes,
        misfits: &[Misfit],
        (answer, share): (&Answer, f64),
    ) -> Self {
        let mut moved = self.clone();
        for (at, (stretch, misfit)) in changes.stretches.iter().zip(misfits).enumerate() {
            let x = x_at(answer, at);
            let y = stretch.rate_step(misfit, (&x, &x_at(answer, at + 1)), &answer.force);
            let turn = stretch.begins.vector(&x) * share;
            let tangent = (self.tangents[at] + turn).normalize();
            let rate = self.rates[at] + stretch.begins.vector(&y) * share
                - self.tangents[at] * self.rates[at].dot(&turn);
            moved.tangents[at] = tangent;
            moved.rates[at] = rate - tangent * rate.dot(&tangent);
        }
        moved.force += answer.force * share;
        moved
    }
}

/// Newton's method from joints near an equilibrium, of whichever kind; a turn about a line can be held.
pub(super) fn settle(
    clamped: &Clamped,
    start: Joints,
    line: Option<Vector3<f64>>,
) -> Option<Settled> {
    let squares: Vec<Square> = start.tangents.iter().map(Square::to).collect();
    let hold = line
        .and_then(|line| Some(Hold { line, joint: turning(line, &start.tangents, &squares)?.0 }));
    let mut walk = Walk::new(clamped, hold, start)?;
    let (mut polish, mut looked_closer) = (POLISH, false);
    while walk.steps < MOST_STEPS {
        if walk.now.residual < MEETING && !looked_closer {
            looked_closer = true;
            walk.look_closer()?;
        }
        let answer =
            step(clamped, &walk.joints, &walk.changes, &walk.now.misfits, (Ask::Meet, hold))?;
        let fits = walk.now.residual < MEETING;
        if fits && (answer.furthest() < STILL || polish == 0) {
            return walk.end(&answer);
        }
        polish -= u32::from(fits);
        if walk.advance(&answer).is_none() {
            return if fits { walk.end(&answer) } else { None };
        }
    }
    None
}

/// How the stretches from joints change, and what does not fit there.
fn at(
    clamped: &Clamped,
    joints: &Joints,
    series: Vec<Series>,
    (hold, order): (Option<Hold>, usize),
) -> Option<(Changes, Fitting)> {
    let changes = Changes::new(clamped, joints, &series, order)?;
    let fitting = Fitting::new(clamped, joints, series, (&changes, hold));
    Some((changes, fitting))
}

/// Newton's method on its way.
struct Walk<'a> {
    clamped: &'a Clamped,
    hold: Option<Hold>,
    joints: Joints,
    changes: Changes,
    /// Of the series of changes.
    order: usize,
    now: Fitting,
    /// Whether the changes are those of the joints as they are, and fine.
    finely: bool,
    steps: u32,
}

impl<'a> Walk<'a> {
    fn new(clamped: &'a Clamped, hold: Option<Hold>, joints: Joints) -> Option<Self> {
        let fine = clamped.hinge.is_some() && clamped.axis.is_none();
        let order = if fine { FINE } else { ROUGH };
        let series = Series::all(clamped, &joints);
        let (changes, now) = at(clamped, &joints, series, (hold, order))?;
        Some(Self { clamped, hold, joints, changes, order, now, finely: fine, steps: 0 })
    }

    /// Takes as much of a step as brings the stretches closer together; `None` if none of it does.
    fn advance(&mut self, answer: &Answer) -> Option<()> {
        self.steps += 1;
        let turn = answer.furthest();
        let mut share = if turn.is_finite() { (FURTHEST / turn).min(1.0) } else { 0.0 };
        if self.now.residual < NEAR {
            if self.keep(answer, share) {
                return Some(());
            }
            if !self.finely {
                return self.look_closer();
            }
        }
        for _ in 0..MOST_HALVINGS {
            let joints = self.joints.moved(&self.changes, &self.now.misfits, (answer, share));
            let series = Series::all(self.clamped, &joints);
            let next = at(self.clamped, &joints, series, (self.hold, self.order))?;
            if next.1.residual < MEETING.max((1.0 - 0.25 * share) * self.now.residual) {
                (self.joints, (self.changes, self.now)) = (joints, next);
                self.finely = self.order == FINE;
                return Some(());
            }
            share *= 0.5;
        }
        None
    }

    /// Takes a step and keeps the changes of the stretches, if they serve there: what a step with them leaves is so much
    /// less than what it began with that they have the signs of those at its end.
    fn keep(&mut self, answer: &Answer, share: f64) -> bool {
        let joints = self.joints.moved(&self.changes, &self.now.misfits, (answer, share));
        let series = Series::all(self.clamped, &joints);
        let next = Fitting::new(self.clamped, &joints, series, (&self.changes, self.hold));
        let serves = next.residual < MEETING.max(SERVES * self.now.residual);
        if serves {
            (self.joints, self.now) = (joints, next);
            self.finely = false;
        }
        serves
    }

    /// Reckons the changes anew and finely where the joints are.
    fn look_closer(&mut self) -> Option<()> {
        self.order = FINE;
        self.finely = true;
        let series = core::mem::take(&mut self.now.series);
        (self.changes, self.now) = at(self.clamped, &self.joints, series, (self.hold, FINE))?;
        Some(())
    }

    /// The turn about the held line that a free step brings: downhill, also where the energy is most.
    fn swing(&self) -> Option<f64> {
        let Some(Hold { line, .. }) = self.hold else { return Some(0.0) };
        let Self { clamped, joints, changes, now, .. } = self;
        let free = step(clamped, joints, changes, &now.misfits, (Ask::Meet, None))?;
        let (mut along, mut size) = (0.0, 0.0);
        for (at, node) in free.nodes.iter().enumerate() {
            let axis = changes.squares[at + 1].parts(&line.cross(&joints.tangents[at + 1]));
            along += axis.dot(node);
            size += axis.norm_squared();
        }
        let turn = (along / size).clamp(-FURTHEST, FURTHEST);
        Some(if free.negative == NEGATIVE_AT_LEAST { turn } else { -turn })
    }

    fn end(self, answer: &Answer) -> Option<Settled> {
        let cut_off = self.cut_off()?;
        let swing = if self.clamped.axis.is_none() { self.swing()? } else { 0.0 };
        let Fitting { series: stretches, residual, .. } = self.now;
        Some(Settled {
            swing,
            joints: self.joints,
            stretches,
            residual,
            cut_off,
            left: answer.furthest(),
            stable: answer.negative == NEGATIVE_AT_LEAST,
            steps: self.steps,
        })
    }

    /// Largest shift of a point of the hose if the last term of every series is left out.
    fn cut_off(&self) -> Option<f64> {
        let Self { clamped, joints, changes, now, hold, .. } = self;
        let lost = |(stretch, series): (&Stretch, &Series)| {
            let last = series.last_term();
            Misfit {
                back: false,
                tangent: stretch.ends.parts(&last.tangent),
                rate: stretch.ends.parts(&last.rate),
                way: last.way,
            }
        };
        let stretches = &changes.stretches;
        let misfits: Vec<Misfit> = stretches.iter().zip(&now.series).map(lost).collect();
        let answer = step(clamped, joints, changes, &misfits, (Ask::Shift, *hold))?;
        let mut shift = Vector3::<f64>::zeros();
        let mut most: f64 = 0.0;
        for (at, (stretch, misfit)) in stretches.iter().zip(&misfits).enumerate() {
            let ends = (&x_at(&answer, at), &x_at(&answer, at + 1));
            shift += stretch.way_step(misfit, ends, &answer.force);
            most = most.max(shift.norm());
        }
        Some(most)
    }
}

/// How a step moves the tangent of a joint; those of the ends stay.
fn x_at(answer: &Answer, joint: usize) -> Vector2<f64> {
    joint.checked_sub(1).and_then(|node| answer.nodes.get(node)).copied().unwrap_or_default()
}

impl Settled {
    /// The same shape with more joints where the series need them for points good to `wanted`.
    pub(super) fn finer(&self, wanted: f64) -> Joints {
        let lost = |series: &Series| {
            let last = series.last_term();
            last.tangent.norm() + last.rate.norm() * series.length
        };
        let whole: f64 = self.stretches.iter().map(lost).sum();
        let count = self.stretches.iter().fold(0.0, |count, _| count + 1.0);
        let share = count * self.cut_off / (whole * wanted);
        let Joints { places, tangents, rates, force } = &self.joints;
        let mut finer = Joints { places: vec![], tangents: vec![], rates: vec![], force: *force };
        for (at, series) in self.stretches.iter().enumerate() {
            finer.places.push(places[at]);
            finer.tangents.push(tangents[at]);
            finer.rates.push(rates[at]);
            if lost(series) * share > 0.5 {
                let middle = series.at(0.5);
                finer.places.push(places[at] + 0.5 * series.length);
                finer.tangents.push(middle.tangent.normalize());
                finer.rates.push(middle.rate);
            }
        }
        finer.places.push(1.0);
        finer.tangents.extend(tangents.last());
        finer.rates.push(Vector3::zeros());
        finer
    }
}
