//! Regulators: the drop of each throttle is sought until the pressure it holds is held.
//!
//! A throttle's drop can only lower the pressure behind it and raise the one before it, by no more than the drop itself.
//! So what a regulator misses falls as its drop grows, never faster than one for one, and its root can be enclosed.

use super::error::NetworkError;
use super::iterate::CLOSED_TO;
use super::settle::Settling;
use super::{Hold, Network};

/// Rounds over all regulators.
const MOST_ROUNDS: u32 = 200;
/// Drops tried for one regulator in one round.
const MOST_TRIES: u32 = 100;

/// A drop and what the regulator misses there: above zero it should throttle more.
#[derive(Clone, Copy)]
struct Try {
    drop: f64,
    miss: f64,
}

/// Settles the network with its regulators, from drops that are near or from none; the drop of each throttle.
///
/// # Errors
/// What [`Settling::settle`] finds wrong, or [`NetworkError::NotConverged`].
pub(super) fn regulate(
    network: &Network,
    settling: &mut Settling,
    near: &[f64],
) -> Result<Vec<f64>, NetworkError> {
    let mut drops = vec![0.0; network.regulators.len()];
    for ((drop, near), regulator) in drops.iter_mut().zip(near).zip(&network.regulators) {
        *drop = *near;
        settling.throttle(regulator.link, *drop)?;
    }
    settling.settle()?;
    for _ in 0..MOST_ROUNDS {
        let mut all_hold = true;
        for (index, drop) in drops.iter_mut().enumerate() {
            if !holds(network, settling, index, *drop) {
                all_hold = false;
                *drop = seek(network, settling, index, *drop)?;
            }
        }
        if all_hold {
            return Ok(drops);
        }
    }
    Err(settling.not_converged())
}

/// What a regulator misses, and how much of that is none.
fn miss(network: &Network, settling: &Settling, index: usize) -> (f64, f64) {
    let regulator = &network.regulators[index];
    let link = &network.links[regulator.link];
    let (wanted, found, sign) = match regulator.holds {
        Hold::Before { pressure_pa } => (pressure_pa, settling.pressure(link.from), -1.0),
        Hold::After { pressure_pa } => (pressure_pa, settling.pressure(link.to), 1.0),
    };
    let found = found.unwrap_or(wanted);
    (sign * (found - wanted), CLOSED_TO * found.abs().max(wanted.abs()))
}

/// Whether a regulator does all it can.
fn holds(network: &Network, settling: &Settling, index: usize, drop: f64) -> bool {
    let (miss, slack) = miss(network, settling, index);
    let shut = settling.is_shut(network.regulators[index].link);
    miss.abs() <= slack || (miss < 0.0 && drop == 0.0) || (miss > 0.0 && shut)
}

/// Seeks the drop at which one regulator holds, the others as they are.
fn seek(
    network: &Network,
    settling: &mut Settling,
    index: usize,
    first: f64,
) -> Result<f64, NetworkError> {
    let mut drop = first;
    let (mut low, mut high): (Option<Try>, Option<Try>) = (None, None);
    let (mut reach, mut last) = (1.0, None);
    for turn in 0..MOST_TRIES {
        let now = Try { drop, miss: miss(network, settling, index).0 };
        if turn > 0 && holds(network, settling, index, drop) {
            return Ok(drop);
        }
        *(if now.miss > 0.0 { &mut low } else { &mut high }) = Some(now);
        drop = match (low, high) {
            (Some(low), Some(high)) => between(low, high, turn),
            // The root is at least as far away as what is missed, and about where the last two tries point.
            _ => (now.drop + last.map_or(1.0, |l| stretch(l, now)).max(reach) * now.miss).max(0.0),
        };
        // What the tries point at may never be passed: then the steps grow by themselves.
        reach = if turn < 4 { 1.0 } else { 2.0 * reach };
        last = Some(now);
        settling.throttle(network.regulators[index].link, drop)?;
        settling.settle()?;
    }
    Err(settling.not_converged())
}

/// How many times what is missed the root lies away by the line through two tries, and a little beyond it so
/// that the next try encloses it.
fn stretch(before: Try, now: Try) -> f64 {
    let slope = (before.miss - now.miss) / (now.drop - before.drop);
    if slope > 0.0 { 1.000_001 / slope } else { 1.0 }
}

/// Next drop inside the bracket: on the chord, or halfway every third time.
fn between(low: Try, high: Try, turn: u32) -> f64 {
    let share = low.miss / (low.miss - high.miss);
    let share = if turn % 3 == 2 { 0.5 } else { share.clamp(1.0e-3, 1.0 - 1.0e-3) };
    low.drop + (high.drop - low.drop) * share
}
