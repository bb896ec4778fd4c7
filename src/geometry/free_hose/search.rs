//! From cold to the shapes of a hose: chains from several beginnings brought to rest, then settled.

use nalgebra::Vector3;

use super::chain::{Chain, MOST_STEPS, Rested, rest};
use super::clamped::Clamped;
use super::energy::Energy;
use super::shooting::{Joints, Settled, settle};
use super::start::{Bulge, OUT_OF_PLANE, bulges, finer, joints, more_bulges, places, shape};

/// Pieces of the first chains.
const PIECES: u32 = 10;
/// Times that chains from every beginning are made finer.
const ROUNDS: u32 = 3;
/// Steps of the first chains: one that takes longer is on its way to a shape that another finds, or leaves a saddle.
const FEW_STEPS: u32 = 16;
/// Steps that one of them may take beyond those of another that came to rest.
const MORE_STEPS: u32 = 6;
/// Bending, or root of the pull, times length that one stretch reaches over.
const REACH: f64 = 0.65;
/// The same where the stretches do not nearly meet yet: shorter ones come together from farther away.
const SHORT_REACH: f64 = 0.4;
/// A point may be off by this share of the length for the series being cut off.
const CUT_OFF: f64 = 1e-10;
/// Length to spare up to which a hose that turns easily has one shape: its chains are that shape at several turns, and
/// all err alike.
const ONE_SHAPE: f64 = 0.2;
/// Times that a chain or the stretches are made finer.
const FINER: u32 = 4;
/// Turns about the line of the ends, one after the other, until a hose that turns easily hangs right.
const MOST_SWINGS: u32 = 30;
/// A turn so small that the hose can be let go, radians.
const SMALL_SWING: f64 = 1e-3;
/// Chains whose energies are closer than this, over the larger, are near the same shape.
const CHAINS_ALIKE: f64 = 1e-4;
/// A chain is off in energy by less than this: one that is no better may be the best in truth.
const CHAIN_ERROR: f64 = 0.05;
/// Shapes whose energies are closer than this, over the larger, are told to be one.
const SHAPES_ALIKE: f64 = 1e-6;

/// The stable shape that a chain at rest is near.
fn settled_from(clamped: &Clamped, rested: &Rested) -> Option<Settled> {
    let mut steps = rested.steps;
    let mut chain: Chain = rested.chain.clone();
    for _ in 0..FINER {
        if let Some(mut settled) = precise(clamped, joints(clamped, &chain, REACH)?)
            && settled.stable
        {
            settled.steps += steps;
            return Some(settled);
        }
        let again = rest(finer(&chain), clamped, MOST_STEPS, &[])?;
        steps += again.steps;
        chain = again.chain;
    }
    None
}

/// Settles, with more stretches until the series are good enough.
///
/// A hose that turns easily about a line is first settled as if it did not: what does not fit yet
/// would spin it.
fn precise(clamped: &Clamped, start: Joints) -> Option<Settled> {
    let mut settled = precise_held(clamped, start, clamped.hinge)?;
    let Some(line) = clamped.hinge.filter(|_| clamped.axis.is_none()) else {
        return Some(settled);
    };
    for _ in 0..MOST_SWINGS {
        if settled.swing.abs() < SMALL_SWING {
            break;
        }
        let steps = settled.steps;
        let turned = settled.joints.turned(&line, settled.swing);
        settled = precise_held(clamped, turned, Some(line))?;
        settled.steps += steps;
    }
    let steps = settled.steps;
    let mut free = precise_held(clamped, settled.joints, None)?;
    free.steps += steps;
    Some(free)
}

fn precise_held(clamped: &Clamped, start: Joints, line: Option<Vector3<f64>>) -> Option<Settled> {
    let mut settled = settle(clamped, start, line)?;
    for _ in 0..FINER {
        if settled.cut_off < CUT_OFF {
            return Some(settled);
        }
        let steps = settled.steps;
        settled = settle(clamped, settled.finer(CUT_OFF), line)?;
        settled.steps += steps;
    }
    (settled.cut_off < CUT_OFF).then_some(settled)
}

/// Energies alike within a share of the larger, or of 1 where they are small.
fn alike(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() < share * (1.0 + a.abs().max(b.abs()))
}

/// Steps of a chain, and those beyond another that came to rest.
#[derive(Debug, Clone, Copy)]
struct Patience {
    most: u32,
    more: u32,
}

const SHORT: Patience = Patience { most: FEW_STEPS, more: MORE_STEPS };
const LONG: Patience = Patience { most: MOST_STEPS, more: MOST_STEPS };

/// Chains at rest from a list of beginnings, least energy first, those alike once.
fn at_rest(clamped: &Clamped, pieces: u32, bulges: &[Bulge], patience: Patience) -> Vec<Rested> {
    let places = places(clamped, pieces);
    let mut found: Vec<Rested> = Vec::new();
    let mut most = patience.most;
    for bulge in bulges {
        let start = shape(clamped, &places, bulge, OUT_OF_PLANE);
        let Some(rested) = rest(start, clamped, most, &found) else { continue };
        most = most.min(rested.steps + patience.more);
        if !found.iter().any(|other| alike(other.energy, rested.energy, CHAINS_ALIKE)) {
            found.push(rested);
        }
    }
    found.sort_by(|a, b| a.energy.total_cmp(&b.energy));
    found
}

/// The stable shape of least energy, with that energy.
pub(super) fn least(clamped: &Clamped) -> Option<(Settled, Energy)> {
    let mut pieces = PIECES;
    for round in 0..ROUNDS {
        let bulges = bulges(clamped, f64::from(round));
        let patience = match round {
            0 if clamped.loose() => Patience { more: FEW_STEPS, ..SHORT },
            0 => SHORT,
            _ => LONG,
        };
        let mut best: Option<(Settled, Energy)> = None;
        let one_shape = clamped.hinge.is_some() && clamped.spare() < ONE_SHAPE;
        for rested in at_rest(clamped, pieces, &bulges, patience) {
            let beaten = |(_, energy): &(Settled, Energy)| {
                rested.energy > energy.whole() + CHAIN_ERROR * (1.0 + energy.whole().abs())
            };
            if best.as_ref().is_some_and(|found| one_shape || beaten(found)) {
                break;
            }
            let Some(settled) = settled_from(clamped, &rested) else { continue };
            let energy = settled.energy(clamped);
            if best.as_ref().is_none_or(|(_, least)| energy.whole() < least.whole()) {
                best = Some((settled, energy));
            }
        }
        if best.is_some() {
            return best;
        }
        pieces *= 2;
    }
    None
}

/// The stable shape that joints are near, with its energy.
pub(super) fn near(clamped: &Clamped, joints: Joints) -> Option<(Settled, Energy)> {
    let settled = precise(clamped, joints).filter(|settled| settled.stable)?;
    let energy = settled.energy(clamped);
    Some((settled, energy))
}

/// Every shape found from many beginnings, stable or not, least energy first.
pub(super) fn all(clamped: &Clamped) -> Vec<(Settled, Energy)> {
    let bulges = more_bulges(clamped);
    let pieces = 2 * PIECES;
    let places = places(clamped, pieces);
    let resting = at_rest(clamped, pieces, &bulges, LONG);
    let stable = resting.iter().filter_map(|rested| settled_from(clamped, rested));
    let shapes = bulges.iter().map(|bulge| shape(clamped, &places, bulge, 0.0));
    let others = shapes.filter_map(|chain| precise(clamped, joints(clamped, &chain, SHORT_REACH)?));
    let mut found: Vec<(Settled, Energy)> = least(clamped).into_iter().collect();
    for settled in stable.chain(others) {
        let energy = settled.energy(clamped);
        let same = |(other, of): &(Settled, Energy)| {
            other.stable == settled.stable && alike(of.whole(), energy.whole(), SHAPES_ALIKE)
        };
        if !found.iter().any(same) {
            found.push((settled, energy));
        }
    }
    found.sort_by(|a, b| a.1.whole().total_cmp(&b.1.whole()));
    found
}
