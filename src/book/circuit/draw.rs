//! A drawing of a circuit on a canvas.

use super::body::{Body, Look, ROW, STEPS};
use super::group::{Group, Pipe, What};
use super::inner::{Gutter, Inner, TRACK};
use super::layout::channel::{Net, Way};
use super::layout::{Side, Spot};
use super::letter::{SMALL, USUAL, width};
use super::sheet::{Flag, MARGIN, Sheet, bubble, bubble_width, size};
use super::symbol::Symbol;
use crate::book::Book;
use crate::book::canvas::{Anchor, Canvas, Point};
use crate::plan::Service;

/// Length of the head of an arrow, mm.
const HEAD: f64 = 3.2;
/// How far a name stands above its wire, mm.
const ABOVE: f64 = 0.9;

/// Draws a sheet.
pub fn draw(book: &Book<'_>, group: &Group<'_>, sheet: &Sheet, title: String) -> Canvas {
    let mut canvas = Canvas::new(size(&sheet.layout), title);
    for (wire, pipe) in sheet.layout.wires.iter().zip(&sheet.pipes) {
        let points: Vec<Point> = wire.iter().map(|p| on_paper(*p)).collect();
        run(&mut canvas, book, &group.pipes[*pipe], &points);
    }
    for (wire, pipe) in sheet.layout.wires.iter().zip(&sheet.pipes) {
        if let (What::Line(line), [first, second, ..]) = (group.pipes[*pipe].what, wire.as_slice())
        {
            let at = [on_paper(*first), on_paper(*second)];
            label(&mut canvas, &bubble(book, line), at);
        }
    }
    for (body, corner) in sheet.bodies.iter().zip(&sheet.layout.blocks) {
        component(&mut canvas, book, body, on_paper(*corner));
    }
    let flags = sheet.flags.iter().zip(&sheet.layout.blocks[sheet.bodies.len()..]);
    for (flag, corner) in flags {
        goes_on(&mut canvas, flag, on_paper(*corner));
    }
    canvas
}

fn on_paper([x, y]: Spot) -> Point {
    [MARGIN + f64::from(x) / STEPS, MARGIN + f64::from(y) * ROW / 2.0]
}

/// Class of a line by what it is for.
pub fn class(service: Service) -> &'static str {
    match service {
        Service::Suction | Service::Pressure => "thick",
        Service::Vent | Service::Drain => "dash",
        _ => "",
    }
}

/// Two ports screwed together: thick and hollow.
pub fn link(canvas: &mut Canvas, points: &[Point]) {
    canvas.polyline(points, "link");
    canvas.polyline(points, "link core");
}

fn run(canvas: &mut Canvas, book: &Book<'_>, pipe: &Pipe, points: &[Point]) {
    let What::Line(line) = pipe.what else {
        link(canvas, points);
        return;
    };
    let [.., before, tip] = points else { return };
    let along = [tip[0] - before[0], tip[1] - before[1]];
    let length = libm::hypot(along[0], along[1]);
    // The line ends in the head, so that a thick one does not stick out of it.
    let end = [0, 1].map(|i| tip[i] - along[i] / length * HEAD * 0.7);
    let mut shortened = points.to_vec();
    if let Some(last) = shortened.last_mut() {
        *last = end;
    }
    canvas.polyline(&shortened, class(book.assessment.plan.lines[line].service));
    let fill = if pipe.calculated { "filled" } else { "paper" };
    canvas.arrow_head(*tip, along, HEAD, fill);
}

/// The bubble of a line, next to where it begins.
fn label(canvas: &mut Canvas, words: &[String; 2], [from, to]: [Point; 2]) {
    let wide = bubble_width(words);
    let sign = if to[0] < from[0] { -1.0 } else { 1.0 };
    let middle = [from[0] + sign * (1.5 + wide / 2.0), from[1]];
    pill(canvas, middle, wide, if words[1].is_empty() { 4.6 } else { 7.0 });
    let base = if words[1].is_empty() { 1.1 } else { -0.3 };
    canvas.text([middle[0], middle[1] + base], &words[0], Anchor::Middle, "strong");
    canvas.text([middle[0], middle[1] + 2.6], &words[1], Anchor::Middle, "small");
}

fn pill(canvas: &mut Canvas, [x, y]: Point, wide: f64, high: f64) {
    let cut = 1.4;
    let [left, right] = [x - wide / 2.0, x + wide / 2.0];
    let [top, bottom] = [y - high / 2.0, y + high / 2.0];
    let corners = [
        [left + cut, top],
        [right - cut, top],
        [right, top + cut],
        [right, bottom - cut],
        [right - cut, bottom],
        [left + cut, bottom],
        [left, bottom - cut],
        [left, top + cut],
    ];
    canvas.polygon(&corners, "paper");
}

fn goes_on(canvas: &mut Canvas, flag: &Flag, [x, y]: Point) {
    let wide = f64::from(flag.width()) / STEPS;
    let (top, bottom, middle) = (y + 1.4, y + ROW - 1.4, y + ROW / 2.0);
    let right = x + wide;
    let points = if flag.end == 0 {
        [[x, top], [right - 2.5, top], [right, middle], [right - 2.5, bottom], [x, bottom]]
    } else {
        [[right, top], [x + 2.5, top], [x, middle], [x + 2.5, bottom], [right, bottom]]
    };
    canvas.polygon(&points, "thin");
    canvas.text([x + wide / 2.0, middle + 0.9], &flag.words, Anchor::Middle, "small");
}

fn component(canvas: &mut Canvas, book: &Book<'_>, body: &Body, [x, y]: Point) {
    let kind = &book.assessment.plan.components[body.component].kind;
    let (wide, high) = (f64::from(body.block.width) / STEPS, f64::from(body.block.rows) * ROW);
    let pad = frame(canvas, &body.look, kind, [x, y], [wide, high]);
    let [first, second] = if pad > 0.0 { [y + 3.1, y + 5.9] } else { [y + 2.6, y + 5.4] };
    canvas.text([x + pad, first], &body.id, Anchor::Start, "strong");
    let beside = x + pad + width(&body.id, USUAL) * 1.15 + 1.5;
    canvas.text([beside, first], &body.title[0], Anchor::Start, "small");
    canvas.text([x + pad, second], &body.title[1], Anchor::Start, "small");
    for (line, word) in body.foot.iter().enumerate() {
        let step = if line == 0 { 0.0 } else { 3.0 };
        let emblem = if body.emblem { ROW } else { 0.0 };
        let base = y + high - emblem - ROW + 3.0 + step;
        let at = if pad > 0.0 { x + pad } else { x + wide / 2.0 };
        let anchor = if pad > 0.0 { Anchor::Start } else { Anchor::Middle };
        canvas.text([at, base], word, anchor, "small");
    }
    inside(canvas, body, [x, y], wide);
    if body.emblem {
        Symbol::cylinder(canvas, [x + wide / 2.0, y + high - ROW / 2.0 + 3.3]);
    }
    for (pin, name) in body.block.pins.iter().zip(&body.names) {
        let level = y + (f64::from(pin.row) + 0.5) * ROW;
        let (at, anchor) = match pin.side {
            Side::Left => (x + 1.0, Anchor::Start),
            Side::Right => (x + wide - 1.0, Anchor::End),
        };
        canvas.text([at, level - ABOVE], name, anchor, "small");
    }
}

/// The frame of a component, and how far inside it writing begins.
fn frame(canvas: &mut Canvas, look: &Look, kind: &str, at: Point, [wide, high]: Point) -> f64 {
    let [x, y] = at;
    match look {
        Look::One(..) | Look::Ends(_) | Look::Tee(_) => return 0.0,
        Look::Tank { open: true } => {
            let walls = [[x, y - 1.0], [x, y + high], [x + wide, y + high], [x + wide, y - 1.0]];
            canvas.polyline(&walls, "");
        }
        Look::Paths(_) if kind != "tank" => canvas.rectangle(at, [wide, high], "chain thin"),
        Look::Tank { .. } | Look::Paths(_) | Look::Plain => {
            canvas.rectangle(at, [wide, high], "");
        }
    }
    1.5
}

/// Symbols and wires inside a component.
fn inside(canvas: &mut Canvas, body: &Body, [x, y]: Point, wide: f64) {
    match &body.look {
        Look::One(symbol, forward) => {
            let centre = [x + wide / 2.0, y + 1.5 * ROW];
            let reach = symbol.reach();
            canvas.line([x, centre[1]], [centre[0] - reach, centre[1]], "");
            canvas.line([centre[0] + reach, centre[1]], [x + wide, centre[1]], "");
            symbol.draw(canvas, centre, *forward);
        }
        Look::Ends(symbol) => ends(canvas, body, *symbol, [x, y], wide),
        Look::Paths(inner) => paths(canvas, inner, [x, y], wide),
        Look::Tee(inner) => {
            gutter(canvas, &inner.gutters[0], y, [x, x + inner.names[0], x + wide, x + wide]);
        }
        Look::Tank { .. } | Look::Plain => {}
    }
}

fn ends(canvas: &mut Canvas, body: &Body, symbol: Symbol, [x, y]: Point, wide: f64) {
    for (pin, name) in body.block.pins.iter().zip(&body.names) {
        let level = y + (f64::from(pin.row) + 0.5) * ROW;
        let away = width(name, SMALL) + 2.0 + symbol.reach();
        let (edge, centre, forward) = match pin.side {
            Side::Left => (x, x + away, true),
            Side::Right => (x + wide, x + wide - away, false),
        };
        let lead = if forward { centre - symbol.reach() } else { centre + symbol.reach() };
        canvas.line([edge, level], [lead, level], "");
        symbol.draw(canvas, [centre, level], forward);
    }
}

/// Paths between their gutters.
fn paths(canvas: &mut Canvas, inner: &Inner, [x, y]: Point, wide: f64) {
    let left = x + inner.names[0];
    let right = x + wide - inner.names[1];
    let [start, end] = [left + inner.gutters[0].width(), right - inner.gutters[1].width()];
    gutter(canvas, &inner.gutters[0], y, [x, left, start, start]);
    gutter(canvas, &inner.gutters[1], y, [end, end, right, x + wide]);
    for path in &inner.paths {
        let level = y + (f64::from(path.level) + 0.5) * ROW;
        let centre = start + inner.reach;
        let reach = path.symbol.reach();
        let [before, after] = [centre - reach, centre + reach];
        path.symbol.draw(canvas, [centre, level], path.forward);
        if path.back != Some(Side::Right) {
            canvas.line([start, level], [before, level], "");
        }
        if path.back != Some(Side::Left) {
            canvas.line([after, level], [end, level], "");
        }
        if let Some(side) = path.back {
            let (from, to) = if side == Side::Left { (after, start) } else { (before, end) };
            canvas.polyline(&[[from, level], [from, level + ROW], [to, level + ROW]], "");
        }
        let words = start + 2.0 * inner.reach + 1.0;
        for (word, base) in path.words.iter().zip([-ABOVE, 2.9]) {
            canvas.text([words, level + base], word, Anchor::Start, "small");
        }
    }
}

/// Wires of a gutter: between two banks, its level pieces going on to the outer edges.
fn gutter(canvas: &mut Canvas, gutter: &Gutter, y: f64, [outer, left, right, edge]: [f64; 4]) {
    for (net, way) in gutter.nets.iter().zip(&gutter.ways) {
        let track = |side: Side| {
            let riser = match (way.risers.as_slice(), side) {
                ([_, second, ..], Side::Right) => Some(second),
                (risers, _) => risers.first(),
            };
            let tracks = riser.map(|r| u32::try_from(r.track + 1).unwrap_or(u32::MAX));
            tracks.map(|t| left + TRACK * f64::from(t))
        };
        let level = |half: i32| y + f64::from(half) * ROW / 2.0;
        let alone = net.pins.len() < 2;
        for (side, half) in &net.pins {
            let (from, to) = match side {
                Side::Left => (outer, track(*side).unwrap_or(if alone { left } else { right })),
                Side::Right => (track(*side).unwrap_or(if alone { right } else { left }), edge),
            };
            canvas.line([from, level(*half)], [to, level(*half)], "");
        }
        for (riser, side) in way.risers.iter().zip([Side::Left, Side::Right]) {
            let x = track(side).unwrap_or(left);
            canvas.line([x, level(riser.top)], [x, level(riser.bottom)], "");
        }
        if let (Some(half), Some(a), Some(b)) = (way.dogleg, track(Side::Left), track(Side::Right))
        {
            canvas.line([a, level(half)], [b, level(half)], "");
        }
        dots(canvas, net, way, &track, &level);
    }
}

/// A dot where three wires or more meet.
fn dots(
    canvas: &mut Canvas,
    net: &Net,
    way: &Way,
    track: &dyn Fn(Side) -> Option<f64>,
    level: &dyn Fn(i32) -> f64,
) {
    let parted = way.risers.len() > 1;
    for (riser, own) in way.risers.iter().zip([Side::Left, Side::Right]) {
        let Some(x) = track(own) else { continue };
        let mut heights: Vec<i32> = net.pins.iter().map(|p| p.1).chain(way.dogleg).collect();
        heights.sort_unstable();
        heights.dedup();
        for height in heights {
            let level_pieces = net.pins.iter().filter(|p| p.1 == height && (!parted || p.0 == own));
            let pieces = level_pieces.count() + usize::from(way.dogleg == Some(height));
            let up = usize::from(height > riser.top && height <= riser.bottom);
            let down = usize::from(height < riser.bottom && height >= riser.top);
            if pieces > 0 && pieces + up + down > 2 {
                canvas.circle([x, level(height)], 0.7, "filled");
            }
        }
    }
}
