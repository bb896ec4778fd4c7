//! Steady temperatures of a flow network: streams that mix in nodes, take up heat and pass exchangers.

use nalgebra::{DMatrix, DVector};

use super::HeatError;
use super::argument::{finite, not_negative, positive, result, within};
use super::balance::{Amounts, amounts};
use super::coupling::{Coupled, Partner, couple, outlet_above_k};

/// Most nodes that are worked out; the one system of equations grows with their square.
pub const MOST_NODES: usize = 1000;
/// Most links, exchangers and coolers each.
pub const MOST_LINKS: usize = 10_000;

/// A stream from one node to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Number of the node it comes from.
    pub from: usize,
    /// Number of the node it goes to.
    pub to: usize,
    /// Mass flow in kg/s; below 0 it runs from `to` to `from`.
    pub mass_flow_kg_s: f64,
    /// Specific heat in J/(kg K), above 0.
    pub specific_heat_j_kg_k: f64,
    /// Heat that goes into the stream on its way in W, behind its exchanger; below 0 it gives heat off.
    pub heat_w: f64,
}

/// An exchanger between two links, each at its own inlet temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchanger {
    /// Number of one link.
    pub first: usize,
    /// Number of the other.
    pub second: usize,
    /// Effectiveness against the smaller capacity flow, 0 to 1.
    pub effectiveness: f64,
}

/// An exchanger between a link and air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooler {
    /// Number of the link.
    pub link: usize,
    /// Effectiveness against the smaller capacity flow, 0 to 1.
    pub effectiveness: f64,
    /// Mass flow of the air times its specific heat in W/K; zero when the air stands still.
    pub air_capacity_w_k: f64,
    /// Temperature of the air before it in K, above 0.
    pub air_inlet_k: f64,
}

/// A node whose temperature is given: a tank, or the place where liquid comes in from outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Number of the node.
    pub node: usize,
    /// Its temperature in K, above 0.
    pub temperature_k: f64,
}

/// A network of streams with everything that warms and cools them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Network<'a> {
    /// How many nodes there are; they are numbered from 0.
    pub nodes: usize,
    /// The streams, numbered from 0.
    pub links: &'a [Link],
    /// Exchangers between two links; a link passes one exchanger or cooler at most.
    pub exchangers: &'a [Exchanger],
    /// Exchangers against air.
    pub coolers: &'a [Cooler],
    /// Nodes of given temperature.
    pub held: &'a [Held],
    /// Mass flow in kg/s up to which a link counts as still: what the solver of the flows leaves open.
    pub flow_tolerance_kg_s: f64,
}

/// Temperatures at both ends of a stream, in the direction in which it flows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkTemperatures {
    /// Where it enters, in K.
    pub inlet_k: f64,
    /// Where it leaves, in K.
    pub outlet_k: f64,
}

/// The steady state of a network.
#[derive(Debug, Clone, PartialEq)]
pub struct Temperatures {
    /// Temperature of each node in K; none where nothing flows in and none is given.
    pub nodes_k: Vec<Option<f64>>,
    /// Temperatures of each link; none where nothing flows.
    pub links: Vec<Option<LinkTemperatures>>,
    /// Heat that each exchanger moves from its first link to its second, in W.
    pub exchanged_w: Vec<f64>,
    /// Heat that each cooler gives to the air, in W.
    pub cooled_w: Vec<f64>,
    /// Heat that each held node takes from what flows into it, in W.
    pub taken_w: Vec<f64>,
    /// Heat put in less heat given off, in W: the honest measure of how well the balance closes.
    pub residual_w: f64,
}

/// Steady temperatures of a whole network, of one circuit or of several coupled by exchangers.
///
/// # What it gives
/// The temperature of every node that liquid flows into, those at both ends of every stream, the heats,
/// and how well the heat balance closes.
///
/// # Formula
/// A node mixes what flows in: T = Σ C T' / Σ C, C = m c, T' the outlet temperatures of the links.
/// A link: T' = T + Q/C on its own; with an exchanger or cooler of effectiveness ε,
/// T' = T + a (Tp - T) + Q/C, a = ε min(C, Cp)/C, T the temperature where it enters, p the partner.
/// One linear system for all nodes, solved by elimination with pivoting.
///
/// # Valid for
/// Steady state; one specific heat each link; nothing boils; flows that balance at every node that is not
/// held. Where a node gets more than it passes on, the rest leaves the network at the node's temperature.
///
/// # Source
/// Energy balance of a mixing node and definition of the effectiveness; e.g. Incropera et al., ch. 1
/// and 11. Standing: quoted-elsewhere.
///
/// # Notes
/// A warm liquid is thinner and has another specific heat: work out flows and temperatures in turn.
/// A node that mixes unlike liquids is counted by their heat capacities.
///
/// ```
/// use hosewright::heat::mixing::{Cooler, Link, Network, temperatures};
/// let link = |from, to, heat_w| Link {
///     from, to, mass_flow_kg_s: 0.5, specific_heat_j_kg_k: 3600.0, heat_w,
/// };
/// // A loop: 9 kW from the machine, given off in a cooler.
/// let links = [link(0, 1, 9000.0), link(1, 0, 0.0)];
/// let cooler = Cooler { link: 1, effectiveness: 0.5, air_capacity_w_k: 600.0, air_inlet_k: 293.15 };
/// let network = Network {
///     nodes: 2, links: &links, exchangers: &[], coolers: &[cooler], held: &[], flow_tolerance_kg_s: 0.0,
/// };
/// let found = temperatures(&network)?;
/// // 9000 = 0.5 · 600 · (T - 293.15)
/// assert!((found.nodes_k[1].unwrap() - 323.15).abs() < 1e-9);
/// assert!((found.cooled_w[0] - 9000.0).abs() < 1e-6);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// Those of the arguments; [`HeatError::HeatWithoutFlow`], [`HeatError::UnknownInflow`],
/// [`HeatError::NoSteadyState`], [`HeatError::NotBalanced`]; [`HeatError::NotPositive`] when so much heat is
/// taken out that a temperature would fall below absolute zero.
pub fn temperatures(network: &Network<'_>) -> Result<Temperatures, HeatError> {
    check(network)?;
    let coupled = couple(network)?;
    let nodes = solve(network, &coupled)?;
    let found = amounts(network, &coupled, &nodes)?;
    finish(network, &coupled, &nodes, found)
}

fn check(network: &Network<'_>) -> Result<(), HeatError> {
    let many = [
        ("nodes", network.nodes, MOST_NODES),
        ("links", network.links.len(), MOST_LINKS),
        ("exchangers", network.exchangers.len(), MOST_LINKS),
        ("coolers", network.coolers.len(), MOST_LINKS),
    ];
    for (what, has, most) in many {
        if has > most {
            return Err(HeatError::TooMany { what, has, most });
        }
    }
    not_negative("the flow tolerance", network.flow_tolerance_kg_s)?;
    let there = |what, number, count| {
        if number < count { Ok(()) } else { Err(HeatError::NotThere { what, number, count }) }
    };
    for link in network.links {
        there("node", link.from, network.nodes)?;
        there("node", link.to, network.nodes)?;
        finite("the mass flow", link.mass_flow_kg_s)?;
        positive("the specific heat", link.specific_heat_j_kg_k)?;
        finite("the heat", link.heat_w)?;
    }
    for exchanger in network.exchangers {
        there("link", exchanger.first, network.links.len())?;
        there("link", exchanger.second, network.links.len())?;
        within("the effectiveness", exchanger.effectiveness, 0.0, 1.0)?;
    }
    for cooler in network.coolers {
        there("link", cooler.link, network.links.len())?;
        within("the effectiveness", cooler.effectiveness, 0.0, 1.0)?;
        not_negative("the capacity flow of the air", cooler.air_capacity_w_k)?;
        positive("the temperature of the air", cooler.air_inlet_k)?;
    }
    for held in network.held {
        there("node", held.node, network.nodes)?;
        positive("the temperature of a held node", held.temperature_k)?;
    }
    Ok(())
}

/// Temperatures of all nodes above the reference; zero stands for those that have none.
fn solve(network: &Network<'_>, coupled: &Coupled) -> Result<Vec<f64>, HeatError> {
    let mut above: Vec<f64> = vec![0.0; network.nodes];
    for held in network.held {
        above[held.node] = held.temperature_k - coupled.reference_k;
    }
    let places = coupled.unknown_places();
    let count = places.iter().flatten().count();
    if count == 0 {
        return Ok(above);
    }
    let mut matrix = DMatrix::<f64>::identity(count, count);
    let mut right = DVector::<f64>::zeros(count);
    for stream in coupled.streams.iter().flatten() {
        let Some(row) = places[stream.to] else { continue };
        let weight = stream.capacity_w_k / coupled.into_w_k[stream.to];
        right[row] += weight * stream.rise_k;
        let mut depend = |node: usize, share: f64| match places[node] {
            Some(column) => matrix[(row, column)] -= weight * share,
            None => right[row] += weight * share * above[node],
        };
        depend(stream.from, 1.0 - stream.share);
        match stream.partner {
            Partner::Node(node) => depend(node, stream.share),
            Partner::Air(air_k) => {
                right[row] += weight * stream.share * (air_k - coupled.reference_k);
            }
            Partner::Nobody => {}
        }
    }
    let solved = matrix.lu().solve(&right);
    let solved = solved.ok_or(HeatError::NotRepresentable { what: "a temperature" })?;
    for (node, place) in places.iter().enumerate() {
        if let Some(row) = place {
            above[node] = result("a temperature", solved[*row])?;
        }
    }
    Ok(above)
}

fn finish(
    network: &Network<'_>,
    coupled: &Coupled,
    above: &[f64],
    found: Amounts,
) -> Result<Temperatures, HeatError> {
    let kelvin = |above_k: f64| positive("a temperature", coupled.reference_k + above_k);
    let mut nodes_k = Vec::with_capacity(network.nodes);
    for (node, above_k) in above.iter().enumerate() {
        nodes_k.push(if coupled.known(node) { Some(kelvin(*above_k)?) } else { None });
    }
    let mut links = Vec::with_capacity(network.links.len());
    for stream in &coupled.streams {
        links.push(match stream {
            None => None,
            Some(stream) => Some(LinkTemperatures {
                inlet_k: kelvin(above[stream.from])?,
                outlet_k: kelvin(outlet_above_k(stream, above, coupled.reference_k))?,
            }),
        });
    }
    Ok(Temperatures {
        nodes_k,
        links,
        exchanged_w: found.exchanged,
        cooled_w: found.cooled,
        taken_w: found.taken,
        residual_w: found.residual,
    })
}
