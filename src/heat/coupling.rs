//! What depends on what in a network of streams: directions, partners, and what has nothing to hold it.

use super::HeatError;
use super::argument::result;
use super::mixing::Network;

/// Share of a node's flow by which what comes in and what goes out may differ through rounding.
const BALANCED_TO: f64 = 1.0e-9;

/// Whom a stream exchanges heat with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Partner {
    /// Nobody.
    Nobody,
    /// A stream that comes from this node.
    Node(usize),
    /// Air of this temperature, in K.
    Air(f64),
}

/// A link in which something flows, seen in the direction of its flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stream {
    /// Node it comes from.
    pub(super) from: usize,
    /// Node it goes to.
    pub(super) to: usize,
    /// Mass flow in kg/s, above 0.
    pub(super) mass_flow_kg_s: f64,
    /// Mass flow times specific heat, W/K.
    pub(super) capacity_w_k: f64,
    /// Rise of temperature by the heat put in, K.
    pub(super) rise_k: f64,
    /// Share of the way from its own inlet temperature to its partner's, 0 to 1.
    pub(super) share: f64,
    /// Whom it exchanges heat with; nobody when the share is zero.
    pub(super) partner: Partner,
}

/// A network with its directions and partners.
pub(super) struct Coupled {
    /// Every link that flows.
    pub(super) streams: Vec<Option<Stream>>,
    /// Capacity flow into each node, W/K.
    pub(super) into_w_k: Vec<f64>,
    /// Whether each node is held at a temperature.
    pub(super) held: Vec<bool>,
    /// Temperature that all others are counted from, so that equal ones differ by exactly nothing.
    pub(super) reference_k: f64,
}

impl Coupled {
    /// Whether a node has a temperature.
    pub(super) fn known(&self, node: usize) -> bool {
        self.held[node] || self.into_w_k[node] > 0.0
    }

    /// For each node its row among the unknown temperatures.
    pub(super) fn unknown_places(&self) -> Vec<Option<usize>> {
        let mut next = 0;
        let mut place = |node: usize| {
            (self.known(node) && !self.held[node]).then(|| {
                next += 1;
                next - 1
            })
        };
        (0..self.held.len()).map(&mut place).collect()
    }
}

/// Temperature of a stream where it leaves, counted from the reference.
pub(super) fn outlet_above_k(stream: &Stream, above: &[f64], reference_k: f64) -> f64 {
    let inlet = above[stream.from];
    let partner = match stream.partner {
        Partner::Nobody => inlet,
        Partner::Node(node) => above[node],
        Partner::Air(air_k) => air_k - reference_k,
    };
    inlet + stream.share * (partner - inlet) + stream.rise_k
}

/// Reads the directions and partners, and refuses what has no steady state.
///
/// # Errors
/// [`HeatError::NamedTwice`], [`HeatError::HeatWithoutFlow`], [`HeatError::UnknownInflow`],
/// [`HeatError::NoSteadyState`], [`HeatError::NotRepresentable`].
pub(super) fn couple(network: &Network<'_>) -> Result<Coupled, HeatError> {
    let mut streams = directed(network)?;
    pair(network, &mut streams)?;
    let mut held = vec![false; network.nodes];
    for one in network.held {
        if core::mem::replace(&mut held[one.node], true) {
            return Err(HeatError::NamedTwice { what: "held node", number: one.node });
        }
    }
    let mut into_w_k = vec![0.0; network.nodes];
    for stream in streams.iter().flatten() {
        into_w_k[stream.to] += stream.capacity_w_k;
    }
    let first_air = network.coolers.first().map(|cooler| cooler.air_inlet_k);
    let first_held = network.held.first().map(|held| held.temperature_k);
    let reference_k = first_held.or(first_air).unwrap_or(0.0);
    let coupled = Coupled { streams, into_w_k, held, reference_k };
    refuse_unknown_inflow(network, &coupled)?;
    refuse_unheld(&coupled)?;
    Ok(coupled)
}

fn directed(network: &Network<'_>) -> Result<Vec<Option<Stream>>, HeatError> {
    let mut streams = Vec::with_capacity(network.links.len());
    let mut boiling = Vec::new();
    for (number, link) in network.links.iter().enumerate() {
        let mass_flow_kg_s = link.mass_flow_kg_s.abs();
        let capacity_w_k = mass_flow_kg_s * link.specific_heat_j_kg_k;
        if mass_flow_kg_s <= network.flow_tolerance_kg_s || capacity_w_k == 0.0 {
            if link.heat_w != 0.0 {
                boiling.push(number);
            }
            streams.push(None);
            continue;
        }
        let turned = link.mass_flow_kg_s < 0.0;
        let (from, to) = if turned { (link.to, link.from) } else { (link.from, link.to) };
        streams.push(Some(Stream {
            from,
            to,
            mass_flow_kg_s,
            capacity_w_k: result("a capacity flow", capacity_w_k)?,
            rise_k: result("a rise of temperature", link.heat_w / capacity_w_k)?,
            share: 0.0,
            partner: Partner::Nobody,
        }));
    }
    if boiling.is_empty() {
        Ok(streams)
    } else {
        Err(HeatError::HeatWithoutFlow { links: boiling })
    }
}

/// Gives each stream its partner; an exchanger with a still side moves nothing.
fn pair(network: &Network<'_>, streams: &mut [Option<Stream>]) -> Result<(), HeatError> {
    let mut named = vec![false; streams.len()];
    let mut name = |number: usize| {
        if core::mem::replace(&mut named[number], true) {
            return Err(HeatError::NamedTwice { what: "link with an exchanger", number });
        }
        Ok(())
    };
    for cooler in network.coolers {
        name(cooler.link)?;
        let air = Partner::Air(cooler.air_inlet_k);
        meet(&mut streams[cooler.link], cooler.air_capacity_w_k, cooler.effectiveness, air);
    }
    for exchanger in network.exchangers {
        name(exchanger.first)?;
        name(exchanger.second)?;
        let (first, second) = (streams[exchanger.first], streams[exchanger.second]);
        for (own, other) in [(exchanger.first, second), (exchanger.second, first)] {
            if let Some(other) = other {
                let partner = Partner::Node(other.from);
                meet(&mut streams[own], other.capacity_w_k, exchanger.effectiveness, partner);
            }
        }
    }
    Ok(())
}

/// Lets a stream exchange heat with a partner of the given capacity flow.
fn meet(stream: &mut Option<Stream>, capacity_w_k: f64, effectiveness: f64, partner: Partner) {
    if let Some(stream) = stream {
        let share = effectiveness * (capacity_w_k.min(stream.capacity_w_k) / stream.capacity_w_k);
        if share > 0.0 {
            (stream.share, stream.partner) = (share, partner);
        }
    }
}

fn refuse_unknown_inflow(network: &Network<'_>, coupled: &Coupled) -> Result<(), HeatError> {
    let mut sums = vec![(0.0, 0.0, network.flow_tolerance_kg_s); network.nodes];
    for link in network.links {
        sums[link.from].2 += network.flow_tolerance_kg_s;
        sums[link.to].2 += network.flow_tolerance_kg_s;
    }
    for stream in coupled.streams.iter().flatten() {
        sums[stream.to].0 += stream.mass_flow_kg_s;
        sums[stream.from].1 += stream.mass_flow_kg_s;
    }
    for (node, (comes, goes, tolerance)) in sums.into_iter().enumerate() {
        let missing_kg_s = goes - comes;
        let unheld = !coupled.held[node];
        // A node that nothing flows into has no temperature to pass on, however little leaves it.
        let nothing_comes = comes == 0.0 && goes > 0.0;
        if unheld && (nothing_comes || missing_kg_s > tolerance + BALANCED_TO * goes) {
            return Err(HeatError::UnknownInflow { node, missing_kg_s });
        }
    }
    Ok(())
}

/// Refuses nodes whose temperature depends on nothing but each other.
fn refuse_unheld(coupled: &Coupled) -> Result<(), HeatError> {
    let mut settled = coupled.held.clone();
    loop {
        let mut changed = false;
        for stream in coupled.streams.iter().flatten() {
            let by_partner = match stream.partner {
                Partner::Nobody => false,
                Partner::Node(node) => settled[node],
                Partner::Air(_) => true,
            };
            let by_itself = stream.share < 1.0 && settled[stream.from];
            if (by_partner || by_itself) && !settled[stream.to] {
                settled[stream.to] = true;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    let unsettled = |node: usize| coupled.known(node) && !settled[node];
    let nodes: Vec<usize> = (0..settled.len()).filter(|node| unsettled(*node)).collect();
    if nodes.is_empty() {
        return Ok(());
    }
    let inside = coupled.streams.iter().flatten().filter(|stream| unsettled(stream.to));
    let heat_w = inside.map(|stream| stream.rise_k * stream.capacity_w_k).sum();
    Err(HeatError::NoSteadyState { nodes, heat_w })
}
