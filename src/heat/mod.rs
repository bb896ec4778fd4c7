//! Heat kernels: exchangers, the steady temperatures of a flow network, heat figures of oils.
//!
//! Every function takes and gives bare `f64` in SI units; the unit is in the name
//! (`heat_w`, `mass_flow_kg_s`, `temperature_k`). Nothing here knows a plan or a table.
//!
//! Conventions:
//!
//! * heat is positive where it goes **into** the liquid named;
//! * a capacity flow is mass flow times specific heat, in W/K;
//! * an effectiveness counts against the **smaller** capacity flow of the pair;
//! * only the steady state is worked out: nothing here knows how long it takes to get there.
//!
//! A kernel never returns a number it cannot stand behind: it refuses with a [`HeatError`].

mod argument;
mod balance;
mod coupling;
pub mod exchanger;
pub mod mixing;
pub mod oil;

/// Why a heat kernel refused: what was given and what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HeatError {
    /// The argument is infinite or not a number.
    #[error("{what} is {given}; a finite number is needed")]
    NotFinite {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// The argument must be above zero.
    #[error("{what} is {given}; it must be greater than zero")]
    NotPositive {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
    },
    /// The argument lies outside the range in which the formula is stated.
    #[error("{what} is {given}; it must be {}", crate::bounds::Bounds { least: *low, most: *high })]
    OutOfRange {
        /// The argument's name in words.
        what: &'static str,
        /// The value that was given.
        given: f64,
        /// Lowest allowed value.
        low: f64,
        /// Highest allowed value.
        high: f64,
    },
    /// The answer is too large or too small to be written as a number.
    #[error("{what} cannot be written as a finite number for these arguments")]
    NotRepresentable {
        /// The result's name in words.
        what: &'static str,
    },
    /// No surface, however large, makes this arrangement so effective.
    #[error("an effectiveness of {given} is out of reach; this arrangement stays below {most}")]
    OutOfReach {
        /// The effectiveness asked for.
        given: f64,
        /// What the arrangement stays below.
        most: f64,
    },
    /// A list is longer than can be handled.
    #[error("{has} {what} are more than the {most} that can be handled")]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// How many there are.
        has: usize,
        /// The most that are handled.
        most: usize,
    },
    /// Something refers to a node or a link that is not there.
    #[error("{what} {number} is named, but there are only {count}, counted from 0")]
    NotThere {
        /// Node or link.
        what: &'static str,
        /// The number that was given.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// A node is held at two temperatures, or a link passes two exchangers.
    #[error("{what} {number} is named twice")]
    NamedTwice {
        /// Held node, or link with an exchanger.
        what: &'static str,
        /// Its number.
        number: usize,
    },
    /// Heat goes into links in which nothing flows: what stands there would boil or freeze.
    #[error("heat goes into links {links:?}, in which nothing flows")]
    HeatWithoutFlow {
        /// The links' numbers.
        links: Vec<usize>,
    },
    /// More flows out of a node than into it, and nobody says how warm the rest is.
    #[error(
        "{missing_kg_s} kg/s more flow out of node {node} than into it, and the node is not held at a temperature"
    )]
    UnknownInflow {
        /// The node's number.
        node: usize,
        /// What is missing, in kg/s.
        missing_kg_s: f64,
    },
    /// Nodes that only feed each other, with nothing to give heat off to.
    #[error(
        "nodes {nodes:?} only feed each other, and {heat_w} W go in with nowhere to give them off: there is no one steady temperature"
    )]
    NoSteadyState {
        /// The nodes' numbers.
        nodes: Vec<usize>,
        /// Heat that goes into the links between them, in W; zero leaves any temperature possible.
        heat_w: f64,
    },
    /// The heat that goes in and the heat that comes out differ: the network is too finely balanced for the arithmetic.
    #[error("the heat balance stays open by {residual_w} W of {moved_w} W")]
    NotBalanced {
        /// What is left over, in W.
        residual_w: f64,
        /// Heat that is moved altogether, in W.
        moved_w: f64,
    },
}
