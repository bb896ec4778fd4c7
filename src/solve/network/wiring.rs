//! Which ports the lines and the joins connect: as planned, or with two ends exchanged.

use std::collections::BTreeSet;

use crate::plan::{Plan, PortRef};

/// Ports of every line and every join, by their index in the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Wiring {
    /// The ports at A and B of each line.
    pub lines: Vec<[PortRef; 2]>,
    /// The two ports of each join.
    pub joins: Vec<[PortRef; 2]>,
}

/// One end of a line or of a join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// End A (0) or B (1) of a line.
    Line(usize, usize),
    /// One of the two ports of a join.
    Join(usize, usize),
}

impl Wiring {
    /// The wiring as planned.
    pub fn planned(plan: &Plan) -> Self {
        Self {
            lines: plan.lines.iter().map(|l| [l.from, l.to]).collect(),
            joins: plan.joins.iter().map(|j| j.ports).collect(),
        }
    }

    /// Every end, those of the lines first.
    pub fn ends(&self) -> Vec<End> {
        let lines = (0..self.lines.len()).flat_map(|l| [End::Line(l, 0), End::Line(l, 1)]);
        let joins = (0..self.joins.len()).flat_map(|j| [End::Join(j, 0), End::Join(j, 1)]);
        lines.chain(joins).collect()
    }

    /// The port that an end is on.
    pub fn port(&self, end: End) -> PortRef {
        match end {
            End::Line(line, side) => self.lines[line][side],
            End::Join(join, side) => self.joins[join][side],
        }
    }

    /// The wiring with two ends on each other's ports.
    #[must_use]
    pub fn exchanged(&self, a: End, b: End) -> Self {
        let mut other = self.clone();
        let (at_a, at_b) = (self.port(a), self.port(b));
        *other.place(a) = at_b;
        *other.place(b) = at_a;
        other
    }

    fn place(&mut self, end: End) -> &mut PortRef {
        match end {
            End::Line(line, side) => &mut self.lines[line][side],
            End::Join(join, side) => &mut self.joins[join][side],
        }
    }

    /// Ports of each component that nothing is on.
    pub fn open_ports(&self, plan: &Plan) -> Vec<Vec<usize>> {
        let mut open: Vec<BTreeSet<usize>> =
            plan.components.iter().map(|c| (0..c.ports.len()).collect()).collect();
        for port in self.lines.iter().chain(&self.joins).flatten() {
            open[port.component].remove(&port.port);
        }
        open.into_iter().map(|ports| ports.into_iter().collect()).collect()
    }
}
