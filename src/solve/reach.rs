//! Whether a hose still reaches in service, and what would help where it does not.

use nalgebra::{Point3, Vector3};

use super::geometry::{GeometryFacts, Laid, port};
use crate::geometry::route;
use crate::makeup::cut_length::CutLength;
use crate::makeup::reach::{ReachInput, SlackLeft, slack_left};
use crate::plan::{Line, Plan};

/// The furthest that moving a port or a clip is looked into, mm.
const FURTHEST_MM: f64 = 128.0;
/// Places are moved by whole steps of this, mm: nobody moves a clip by less.
const STEP_MM: f64 = 0.5;

/// What can make a hose too short, and what is left of its slack.
#[derive(Clone, Debug)]
pub struct ReachFacts {
    /// Slack left, with the tolerances that are given.
    pub left: SlackLeft,
    /// Tolerances of the ports at A and B, mm.
    pub ports_mm: [Option<f64>; 2],
    /// Tolerances that the plan does not give.
    pub missing: Vec<&'static str>,
    /// How much shorter the route would have to be, mm; 0 where nothing is missing.
    pub wants_mm: f64,
    /// How much longer the hose would have to be cut instead, mm.
    pub longer_mm: f64,
    /// What would make it that much shorter.
    pub rescues: Vec<Rescue>,
}

/// A way to make a hose reach that was cut too short.
#[derive(Clone, Debug, PartialEq)]
pub enum Rescue {
    /// The ports are measured again and found to stand this much better than assumed, together, mm.
    Measure(f64),
    /// A port is moved.
    Port {
        /// `COMPONENT.PORT`.
        name: String,
        /// How far, mm, in the direction it faces.
        by_mm: f64,
    },
    /// A clip is moved.
    Clip {
        /// The clip, counted from 1.
        number: usize,
        /// How far, mm.
        by_mm: f64,
        /// Where to, mm.
        to_mm: [f64; 3],
    },
}

/// What a line and the rules make of its length.
#[derive(Clone, Copy, Debug)]
pub struct Made<'m> {
    /// The lengths.
    pub cut: &'m CutLength,
    /// Share by which the hose shortens under pressure.
    pub contraction: f64,
    /// Least slack, as a share of the assembly.
    pub least_slack: f64,
}

/// The slack that is left of a hose, and ways out where there is none.
pub fn solve(
    plan: &Plan,
    line: &Line,
    geometry: &GeometryFacts,
    made: Made<'_>,
) -> Option<ReachFacts> {
    let [a, b] = geometry.cut_off_mm;
    let given = plan.tolerances;
    let ports_mm = [0, 1].map(|end| plan.port_tolerance_mm(port(plan, line, end)));
    let named = [
        ("cut_tolerance", given.cut_mm),
        ("cut_off_tolerance", given.cut_off_mm),
        ("cut_off_tolerance", given.cut_off_mm),
        ("port_tolerance", ports_mm[0]),
        ("port_tolerance", ports_mm[1]),
    ];
    let mut missing: Vec<&'static str> =
        named.iter().filter(|(_, t)| t.is_none()).map(|(name, _)| *name).collect();
    missing.dedup();
    let tolerances_mm: Vec<f64> = named.iter().filter_map(|(_, t)| *t).collect();
    let left = slack_left(&ReachInput {
        path_mm: geometry.route.length_mm,
        cut_mm: made.cut.cut_mm,
        cut_offs_mm: a? + b?,
        contraction_fraction: made.contraction,
        movement_mm: movement_mm(plan, line),
        tolerances_mm: &tolerances_mm,
    })
    .ok()?;
    let below_rule_mm = geometry.route.length_mm - made.cut.assembly_mm * (1.0 - made.least_slack);
    let wants_mm = below_rule_mm.max(-left.worst_mm).max(0.0);
    // Hose that is added shortens as well, and takes its share of the slack.
    let longer_mm = (-left.worst_mm / (1.0 - made.contraction))
        .max(below_rule_mm / (1.0 - made.least_slack))
        .max(0.0);
    let ports_sum_mm: f64 = ports_mm.iter().flatten().sum();
    let rescues = if wants_mm > 1e-6 {
        rescues(plan, line, &geometry.laid, wants_mm, (-left.worst_mm, ports_sum_mm))
    } else {
        Vec::new()
    };
    Some(ReachFacts { left, ports_mm, missing, wants_mm, longer_mm, rescues })
}

/// How far the two ends move apart at most, mm.
fn movement_mm(plan: &Plan, line: &Line) -> f64 {
    let [a, b] = [line.from.component, line.to.component].map(|c| plan.components[c].moves_mm);
    if a + b > 0.0 && plan.ends_move_as_one(line) { 0.0 } else { a + b }
}

fn rescues(
    plan: &Plan,
    line: &Line,
    laid: &Laid,
    wants_mm: f64,
    (short_mm, ports_mm): (f64, f64),
) -> Vec<Rescue> {
    let mut ways = Vec::new();
    if short_mm > 0.0 && short_mm <= ports_mm {
        ways.push(Rescue::Measure(short_mm));
    }
    for end in [0, 1] {
        let moved = |by_mm: f64| {
            let mut ends = laid.ends;
            ends[end].seat += ends[end].faces * by_mm;
            Laid { ends, ..laid.clone() }
        };
        if let Some(by_mm) = least_move(laid, wants_mm, moved) {
            let reference = if end == 0 { &line.from } else { &line.to };
            ways.push(Rescue::Port { name: plan.port_name(reference), by_mm });
        }
    }
    for index in 0..laid.clips.len() {
        let Some(inward) = inward(laid, index) else { continue };
        let to = |by_mm: f64| laid.clips[index] + inward * by_mm;
        let moved = |by_mm: f64| {
            let mut clips = laid.clips.clone();
            clips[index] = to(by_mm);
            Laid { clips, ..laid.clone() }
        };
        if let Some(by_mm) = least_move(laid, wants_mm, moved) {
            let at = to(by_mm);
            ways.push(Rescue::Clip { number: index + 1, by_mm, to_mm: [at.x, at.y, at.z] });
        }
    }
    ways
}

/// The direction in which moving a corner shortens both its legs.
fn inward(laid: &Laid, index: usize) -> Option<Vector3<f64>> {
    let at = laid.clips[index];
    let [a, b] = &laid.ends;
    let before = index.checked_sub(1).map_or(a.seat, |i| laid.clips[i]);
    let after = laid.clips.get(index + 1).copied().unwrap_or(b.seat);
    let towards = |other: Point3<f64>| (other - at).try_normalize(1e-9);
    (towards(before)? + towards(after)?).try_normalize(1e-3)
}

/// The least move, in whole steps, that shortens the route enough and takes no room from its bends.
fn least_move(laid: &Laid, wants_mm: f64, moved: impl Fn(f64) -> Laid) -> Option<f64> {
    let now = route(&laid.input()).ok()?;
    let serves = |steps: u32| {
        let then = route(&moved(f64::from(steps) * STEP_MM).input()).ok()?;
        let shorter = then.length_mm <= now.length_mm - wants_mm;
        Some(shorter && then.shortfalls.len() <= now.shortfalls.len())
    };
    let mut enough = 1_u32;
    while !serves(enough)? {
        enough *= 2;
        if f64::from(enough) * STEP_MM > FURTHEST_MM {
            return None;
        }
    }
    let (mut short, mut enough) = (enough / 2, enough);
    while enough - short > 1 {
        let middle = u32::midpoint(short, enough);
        if serves(middle)? {
            enough = middle;
        } else {
            short = middle;
        }
    }
    Some(f64::from(enough) * STEP_MM)
}
