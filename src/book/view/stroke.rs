//! The lines of a view: centre lines, sleeves, and a gap in the farther of two lines that cross.

use super::projection::Placed;
use super::scene::{Scene, is_main};
use crate::book::canvas::{Canvas, Point};
use crate::geometry::{Path, Piece};

/// An arc is looked at in steps of this turn, rad.
const STEP_RAD: f64 = 0.25;
/// Half the length of a gap, mm of paper.
const GAP_MM: f64 = 1.4;
/// What the nearer line is drawn again over a gap beyond it, mm.
const OVER_MM: f64 = 0.4;
/// Lines nearer to each other than this meet and do not cross, mm of the machine.
const TOUCH_MM: f64 = 1.0;
/// On a tighter arc than this a gap would be seen as a straight, mm of paper.
const TIGHT_MM: f64 = 9.0;

/// A short straight of a line on the paper.
#[derive(Clone, Copy, Debug)]
pub struct Chord {
    /// Its line, by its place among the lines of the scene.
    pub line: usize,
    /// Where it begins and ends.
    pub ends: [Point; 2],
    /// How near both are to the eye, mm of the machine.
    depth: [f64; 2],
    /// What there must be of it on either side of a gap, mm of paper: a wide arc goes on much as the chord does.
    room: f64,
}

impl Chord {
    /// Its distance from a point, mm of paper.
    pub fn distance_mm(&self, point: Point) -> f64 {
        let [from, to] = self.ends;
        let along = [to[0] - from[0], to[1] - from[1]];
        let off = [point[0] - from[0], point[1] - from[1]];
        let square = along[0] * along[0] + along[1] * along[1];
        let share = if square > 0.0 {
            ((off[0] * along[0] + off[1] * along[1]) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        libm::hypot(off[0] - share * along[0], off[1] - share * along[1])
    }
}

/// A place where one line passes before another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Where.
    pub at: Point,
    /// Along the nearer line, of length 1.
    along: Point,
    /// The nearer line, by its place among the lines of the scene.
    pub nearer: usize,
}

/// The lines of a scene as chords.
pub fn chords(scene: &Scene<'_>, placed: &Placed) -> Vec<Chord> {
    let mut all = Vec::new();
    for (line, (_, _, path)) in scene.routed().enumerate() {
        for piece in path.pieces() {
            let length = piece.length_mm();
            let (turn, room) = match piece {
                Piece::Straight { .. } => (0.0, GAP_MM + OVER_MM),
                Piece::Arc { angle_rad, radius_mm, .. } => {
                    let wide = radius_mm / placed.scale > TIGHT_MM;
                    (*angle_rad, if wide { 0.0 } else { f64::INFINITY })
                }
            };
            let steps = (turn / STEP_RAD).ceil().max(1.0);
            let mut from = 0.0;
            while from < length * (1.0 - 1e-9) {
                let to = from + length / steps;
                let points = [from, to].map(|s| <[f64; 3]>::from(piece.point_at(s).coords));
                all.push(Chord {
                    line,
                    ends: points.map(|p| placed.paper(p)),
                    depth: points.map(|p| placed.projection.depth(p)),
                    room,
                });
                from = to;
            }
        }
    }
    all
}

/// Where lines cross.
pub fn crossings(chords: &[Chord]) -> Vec<Crossing> {
    let mut found = Vec::new();
    for (index, one) in chords.iter().enumerate() {
        for other in chords[index + 1..].iter().filter(|o| o.line != one.line) {
            found.extend(crossing(one, other));
        }
    }
    found
}

fn crossing(one: &Chord, other: &Chord) -> Option<Crossing> {
    let apart = (0..2).any(|i| {
        let low = |c: &Chord| c.ends[0][i].min(c.ends[1][i]);
        let high = |c: &Chord| c.ends[0][i].max(c.ends[1][i]);
        high(one) < low(other) || high(other) < low(one)
    });
    if apart {
        return None;
    }
    let along = |c: &Chord| [c.ends[1][0] - c.ends[0][0], c.ends[1][1] - c.ends[0][1]];
    let (a, b) = (along(one), along(other));
    let off = [other.ends[0][0] - one.ends[0][0], other.ends[0][1] - one.ends[0][1]];
    let cross = |u: Point, v: Point| u[0] * v[1] - u[1] * v[0];
    let turn = cross(a, b);
    let (long_a, long_b) = (libm::hypot(a[0], a[1]), libm::hypot(b[0], b[1]));
    // Lines that run along each other do not cross.
    if turn.abs() < 0.1 * long_a * long_b {
        return None;
    }
    let (s, t) = (cross(off, b) / turn, cross(off, a) / turn);
    let depth = |c: &Chord, s: f64| c.depth[0] + s * (c.depth[1] - c.depth[0]);
    let (near, share, long, way) =
        if depth(one, s) > depth(other, t) { (one, s, long_a, a) } else { (other, t, long_b, b) };
    let inside = [s, t].iter().all(|share| (0.0..=1.0).contains(share));
    let fits = share.min(1.0 - share) * long >= near.room;
    if !inside || !fits || (depth(one, s) - depth(other, t)).abs() < TOUCH_MM {
        return None;
    }
    let at = [0, 1].map(|i| near.ends[0][i] + share * way[i]);
    Some(Crossing { at, along: way.map(|c| c / long), nearer: near.line })
}

/// Draws the lines, the nearer ones last.
pub fn draw(canvas: &mut Canvas, scene: &Scene<'_>, placed: &Placed, chords: &[Chord]) {
    let routed: Vec<_> = scene.routed().collect();
    let mut order: Vec<usize> = (0..routed.len()).collect();
    let depth = |line: &usize| {
        let own = chords.iter().filter(|c| c.line == *line);
        own.map(|c| 0.5 * (c.depth[0] + c.depth[1])).fold(f64::NEG_INFINITY, f64::max)
    };
    order.sort_by(|a, b| depth(a).total_cmp(&depth(b)));
    for index in order {
        let (_, line, path) = routed[index];
        for sleeve in &line.sleeves {
            let stretch = [sleeve.start_mm, sleeve.end_mm.min(path.length_mm())];
            for class in ["sleeve", "hollow"] {
                smooth(canvas, placed, path, stretch, class);
            }
        }
        smooth(canvas, placed, path, [0.0, path.length_mm()], class(is_main(line)));
    }
    for crossing in crossings(chords) {
        let (_, line, _) = routed[crossing.nearer];
        let piece = |reach: f64| {
            [-reach, reach].map(|r| [0, 1].map(|i| crossing.at[i] + r * crossing.along[i]))
        };
        canvas.polyline(&piece(GAP_MM), "gap");
        canvas.polyline(&piece(GAP_MM + OVER_MM), class(is_main(line)));
    }
}

/// How a line is drawn.
pub fn class(main: bool) -> &'static str {
    if main { "thick" } else { "" }
}

fn smooth(canvas: &mut Canvas, placed: &Placed, path: &Path, stretch: [f64; 2], class: &str) {
    if let Some((from, steps)) = placed.stretch(path, stretch) {
        canvas.smooth(from, &steps, class);
    }
}
