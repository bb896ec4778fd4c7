//! Drawings of a group: one if it fits on a sheet of paper, else several with flags where lines go on.

use super::body::{Body, ROW, STEPS, body, steps};
use super::group::{Group, Meeting, What};
use super::layout::{Block, End, Graph, Layout, Pin, Side, Wire, depth, lay_out, layers};
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
    let components = group.components(&book.assessment.plan);
    let mut parts = Vec::new();
    divide(book, group, components, &mut parts);
    join(book, group, &mut parts);
    let count = parts.len();
    let number = |c: usize| parts.iter().position(|p| p.contains(&c)).map_or(0, |n| n + 1);
    let paper = book.look.paper;
    (0..count)
        .filter_map(|part| Part::new(book, group, &parts[part], &number).sheet(paper))
        .collect()
}

/// Parts that fit on a sheet each: halves of what does not, parted where fewest lines are cut.
fn divide(book: &Book<'_>, group: &Group<'_>, part: Vec<usize>, parts: &mut Vec<Vec<usize>>) {
    if part.len() < 2 || fits(book, group, &part) {
        parts.push(part);
        return;
    }
    let mut order = in_layers(book, group, &part);
    let rest = order.split_off(cut(group, &order));
    divide(book, group, order, parts);
    divide(book, group, rest, parts);
}

/// Puts parts together that fit on one sheet, first those that most pipes lead between.
fn join(book: &Book<'_>, group: &Group<'_>, parts: &mut Vec<Vec<usize>>) {
    let between = |a: &[usize], b: &[usize]| {
        let leads = |ends: [usize; 2]| a.contains(&ends[0]) && b.contains(&ends[1]);
        let pipes = group.pipes.iter().map(|p| p.ends.map(|e| e.component));
        pipes.filter(|[x, y]| leads([*x, *y]) || leads([*y, *x])).count()
    };
    let mut first = 0;
    while first < parts.len() {
        let mut others: Vec<usize> = (first + 1..parts.len()).collect();
        others.sort_by_key(|o| (std::cmp::Reverse(between(&parts[first], &parts[*o])), *o));
        let together = others.into_iter().find_map(|other| {
            let mut both = parts[first].clone();
            both.extend(&parts[other]);
            let joined = between(&parts[first], &parts[other]) > 0;
            (joined && fits(book, group, &both)).then_some((other, both))
        });
        match together {
            Some((other, both)) => {
                parts[first] = both;
                parts.remove(other);
            }
            None => first += 1,
        }
    }
}

/// Whether a part fits on a sheet: not looked at where its components alone nearly fill the paper.
fn fits(book: &Book<'_>, group: &Group<'_>, part: &[usize]) -> bool {
    let part = Part::new(book, group, part, &|_| 88);
    let [[across, down], _] = rooms(book.look.paper);
    let area = |b: &Block| f64::from(b.width) / STEPS * f64::from(b.rows + 1) * ROW;
    part.graph.blocks.iter().map(area).sum::<f64>() < 0.8 * across * down
        && part.layouts().any(|layout| excess(&layout, book.look.paper)[0] <= 0.0)
}

/// Components in the order of their layers.
fn in_layers(book: &Book<'_>, group: &Group<'_>, part: &[usize]) -> Vec<usize> {
    let place = |c: usize| part.iter().position(|p| *p == c);
    let mut graph = Graph { track: 1, ..Graph::default() };
    graph.blocks = vec![Block { width: 1, rows: 1, pins: Vec::new() }; part.len()];
    for pipe in &group.pipes {
        if let [Some(a), Some(b)] = pipe.ends.map(|e| place(e.component)) {
            graph.wires.push(Wire { ends: [a, b].map(|block| End { block, pin: 0 }) });
        }
    }
    let layers = layers(&graph);
    let mut order: Vec<usize> = (0..part.len()).collect();
    order.sort_by_key(|i| (layers[*i], book.assessment.plan.components[part[*i]].kind != "tank"));
    order.into_iter().map(|i| part[i]).collect()
}

/// After how many components fewest lines are cut, about the middle.
fn cut(group: &Group<'_>, order: &[usize]) -> usize {
    let cuts = |at: usize| {
        let first = |c: usize| order[..at].contains(&c);
        let inside = |c: usize| order.contains(&c);
        let parted = |p: &&super::group::Pipe| {
            let [a, b] = p.ends.map(|e| e.component);
            inside(a) && inside(b) && first(a) != first(b)
        };
        group.pipes.iter().filter(parted).count()
    };
    let count = order.len();
    let (low, high) = ((count / 3).max(1), (count - count / 3).min(count - 1));
    (low..=high).min_by_key(|at| (cuts(*at), at.abs_diff(count / 2))).unwrap_or(1)
}

/// A part of a group, ready to be laid out.
struct Part {
    bodies: Vec<Body>,
    flags: Vec<Flag>,
    pipes: Vec<usize>,
    graph: Graph,
}

impl Part {
    fn new(
        book: &Book<'_>,
        group: &Group<'_>,
        part: &[usize],
        number: &dyn Fn(usize) -> usize,
    ) -> Self {
        let rooms = |m: &Meeting| steps(outside(book, group, m));
        let bodies: Vec<Body> = part.iter().map(|c| body(book, group, *c, &rooms)).collect();
        let pipes: Vec<usize> = (0..group.pipes.len())
            .filter(|p| group.pipes[*p].ends.iter().any(|e| part.contains(&e.component)))
            .collect();
        let flags = flags(book, group, part, &pipes, number);
        let graph = graph(book, group, &bodies, &flags, &pipes);
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
    let [x, y] = layout.size.map(f64::from);
    [x / STEPS + 2.0 * MARGIN, y * ROW / 2.0 + 2.0 * MARGIN]
}

/// Length of all wires, mm, with something for each corner and for the paper.
fn cost(layout: &Layout) -> f64 {
    let length = |w: [super::layout::Spot; 2]| {
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
    book: &Book<'_>,
    group: &Group<'_>,
    part: &[usize],
    pipes: &[usize],
    number: &dyn Fn(usize) -> usize,
) -> Vec<Flag> {
    let plan = &book.assessment.plan;
    let mut flags = Vec::new();
    for pipe in pipes {
        for (end, port) in group.pipes[*pipe].ends.iter().enumerate() {
            if !part.contains(&port.component) {
                let words = format!("{}, drawing {}", plan.port_name(port), number(port.component));
                flags.push(Flag { pipe: *pipe, end, words });
            }
        }
    }
    flags
}

fn graph(
    book: &Book<'_>,
    group: &Group<'_>,
    bodies: &[Body],
    flags: &[Flag],
    pipes: &[usize],
) -> Graph {
    let mut blocks: Vec<Block> = bodies.iter().map(|b| b.block.clone()).collect();
    blocks.extend(flags.iter().map(|flag| {
        let side = if flag.end == 0 { Side::Right } else { Side::Left };
        let meeting = Meeting { port: 0, side, pipe: Some((flag.pipe, flag.end)) };
        let room = steps(outside(book, group, &meeting));
        let pins = vec![Pin { side, row: 0, room }];
        Block { width: flag.width(), rows: 1, pins }
    }));
    let find = |pipe: usize, end: usize| {
        let in_body = bodies.iter().enumerate().find_map(|(block, body)| {
            let pin = body.meetings.iter().position(|m| m.pipe == Some((pipe, end)))?;
            Some(End { block, pin })
        });
        let flag = || flags.iter().position(|f| f.pipe == pipe && f.end == end);
        in_body.or_else(|| Some(End { block: bodies.len() + flag()?, pin: 0 }))
    };
    let wire = |pipe: &usize| Some(Wire { ends: [find(*pipe, 0)?, find(*pipe, 1)?] });
    Graph { blocks, wires: pipes.iter().filter_map(wire).collect(), track: steps(TRACK) }
}
