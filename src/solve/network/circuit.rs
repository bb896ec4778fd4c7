//! The circuits of the machine: what liquid connects with what, through lines, components and joins.

use std::collections::{BTreeMap, BTreeSet};

use super::region::Region;
use super::wiring::Wiring;
use crate::plan::{Component, Plan, PortRef};

/// A place where pressure is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// A port.
    Port(PortRef),
    /// The middle of a tee, by its component.
    Centre(usize),
}

/// What a link of a circuit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkKind {
    /// A line, by its index.
    Line(usize),
    /// A path inside a component, both by index.
    Path {
        /// The component.
        component: usize,
        /// Its path.
        path: usize,
    },
    /// Two ports screwed together.
    Join,
    /// A leg of a tee, from a port to the middle.
    Leg(PortRef),
}

/// A link of a circuit between two of its spots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CircuitLink {
    /// What it is.
    pub kind: LinkKind,
    /// Index of the spot it leads from.
    pub from: usize,
    /// Index of the spot it leads to.
    pub to: usize,
}

/// Everything that one liquid connects.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// Its system, and its first line where the system has several circuits.
    pub name: String,
    /// Index of its fluid.
    pub fluid: usize,
    /// Its spots.
    pub spots: Vec<Spot>,
    /// Its links.
    pub links: Vec<CircuitLink>,
    /// What keeps it from being solved in any case, in words.
    pub missing: Vec<String>,
}

impl Circuit {
    /// Indices of its lines.
    pub fn lines(&self) -> impl Iterator<Item = usize> {
        self.links.iter().filter_map(|l| match l.kind {
            LinkKind::Line(line) => Some(line),
            _ => None,
        })
    }

    /// The paths in it, by component and index.
    pub fn paths(&self) -> impl Iterator<Item = (usize, usize)> {
        self.links.iter().filter_map(|l| match l.kind {
            LinkKind::Path { component, path } => Some((component, path)),
            _ => None,
        })
    }

    /// Indices of the components it touches, each once.
    pub fn components(&self) -> BTreeSet<usize> {
        let of_spot = |s: &Spot| match s {
            Spot::Port(port) => port.component,
            Spot::Centre(component) => *component,
        };
        self.spots.iter().map(of_spot).collect()
    }

    /// Index of the spot of a port.
    pub fn spot_of(&self, port: PortRef) -> Option<usize> {
        self.spots.iter().position(|s| *s == Spot::Port(port))
    }
}

/// Whether fluid that enters at one port of a component does not have to leave at another.
pub fn holds_still(component: &Component) -> bool {
    matches!(component.kind.as_str(), "tank" | "vent")
}

/// The circuits of a plan, in the order of their first lines. Lines of gas belong to none: the flow in
/// them is what the plan states.
pub fn circuits(plan: &Plan) -> Vec<Circuit> {
    circuits_wired(plan, &Wiring::planned(plan))
}

/// The circuits of a plan whose lines and joins are on these ports.
pub fn circuits_wired(plan: &Plan, wiring: &Wiring) -> Vec<Circuit> {
    circuits_of(plan, wiring, false)
}

/// What lines of liquid connect, or what those of gas do.
pub fn circuits_of(plan: &Plan, wiring: &Wiring, gas: bool) -> Vec<Circuit> {
    circuits_in(plan, wiring, &Region::whole(plan), gas)
}

/// What lines of liquid connect in a region, or what those of gas do.
pub fn circuits_in(plan: &Plan, wiring: &Wiring, region: &Region, gas: bool) -> Vec<Circuit> {
    let mut web = Web::default();
    web.add_between(wiring, region, |line| plan.fluids[plan.lines[line].fluid].fluid.gas == gas);
    web.add_inside(plan, region);
    let mut circuits = web.parts(plan);
    name(plan, &mut circuits, &region.elsewhere);
    circuits
}

/// All links of a region over all its spots.
#[derive(Default)]
pub(super) struct Web {
    pub(super) spots: Vec<Spot>,
    places: BTreeMap<(usize, usize), usize>,
    pub(super) links: Vec<CircuitLink>,
}

impl Web {
    fn port(&mut self, port: PortRef) -> usize {
        let next = self.spots.len();
        let index = *self.places.entry((port.component, port.port)).or_insert(next);
        if index == next {
            self.spots.push(Spot::Port(port));
        }
        index
    }

    fn link(&mut self, kind: LinkKind, from: usize, to: usize) {
        self.links.push(CircuitLink { kind, from, to });
    }

    /// Those of the lines that are wanted, and the joins.
    pub(super) fn add_between(
        &mut self,
        wiring: &Wiring,
        region: &Region,
        wanted: impl Fn(usize) -> bool,
    ) {
        for line in region.lines.iter().copied().filter(|line| wanted(*line)) {
            let [from, to] = wiring.lines[line].map(|p| self.port(p));
            self.link(LinkKind::Line(line), from, to);
        }
        for join in &region.joins {
            let [from, to] = wiring.joins[*join].map(|p| self.port(p));
            self.link(LinkKind::Join, from, to);
        }
    }

    /// What leads through the components.
    pub(super) fn add_inside(&mut self, plan: &Plan, region: &Region) {
        for (&index, paths) in &region.components {
            let component = &plan.components[index];
            if component.kind == "tee" && component.paths.is_empty() {
                self.add_tee(index, component);
            }
            for &path in paths {
                let inside = &component.paths[path];
                let port = |port| PortRef { component: index, port };
                let (from, to) = (self.port(port(inside.from)), self.port(port(inside.to)));
                self.link(LinkKind::Path { component: index, path }, from, to);
            }
        }
    }

    /// A tee without paths of its own: every port in use leads to the middle.
    fn add_tee(&mut self, component: usize, tee: &Component) {
        let used: Vec<usize> =
            (0..tee.ports.len()).filter(|p| self.places.contains_key(&(component, *p))).collect();
        if used.is_empty() {
            return;
        }
        let middle = self.spots.len();
        self.spots.push(Spot::Centre(component));
        for port in used {
            let port = PortRef { component, port };
            let from = self.port(port);
            self.link(LinkKind::Leg(port), from, middle);
        }
    }

    /// Of each spot the first one that it is connected with.
    pub(super) fn roots(&self) -> Vec<usize> {
        let mut root: Vec<usize> = (0..self.spots.len()).collect();
        for link in &self.links {
            let (a, b) = (find(&mut root, link.from), find(&mut root, link.to));
            root[a.max(b)] = a.min(b);
        }
        (0..root.len()).map(|spot| find(&mut root, spot)).collect()
    }

    /// The connected parts that hold a line.
    fn parts(&self, plan: &Plan) -> Vec<Circuit> {
        let root = self.roots();
        let mut parts: BTreeMap<usize, Circuit> = BTreeMap::new();
        let mut order: Vec<usize> = Vec::new();
        for link in &self.links {
            let LinkKind::Line(line) = link.kind else { continue };
            let part = root[link.from];
            let fluid = plan.lines[line].fluid;
            parts.entry(part).or_insert_with(|| {
                order.push(part);
                Circuit {
                    name: String::new(),
                    fluid,
                    spots: Vec::new(),
                    links: Vec::new(),
                    missing: Vec::new(),
                }
            });
        }
        let mut local = vec![0; self.spots.len()];
        for (index, spot) in self.spots.iter().enumerate() {
            if let Some(part) = parts.get_mut(&root[index]) {
                local[index] = part.spots.len();
                part.spots.push(*spot);
            }
        }
        for link in &self.links {
            if let Some(part) = parts.get_mut(&root[link.from]) {
                let (from, to) = (local[link.from], local[link.to]);
                part.links.push(CircuitLink { kind: link.kind, from, to });
            }
        }
        order.iter().filter_map(|part| parts.remove(part)).collect()
    }
}

fn find(root: &mut [usize], mut at: usize) -> usize {
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

/// Names the circuits by their system, and by their first line where it has several, here or elsewhere.
fn name(plan: &Plan, circuits: &mut [Circuit], elsewhere: &BTreeMap<String, usize>) {
    let first = |c: &Circuit| c.lines().next().map(|l| &plan.lines[l]);
    let mut counts = elsewhere.clone();
    for line in circuits.iter().filter_map(first) {
        *counts.entry(line.system.clone()).or_default() += 1;
    }
    for circuit in circuits {
        let Some(line) = first(circuit) else { continue };
        let several = counts.get(&line.system).is_some_and(|count| *count > 1);
        circuit.name =
            if several { format!("{} of {}", line.system, line.id) } else { line.system.clone() };
    }
}
