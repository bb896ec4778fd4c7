//! Heats of a network that is worked out, and whether what goes in comes out again.

use super::HeatError;
use super::argument::result;
use super::coupling::{Coupled, Stream, outlet_above_k};
use super::mixing::{Cooler, Network};

/// Share of the heat moved up to which the balance must close.
const CLOSED_TO: f64 = 1.0e-9;

/// Heats by exchanger, by cooler and by held node, and what is left over, all in W.
pub(super) struct Amounts {
    /// From the first link to the second.
    pub(super) exchanged: Vec<f64>,
    /// To the air.
    pub(super) cooled: Vec<f64>,
    /// Taken up by the held nodes.
    pub(super) taken: Vec<f64>,
    /// Put in less given off.
    pub(super) residual: f64,
}

/// Works out every heat from the temperatures above the reference, and refuses a balance that stays open.
///
/// Each heat is worked out from the definition of its exchanger and not from the equations that gave the
/// temperatures, so that a slip in those shows here.
///
/// # Errors
/// [`HeatError::NotBalanced`], [`HeatError::NotRepresentable`].
pub(super) fn amounts(
    network: &Network<'_>,
    coupled: &Coupled,
    above: &[f64],
) -> Result<Amounts, HeatError> {
    let exchanged_w = exchanged(network, coupled, above);
    let cooled_w = cooled(network, coupled, above);
    // What each node keeps of the streams that flow into it, and what leaves the network there.
    let mut kept_w = vec![0.0; network.nodes];
    let mut surplus_w_k = vec![0.0; network.nodes];
    for stream in coupled.streams.iter().flatten() {
        let outlet = outlet_above_k(stream, above, coupled.reference_k);
        kept_w[stream.to] += stream.capacity_w_k * (outlet - above[stream.to]);
        surplus_w_k[stream.to] += stream.capacity_w_k;
        surplus_w_k[stream.from] -= stream.capacity_w_k;
    }
    let taken_w: Vec<f64> = network.held.iter().map(|held| kept_w[held.node]).collect();
    let leaving: Vec<f64> = surplus_w_k.iter().zip(above).map(|(w_k, k)| w_k * k).collect();
    let put_in: Vec<f64> = network.links.iter().map(|link| link.heat_w).collect();
    let sum = |heats: &[f64]| heats.iter().sum::<f64>();
    let size = |heats: &[f64]| heats.iter().map(|heat| heat.abs()).sum::<f64>();
    let residual_w = sum(&put_in) - sum(&cooled_w) - sum(&taken_w) - sum(&leaving);
    let residual_w = result("the heat balance", residual_w)?;
    let all = [&put_in, &exchanged_w, &cooled_w, &taken_w, &leaving];
    let moved_w = result("the heat moved", all.into_iter().map(|heats| size(heats)).sum())?;
    if residual_w.abs() > CLOSED_TO * moved_w {
        return Err(HeatError::NotBalanced { residual_w, moved_w });
    }
    Ok(Amounts { exchanged: exchanged_w, cooled: cooled_w, taken: taken_w, residual: residual_w })
}

fn exchanged(network: &Network<'_>, coupled: &Coupled, above: &[f64]) -> Vec<f64> {
    let heat = |first: usize, second: usize, effectiveness: f64| {
        let (Some(first), Some(second)) = (coupled.streams[first], coupled.streams[second]) else {
            return 0.0;
        };
        let least = first.capacity_w_k.min(second.capacity_w_k);
        effectiveness * least * (above[first.from] - above[second.from])
    };
    network.exchangers.iter().map(|e| heat(e.first, e.second, e.effectiveness)).collect()
}

fn cooled(network: &Network<'_>, coupled: &Coupled, above: &[f64]) -> Vec<f64> {
    let heat = |stream: Stream, cooler: &Cooler| {
        let least = stream.capacity_w_k.min(cooler.air_capacity_w_k);
        let air_above = cooler.air_inlet_k - coupled.reference_k;
        cooler.effectiveness * least * (above[stream.from] - air_above)
    };
    let each = |c: &Cooler| coupled.streams[c.link].map_or(0.0, |s| heat(s, c));
    network.coolers.iter().map(each).collect()
}
