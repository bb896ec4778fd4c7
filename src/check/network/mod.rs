//! Checks of the flows that the machine as a whole finds for itself.

pub mod capacity;
pub mod least_flow;
pub mod need;
pub mod outlet;
pub mod pump_inlet;
pub mod room;
pub mod solved;
pub mod tank_pressure;
pub mod uncovered;

use super::{Draft, Whole};
use crate::solve::network::facts::Worst;

impl Whole<'_> {
    /// The name of a path with that of its component.
    fn path_name(&self, component: usize, path: usize) -> String {
        let component = &self.plan.components[component];
        format!("{} {}", component.id, component.paths[path].name)
    }
}

/// The draft in the case that governs.
fn governed(draft: Draft, worst: &Worst) -> Draft {
    let draft = draft.case(&worst.case.name);
    if worst.case.combined { draft.governing() } else { draft }
}
