//! Why a network has no answer, by the index of the node or link that is to blame.

use crate::hydraulics::HydraulicsError;

/// Why a network was not solved. Nodes and links are named by their index in [`super::Network`].
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// A link or regulator names a node or link that is not there.
    #[error("{what} {index} names number {names}, but there are only {count}")]
    BadIndex {
        /// What holds the name: "link" or "regulator".
        what: &'static str,
        /// Its own index.
        index: usize,
        /// The number it names.
        names: usize,
        /// How many there are.
        count: usize,
    },
    /// A link leads from a node to the same node.
    #[error("link {link} leads from node {node} back to it")]
    OneNode {
        /// The link.
        link: usize,
        /// The node at both ends.
        node: usize,
    },
    /// Two regulators act on one link, or one on a link that no throttle can sit in.
    #[error("regulator {regulator} cannot act on link {link}: {why}")]
    Unregulated {
        /// The regulator.
        regulator: usize,
        /// Its link.
        link: usize,
        /// The reason in words.
        why: &'static str,
    },
    /// A number is infinite or not a number, or has a sign it must not have.
    #[error("{what} of number {index} is {given}")]
    BadNumber {
        /// What was given, in words.
        what: &'static str,
        /// Index of its node, link or regulator.
        index: usize,
        /// The value.
        given: f64,
    },
    /// A list that belongs to the network has another length.
    #[error("{given} starting flows for {links} links")]
    StartLength {
        /// Flows given.
        given: usize,
        /// Links of the network.
        links: usize,
    },
    /// Liquid moves in a part that touches no held pressure, so its pressures could be anything.
    #[error("no pressure is held anywhere in the part with node {}", .nodes.first().copied().unwrap_or_default())]
    NoReference {
        /// Every node of the part.
        nodes: Vec<usize>,
    },
    /// A flow is wanted (or fed in) where no open way leads.
    #[error("no open way for the flow wanted at node {node}")]
    DeadEnd {
        /// The node.
        node: usize,
    },
    /// A displacement pump without slip delivers into a part that has no way out, or draws from one without a way in.
    #[error("the displacement pump in link {link} works against a closed way")]
    AgainstShut {
        /// The pump's link.
        link: usize,
    },
    /// The flow found in a link lies outside the points of its curve.
    #[error("the flow in link {link} is {flow_m3_s} m3/s; its curve runs from {low} to {high}")]
    OutsideCurve {
        /// The link.
        link: usize,
        /// The flow in m³/s.
        flow_m3_s: f64,
        /// First flow of the curve.
        low: f64,
        /// Last flow of the curve.
        high: f64,
    },
    /// The balances were not met: there is no answer.
    #[error(
        "no balance after {steps} steps: mass is off by {mass_residual}, energy by {energy_residual} (relative)"
    )]
    NotConverged {
        /// Steps taken.
        steps: u32,
        /// Largest relative error of a node's mass balance.
        mass_residual: f64,
        /// Largest relative error of a link's energy equation.
        energy_residual: f64,
    },
    /// The law of a link refused the flow.
    #[error("link {link}: {error}")]
    Hydraulics {
        /// The link.
        link: usize,
        /// What its law said.
        error: HydraulicsError,
    },
}
