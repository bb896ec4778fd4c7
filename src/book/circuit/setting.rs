//! What is written at a component: at which pressure or temperature it moves, and its usual state.

use crate::plan::{Component, Holds, Path};
use crate::units::{Quantity, System, write};

/// At what a path opens, shuts or what it holds.
pub fn law(path: &Path, system: System) -> Option<String> {
    if let Some(thermostat) = path.thermostat {
        let moves = if thermostat.opens { "opens" } else { "shuts" };
        let [from, to] = [thermostat.from, thermostat.to].map(|t| write(t, system));
        return Some(format!("{moves} {from} to {to}"));
    }
    match (path.holds, path.opens_at) {
        (Some(Holds::Before(p)), _) => Some(format!("holds {} before it", write(p, system))),
        (Some(Holds::After(p)), _) => Some(format!("holds {} behind it", write(p, system))),
        (None, Some(p)) if p.si() > 0.0 => Some(format!("opens at {}", write(p, system))),
        _ => None,
    }
}

/// The usual state of a component; for one with a single path, whether that is shut in it.
pub fn state(component: &Component, single: bool) -> Option<String> {
    let state = component.states.first()?;
    let shut = single && !state.shut.is_empty();
    Some(format!("usually {}{}", state.name, if shut { " (shut)" } else { "" }))
}
