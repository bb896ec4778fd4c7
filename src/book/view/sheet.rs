//! One view on its sheet: frame, grid, scale, axes, and what is drawn inside.

use super::body::{self, Window};
use super::label::Room;
use super::name;
use super::projection::{Aspect, Placed, Projection};
use super::scene::{Attitude, Scene};
use super::{scale, stroke};
use crate::book::canvas::{Anchor, Canvas, Point, SMALL_MM, width_mm};
use crate::report::drawing::sheet::Paper;
use crate::report::units::length;
use crate::units::System;

/// Room on a sheet on its side and on an upright one, less what heading and words below need, mm.
const WIDE_MM: Point = [271.0, 150.0];
const TALL_MM: Point = [184.0, 232.0];
/// By how much the sheets of the American size are narrower on their side and broader upright, mm.
const LETTER_MM: Point = [18.0, -5.0];
/// Least height of what is drawn, mm.
const LEAST_DRAWN_MM: f64 = 44.0;
/// Height of the strip with scale and axes, mm.
const STRIP_MM: f64 = 15.0;
/// From the frame to what is drawn: room for names, across and along, mm.
const BORDER_MM: Point = [16.0, 13.0];
/// Least distance between two lines of the grid, mm.
const GRID_MM: f64 = 16.0;
/// Room for the bar, mm.
const BAR_MM: f64 = 50.0;
/// Where the title begins, mm.
const TITLE_MM: f64 = 44.0;
/// Length of the arrows of the axes, mm.
const ARROW_MM: f64 = 8.0;

/// A view to draw.
pub struct Sheet<'s> {
    /// What is seen.
    pub scene: &'s Scene<'s>,
    /// How the machine stands.
    pub attitude: &'s Attitude,
    /// From where it is looked at.
    pub aspect: Aspect,
    /// Whether it stands level: clips, ports and the grid of the plan are named in this one only.
    pub level: bool,
}

/// A view that was drawn.
pub struct Drawn {
    /// The drawing.
    pub canvas: Canvas,
    /// Its scale.
    pub scale: f64,
    /// Whether it lies on a sheet on its side.
    pub wide: bool,
    /// Whether the plan names a surface of the water and the drawing does not reach it.
    pub water_outside: bool,
}

/// Width and greatest height of a drawing, mm.
fn paper_mm(paper: Paper, wide: bool) -> Point {
    let [width, height] = if wide { WIDE_MM } else { TALL_MM };
    let less = if wide { LETTER_MM } else { [LETTER_MM[1], LETTER_MM[0]] };
    match paper {
        Paper::A4 => [width, height],
        Paper::Letter => [width - less[0], height - less[1].max(0.0)],
    }
}

impl Sheet<'_> {
    /// Draws it; none where it is too large for every scale, or where nothing is to be seen.
    pub fn draw(&self) -> Option<Drawn> {
        let projection = self.projection();
        let [low, high] = self.extent(&projection)?;
        let size = [high[0] - low[0], high[1] - low[1]];
        let fitting = |wide: bool| {
            let [width, height] = paper_mm(self.scene.book.look.paper, wide);
            let room = [width - 2.0 * BORDER_MM[0], height - STRIP_MM - 2.0 * BORDER_MM[1]];
            Some((scale::fitting(size, room)?, width, wide))
        };
        // An upright sheet only where more is seen on it.
        let sheets = [true, false].into_iter().filter_map(fitting);
        let (scale, width, wide) = sheets.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let drawn = (size[1] / scale).max(LEAST_DRAWN_MM);
        let bottom = drawn + 2.0 * BORDER_MM[1];
        let middle = [0.5 * width, 0.5 * bottom];
        let zero = [
            middle[0] - 0.5 * (low[0] + high[0]) / scale,
            middle[1] + 0.5 * (low[1] + high[1]) / scale,
        ];
        let placed = Placed { projection, scale, zero };
        let window = [[0.3, 0.3], [width - 0.3, bottom]];
        let title = format!("{}, {}", self.scene.system, self.aspect.words());
        let mut canvas = Canvas::new([width, bottom + STRIP_MM + 0.3], title);
        let water_outside = self.inside(&mut canvas, &placed, window);
        self.strip(&mut canvas, &placed, window);
        Some(Drawn { canvas, scale, wide, water_outside })
    }

    fn projection(&self) -> Projection {
        let projection = Projection::new(&self.scene.plan.axes, self.aspect);
        if self.level { projection } else { projection.turned(self.attitude.up) }
    }

    /// The corners of all that must be seen.
    fn extent(&self, projection: &Projection) -> Option<[Point; 2]> {
        let scene = self.scene;
        let lines = scene.routed().flat_map(|(_, line, path)| {
            let arcs = path.sample(50.0).unwrap_or_default();
            let clips = line.clips.iter().map(|c| c.at_mm);
            arcs.into_iter().map(|p| p.coords.into()).chain(clips).collect::<Vec<[f64; 3]>>()
        });
        let ports = scene.ports.iter().map(|p| scene.plan.port(p).1.at_mm);
        let mut corners: Option<[Point; 2]> = None;
        for point in lines.chain(ports).map(|p| projection.flat(p)) {
            let [low, high] = corners.get_or_insert([point, point]);
            for i in 0..2 {
                low[i] = low[i].min(point[i]);
                high[i] = high[i].max(point[i]);
            }
        }
        corners.filter(|_| !scene.lines.is_empty())
    }

    /// Draws what is inside the frame; says whether a surface of the water lies outside.
    fn inside(&self, canvas: &mut Canvas, placed: &Placed, window: Window) -> bool {
        let mut room = Room::new(window[0], window[1]);
        if self.level {
            self.grid(canvas, placed, window, &mut room);
        } else {
            level_line(canvas, window, &mut room);
        }
        let scene = self.scene;
        let kept: Vec<(usize, Vec<Point>)> = scene
            .plan
            .keep_outs
            .iter()
            .enumerate()
            .map(|(i, k)| (i, body::draw_keep_out(canvas, k, placed, window, &mut room)))
            .collect();
        let water = if self.aspect == Aspect::Top {
            None
        } else {
            body::draw_waterline(canvas, scene, placed, window, &mut room)
        };
        body::draw_components(canvas, scene, placed, &mut room);
        let chords = stroke::chords(scene, placed);
        stroke::draw(canvas, scene, placed, &chords);
        for chord in &chords {
            room.stroke(chord.ends[0], chord.ends[1]);
        }
        let mut names =
            name::Names { sheet: self, placed, window, room, canvas, leaders: Vec::new() };
        names.all(&chords, &kept, water.as_deref());
        self.aspect != Aspect::Top && scene.plan.waterline_mm.is_some() && water.is_none()
    }

    /// Lines of equal coordinates, with the coordinates of the plan at the edges.
    fn grid(&self, canvas: &mut Canvas, placed: &Placed, [low, high]: Window, room: &mut Room) {
        // Two numbers at every line would cover each other.
        let system = match self.scene.book.look.system {
            System::Both => System::Metric,
            one => one,
        };
        let Some(step) = scale::step_mm(placed.scale, GRID_MM, system) else { return };
        let mut lines = Vec::new();
        for axis in 0..3 {
            let unit = core::array::from_fn(|i| if i == axis { 1.0 } else { 0.0 });
            let [u, v] = placed.projection.flat(unit);
            let (place, sign) = if u.abs() > 0.5 { (0, u) } else { (1, -v) };
            if u.abs() + v.abs() < 0.5 {
                continue;
            }
            let name = ["x", "y", "z"][axis];
            let coordinate = |paper: f64| (paper - placed.zero[place]) * placed.scale * sign;
            let [a, b] = [coordinate(low[place]), coordinate(high[place])];
            let mut at = (a.min(b) / step).ceil() * step;
            while at <= a.max(b) {
                let paper = placed.zero[place] + at / placed.scale * sign;
                let words = format!("{name} {}", length(at, system).trim_end_matches(" mm"));
                lines.extend(edge_name(canvas, (place, paper), &words, [low, high], room));
                at += step;
            }
        }
        canvas.lines(&lines, "hair");
    }

    /// The strip under the drawing: axes, what it is, its scale.
    fn strip(&self, canvas: &mut Canvas, placed: &Placed, [low, high]: Window) {
        let width = canvas.size()[0];
        let bottom = high[1] + STRIP_MM;
        canvas.rectangle(low, [high[0] - low[0], bottom - low[1]], "thin");
        canvas.line([low[0], high[1]], high, "thin");
        self.axes(canvas, placed, high[1]);
        let left = TITLE_MM;
        let under = format!("{}; plan {}", self.attitude.words, self.scene.book.edition());
        let rows =
            [(self.scene.system, "", 5.0), (self.aspect.words(), "", 9.4), (&under, "small", 13.2)];
        for (words, class, down) in rows {
            canvas.text([left, high[1] + down], words, Anchor::Start, class);
        }
        let system = self.scene.book.look.system;
        let right = width - 8.0;
        let middle = high[1] + 7.0;
        let Some(bar) = scale::bar_mm(placed.scale, BAR_MM, system) else { return };
        let left = right - bar / placed.scale;
        canvas.rectangle([left, middle], [right - left, 1.4], "thin");
        canvas.rectangle([left, middle], [0.5 * (right - left), 1.4], "thin filled");
        let scale = scale::words(placed.scale);
        canvas.text([right, high[1] + 5.2], &scale, Anchor::End, "");
        canvas.text([left, middle + 5.0], "0", Anchor::Middle, "small");
        canvas.text([right, middle + 5.0], &length(bar, system), Anchor::End, "small");
    }

    /// Where the machine's directions point on the paper, with the axes of the plan.
    fn axes(&self, canvas: &mut Canvas, placed: &Placed, top: f64) {
        let axes = &self.scene.plan.axes;
        let named = [("forward", axes.forward), ("right", axes.right), ("up", axes.up)];
        let seen = named.iter().filter_map(|(name, direction)| {
            let [u, v] = placed.projection.flat(*direction);
            (libm::hypot(u, v) > 0.5).then_some((*name, *direction, [u, -v]))
        });
        let seen: Vec<_> = seen.collect();
        let down = seen.iter().any(|(_, _, d)| d[1] > 0.5);
        let root = [8.0, top + if down { 4.0 } else { STRIP_MM - 3.0 }];
        for (name, direction, along) in &seen {
            let tip = [0, 1].map(|i| root[i] + ARROW_MM * along[i]);
            canvas.line(root, tip, "");
            canvas.arrow_head(tip, *along, 2.0, "filled");
            let words = format!("{name} ({})", axis_word(*direction));
            canvas.text([tip[0] + 1.5, tip[1] + 1.0], &words, Anchor::Start, "small");
        }
    }
}

/// The axis of the plan that a direction runs along: `-x`.
fn axis_word(direction: [f64; 3]) -> String {
    let axis = (0..3).find(|i| direction[*i].abs() > 0.5).unwrap_or(0);
    let sign = if direction[axis] < 0.0 { "-" } else { "+" };
    format!("{sign}{}", ["x", "y", "z"][axis])
}

/// The name of a line of the grid at the left or upper edge, and the line; none where there is no room.
fn edge_name(
    canvas: &mut Canvas,
    (place, paper): (usize, f64),
    words: &str,
    [low, high]: Window,
    room: &mut Room,
) -> Option<Vec<Point>> {
    let long = width_mm(words, SMALL_MM);
    let (from, to, at, anchor, middle) = if place == 0 {
        let middle = [paper, low[1] + 2.2];
        ([paper, low[1] + 4.0], [paper, high[1]], [paper, low[1] + 3.0], Anchor::Middle, middle)
    } else {
        let middle = [low[0] + 1.0 + 0.5 * long, paper];
        let from = [low[0] + long + 2.0, paper];
        (from, [high[0], paper], [low[0] + 1.0, paper + 0.9], Anchor::Start, middle)
    };
    let clear = if place == 0 {
        paper > low[0] + 24.0 && paper < high[0] - 0.5 * long - 1.0
    } else {
        paper > low[1] + 7.0 && paper < high[1] - 1.5
    };
    if clear {
        canvas.text(at, words, anchor, "small");
        room.take(middle, [long, 3.0]);
    }
    clear.then(|| vec![from, to])
}

/// A line that is level, at the foot of a view of a machine that is not.
fn level_line(canvas: &mut Canvas, [low, high]: Window, room: &mut Room) {
    let at = high[1] - 4.0;
    canvas.line([low[0] + 16.0, at], [high[0] - 4.0, at], "thin");
    canvas.text([low[0] + 4.0, at + 0.9], "level", Anchor::Start, "small");
    room.take([low[0] + 9.0, at], [14.0, 3.0]);
    room.stroke([low[0] + 16.0, at], [high[0] - 4.0, at]);
}
