//! The way that most of the fluid takes in a case: from a tank to the pump and on to where it is used.

use std::collections::BTreeSet;

use crate::plan::{Plan, PortRef};
use crate::solve::network::circuit::holds_still;
use crate::solve::network::facts::Answer;
use crate::solve::network::settle::NO_FLOW_M3_S;

/// A place of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Node {
    /// A port, by component and index.
    Port(usize, usize),
    /// The middle of a tee.
    Centre(usize),
}

impl Node {
    fn of(port: PortRef) -> Self {
        Self::Port(port.component, port.port)
    }

    /// The component it belongs to.
    pub fn component(self) -> usize {
        match self {
            Self::Port(component, _) | Self::Centre(component) => component,
        }
    }
}

/// What leads from one place to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passage {
    /// A line; whether it runs from A to B.
    Line(usize, bool),
    /// A path of a component.
    Path(usize, usize),
    /// Two ports screwed together.
    Join,
    /// From a port of a tee to its middle, or back.
    Leg,
}

/// A step of the fluid, the way it flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// From where.
    pub from: Node,
    /// To where.
    pub to: Node,
    /// What leads there.
    pub what: Passage,
    /// How much flows, m3/s, above 0.
    pub flow_m3_s: f64,
    /// Pressures at both with the fluid at rest, Pa absolute, where they are known.
    pub ends_pa: [Option<f64>; 2],
}

/// Every step of an answer in which something flows.
pub fn steps(plan: &Plan, answer: &Answer) -> Vec<Step> {
    let mut all = Vec::new();
    let mut add = |from: Node, to: Node, what: Passage, flow: f64, ends: [Option<f64>; 2]| {
        let step = if flow >= 0.0 {
            Step { from, to, what, flow_m3_s: flow, ends_pa: ends }
        } else {
            let what =
                if let Passage::Line(line, _) = what { Passage::Line(line, false) } else { what };
            let ends_pa = [ends[1], ends[0]];
            Step { from: to, to: from, what, flow_m3_s: -flow, ends_pa }
        };
        if step.flow_m3_s > NO_FLOW_M3_S {
            all.push(step);
        }
    };
    for line in &answer.lines {
        let own = &plan.lines[line.line];
        let ends = line.ends_pa.map_or([None; 2], |e| e.map(Some));
        let [from, to] = [own.from, own.to].map(Node::of);
        add(from, to, Passage::Line(line.line, true), line.flow_m3_s, ends);
    }
    for path in &answer.paths {
        let own = &plan.components[path.component].paths[path.path];
        let [from, to] = [own.from, own.to].map(|p| Node::Port(path.component, p));
        let what = Passage::Path(path.component, path.path);
        add(from, to, what, path.flow_m3_s, [path.from_pa, path.to_pa]);
    }
    for join in &answer.joins {
        let [from, to] = join.ports.map(Node::of);
        add(from, to, Passage::Join, join.flow_m3_s, [None; 2]);
    }
    let legs: Vec<Step> = all.iter().flat_map(|step| legs(plan, step)).collect();
    all.extend(legs);
    all
}

/// What a step makes flow in the tees at its ends.
fn legs(plan: &Plan, step: &Step) -> Vec<Step> {
    let is_tee = |node: Node| {
        let component = &plan.components[node.component()];
        component.kind == "tee" && component.paths.is_empty()
    };
    let (flow_m3_s, what, ends_pa) = (step.flow_m3_s, Passage::Leg, [None; 2]);
    let centre = |node: Node| Node::Centre(node.component());
    let mut legs = Vec::new();
    if is_tee(step.from) {
        legs.push(Step { from: centre(step.from), to: step.from, what, flow_m3_s, ends_pa });
    }
    if is_tee(step.to) {
        legs.push(Step { from: step.to, to: centre(step.to), what, flow_m3_s, ends_pa });
    }
    legs
}

/// The ways through each pump that runs, or where none runs the way out of the tank that gives most.
pub fn chains(plan: &Plan, steps: &[Step]) -> Vec<Vec<Step>> {
    let mut chains: Vec<Vec<Step>> = Vec::new();
    for pump in steps.iter().filter(|s| is_pump(plan, s)) {
        if !chains.iter().any(|c| c.contains(pump)) {
            chains.push(along_lines(plan, steps, pump));
        }
    }
    if chains.is_empty() {
        let leaves = |s: &&Step| holds_still(&plan.components[s.from.component()]);
        let most = steps.iter().filter(leaves).max_by(|a, b| a.flow_m3_s.total_cmp(&b.flow_m3_s));
        chains.extend(most.map(|first| through(plan, steps, first)));
    }
    chains
}

/// Whether a step is one through a pump.
pub fn is_pump(plan: &Plan, step: &Step) -> bool {
    match step.what {
        Passage::Path(component, path) => plan.components[component].paths[path].law.is_pump(),
        _ => false,
    }
}

/// The way through a step; where the most of the fluid stays inside components, the next most, so that the way
/// has a line.
fn along_lines(plan: &Plan, steps: &[Step], middle: &Step) -> Vec<Step> {
    let first = through(plan, steps, middle);
    let mut left = steps.to_vec();
    let mut way = first.clone();
    let is_line = |s: &Step| matches!(s.what, Passage::Line(..));
    while !way.iter().any(is_line) {
        let parts = |s: &&Step| left.iter().filter(|o| o.from == s.from).count() > 1;
        let Some(part) = way.iter().rev().find(parts).copied() else { return first };
        left.retain(|s| *s != part);
        way = through(plan, &left, middle);
    }
    way
}

/// The way through a step: on along the largest flow, and back along it unless that leads round in a circle.
fn through(plan: &Plan, steps: &[Step], middle: &Step) -> Vec<Step> {
    let mut seen = BTreeSet::from([middle.from, middle.to]);
    let mut before = Vec::new();
    let mut at = middle.from;
    while let Some(step) = largest(plan, steps, at, |s| s.to) {
        if !seen.insert(step.from) {
            before.clear();
            seen = BTreeSet::from([middle.from, middle.to]);
            break;
        }
        at = step.from;
        before.push(*step);
    }
    before.reverse();
    let mut chain = before;
    chain.push(*middle);
    let mut at = middle.to;
    while let Some(step) = largest(plan, steps, at, |s| s.from) {
        chain.push(*step);
        at = step.to;
        if !seen.insert(at) {
            break;
        }
    }
    chain
}

/// The step with the largest flow at a place; none in a tank or out in the open.
fn largest<'s>(
    plan: &Plan,
    steps: &'s [Step],
    at: Node,
    end: impl Fn(&Step) -> Node,
) -> Option<&'s Step> {
    if holds_still(&plan.components[at.component()]) {
        return None;
    }
    let here = steps.iter().filter(|s| end(s) == at);
    here.max_by(|a, b| a.flow_m3_s.total_cmp(&b.flow_m3_s))
}
