//! What is connected with what: sources, returns, directions, loops, and what a mistake would do.

pub mod balance;
pub mod closed;
pub mod direction;
pub mod parallel;
pub mod returns;
pub mod source;
pub mod swap;
pub mod trial;
pub mod vent;
pub mod walk;

use super::network::circuit::circuits_in;
use super::network::facts::NetworkFacts;
use super::network::region::Region;
use super::network::wiring::Wiring;
use super::{CaseFacts, Depth, LineFacts};
use crate::plan::Plan;
use crate::table::Tables;
use walk::Walk;

/// Combinations of states that are looked at in the plan itself.
const MOST_STATES: usize = 4096;

/// Everything that the connections tell.
#[derive(Debug, Default)]
pub struct ConnectionFacts {
    /// The components, in the order of the plan.
    pub ports: Vec<PortFacts>,
    /// What the wiring as planned gives.
    pub wired: WiringFacts,
    /// Vents, in the order of their lines.
    pub vents: Vec<vent::VentFacts>,
    /// What becomes of each tank in each solved case.
    pub balances: Vec<balance::TankFacts>,
    /// Ends that can be exchanged by mistake.
    pub swaps: swap::SwapsFacts,
}

/// What a wiring gives, planned or not.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WiringFacts {
    /// Where each pump draws from.
    pub pumps: Vec<source::PumpFacts>,
    /// Pumps side by side.
    pub parallel: Vec<parallel::ParallelFacts>,
    /// The direction of each line.
    pub directions: Vec<direction::DirectionFacts>,
    /// The circuits.
    pub circuits: Vec<closed::CircuitFacts>,
    /// Where returns end while something selects.
    pub returns: Vec<returns::ReturnFacts>,
    /// Where what is used up comes from.
    pub needs: Vec<source::NeedFacts>,
}

/// The ports of a component.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PortFacts {
    /// The component.
    pub component: usize,
    /// Its ports that nothing is on.
    pub open: Vec<usize>,
}

/// Finds out what the connections tell.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    (cases, lines): (&[CaseFacts], &[LineFacts]),
    network: &NetworkFacts,
    depth: Depth,
) -> ConnectionFacts {
    let wiring = Wiring::planned(plan);
    let wired = wired(plan, &wiring, &Region::whole(plan), MOST_STATES);
    let ports = wiring.open_ports(plan).into_iter().enumerate();
    ConnectionFacts {
        ports: ports.map(|(component, open)| PortFacts { component, open }).collect(),
        vents: vent::vents(plan, cases, lines),
        balances: balance::balances(plan, cases, network),
        swaps: match depth {
            Depth::Whole => swap::swaps(plan, tables, cases, lines),
            Depth::Verdicts | Depth::Flow => swap::SwapsFacts::default(),
        },
        wired,
    }
}

/// What a wiring gives in a region; more than `most_states` combinations of states are not looked at.
fn wired(plan: &Plan, wiring: &Wiring, region: &Region, most_states: usize) -> WiringFacts {
    let circuits = circuits_in(plan, wiring, region, false);
    let walks: Vec<Walk<'_>> = circuits.iter().map(|c| Walk::new(plan, c)).collect();
    WiringFacts {
        pumps: source::pumps(plan, region, &walks),
        parallel: walks.iter().flat_map(parallel::pairs).collect(),
        directions: direction::directions(plan, wiring, region),
        circuits: walks.iter().map(closed::circuit).collect(),
        returns: walks.iter().flat_map(|w| returns::returns(w, most_states)).collect(),
        needs: source::needs(region, &walks),
    }
}
