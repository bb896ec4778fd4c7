//! Names and marks of a view, each put where it covers no other.

use super::body::Window;
use super::label::Room;
use super::projection::Placed;
use super::scene::Extreme;
use super::sheet::Sheet;
use super::stroke::Chord;
use crate::book::canvas::{Anchor, Canvas, LETTER_MM, Point, SMALL_MM, width_mm};

/// Least radius of the bubble that a line's name stands in: room for a pencil.
const BUBBLE_MM: f64 = 3.2;
/// A longer name than this has a box, radius of its bubble.
const MOST_BUBBLE_MM: f64 = 5.0;
/// How far off names may stand, mm.
const NEAR: [f64; 5] = [0.8, 2.5, 5.0, 9.0, 14.0];
const BUBBLES: [f64; 4] = [2.0, 4.5, 8.0, 13.0];
/// A name this far off is joined to its place by a thin line, mm.
const JOINED_MM: f64 = 1.6;
/// A clip with another line nearer than this has its line's name with its number, mm.
const CLOSE_MM: f64 = 3.0;
/// Half the size of the cross of a clip, mm.
const CLIP_MM: f64 = 0.9;
/// Size of the mark of a high or low point, mm.
const MARK_MM: f64 = 2.4;
/// A line shorter than this on paper has no arrow, mm.
const ARROW_FROM_MM: f64 = 14.0;

/// Words that stand at one place of the paper only once.
fn each_once(words: impl Iterator<Item = (Point, String)>) -> Vec<(Point, String)> {
    let mut all: Vec<(Point, String)> = Vec::new();
    for (at, word) in words {
        let near = |other: &(Point, String)| {
            other.1 == word && libm::hypot(other.0[0] - at[0], other.0[1] - at[1]) < CLIP_MM
        };
        if !all.iter().any(near) {
            all.push((at, word));
        }
    }
    all
}

/// All that is written into a view.
pub struct Names<'n> {
    /// The view.
    pub sheet: &'n Sheet<'n>,
    /// Its place on the paper.
    pub placed: &'n Placed,
    /// The frame.
    pub window: Window,
    /// What is taken.
    pub room: Room,
    /// Where it is drawn.
    pub canvas: &'n mut Canvas,
    /// From names that stand off to their places.
    pub leaders: Vec<Vec<Point>>,
}

impl Names<'_> {
    /// Marks first, since they have their place; then names, the most needed first.
    pub fn all(&mut self, chords: &[Chord], kept: &[(usize, Vec<Point>)], water: Option<&[Point]>) {
        let scene = self.sheet.scene;
        let extremes = scene.extremes(self.sheet.attitude);
        self.ports();
        let clips = self.clips(chords);
        self.marks(&extremes);
        self.arrows();
        for line in 0..scene.lines.len() {
            self.bubble(line);
        }
        self.component_names();
        let marked = extremes.iter().map(|e| (self.placed.paper(e.at_mm), e.words.to_owned()));
        for (at, words) in each_once(marked) {
            self.write(&[at], &words, &NEAR, MARK_MM * 0.5);
        }
        for (at, number) in each_once(clips.into_iter()) {
            self.write(&[at], &number, &NEAR, CLIP_MM);
        }
        if let Some(at) = water {
            self.write(at, "waterline", &NEAR, 0.0);
        }
        for (index, anchors) in kept {
            let keep_out = &scene.plan.keep_outs[*index];
            let name = keep_out.name.as_ref().filter(|n| n.chars().count() <= 28);
            let words = format!("{} ({})", name.unwrap_or(&keep_out.id), keep_out.kind);
            self.write(anchors, &words, &NEAR, 0.0);
        }
        self.datums();
        if self.sheet.level {
            self.port_names();
        }
        self.canvas.lines(&self.leaders, "faint");
    }

    /// Writes words beside one of several places; where there is no room they are left out, and the table
    /// has them.
    fn write(&mut self, anchors: &[Point], words: &str, reach: &[f64], mark_mm: f64) {
        let size = [width_mm(words, SMALL_MM), SMALL_MM + 0.4];
        let reach: Vec<f64> = reach.iter().map(|r| r + mark_mm).collect();
        let inside =
            |p: &Point| (0..2).all(|i| p[i] >= self.window[0][i] && p[i] <= self.window[1][i]);
        let seen: Vec<Point> = anchors.iter().copied().filter(inside).collect();
        let Some(found) = self.room.place(&seen, size, &reach) else { return };
        self.leader(found.anchor, found.centre, size, mark_mm);
        let at = [found.centre[0], found.centre[1] + 0.36 * SMALL_MM];
        self.canvas.text(at, words, Anchor::Middle, "small clear");
    }

    /// A thin line from a name to its place where it stands off.
    fn leader(&mut self, anchor: Point, centre: Point, size: Point, mark_mm: f64) {
        let nearest =
            [0, 1].map(|i| anchor[i].clamp(centre[i] - 0.5 * size[i], centre[i] + 0.5 * size[i]));
        let off = [nearest[0] - anchor[0], nearest[1] - anchor[1]];
        let length = libm::hypot(off[0], off[1]);
        if length < JOINED_MM + mark_mm {
            return;
        }
        let begin = [0, 1].map(|i| anchor[i] + off[i] / length * mark_mm);
        self.leaders.push(vec![begin, nearest]);
        self.room.stroke(begin, nearest);
    }

    /// The dots of the ports: lines without a length, with round ends.
    fn ports(&mut self) {
        let scene = self.sheet.scene;
        let mut dots = Vec::new();
        for port in &scene.used {
            let at = self.placed.paper(scene.plan.port(port).1.at_mm);
            dots.push(vec![at, at]);
            self.room.take(at, [1.4, 1.4]);
        }
        self.canvas.lines(&dots, "port");
    }

    /// The crosses of the clips, and the number of each; with its line where another runs close by.
    fn clips(&mut self, chords: &[Chord]) -> Vec<(Point, String)> {
        let scene = self.sheet.scene;
        let mut numbers = Vec::new();
        let mut crosses = Vec::new();
        for (place, (_, line, _)) in scene.routed().enumerate() {
            for (index, clip) in line.clips.iter().enumerate() {
                let [x, y] = self.placed.paper(clip.at_mm);
                let corner = |u: f64, v: f64| [x + u * CLIP_MM, y + v * CLIP_MM];
                crosses.push(vec![corner(-1.0, -1.0), corner(1.0, 1.0)]);
                crosses.push(vec![corner(1.0, -1.0), corner(-1.0, 1.0)]);
                self.room.take([x, y], [2.0 * CLIP_MM, 2.0 * CLIP_MM]);
                if self.sheet.level {
                    let mut others = chords.iter().filter(|c| c.line != place);
                    let close = others.any(|c| c.distance_mm([x, y]) < CLOSE_MM);
                    let number = index + 1;
                    let of =
                        if close { format!("{}.{number}", line.id) } else { number.to_string() };
                    numbers.push(([x, y], of));
                }
            }
        }
        self.canvas.lines(&crosses, "thin");
        numbers
    }

    /// The marks of high and low points: a triangle up or down, filled where something stays.
    fn marks(&mut self, extremes: &[Extreme]) {
        for extreme in extremes {
            let [x, y] = self.placed.paper(extreme.at_mm);
            let tip = if extreme.high { -0.6 * MARK_MM } else { 0.6 * MARK_MM };
            let corners = [
                [x, y + tip],
                [x + 0.55 * MARK_MM, y - 0.6 * tip],
                [x - 0.55 * MARK_MM, y - 0.6 * tip],
            ];
            self.canvas.polygon(&corners, if extreme.stays { "filled" } else { "paper" });
            self.room.take([x, y], [MARK_MM, MARK_MM]);
        }
    }

    /// An arrow from end A to end B in the middle of each line that has room for it.
    fn arrows(&mut self) {
        let scene = self.sheet.scene;
        for (_, _, path) in scene.routed() {
            let length = path.length_mm();
            let (Ok(point), Ok(along)) =
                (path.point_at(0.5 * length), path.tangent_at(0.5 * length))
            else {
                continue;
            };
            let at = self.placed.paper(point.coords.into());
            let [u, v] = self.placed.projection.flat(along.into());
            if libm::hypot(u, v) > 0.5 && length / self.placed.scale > ARROW_FROM_MM {
                let tail = |turn: f64| [at[0] - 1.7 * u - turn * v, at[1] + 1.7 * v - turn * u];
                self.canvas.polyline(&[tail(1.1), at, tail(-1.1)], "");
                self.room.take(at, [2.0, 2.0]);
            }
        }
    }

    /// The name of a line in a bubble beside it, near its middle if there is room.
    fn bubble(&mut self, line: usize) {
        let scene = self.sheet.scene;
        let plan_line = &scene.plan.lines[scene.lines[line]];
        let Some(path) = scene.path(scene.lines[line]) else { return };
        let anchors: Vec<Point> = [0.5, 0.38, 0.62, 0.27, 0.73, 0.15, 0.85]
            .iter()
            .filter_map(|share| path.point_at(share * path.length_mm()).ok())
            .map(|p| self.placed.paper(p.coords.into()))
            .collect();
        let radius = (0.5 * width_mm(&plan_line.id, LETTER_MM) + 0.6).max(BUBBLE_MM);
        let boxed = radius > MOST_BUBBLE_MM;
        let size = if boxed { [2.0 * radius, 2.0 * BUBBLE_MM] } else { [2.0 * radius; 2] };
        let Some(found) = self.room.place(&anchors, size, &BUBBLES) else { return };
        self.canvas.line(found.anchor, found.centre, "thin");
        self.room.stroke(found.anchor, found.centre);
        if boxed {
            let corner = [0, 1].map(|i| found.centre[i] - 0.5 * size[i]);
            self.canvas.rectangle(corner, size, "paper");
        } else {
            self.canvas.circle(found.centre, radius, "paper");
        }
        let at = [found.centre[0], found.centre[1] + 0.36 * LETTER_MM];
        self.canvas.text(at, &plan_line.id, Anchor::Middle, "");
    }

    fn component_names(&mut self) {
        let scene = self.sheet.scene;
        for component in scene.components() {
            let ports = scene.ports.iter().filter(|p| p.component == component);
            let anchors: Vec<Point> =
                ports.map(|p| self.placed.paper(scene.plan.port(p).1.at_mm)).collect();
            self.write(&anchors, &scene.plan.components[component].id, &NEAR, 0.7);
        }
    }

    fn port_names(&mut self) {
        let scene = self.sheet.scene;
        for port in &scene.used {
            let port = scene.plan.port(port).1;
            let at = self.placed.paper(port.at_mm);
            self.write(&[at], &port.name, &NEAR[..1], 0.7);
        }
    }

    /// Known points that tapes are held at.
    fn datums(&mut self) {
        let scene = self.sheet.scene;
        for datum in &scene.plan.datums {
            let at = self.placed.paper(datum.at_mm);
            let inside =
                (0..2).all(|i| at[i] > self.window[0][i] + 3.0 && at[i] < self.window[1][i] - 3.0);
            if !inside {
                continue;
            }
            self.canvas.circle(at, 1.2, "thin");
            let ends = |u: f64, v: f64| vec![[at[0] - u, at[1] - v], [at[0] + u, at[1] + v]];
            self.canvas.lines(&[ends(2.0, 0.0), ends(0.0, 2.0)], "thin");
            self.room.take(at, [4.0, 4.0]);
            self.write(&[at], &datum.id, &NEAR, 2.0);
        }
    }
}
