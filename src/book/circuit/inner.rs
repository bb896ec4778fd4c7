//! The inside of a component with several paths: their rows, and wires from them to the ports.

use std::collections::BTreeSet;

use super::group::{Group, Meeting};
use super::layout::Side;
use super::layout::channel::{Net, Way, route};
use super::letter::{SMALL, fitted, width};
use super::setting;
use super::symbol::Symbol;
use crate::book::Book;
use crate::plan::{Path, Plan};

/// Between two upright wires, mm.
pub const TRACK: f64 = 2.5;
/// Text at a path is cut beyond this, mm.
const TEXT: f64 = 38.0;

/// A path in its row.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its symbol.
    pub symbol: Symbol,
    /// Whether it is drawn with its flow to the right.
    pub forward: bool,
    /// Where it stands, in rows from the top.
    pub level: i32,
    /// Where both ends are on one side: the side from which the wire of the far end leads back below it.
    pub back: Option<Side>,
    /// What is written behind its symbol, over and under the wire.
    pub words: [String; 2],
}

impl Row {
    /// Rows below its own that it takes.
    fn below(&self) -> i32 {
        i32::from(self.back.is_some() || self.symbol.is_tall())
    }
}

/// Wires between the ports of one side and the paths.
#[derive(Clone, Debug, Default)]
pub struct Gutter {
    /// The nets; their left pins at the left bank.
    pub nets: Vec<Net>,
    /// Their ways.
    pub ways: Vec<Way>,
}

impl Gutter {
    fn new(nets: Vec<Net>) -> Self {
        let ways = route(&nets);
        Self { nets, ways }
    }

    /// Its width, mm.
    pub fn width(&self) -> f64 {
        let tracks = self.ways.iter().flat_map(|w| &w.risers).map(|r| r.track + 1).max();
        let tracks = u32::try_from(tracks.unwrap_or(0)).unwrap_or(u32::MAX);
        if tracks == 0 { 1.0 } else { TRACK * f64::from(tracks + 1) }
    }
}

/// The inside of a component.
#[derive(Clone, Debug)]
pub struct Inner {
    /// Its paths.
    pub paths: Vec<Row>,
    /// The rows of its pins.
    pub rows: Vec<i32>,
    /// The last row.
    pub last: i32,
    /// Room for the names of ports left and right, mm.
    pub names: [f64; 2],
    /// Wires left and right of the paths.
    pub gutters: [Gutter; 2],
    /// How far the symbols reach to either side, mm.
    pub reach: f64,
    /// Room for the paths and their words, mm.
    pub middle: f64,
}

impl Inner {
    /// Its width, mm.
    pub fn width(&self) -> f64 {
        self.names[0]
            + self.gutters[0].width()
            + self.middle
            + self.gutters[1].width()
            + self.names[1]
    }
}

/// An end of a path: port, side and row of what it leads to.
type Lead = (usize, Side, i32);

/// The inside of a component in a group.
pub fn inner(book: &Book<'_>, group: &Group<'_>, component: usize, meetings: &[Meeting]) -> Inner {
    let part = &book.assessment.plan.components[component];
    let (paths, leads) = paths(book, group, component, meetings);
    let rows = port_rows(meetings, &leads);
    let gutters = if part.kind == "tee" && paths.is_empty() {
        [Gutter::new(vec![whole(meetings, &rows)]), Gutter::default()]
    } else {
        let heads = stands_for(group, &book.assessment.plan, component, meetings);
        let nets = |side| nets(meetings, &rows, &leads, &heads, side);
        [Side::Left, Side::Right].map(|side| Gutter::new(nets(side)))
    };
    let name = |side: Side| {
        let of_side = meetings.iter().filter(|m| m.side == side);
        let names = of_side.map(|m| width(&part.ports[m.port].name, SMALL).min(22.0) + 2.0);
        names.fold(0.0, f64::max)
    };
    let words = paths.iter().flat_map(|p| &p.words).map(|w| width(w, SMALL) + 2.0);
    let reach = paths.iter().map(|p| p.symbol.reach()).fold(0.0, f64::max);
    let middle = 2.0 * reach + words.fold(1.0, f64::max);
    let last = leads.iter().map(|l| l.2).chain(rows.iter().copied()).max().unwrap_or(1);
    let last = paths.iter().map(|p| p.level + p.below()).fold(last, i32::max);
    Inner {
        paths,
        rows,
        last,
        names: [name(Side::Left), name(Side::Right)],
        gutters,
        reach,
        middle,
    }
}

fn side_of(meetings: &[Meeting], port: usize) -> Side {
    meetings.iter().find(|m| m.port == port).map_or(Side::Left, |m| m.side)
}

/// The paths one below the other, and where their ends are.
fn paths(
    book: &Book<'_>,
    group: &Group<'_>,
    component: usize,
    meetings: &[Meeting],
) -> (Vec<Row>, Vec<Lead>) {
    let plan = &book.assessment.plan;
    let part = &plan.components[component];
    let mut row = 1;
    let mut rows = Vec::new();
    let mut leads = Vec::new();
    for (_, index) in group.paths.range((component, 0)..(component + 1, 0)) {
        let path = &part.paths[*index];
        let symbol = group.symbol(plan, component, *index);
        if merged(symbol, path, meetings) {
            continue;
        }
        let [from, to] = [path.from, path.to].map(|p| (p, side_of(meetings, p)));
        let back = (from.1 == to.1).then_some(from.1);
        leads.push((from.0, from.1, row));
        leads.push((to.0, to.1, if back.is_some() { row + 1 } else { row }));
        let state = part.states.first().filter(|s| s.shut.contains(index));
        let shut = if state.is_some() { ", usually shut" } else { "" };
        let ports = [path.from, path.to].map(|p| part.ports[p].name.as_str());
        // A path without a name of its own is called after its ports, which are named anyway.
        let called = if path.name == ports.join("-") { "" } else { &path.name };
        let words = [
            format!("{called}{shut}").trim_start_matches(", ").to_owned(),
            setting::law(path, book.look.system).unwrap_or_default(),
        ];
        let words = words.map(|w| fitted(&w, SMALL, TEXT));
        let path = Row { symbol, forward: from.1 == Side::Left, level: row, back, words };
        row += path.below() + 1;
        rows.push(path);
    }
    (rows, leads)
}

/// Whether a path is no more than a wire between two ports of one side.
fn merged(symbol: Symbol, path: &Path, meetings: &[Meeting]) -> bool {
    symbol == Symbol::Wire && side_of(meetings, path.from) == side_of(meetings, path.to)
}

/// For each port that such wires lead to, one that stands for all of them.
fn stands_for(
    group: &Group<'_>,
    plan: &Plan,
    component: usize,
    meetings: &[Meeting],
) -> Vec<usize> {
    let part = &plan.components[component];
    let mut heads: Vec<usize> = (0..part.ports.len()).collect();
    for (_, index) in group.paths.range((component, 0)..(component + 1, 0)) {
        let path = &part.paths[*index];
        if merged(group.symbol(plan, component, *index), path, meetings) {
            let [a, b] = [heads[path.from], heads[path.to]];
            heads.iter_mut().filter(|h| **h == a.max(b)).for_each(|h| *h = a.min(b));
        }
    }
    heads
}

/// Rows of the ports: beside the first path that leads to each, else the next one free.
fn port_rows(meetings: &[Meeting], leads: &[Lead]) -> Vec<i32> {
    let wished = |m: &Meeting| leads.iter().filter(|l| l.0 == m.port).map(|l| l.2).min();
    let mut order: Vec<usize> = (0..meetings.len()).collect();
    order.sort_by_key(|i| (wished(&meetings[*i]).unwrap_or(i32::MAX), *i));
    let mut taken = BTreeSet::new();
    let mut rows = vec![1; meetings.len()];
    for index in order {
        let meeting = &meetings[index];
        let mut row = wished(meeting).unwrap_or(1);
        while !taken.insert((meeting.side, row)) {
            row += 1;
        }
        rows[index] = row;
    }
    rows
}

const fn height(row: i32) -> i32 {
    2 * row + 1
}

/// One net for each port of a side.
fn nets(
    meetings: &[Meeting],
    rows: &[i32],
    leads: &[Lead],
    heads: &[usize],
    side: Side,
) -> Vec<Net> {
    let other = if side == Side::Left { Side::Right } else { Side::Left };
    let ports: BTreeSet<usize> =
        meetings.iter().filter(|m| m.side == side).map(|m| heads[m.port]).collect();
    let net = |port: &usize| {
        let outer =
            meetings.iter().zip(rows).filter(|(m, _)| heads[m.port] == *port && m.side == side);
        let inner = leads.iter().filter(|l| heads[l.0] == *port && l.1 == side);
        let outer = outer.map(|(_, row)| (side, height(*row)));
        Net { pins: outer.chain(inner.map(|l| (other, height(l.2)))).collect() }
    };
    ports.iter().map(net).collect()
}

/// The net of a tee: all its ports.
fn whole(meetings: &[Meeting], rows: &[i32]) -> Net {
    Net { pins: meetings.iter().zip(rows).map(|(m, row)| (m.side, height(*row))).collect() }
}
