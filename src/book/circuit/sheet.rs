//! Drawings of a group: one if it fits on a sheet of paper, else several with flags where lines go on.

use std::collections::{BTreeMap, BTreeSet};

use super::body::{Body, ROW, STEPS, body, steps};
use super::divide::parts;
use super::group::{Group, Meeting, What};
use super::layout::{
    Block, End, Graph, Layout, Pin, Side, Spot, Wire, depth, lay_out, layers, least_size,
};
use super::letter::{SMALL, USUAL, width};
use crate::book::Book;
use crate::report::drawing::sheet::Paper;

/// Between two upright lines, mm.
const TRACK: f64 = 3.0;
/// Room for the head of an arrow, mm.
const ARROW: f64 = 5.0;
/// Round a drawing, mm.
pub const MARGIN: f64 = 2.0;
/// Margins of the page, mm.
const PAGE: f64 = 26.0;
/// Room for heading and caption, mm.
const CAPTION: f64 = 26.0;
/// What a corner of a wire is worth, mm of wire.
const CORNER: f64 = 15.0;

/// Where a line goes on in another drawing.
#[derive(Debug)]
pub struct Flag {
    /// Index of the pipe.
    pub pipe: usize,
    /// Which of its ends is elsewhere.
    pub end: usize,
    /// What it says.
    pub words: String,
}

impl Flag {
    /// Its width, steps.
    pub fn width(&self) -> i32 {
        steps(width(&self.words, SMALL) + 6.0)
    }
}

/// A drawing before it is drawn.
#[derive(Debug)]
pub struct Sheet {
    /// Its components.
    pub bodies: Vec<Body>,
    /// Where its lines go on.
    pub flags: Vec<Flag>,
    /// The pipes in it, by index.
    pub pipes: Vec<usize>,
    /// Where everything stands.
    pub layout: Layout,
    /// Whether it stands on an upright page.
    pub upright: bool,
    /// Whether it is larger than the paper.
    pub too_large: bool,
}

/// What there is room for on a page across and on an upright one, mm.
fn rooms(paper: Paper) -> [[f64; 2]; 2] {
    let [long, short] = paper.sides_mm();
    [[long - PAGE, short - PAGE - CAPTION], [short - PAGE, long - PAGE - CAPTION]]
}

/// Words in the bubble of a line: its name and its bore.
pub fn bubble(book: &Book<'_>, line: usize) -> [String; 2] {
    let id = super::letter::fitted(&book.assessment.plan.lines[line].id, USUAL, 24.0);
    [id, super::bore(book, line)]
}

/// Width of a bubble, mm.
pub fn bubble_width(words: &[String; 2]) -> f64 {
    (width(&words[0], USUAL) * 1.15).max(width(&words[1], SMALL)) + 3.0
}

/// The drawings of a group.
pub fn sheets(book: &Book<'_>, group: &Group<'_>) -> Vec<Sheet> {
    let kit = Kit::new(book, group);
    let parts = parts(&kit);
    let mut number = BTreeMap::new();
    for (index, part) in parts.iter().enumerate() {
        number.extend(part.iter().map(|component| (*component, index + 1)));
    }
    let number = |c: usize| number.get(&c).copied().unwrap_or(0);
    let paper = book.look.paper;
    parts.iter().filter_map(|part| Part::new(&kit, part, &number).sheet(paper)).collect()
}

/// What all drawings of a group are made from.
pub struct Kit<'k> {
    /// The book.
    pub book: &'k Book<'k>,
    /// The group.
    pub group: &'k Group<'k>,
    bodies: BTreeMap<usize, Body>,
    /// The pipes of each component, by index.
    pipes: BTreeMap<usize, Vec<usize>>,
}

impl<'k> Kit<'k> {
    fn new(book: &'k Book<'k>, group: &'k Group<'k>) -> Self {
        let rooms = |m: &Meeting| steps(outside(book, group, m));
        let components = group.components(&book.assessment.plan);
        let drawn = |c: &usize| (*c, body(book, group, *c, &rooms));
        let bodies = components.iter().map(drawn).collect();
        let mut pipes: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (index, pipe) in group.pipes.iter().enumerate() {
            for end in pipe.ends {
                pipes.entry(end.component).or_default().push(index);
            }
        }
        Self { book, group, bodies, pipes }
    }

    /// Whether components fit on one sheet: not looked at where they alone nearly fill the paper.
    pub fn fits(&self, part: &[usize]) -> bool {
        let [[across, down], _] = rooms(self.book.look.paper);
        let area = |b: &Block| f64::from(b.width) / STEPS * f64::from(b.rows + 1) * ROW;
        let fills = |areas: f64| areas >= 0.8 * across * down;
        let bodies = part.iter().filter_map(|c| self.bodies.get(c));
        if fills(bodies.map(|body| area(&body.block)).sum()) {
            return false;
        }
        let graph = Part::new(self, part, &|_| 88).graph;
        if fills(graph.blocks.iter().map(area).sum()) {
            return false;
        }
        let layers = layers(&graph);
        let over = |size: [f64; 2]| size[0] > across || size[1] > down;
        // What cannot fit, however it is ordered, is not laid out.
        let may = |columns: &usize| !over(paper_mm(least_size(&graph, &layers, *columns)));
        (1..=depth(&graph).max(1))
            .filter(may)
            .any(|columns| lay_out(&graph, columns).is_ok_and(|layout| !over(size(&layout))))
    }
}

/// A part of a group, ready to be laid out.
struct Part {
    bodies: Vec<Body>,
    flags: Vec<Flag>,
    pipes: Vec<usize>,
    graph: Graph,
}

impl Part {
    fn new(kit: &Kit<'_>, part: &[usize], number: &dyn Fn(usize) -> usize) -> Self {
        let bodies: Vec<Body> = part.iter().filter_map(|c| kit.bodies.get(c)).cloned().collect();
        let pipes: BTreeSet<usize> =
            part.iter().filter_map(|c| kit.pipes.get(c)).flatten().copied().collect();
        let pipes: Vec<usize> = pipes.into_iter().collect();
        let flags = flags(kit, &part.iter().copied().collect(), &pipes, number);
        let graph = graph(kit, &bodies, &flags, &pipes);
        Self { bodies, flags, pipes, graph }
    }

    /// Its layouts in one column, in two, and so on.
    fn layouts(&self) -> impl Iterator<Item = Layout> {
        (1..=depth(&self.graph).max(1)).filter_map(|columns| lay_out(&self.graph, columns).ok())
    }

    /// Laid out as suits it best; none if that cannot be done.
    fn sheet(self, paper: Paper) -> Option<Sheet> {
        let judged = self.layouts().map(|layout| {
            let [across, upright] = excess(&layout, paper);
            (layout, across.min(upright), upright < across)
        });
        let best = judged.min_by(|(a, over, turned), (b, other, also)| {
            let fitting = over.total_cmp(other).then(turned.cmp(also));
            fitting.then(cost(a).total_cmp(&cost(b)))
        });
        let (layout, excess, upright) = best?;
        let Self { bodies, flags, pipes, .. } = self;
        Some(Sheet { bodies, flags, pipes, layout, upright, too_large: excess > 0.0 })
    }
}

/// By how much a layout is larger than a page across and an upright one, as a share.
fn excess(layout: &Layout, paper: Paper) -> [f64; 2] {
    let [w, h] = size(layout);
    rooms(paper).map(|[across, down]| (w / across - 1.0).max(h / down - 1.0).max(0.0))
}

/// Width and height of a drawing, mm.
pub fn size(layout: &Layout) -> [f64; 2] {
    paper_mm(layout.size)
}

fn paper_mm(spot: Spot) -> [f64; 2] {
    let [x, y] = spot.map(f64::from);
    [x / STEPS + 2.0 * MARGIN, y * ROW / 2.0 + 2.0 * MARGIN]
}

/// Length of all wires, mm, with something for each corner and for the paper.
fn cost(layout: &Layout) -> f64 {
    let length = |w: [Spot; 2]| {
        let [dx, dy] = [0, 1].map(|i| f64::from((w[1][i] - w[0][i]).abs()));
        dx / STEPS + dy * ROW / 2.0 + CORNER
    };
    let wires = layout.wires.iter().flat_map(|w| w.windows(2).map(|w| length([w[0], w[1]])));
    let [across, down] = size(layout);
    wires.sum::<f64>() + across * down / 100.0
}

/// How far a pipe runs straight on outside a component, mm.
fn outside(book: &Book<'_>, group: &Group<'_>, meeting: &Meeting) -> f64 {
    let Some((pipe, end)) = meeting.pipe else { return 0.0 };
    match (group.pipes[pipe].what, end) {
        (What::Join(_), _) => 1.0,
        (What::Line(line), 0) => bubble_width(&bubble(book, line)) + 2.0,
        (What::Line(_), _) => ARROW,
    }
}

fn flags(
    kit: &Kit<'_>,
    part: &BTreeSet<usize>,
    pipes: &[usize],
    number: &dyn Fn(usize) -> usize,
) -> Vec<Flag> {
    let plan = &kit.book.assessment.plan;
    let mut flags = Vec::new();
    for pipe in pipes {
        for (end, port) in kit.group.pipes[*pipe].ends.iter().enumerate() {
            if !part.contains(&port.component) {
                let words = format!("{}, drawing {}", plan.port_name(port), number(port.component));
                flags.push(Flag { pipe: *pipe, end, words });
            }
        }
    }
    flags
}

fn graph(kit: &Kit<'_>, bodies: &[Body], flags: &[Flag], pipes: &[usize]) -> Graph {
    let mut blocks: Vec<Block> = bodies.iter().map(|b| b.block.clone()).collect();
    blocks.extend(flags.iter().map(|flag| {
        let side = if flag.end == 0 { Side::Right } else { Side::Left };
        let meeting = Meeting { port: 0, side, pipe: Some((flag.pipe, flag.end)) };
        let room = steps(outside(kit.book, kit.group, &meeting));
        let pins = vec![Pin { side, row: 0, room }];
        Block { width: flag.width(), rows: 1, pins }
    }));
    let mut ends: BTreeMap<(usize, usize), End> = BTreeMap::new();
    for (index, flag) in flags.iter().enumerate() {
        ends.insert((flag.pipe, flag.end), End { block: bodies.len() + index, pin: 0 });
    }
    for (block, body) in bodies.iter().enumerate() {
        let met = body.meetings.iter().enumerate();
        ends.extend(met.filter_map(|(pin, m)| Some((m.pipe?, End { block, pin }))));
    }
    let find = |pipe: usize, end: usize| ends.get(&(pipe, end)).copied();
    let wire = |pipe: &usize| Some(Wire { ends: [find(*pipe, 0)?, find(*pipe, 1)?] });
    Graph { blocks, wires: pipes.iter().filter_map(wire).collect(), track: steps(TRACK) }
}
