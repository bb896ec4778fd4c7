//! What is connected with what: sources, returns, directions, loops, and what a mistake would do.

use super::network::wiring::Wiring;
use crate::plan::Plan;

/// Everything that the connections alone tell.
#[derive(Debug)]
pub struct ConnectionFacts {
    /// What the wiring as planned gives.
    pub wired: WiringFacts,
}

/// What a wiring gives, planned or not.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringFacts {
    /// The components, in the order of the plan.
    pub ports: Vec<PortFacts>,
}

/// The ports of a component.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PortFacts {
    /// The component.
    pub component: usize,
    /// Its ports that nothing is on.
    pub open: Vec<usize>,
}

/// Finds out what the connections alone tell.
pub fn solve(plan: &Plan) -> ConnectionFacts {
    ConnectionFacts { wired: wired(plan, &Wiring::planned(plan)) }
}

fn wired(plan: &Plan, wiring: &Wiring) -> WiringFacts {
    let components = plan.components.iter().enumerate();
    let ports = components
        .map(|(component, c)| PortFacts {
            component,
            open: wiring.open_ports(component, c.ports.len()),
        })
        .collect();
    WiringFacts { ports }
}
