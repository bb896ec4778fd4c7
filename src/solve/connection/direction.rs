//! Lines that enter a component where fluid leaves it, or leave it where fluid enters.

use super::walk::is_one_way;
use crate::plan::{Component, Plan, PortRef};
use crate::solve::network::region::Region;
use crate::solve::network::wiring::Wiring;

/// What the two ends of a line say of its direction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DirectionFacts {
    /// The line.
    pub line: usize,
    /// Ends at which only one direction makes sense.
    pub ends: Vec<DirectedEnd>,
}

/// An end of a line on a port where fluid can only enter, or only leave, the component.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DirectedEnd {
    /// The port.
    pub port: PortRef,
    /// The path that decides.
    pub path: usize,
    /// What makes it a matter of direction.
    pub by: Directed,
    /// Whether the line leads the wrong way there.
    pub reversed: bool,
}

/// What makes a path a matter of direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Directed {
    /// It pumps.
    Pump,
    /// It lets fluid pass one way only.
    OneWay,
    /// It filters, and its dirt side is at its beginning.
    Filter,
}

/// The direction of each line of a region.
pub fn directions(plan: &Plan, wiring: &Wiring, region: &Region) -> Vec<DirectionFacts> {
    let facts = |line: &usize| {
        let [from, to] = wiring.lines[*line];
        let ends = [(from, false), (to, true)].into_iter();
        let ends = ends.filter_map(|(port, enters)| directed(plan, port, enters)).collect();
        DirectionFacts { line: *line, ends }
    };
    region.lines.iter().map(facts).collect()
}

/// What the paths at a port say, where all of them agree; the line enters the component there or not.
fn directed(plan: &Plan, port: PortRef, enters: bool) -> Option<DirectedEnd> {
    let component = &plan.components[port.component];
    let paths = component.paths.iter().enumerate();
    let here: Vec<_> = paths.filter(|(_, p)| [p.from, p.to].contains(&port.port)).collect();
    // A pump decides over the relief valve that leads back around it.
    let pumps = here.iter().any(|(_, p)| p.law.is_pump());
    let deciding = || here.iter().filter(|(_, p)| p.law.is_pump() || !pumps);
    let inlet = deciding().all(|(_, p)| p.from == port.port);
    let outlet = deciding().all(|(_, p)| p.to == port.port);
    let (path, _) = deciding().next()?;
    let all_directed = deciding().all(|(index, _)| by(component, *index).is_some());
    (all_directed && inlet != outlet).then_some(DirectedEnd {
        port,
        path: *path,
        by: by(component, *path)?,
        reversed: enters != inlet,
    })
}

fn by(component: &Component, path: usize) -> Option<Directed> {
    let inside = &component.paths[path];
    if inside.law.is_pump() {
        Some(Directed::Pump)
    } else if is_one_way(inside) {
        Some(Directed::OneWay)
    } else if matches!(component.kind.as_str(), "filter" | "strainer") {
        Some(Directed::Filter)
    } else {
        None
    }
}
