//! Flow in a whole network of lines, pumps and valves, from its held pressures and wanted flows.
//!
//! A network is nodes joined by links. At a [`Node::Held`] the absolute pressure is given, at a [`Node::Free`] the mass
//! flow that leaves there. Every link obeys p(from) - p(to) = lift + loss of its flow; a pump's loss is its rise with
//! the sign turned. Unknown are the pressures of the free nodes and the **mass** flow of every link, so links may carry
//! liquid of different density; the laws of the links speak of volume flow.
//!
//! ```
//! use hosewright::hydraulics::network::{Element, Link, Network, Node};
//! let loss = |from, to, square_pa_s2_m6| Link {
//!     from, to, density_kg_m3: 1000.0, lift_pa: 0.0, one_way: None, shut: false,
//!     element: Element::Loss { linear_pa_s_m3: 0.0, square_pa_s2_m6 },
//! };
//! let network = Network {
//!     nodes: vec![Node::Held { pressure_pa: 2.0e5 }, Node::Free { taken_kg_s: 0.0 }, Node::Held { pressure_pa: 1.0e5 }],
//!     links: vec![loss(0, 1, 5.0e10), loss(1, 2, 5.0e10)],
//!     regulators: Vec::new(),
//! };
//! let solution = network.solve()?;
//! assert!((solution.flows_kg_s[0] - 1.0).abs() < 1e-9);
//! assert!((solution.pressures_pa[1].unwrap_or(0.0) - 1.5e5).abs() < 1e-3);
//! # Ok::<(), hosewright::hydraulics::network::NetworkError>(())
//! ```
//!
//! # How it is solved
//! Newton's method on flows and pressures with a search along each step; see the files `iterate` and `search`. Additions,
//! products, quotients, square roots and `libm` in one fixed order: the same bytes on every machine, at every size. Networks
//! of thousands of links are shared among the cores in parts that do not depend on how many there are.
//!
//! # What it needs
//! Every loss must rise with the flow, and a pump's rise must not. A law that is flat at no flow (a pure square) leaves a
//! flow of nothing uncertain by some 1e-6 of what a full drop would drive; laminar flow does not.
//!
//! # What it refuses
//! [`NetworkError`] names the node or link. A part that is cut off and in which nothing is wanted is no error: its flows
//! are zero and its pressures none.

mod batch;
mod branch;
mod cores;
mod curves;
mod element;
mod error;
mod fronts;
mod iterate;
mod laws;
mod mesh;
mod order;
mod parts;
mod regulate;
mod search;
mod settle;
mod sheets;
mod start;
mod sweep;
mod tiles;

pub use curves::{LossCurve, PointsError, PumpCurve};
pub use element::{Element, LossLaw, LossSlope};
pub use error::NetworkError;

use cores::awake;
use laws::laws;
use regulate::regulate;
use settle::Settling;

/// Nodes, the links between them and the regulators in some of the links.
#[derive(Debug, Clone)]
pub struct Network {
    /// Places with one pressure each.
    pub nodes: Vec<Node>,
    /// What joins the nodes; a link names its nodes by index.
    pub links: Vec<Link>,
    /// Throttles that hold a pressure.
    pub regulators: Vec<Regulator>,
}

/// A place with one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Node {
    /// The absolute pressure is given; any flow may come or go.
    Held {
        /// Absolute pressure in Pa.
        pressure_pa: f64,
    },
    /// The pressure is sought.
    Free {
        /// Mass flow that leaves the network here, in kg/s; negative where it is fed in, zero at a mere joint.
        taken_kg_s: f64,
    },
}

/// What joins two nodes.
#[derive(Debug, Clone)]
pub struct Link {
    /// Node at which a positive flow enters.
    pub from: usize,
    /// Node at which a positive flow comes out.
    pub to: usize,
    /// Density of the liquid in the link in kg/m³, above 0.
    pub density_kg_m3: f64,
    /// Pressure that the climb from `from` to `to` costs whatever flows, in Pa; negative downhill.
    pub lift_pa: f64,
    /// What the liquid passes through.
    pub element: Element,
    /// A valve that lets the flow pass from `from` to `to` only.
    pub one_way: Option<OneWay>,
    /// Closed by hand: nothing flows.
    pub shut: bool,
}

/// A valve that opens one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneWay {
    /// Difference at which it opens, and which it keeps for itself while it is open, in Pa; 0 is a plain check valve.
    pub opens_pa: f64,
}

/// A throttle in a link that holds the pressure at one end of it. Its link passes from `from` to `to` only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// The link that it sits in.
    pub link: usize,
    /// What it holds.
    pub holds: Hold,
}

/// The pressure that a regulator holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hold {
    /// Opens as far as needed so that the pressure at `from` does not exceed this one: a relief valve.
    Before {
        /// Absolute pressure in Pa.
        pressure_pa: f64,
    },
    /// Throttles as far as needed so that the pressure at `to` does not exceed this one: a reducing valve.
    After {
        /// Absolute pressure in Pa.
        pressure_pa: f64,
    },
}

/// What a link does in the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinkState {
    /// Free to pass, also where nothing happens to flow.
    Open,
    /// Nothing passes: closed by hand, or by its own valve.
    Shut,
    /// Its regulator throttles.
    Regulating,
}

/// The answer: every balance in it holds to 1e-9.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// Absolute pressure of every node in Pa; none where a part is cut off and its pressure could be anything.
    pub pressures_pa: Vec<Option<f64>>,
    /// Mass flow of every link in kg/s, positive from `from` to `to`.
    pub flows_kg_s: Vec<f64>,
    /// What each link takes from the pressure beside its lift, in Pa: p(from) - p(to) - lift. Below zero for a pump at work.
    /// None where an end has no pressure.
    pub drops_pa: Vec<Option<f64>>,
    /// What each link does.
    pub states: Vec<LinkState>,
    /// Drop of each regulator's throttle in Pa; zero where it is open or its link is shut.
    pub throttles_pa: Vec<f64>,
    /// Newton steps taken.
    pub steps: u32,
    /// Largest error of a free node's mass balance over the flow through that node; where next to nothing flows there, over
    /// 1e-5 of the largest flow, or 1e-11 of the flow that the widest link usually carries.
    pub mass_residual: f64,
    /// Largest error of an open link's energy equation over the largest of its terms; where they are small, over a
    /// thousandth of the largest in the network, 1e-5 of the highest pressure held, or what 1e-5 of its flow would change.
    pub energy_residual: f64,
}

impl Network {
    /// Solves the network from scratch.
    ///
    /// # Errors
    /// [`NetworkError`]: what is wrong with the network, or that its balances were not met.
    pub fn solve(&self) -> Result<Solution, NetworkError> {
        self.solve_with(None, &[])
    }

    /// Solves the network from flows near the answer, such as those of the same network a little different.
    ///
    /// # Errors
    /// As [`Network::solve`]; [`NetworkError::StartLength`] for a list of another length.
    pub fn solve_from(&self, start_kg_s: &[f64]) -> Result<Solution, NetworkError> {
        let (given, links) = (start_kg_s.len(), self.links.len());
        if given != links {
            return Err(NetworkError::StartLength { given, links });
        }
        for (index, &given) in start_kg_s.iter().enumerate() {
            number("the starting flow", index, given, f64::NEG_INFINITY)?;
        }
        self.solve_with(Some(start_kg_s), &[])
    }

    /// Solves the network from the answer of the same network a little different: its flows, and the drops of
    /// its throttles.
    ///
    /// # Errors
    /// As [`Network::solve_from`].
    pub fn solve_near(&self, near: &Solution) -> Result<Solution, NetworkError> {
        if near.flows_kg_s.len() != self.links.len() {
            let (given, links) = (near.flows_kg_s.len(), self.links.len());
            return Err(NetworkError::StartLength { given, links });
        }
        self.solve_with(Some(&near.flows_kg_s), &near.throttles_pa)
    }

    fn solve_with(
        &self,
        start: Option<&[f64]>,
        throttles: &[f64],
    ) -> Result<Solution, NetworkError> {
        awake(self.links.len(), || self.solve_awake(start, throttles))
    }

    fn solve_awake(
        &self,
        start: Option<&[f64]>,
        throttles: &[f64],
    ) -> Result<Solution, NetworkError> {
        self.check()?;
        let laws = laws(&self.links)?;
        let mut settling = Settling::new(self, &laws)?;
        match start {
            None => settling.iteration.start()?,
            Some(flows) => settling.iteration.start_from(flows)?,
        }
        let throttles = regulate(self, &mut settling, throttles)?;
        settling.answer(&throttles)
    }

    /// Refuses numbers and names that make no sense.
    fn check(&self) -> Result<(), NetworkError> {
        for (index, node) in self.nodes.iter().enumerate() {
            match *node {
                Node::Held { pressure_pa } => {
                    number("the held pressure", index, pressure_pa, f64::NEG_INFINITY)?;
                }
                Node::Free { taken_kg_s } => {
                    number("the flow taken", index, taken_kg_s, f64::NEG_INFINITY)?;
                }
            }
        }
        let count = self.nodes.len();
        for (index, link) in self.links.iter().enumerate() {
            for names in [link.from, link.to] {
                if names >= count {
                    return Err(NetworkError::BadIndex { what: "link", index, names, count });
                }
            }
            if link.from == link.to {
                return Err(NetworkError::OneNode { link: index, node: link.from });
            }
            number("the density", index, link.density_kg_m3, f64::MIN_POSITIVE)?;
            number("the lift", index, link.lift_pa, f64::NEG_INFINITY)?;
            if let Some(valve) = link.one_way {
                number("the opening pressure", index, valve.opens_pa, 0.0)?;
            }
        }
        self.check_regulators()
    }

    fn check_regulators(&self) -> Result<(), NetworkError> {
        let mut regulated = vec![false; self.links.len()];
        for (index, &Regulator { link, holds }) in self.regulators.iter().enumerate() {
            let (Hold::Before { pressure_pa } | Hold::After { pressure_pa }) = holds;
            number("the pressure of the regulator", index, pressure_pa, f64::NEG_INFINITY)?;
            let Some(taken) = regulated.get_mut(link) else {
                let count = self.links.len();
                return Err(NetworkError::BadIndex {
                    what: "regulator",
                    index,
                    names: link,
                    count,
                });
            };
            let why = match self.links[link].element {
                _ if core::mem::replace(taken, true) => "another one sits there",
                Element::Displacement { slip_m3_s_pa: 0.0, .. } => "a pump without slip sits there",
                _ => continue,
            };
            return Err(NetworkError::Unregulated { regulator: index, link, why });
        }
        Ok(())
    }
}

/// Refuses what is not finite or lies below the least.
fn number(what: &'static str, index: usize, given: f64, least: f64) -> Result<(), NetworkError> {
    if given.is_finite() && given >= least {
        Ok(())
    } else {
        Err(NetworkError::BadNumber { what, index, given })
    }
}
