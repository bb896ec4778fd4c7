//! What of the machine does not depend on the case: circuits, runs of lines, legs of tees, and which
//! circuits share heat.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::circuit::{Circuit, LinkKind, circuits};
use super::law;
use super::missing::missing;
use crate::hydraulics::run::{Elbow, RunShape};
use crate::plan::{ExchangerSide, Plan};
use crate::solve::hydraulics::LineHydraulics;
use crate::table::Tables;

/// The machine as a set of circuits.
#[derive(Debug)]
pub struct Machine<'m> {
    /// The plan.
    pub plan: &'m Plan,
    /// Its circuits.
    pub circuits: Vec<Circuit>,
    /// The hydraulics of each line of the plan.
    pub lines: &'m [LineHydraulics<'m>],
    /// Each line made ready for the solver, or why it cannot be.
    pub shapes: Vec<Result<Arc<RunShape>, String>>,
    /// Circuits that must be solved together.
    pub groups: Vec<Group>,
    /// Leg of each port of a tee, by component and port.
    pub legs: BTreeMap<(usize, usize), Elbow>,
}

/// Circuits that share heat, by index.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// Its circuits.
    pub circuits: Vec<usize>,
    /// Whether heat goes in or out of it anywhere.
    pub heated: bool,
    /// Whether heat can leave it, so that it finds a temperature of its own.
    pub cooled: bool,
}

impl<'m> Machine<'m> {
    /// The machine of a plan.
    pub fn new(plan: &'m Plan, tables: &'m Tables, lines: &'m [LineHydraulics<'m>]) -> Self {
        let mut circuits = circuits(plan);
        let mut legs = BTreeMap::new();
        for circuit in &mut circuits {
            circuit.missing = missing(plan, circuit, lines);
            for link in &circuit.links {
                let LinkKind::Leg(port) = link.kind else { continue };
                match law::leg(tables, plan, port) {
                    Ok(leg) => {
                        legs.insert((port.component, port.port), leg);
                    }
                    Err(why) if circuit.missing.is_empty() => circuit.missing.push(why),
                    Err(_) => {}
                }
            }
        }
        let groups = groups(plan, &circuits);
        let shapes = lines.iter().zip(&plan.lines).map(|(own, line)| {
            let run = own.run.as_ref().map_err(Clone::clone)?;
            let shape = RunShape::new(&run.run).map_err(|e| format!("line {}: {e}", line.id))?;
            Ok(Arc::new(shape))
        });
        let shapes = shapes.collect();
        Self { plan, circuits, lines, shapes, groups, legs }
    }

    /// What keeps a group from being solved; empty where nothing does.
    pub fn missing(&self, group: &Group) -> Vec<&str> {
        let of = |c: &usize| self.circuits[*c].missing.iter().map(String::as_str);
        group.circuits.iter().flat_map(of).collect()
    }

    /// Components that the circuits of a group touch, circuit by circuit.
    pub fn components(&self, group: &Group) -> impl Iterator<Item = usize> {
        group.circuits.iter().flat_map(|c| self.circuits[*c].components())
    }

    /// The first circuit of a group that touches a component.
    pub fn circuit_at(&self, group: &Group, component: usize) -> Option<&Circuit> {
        let mut circuits = group.circuits.iter().map(|c| &self.circuits[*c]);
        circuits.find(|c| c.components().contains(&component))
    }

    /// The name of a group: those of its circuits.
    pub fn name(&self, group: &Group) -> String {
        let names: Vec<&str> =
            group.circuits.iter().map(|c| self.circuits[*c].name.as_str()).collect();
        names.join(" and ")
    }
}

/// Puts two circuits into one group, named by the lowest of them.
fn bind(lowest: &mut [usize], a: usize, b: usize) {
    let (from, to) = (lowest[a].max(lowest[b]), lowest[a].min(lowest[b]));
    for l in lowest.iter_mut().filter(|l| **l == from) {
        *l = to;
    }
}

/// Which circuits share heat and must be solved together.
pub fn groups(plan: &Plan, circuits: &[Circuit]) -> Vec<Group> {
    // The group that each circuit belongs to, by its lowest circuit.
    let mut lowest: Vec<usize> = (0..circuits.len()).collect();
    let mut heated = BTreeSet::new();
    let mut cooled = BTreeSet::new();
    let mut of_path = BTreeMap::new();
    let mut at_tank: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (number, circuit) in circuits.iter().enumerate() {
        for path in circuit.paths() {
            of_path.entry(path).or_insert(number);
        }
        for tank in circuit.components().into_iter().filter(|c| plan.components[*c].kind == "tank")
        {
            at_tank.entry(tank).or_default().push(number);
        }
    }
    for (index, component) in plan.components.iter().enumerate() {
        for (path, inside) in component.paths.iter().enumerate() {
            let Some(here) = of_path.get(&(index, path)).copied() else { continue };
            if inside.heat.is_some() {
                heated.insert(here);
            }
            let Some(exchanger) = &inside.exchanger else { continue };
            heated.insert(here);
            cooled.insert(here);
            if let ExchangerSide::Path(other) = exchanger.other
                && let Some(there) = of_path.get(&(index, other)).copied()
            {
                heated.insert(there);
                cooled.insert(there);
                bind(&mut lowest, here, there);
            }
        }
    }
    for touching in at_tank.values() {
        // What returns warm to a tank leaves it again in another circuit.
        if touching.iter().any(|c| heated.contains(c)) {
            for pair in touching.windows(2) {
                bind(&mut lowest, pair[0], pair[1]);
            }
        }
    }
    let mut groups: BTreeMap<usize, Group> = BTreeMap::new();
    for (circuit, lowest) in lowest.iter().enumerate() {
        let group = groups.entry(*lowest).or_default();
        group.circuits.push(circuit);
        group.heated |= heated.contains(&circuit);
        group.cooled |= cooled.contains(&circuit);
    }
    groups.into_values().collect()
}
