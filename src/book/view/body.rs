//! What stands about the lines: keep-outs, components, known points, the surface of the water.

use core::f64::consts::TAU;

use super::label::Room;
use super::projection::Placed;
use super::scene::Scene;
use crate::book::canvas::{Canvas, Point};
use crate::plan::{KeepOut, KeptBody};

/// Points of the rim of a cylinder.
const RIM: u32 = 24;
/// A plane that the eye looks along this well is a line.
const EDGE_ON: f64 = 0.02;
/// Distance and length of the strokes behind a plane, mm of paper.
const HATCH_MM: [f64; 2] = [5.0, 2.0];

/// A rectangle of paper by its corners.
pub type Window = [Point; 2];

/// What of a keep-out is seen: its outline or its edge, inside the window.
pub fn draw_keep_out(
    canvas: &mut Canvas,
    keep_out: &KeepOut,
    placed: &Placed,
    window: Window,
    room: &mut Room,
) -> Vec<Point> {
    if let KeptBody::Plane { at_mm, faces } = keep_out.body {
        return edge(canvas, (at_mm, faces), placed, window, room);
    }
    let seen = clipped(&hull(solid(&keep_out.body).map(|p| placed.paper(p)).collect()), window);
    if seen.len() > 2 {
        canvas.polygon(&seen, "thin wash");
        outline(&seen, room);
    }
    seen
}

/// The corners of a body, a cylinder by points of its rims.
fn solid(body: &KeptBody) -> Box<dyn Iterator<Item = [f64; 3]> + '_> {
    match body {
        KeptBody::Box { low_mm, high_mm } => Box::new((0..8_u8).map(|corner| {
            core::array::from_fn(|i| if corner >> i & 1 == 0 { low_mm[i] } else { high_mm[i] })
        })),
        KeptBody::Cylinder { from_mm, to_mm, radius_mm } => {
            let [a, b] = square_to(core::array::from_fn(|i| to_mm[i] - from_mm[i]));
            Box::new([from_mm, to_mm].into_iter().flat_map(move |end| {
                (0..RIM).map(move |step| {
                    let turn = TAU * f64::from(step) / f64::from(RIM);
                    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
                    core::array::from_fn(|i| end[i] + radius_mm * (cos * a[i] + sin * b[i]))
                })
            }))
        }
        KeptBody::Plane { .. } => Box::new(core::iter::empty()),
    }
}

/// Two directions of length 1, square to another one and to each other.
fn square_to(along: [f64; 3]) -> [[f64; 3]; 2] {
    let cross = |a: [f64; 3], b: [f64; 3]| {
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    };
    let unit = |a: [f64; 3]| {
        let length = a.iter().map(|c| c * c).sum::<f64>().sqrt();
        a.map(|c| c / length)
    };
    // The axis that is farthest from the direction.
    let least = (0..3).min_by(|i, j| along[*i].abs().total_cmp(&along[*j].abs())).unwrap_or(0);
    let axis = core::array::from_fn(|i| if i == least { 1.0 } else { 0.0 });
    let a = unit(cross(along, axis));
    [a, unit(cross(along, a))]
}

/// A plane that the eye looks along: its edge, hatched on the shut side. Any other is not seen.
fn edge(
    canvas: &mut Canvas,
    (at_mm, faces): ([f64; 3], [f64; 3]),
    placed: &Placed,
    window: Window,
    room: &mut Room,
) -> Vec<Point> {
    if placed.projection.depth(faces).abs() > EDGE_ON {
        return Vec::new();
    }
    let [u, v] = placed.projection.flat(faces);
    let open = [u, -v];
    let along = [-open[1], open[0]];
    let Some([from, to]) = across(placed.paper(at_mm), along, window) else { return Vec::new() };
    canvas.line(from, to, "");
    room.stroke(from, to);
    let length = libm::hypot(to[0] - from[0], to[1] - from[1]);
    let mut strokes = Vec::new();
    let mut at = HATCH_MM[0];
    while at < length {
        let begin = [0, 1].map(|i| from[i] + at / length * (to[i] - from[i]));
        let slant = [0, 1].map(|i| begin[i] - HATCH_MM[1] * (open[i] + along[i]));
        strokes.push(vec![begin, slant]);
        at += HATCH_MM[0];
    }
    canvas.lines(&strokes, "faint");
    let share = |s: f64| [0, 1].map(|i| from[i] + s * (to[i] - from[i]));
    vec![share(0.85), share(0.6), share(0.3)]
}

/// The part of an endless line that lies inside a window.
pub fn across(at: Point, along: Point, [low, high]: Window) -> Option<[Point; 2]> {
    let (mut first, mut last) = (f64::NEG_INFINITY, f64::INFINITY);
    for i in 0..2 {
        if along[i].abs() < 1e-9 {
            if at[i] < low[i] || at[i] > high[i] {
                return None;
            }
            continue;
        }
        let (a, b) = ((low[i] - at[i]) / along[i], (high[i] - at[i]) / along[i]);
        first = first.max(a.min(b));
        last = last.min(a.max(b));
    }
    let ends = [first, last].map(|s| [0, 1].map(|i| at[i] + s * along[i]));
    (first < last && last - first < 1e6).then_some(ends)
}

/// The convex outline of points.
pub fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turns = |a: Point, b: Point, c: Point| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 1e-3
    };
    let half = |points: &mut dyn Iterator<Item = &Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && !turns(a, b, *point)
            {
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut outline = half(&mut points.iter());
    outline.extend(half(&mut points.iter().rev()));
    outline
}

/// A convex outline inside a window.
fn clipped(outline: &[Point], [low, high]: Window) -> Vec<Point> {
    let mut points = outline.to_vec();
    for (axis, bound, sign) in [(0, low, 1.0), (1, low, 1.0), (0, high, -1.0), (1, high, -1.0)] {
        let over = |p: &Point| sign * (p[axis] - bound[axis]);
        let mut kept = Vec::with_capacity(points.len() + 1);
        for (index, point) in points.iter().enumerate() {
            let before = points[(index + points.len() - 1) % points.len()];
            let (a, b) = (over(&before), over(point));
            if (a < 0.0) != (b < 0.0) {
                kept.push([0, 1].map(|i| before[i] + a / (a - b) * (point[i] - before[i])));
            }
            if b >= 0.0 {
                kept.push(*point);
            }
        }
        points = kept;
    }
    points
}

fn outline(points: &[Point], room: &mut Room) {
    for (index, point) in points.iter().enumerate() {
        room.stroke(*point, points[(index + 1) % points.len()]);
    }
}

/// Draws what the ports of each component span, which is not its shape.
pub fn draw_components(canvas: &mut Canvas, scene: &Scene<'_>, placed: &Placed, room: &mut Room) {
    for component in scene.components() {
        let own = scene.ports.iter().filter(|p| p.component == component);
        let points: Vec<Point> = own.map(|p| placed.paper(scene.plan.port(p).1.at_mm)).collect();
        let outline = hull(points);
        if outline.len() > 1 {
            canvas.polygon(&outline, "thin dash");
            self::outline(&outline, room);
        }
    }
}

/// Draws the surface of the water outside where it lies in the window; says whether it does.
pub fn draw_waterline(
    canvas: &mut Canvas,
    scene: &Scene<'_>,
    placed: &Placed,
    window: Window,
    room: &mut Room,
) -> Option<Vec<Point>> {
    let at = placed.paper(scene.plan.waterline_mm?);
    let [from, to] = across(at, [1.0, 0.0], window)?;
    canvas.line(from, to, "thin chain");
    room.stroke(from, to);
    Some(vec![[to[0] - 12.0, at[1]], [from[0] + 12.0, at[1]]])
}
