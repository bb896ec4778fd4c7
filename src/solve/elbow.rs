//! Which way the elbow of an angled end would best point.

use nalgebra::Vector3;

use super::geometry::{GeometryFacts, Laid};
use crate::geometry::direction::any_square;
use crate::geometry::{Route, RouteEnd, route};

/// Directions tried round a port at first: every ten degrees.
const ROUND: u32 = 36;
/// Times the step between directions is halved around the best one.
const HALVINGS: u32 = 5;
/// A route shorter by less than this is no reason to turn an elbow, mm.
const WORTH_MM: f64 = 1.0;

/// Directions in which the hose would better leave its elbows.
#[derive(Clone, Debug)]
pub struct ElbowFacts {
    /// Directions at A and B; none for a straight end or one that the plan aims.
    pub aims: [Option<[f64; 3]>; 2],
    /// By how much the route gets shorter, mm; below zero where a longer one is easier to bend.
    pub shorter_mm: f64,
    /// Bends, legs and straights that have no room now, and with these directions.
    pub shortfalls: [usize; 2],
}

/// Better directions for the elbows that the plan does not aim; none where there is nothing to gain.
pub fn solve(geometry: &GeometryFacts) -> Option<ElbowFacts> {
    let laid = &geometry.laid;
    let free = [0, 1].map(|end| is_free(&laid.ends[end]));
    if free == [false, false] {
        return None;
    }
    let now = Ease::of(&geometry.route);
    let (aims, found) = best(laid, free)?;
    let gains = found.shortfalls < now.shortfalls
        || (found.shortfalls == now.shortfalls && found.length_mm < now.length_mm - WORTH_MM);
    gains.then(|| ElbowFacts {
        aims: aims.map(|a| a.map(|v| [v.x, v.y, v.z])),
        shorter_mm: now.length_mm - found.length_mm,
        shortfalls: [now.shortfalls, found.shortfalls],
    })
}

/// Whether an end is angled and its direction is left open.
fn is_free(end: &RouteEnd) -> bool {
    end.angle_rad > 1e-9 && end.aim.is_none()
}

/// How easy a route is: first what has no room, then its length.
#[derive(Clone, Copy, Debug)]
struct Ease {
    shortfalls: usize,
    length_mm: f64,
}

impl Ease {
    fn of(route: &Route) -> Self {
        Self { shortfalls: route.shortfalls.len(), length_mm: route.length_mm }
    }

    fn beats(&self, other: &Self) -> bool {
        (self.shortfalls, self.length_mm) < (other.shortfalls, other.length_mm)
    }
}

type Aims = [Option<Vector3<f64>>; 2];

/// The best directions on a circle of tries about each port, then between its neighbours.
fn best(laid: &Laid, free: [bool; 2]) -> Option<(Aims, Ease)> {
    let step_rad = std::f64::consts::TAU / f64::from(ROUND);
    let tries = |free: bool| if free { ROUND } else { 1 };
    let mut best: Option<([f64; 2], Ease)> = None;
    let mut consider = |turns: [f64; 2]| {
        if let Some(ease) = ease(laid, free, turns)
            && best.as_ref().is_none_or(|(_, b)| ease.beats(b))
        {
            best = Some((turns, ease));
        }
        best.map(|(turns, _)| turns)
    };
    for a in 0..tries(free[0]) {
        for b in 0..tries(free[1]) {
            consider([f64::from(a) * step_rad, f64::from(b) * step_rad]);
        }
    }
    let mut step_rad = step_rad;
    for _ in 0..HALVINGS {
        step_rad *= 0.5;
        let around = consider([0.0, 0.0])?;
        for (a, b) in [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)] {
            let part =
                |end: usize, by: f64| around[end] + if free[end] { by * step_rad } else { 0.0 };
            consider([part(0, a), part(1, b)]);
        }
    }
    best.map(|(turns, ease)| (aims(laid, free, turns), ease))
}

fn ease(laid: &Laid, free: [bool; 2], turns: [f64; 2]) -> Option<Ease> {
    let aims = aims(laid, free, turns);
    let mut ends = laid.ends;
    for (end, aim) in ends.iter_mut().zip(aims) {
        end.aim = aim.or(end.aim);
    }
    let tried = Laid { ends, ..laid.clone() };
    route(&tried.input()).ok().map(|r| Ease::of(&r))
}

/// Directions square to the free ports, turned about them.
fn aims(laid: &Laid, free: [bool; 2], turns: [f64; 2]) -> Aims {
    [0, 1].map(|end| {
        let faces = laid.ends[end].faces;
        let across = faces.cross(&any_square(&faces));
        let (sin, cos) = (libm::sin(turns[end]), libm::cos(turns[end]));
        free[end].then(|| across * cos + faces.cross(&across) * sin)
    })
}
