//! The circuits of the machine: what liquid connects with what, through lines, components and joins.

use std::collections::{BTreeMap, BTreeSet};

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
    let mut web = Web::default();
    web.add_lines(plan, wiring, gas);
    web.add_inside(plan);
    let mut circuits = web.parts(plan);
    name(plan, &mut circuits);
    circuits
}

/// All links of the plan over all its spots.
#[derive(Default)]
struct Web {
    spots: Vec<Spot>,
    places: BTreeMap<(usize, usize), usize>,
    links: Vec<CircuitLink>,
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

    fn add_lines(&mut self, plan: &Plan, wiring: &Wiring, gas: bool) {
        for (index, ports) in wiring.lines.iter().enumerate() {
            if plan.fluids[plan.lines[index].fluid].fluid.gas == gas {
                let [from, to] = ports.map(|p| self.port(p));
                self.link(LinkKind::Line(index), from, to);
            }
        }
        for ports in &wiring.joins {
            let [from, to] = ports.map(|p| self.port(p));
            self.link(LinkKind::Join, from, to);
        }
    }

    fn add_inside(&mut self, plan: &Plan) {
        for (index, component) in plan.components.iter().enumerate() {
            if component.kind == "tee" && component.paths.is_empty() {
                self.add_tee(index, component);
            }
            for (path, inside) in component.paths.iter().enumerate() {
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

    /// The connected parts that hold a line.
    fn parts(&self, plan: &Plan) -> Vec<Circuit> {
        let mut root: Vec<usize> = (0..self.spots.len()).collect();
        for link in &self.links {
            let (a, b) = (find(&mut root, link.from), find(&mut root, link.to));
            root[a.max(b)] = a.min(b);
        }
        let mut parts: BTreeMap<usize, Circuit> = BTreeMap::new();
        let mut order: Vec<usize> = Vec::new();
        for link in &self.links {
            let LinkKind::Line(line) = link.kind else { continue };
            let part = find(&mut root, link.from);
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
            if let Some(part) = parts.get_mut(&find(&mut root, index)) {
                local[index] = part.spots.len();
                part.spots.push(*spot);
            }
        }
        for link in &self.links {
            if let Some(part) = parts.get_mut(&find(&mut root, link.from)) {
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

fn name(plan: &Plan, circuits: &mut [Circuit]) {
    let first = |c: &Circuit| c.lines().next().map(|l| &plan.lines[l]);
    let systems: Vec<String> =
        circuits.iter().map(|c| first(c).map_or(String::new(), |l| l.system.clone())).collect();
    for (circuit, system) in circuits.iter_mut().zip(&systems) {
        let several = systems.iter().filter(|s| *s == system).count() > 1;
        let line = first(circuit).map_or(String::new(), |l| l.id.clone());
        circuit.name = if several { format!("{system} of {line}") } else { system.clone() };
    }
}
