//! Regions of a machine between which nothing flows: what happens in one leaves the others as they are.

use std::collections::{BTreeMap, BTreeSet};

use super::circuit::{LinkKind, Spot, Web, circuits_wired};
use super::wiring::Wiring;
use crate::plan::{Plan, PortRef};

/// What of a plan is looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Region {
    /// Its lines, by index.
    pub lines: Vec<usize>,
    /// Its joins, by index.
    pub joins: Vec<usize>,
    /// Its components, each with those of its paths that lie here.
    pub components: BTreeMap<usize, Vec<usize>>,
    /// Components whose need is met here.
    pub needs: Vec<usize>,
    /// How many circuits of liquid each system has elsewhere.
    pub elsewhere: BTreeMap<String, usize>,
}

impl Region {
    /// The whole machine.
    pub fn whole(plan: &Plan) -> Self {
        let components = plan.components.iter().enumerate();
        Self {
            lines: (0..plan.lines.len()).collect(),
            joins: (0..plan.joins.len()).collect(),
            needs: components.clone().filter(|(_, c)| c.need.is_some()).map(|(i, _)| i).collect(),
            components: components.map(|(i, c)| (i, (0..c.paths.len()).collect())).collect(),
            elsewhere: BTreeMap::new(),
        }
    }

    /// Takes in another region.
    fn take(&mut self, other: &Self) {
        self.lines.extend(&other.lines);
        self.lines.sort_unstable();
        self.joins.extend(&other.joins);
        self.joins.sort_unstable();
        self.needs.extend(&other.needs);
        self.needs.sort_unstable();
        for (component, paths) in &other.components {
            let mine = self.components.entry(*component).or_default();
            mine.extend(paths);
            mine.sort_unstable();
        }
    }
}

/// The regions of a plan, gas and liquid alike.
#[derive(Debug)]
pub struct Regions {
    /// Number of the region of each port that anything is on.
    of_port: BTreeMap<(usize, usize), usize>,
    all: Vec<Region>,
    /// Circuits of liquid in each region, by system.
    circuits: Vec<BTreeMap<String, usize>>,
}

impl Regions {
    /// The regions of a plan as it is wired.
    pub fn new(plan: &Plan, wiring: &Wiring) -> Self {
        let mut web = Web::default();
        let whole = Region::whole(plan);
        web.add_between(wiring, &whole, |_| true);
        web.add_inside(plan, &whole);
        let root = web.roots();
        let mut numbers = BTreeMap::new();
        for at in &root {
            let next = numbers.len();
            numbers.entry(*at).or_insert(next);
        }
        let mut regions = vec![Region::default(); numbers.len()];
        for link in &web.links {
            let region = &mut regions[numbers[&root[link.from]]];
            match link.kind {
                LinkKind::Line(line) => region.lines.push(line),
                LinkKind::Path { component, path } => {
                    region.components.entry(component).or_default().push(path);
                }
                LinkKind::Join | LinkKind::Leg(_) => {}
            }
        }
        let mut of_port = BTreeMap::new();
        for (spot, at) in web.spots.iter().zip(&root) {
            let number = numbers[at];
            let component = match *spot {
                Spot::Port(PortRef { component, port }) => {
                    of_port.insert((component, port), number);
                    component
                }
                Spot::Centre(component) => component,
            };
            regions[number].components.entry(component).or_default();
        }
        let mut regions =
            Self { of_port, circuits: vec![BTreeMap::new(); regions.len()], all: regions };
        regions.add_rest(plan, wiring);
        regions
    }

    /// Joins, needs, and how many circuits each system has.
    fn add_rest(&mut self, plan: &Plan, wiring: &Wiring) {
        for (index, ports) in wiring.joins.iter().enumerate() {
            if let Some(number) = self.number(ports[0]) {
                self.all[number].joins.push(index);
            }
        }
        for (component, of) in plan.components.iter().enumerate() {
            let port = of.need.as_ref().map(|need| PortRef { component, port: need.port });
            if let Some(number) = port.and_then(|port| self.number(port)) {
                self.all[number].needs.push(component);
            }
        }
        for circuit in circuits_wired(plan, wiring) {
            let Some(line) = circuit.lines().next() else { continue };
            if let Some(number) = self.number(wiring.lines[line][0]) {
                let system = plan.lines[line].system.clone();
                *self.circuits[number].entry(system).or_default() += 1;
            }
        }
    }

    /// Number of the region of a port that something is on.
    pub fn number(&self, port: PortRef) -> Option<usize> {
        self.of_port.get(&(port.component, port.port)).copied()
    }

    /// The regions of these numbers as one.
    pub fn together(&self, numbers: &BTreeSet<usize>) -> Region {
        let mut region = Region::default();
        for number in numbers {
            region.take(&self.all[*number]);
        }
        let others = (0..self.all.len()).filter(|number| !numbers.contains(number));
        for (system, count) in others.flat_map(|number| &self.circuits[number]) {
            *region.elsewhere.entry(system.clone()).or_default() += count;
        }
        region
    }
}
