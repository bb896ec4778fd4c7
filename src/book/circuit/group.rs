//! What one drawing shows: lines, joins and paths that belong together, and which way the fluid goes.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::Book;
use crate::plan::{Plan, PortRef};
use crate::solve::network::facts::{Answer, CircuitFacts};

use super::layout::Side;

/// A flow smaller than this share of the largest one has no direction.
const NO_FLOW: f64 = 1e-9;

/// What leads from port to port.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A line, by its index.
    Line(usize),
    /// A join, by its index.
    Join(usize),
}

/// A line or a join in the direction of its flow.
#[derive(Clone, Copy, Debug)]
pub struct Pipe {
    /// What it is.
    pub what: What,
    /// Where it begins and ends.
    pub ends: [PortRef; 2],
    /// Whether the direction was calculated; else it is that of the plan.
    pub calculated: bool,
}

/// Lines, joins and paths that belong together.
#[derive(Debug)]
pub struct Group<'a> {
    /// Its name.
    pub name: String,
    /// The lines and the joins.
    pub pipes: Vec<Pipe>,
    /// Paths by component and index.
    pub paths: BTreeSet<(usize, usize)>,
    /// Whether a gas is in it.
    pub gas: bool,
    /// The first named case with an answer, and the answer.
    pub answer: Option<(&'a str, &'a Answer)>,
}

/// The circuits, then the lines of none by their systems.
pub fn groups<'a>(book: &Book<'a>) -> Vec<Group<'a>> {
    let assessment = book.assessment;
    let circuits = &assessment.facts.network.circuits;
    let mut groups: Vec<Group<'_>> = circuits.iter().map(|c| of_circuit(book, c)).collect();
    let taken: BTreeSet<usize> = circuits.iter().flat_map(|c| c.lines.iter().copied()).collect();
    let liquid: BTreeSet<(usize, usize)> =
        circuits.iter().flat_map(|c| c.paths.iter().copied()).collect();
    let mut systems: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, line) in assessment.plan.lines.iter().enumerate() {
        if !taken.contains(&index) {
            systems.entry(&line.system).or_default().push(index);
        }
    }
    for (system, lines) in systems {
        let paths = around(&assessment.plan, &lines, &liquid);
        groups.push(gather(&assessment.plan, system.to_owned(), &lines, paths, None));
    }
    groups
}

fn of_circuit<'a>(book: &Book<'a>, circuit: &'a CircuitFacts) -> Group<'a> {
    let facts = &book.assessment.facts;
    let answer = circuit.answers.iter().find_map(|(case, answer)| {
        let case = facts.cases.get(*case).filter(|c| !c.combined)?;
        Some((case.name.as_str(), answer.as_ref().ok()?))
    });
    let paths = circuit.paths.iter().copied().collect();
    gather(&book.assessment.plan, circuit.name.clone(), &circuit.lines, paths, answer)
}

/// Paths that lead on from the ports of lines, through components and joins, but not those of liquids.
fn around(
    plan: &Plan,
    lines: &[usize],
    liquid: &BTreeSet<(usize, usize)>,
) -> BTreeSet<(usize, usize)> {
    let mut paths = BTreeSet::new();
    loop {
        let ports = ports(plan, lines, &paths);
        let inside = |(c, p): &(usize, usize)| {
            let path = &plan.components[*c].paths[*p];
            [path.from, path.to].iter().any(|port| ports.contains(&(*c, *port)))
        };
        let all = plan.components.iter().enumerate();
        let all = all.flat_map(|(c, component)| (0..component.paths.len()).map(move |p| (c, p)));
        let more: BTreeSet<_> = all.filter(|p| !liquid.contains(p) && inside(p)).collect();
        if more == paths {
            return paths;
        }
        paths = more;
    }
}

/// All ports that lines, paths, joins and the middles of tees connect.
fn ports(
    plan: &Plan,
    lines: &[usize],
    paths: &BTreeSet<(usize, usize)>,
) -> BTreeSet<(usize, usize)> {
    let key = |p: PortRef| (p.component, p.port);
    let mut ports: BTreeSet<(usize, usize)> =
        lines.iter().flat_map(|l| [plan.lines[*l].from, plan.lines[*l].to].map(key)).collect();
    for (component, path) in paths {
        let path = &plan.components[*component].paths[*path];
        ports.extend([(*component, path.from), (*component, path.to)]);
    }
    loop {
        let before = ports.len();
        for join in &plan.joins {
            let both = join.ports.map(key);
            if both.iter().any(|p| ports.contains(p)) {
                ports.extend(both);
            }
        }
        for join in &plan.joins {
            for port in join.ports {
                let tee = &plan.components[port.component];
                let open = tee.kind == "tee" && tee.paths.is_empty();
                if open && ports.iter().any(|p| p.0 == port.component) {
                    ports.insert(key(port));
                }
            }
        }
        if ports.len() == before {
            return ports;
        }
    }
}

fn gather<'a>(
    plan: &Plan,
    name: String,
    lines: &[usize],
    paths: BTreeSet<(usize, usize)>,
    answer: Option<(&'a str, &'a Answer)>,
) -> Group<'a> {
    let ports = ports(plan, lines, &paths);
    let found = answer.map(|a| a.1);
    let mut pipes: Vec<Pipe> = lines.iter().map(|l| line(plan, *l, found)).collect();
    let joins = plan.joins.iter().enumerate();
    let inside = joins.filter(|(_, j)| ports.contains(&(j.ports[0].component, j.ports[0].port)));
    pipes.extend(inside.map(|(index, _)| join(plan, index, &paths, found)));
    let gas = lines.first().is_some_and(|l| plan.fluids[plan.lines[*l].fluid].fluid.gas);
    Group { name, pipes, paths, gas, answer }
}

fn line(plan: &Plan, index: usize, answer: Option<&Answer>) -> Pipe {
    let line = &plan.lines[index];
    let flow = answer.and_then(|a| flow_in(a, index)).unwrap_or(0.0);
    let ends = if flow < 0.0 { [line.to, line.from] } else { [line.from, line.to] };
    Pipe { what: What::Line(index), ends, calculated: flow != 0.0 }
}

/// Flow of a line from its first end to its second, m3/s; 0 where nothing moves.
pub fn flow_in(answer: &Answer, line: usize) -> Option<f64> {
    let most = answer.lines.iter().map(|l| l.flow_m3_s.abs()).fold(0.0, f64::max);
    let flow = answer.lines.iter().find(|l| l.line == line)?.flow_m3_s;
    Some(if flow.abs() > NO_FLOW * most { flow } else { 0.0 })
}

fn join(
    plan: &Plan,
    index: usize,
    paths: &BTreeSet<(usize, usize)>,
    answer: Option<&Answer>,
) -> Pipe {
    let [a, b] = plan.joins[index].ports;
    let flow = answer.and_then(|answer| {
        let most = answer.joins.iter().map(|j| j.flow_m3_s.abs()).fold(0.0, f64::max);
        let found = answer.joins.iter().find(|j| j.ports == [a, b] || j.ports == [b, a])?;
        let flow = if found.ports == [a, b] { found.flow_m3_s } else { -found.flow_m3_s };
        (flow.abs() > NO_FLOW * most).then_some(flow)
    });
    // Without a flow, the paths at its two ports tell where it comes from.
    let out = |port: PortRef| paths.iter().any(|(c, p)| ends_at(plan, *c, *p, port, false));
    let into = |port: PortRef| paths.iter().any(|(c, p)| ends_at(plan, *c, *p, port, true));
    let tank = |port: PortRef| plan.components[port.component].kind == "tank";
    let guess = match (into(a) || out(b), out(a) || into(b)) {
        (true, false) => true,
        (false, true) => false,
        _ => tank(b) && !tank(a),
    };
    let turned = flow.map_or(guess, |f| f < 0.0);
    let ends = if turned { [b, a] } else { [a, b] };
    Pipe { what: What::Join(index), ends, calculated: flow.is_some() }
}

/// Whether a path begins, or ends, at a port.
fn ends_at(plan: &Plan, component: usize, path: usize, port: PortRef, begins: bool) -> bool {
    let path = &plan.components[component].paths[path];
    component == port.component && port.port == if begins { path.from } else { path.to }
}

/// A place where something meets a component in a drawing.
#[derive(Clone, Copy, Debug)]
pub struct Meeting {
    /// Index of the port.
    pub port: usize,
    /// Side of the component: what comes in on the left, what goes out on the right.
    pub side: Side,
    /// Index of the pipe, and which of its ends; none for a port that only a path leads to.
    pub pipe: Option<(usize, usize)>,
}

impl Group<'_> {
    /// Components in the order in which circles are begun: tanks first, then what nothing leads to.
    pub fn components(&self, plan: &Plan) -> Vec<usize> {
        let of_pipes = self.pipes.iter().flat_map(|p| p.ends.map(|e| e.component));
        let all: BTreeSet<usize> = of_pipes.chain(self.paths.iter().map(|p| p.0)).collect();
        let mut all: Vec<usize> = all.into_iter().collect();
        let fed: BTreeSet<usize> = self.pipes.iter().map(|p| p.ends[1].component).collect();
        all.sort_by_key(|c| (plan.components[*c].kind != "tank", fed.contains(c)));
        all
    }

    /// Where pipes and paths meet a component, in the order of its ports.
    pub fn meetings(&self, plan: &Plan, component: usize) -> Vec<Meeting> {
        let mut meetings = Vec::new();
        for (pipe, ends) in self.pipes.iter().map(|p| p.ends).enumerate() {
            for (end, port) in ends.iter().enumerate().filter(|(_, p)| p.component == component) {
                let side = if end == 0 { Side::Right } else { Side::Left };
                meetings.push(Meeting { port: port.port, side, pipe: Some((pipe, end)) });
            }
        }
        for (_, path) in self.paths.range((component, 0)..(component + 1, 0)) {
            let path = &plan.components[component].paths[*path];
            for (port, side) in [(path.from, Side::Left), (path.to, Side::Right)] {
                if meetings.iter().all(|m| m.port != port) {
                    meetings.push(Meeting { port, side, pipe: None });
                }
            }
        }
        meetings.sort_by_key(|m| m.port);
        meetings
    }
}
