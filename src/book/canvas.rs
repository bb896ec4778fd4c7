//! Drawings of the book as SVG (W3C SVG 1.1): millimetres of paper, x to the right and y down.
//!
//! A piece has no colour of its own: it belongs to a class of the style sheet, so that it is seen on white paper
//! and on a dark screen alike.
//!
//! ```
//! use hosewright::book::canvas::{Anchor, Canvas};
//! let mut canvas = Canvas::new([60.0, 20.0], "Line F1 from the side");
//! canvas.line([5.0, 10.0], [55.0, 10.0], "pipe");
//! canvas.text([30.0, 8.0], "F1 <feed>", Anchor::Middle, "label");
//! let svg = canvas.figure("From the tank to the filter.").into_string();
//! assert!(svg.contains("F1 &lt;feed&gt;"));
//! ```

use core::fmt::Write;

use maud::{Markup, PreEscaped, html};

use crate::report::drawing::svg::escaped;

/// A point of paper, mm: x to the right, y down.
pub type Point = [f64; 2];

/// Height of usual letters, mm.
pub const LETTER_MM: f64 = 3.2;
/// Height of small letters, mm.
pub const SMALL_MM: f64 = 2.5;

/// A wider drawing would be unreadable on a phone if it were shrunk to it, mm.
const WIDE_MM: f64 = 130.0;

/// Width of a text, mm, by the widths of its letters in the type of the book.
pub fn width_mm(words: &str, letter_mm: f64) -> f64 {
    let share = |letter: char| match letter {
        'i' | 'l' | 'j' | 't' | 'f' | '.' | ',' | ' ' | '(' | ')' | '-' | '\'' => 0.45,
        'm' | 'w' | 'M' | 'W' => 1.0,
        c if c.is_uppercase() => 0.76,
        _ => 0.64,
    };
    letter_mm * words.chars().map(share).sum::<f64>()
}

/// Which part of a text stands at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its first letter.
    Start,
    /// Its middle.
    Middle,
    /// Its last letter.
    End,
}

/// A step of a line that bends smoothly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Straight to a point.
    Straight(Point),
    /// A cubic curve by its two handles and its end.
    Curve([Point; 3]),
}

impl Step {
    /// Where it ends.
    pub fn end(&self) -> Point {
        match self {
            Self::Straight(end) | Self::Curve([_, _, end]) => *end,
        }
    }
}

/// A drawing that grows piece by piece. A piece with a coordinate that is no finite number is left out.
#[derive(Clone, Debug)]
pub struct Canvas {
    size: Point,
    title: String,
    body: String,
}

impl Canvas {
    /// An empty drawing of a size, mm, and what it shows in a few words.
    pub fn new(size: Point, title: impl Into<String>) -> Self {
        Self { size, title: title.into(), body: String::new() }
    }

    /// Width and height, mm.
    pub fn size(&self) -> Point {
        self.size
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, class: &str) {
        self.polyline(&[from, to], class);
    }

    /// Straight lines from point to point.
    pub fn polyline(&mut self, points: &[Point], class: &str) {
        self.path(points, false, class);
    }

    /// A closed shape.
    pub fn polygon(&mut self, points: &[Point], class: &str) {
        self.path(points, true, class);
    }

    /// Many lines of one class as one piece, which takes less of a file; one without two points is left out.
    pub fn lines(&mut self, lines: &[Vec<Point>], class: &str) {
        self.paths(lines.iter().map(Vec::as_slice), false, class);
    }

    fn path(&mut self, points: &[Point], closed: bool, class: &str) {
        self.paths(core::iter::once(points), closed, class);
    }

    fn paths<'p>(&mut self, lines: impl Iterator<Item = &'p [Point]>, closed: bool, class: &str) {
        let mut data = String::new();
        for points in lines {
            if points.len() < 2 || points.iter().flatten().any(|c| !c.is_finite()) {
                continue;
            }
            for (index, point) in points.iter().enumerate() {
                let letter = if index == 0 { 'M' } else { 'L' };
                let _ = write!(data, "{letter}{} {}", decimal(point[0]), decimal(point[1]));
            }
            if closed {
                data.push('Z');
            }
        }
        if !data.is_empty() {
            let class = escaped(class);
            let _ = write!(self.body, "<path d=\"{data}\" class=\"{class}\"/>");
        }
    }

    /// A line of straights and curves.
    pub fn smooth(&mut self, from: Point, steps: &[Step], class: &str) {
        let mut data = format!("M{} {}", decimal(from[0]), decimal(from[1]));
        for step in steps {
            let (letter, points): (char, &[Point]) = match step {
                Step::Straight(end) => ('L', core::slice::from_ref(end)),
                Step::Curve(points) => ('C', points),
            };
            for (index, [x, y]) in points.iter().enumerate() {
                if !(x + y).is_finite() {
                    return;
                }
                let before = if index == 0 { letter } else { ' ' };
                let _ = write!(data, "{before}{} {}", decimal(*x), decimal(*y));
            }
        }
        let class = escaped(class);
        let _ = write!(self.body, "<path d=\"{data}\" class=\"{class}\"/>");
    }

    /// A rectangle by a corner and its width and height.
    pub fn rectangle(&mut self, [x, y]: Point, [width, height]: Point, class: &str) {
        let corners = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]];
        self.polygon(&corners, class);
    }

    /// A circle.
    pub fn circle(&mut self, centre: Point, radius: f64, class: &str) {
        if [centre[0], centre[1], radius].iter().any(|c| !c.is_finite()) || radius < 0.0 {
            return;
        }
        let [x, y, r] = [centre[0], centre[1], radius].map(decimal);
        let _ = write!(
            self.body,
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" class=\"{}\"/>",
            escaped(class)
        );
    }

    /// Part of a circle from one direction to another, rad clockwise from the right as seen on paper.
    pub fn arc(&mut self, centre: Point, radius: f64, start: f64, sweep: f64, class: &str) {
        let on = |a: f64| [centre[0] + radius * libm::cos(a), centre[1] + radius * libm::sin(a)];
        let ([x1, y1], [x2, y2]) = (on(start), on(start + sweep));
        if [x1, y1, x2, y2].iter().any(|c| !c.is_finite()) {
            return;
        }
        let large = u8::from(sweep.abs() > core::f64::consts::PI);
        let clockwise = u8::from(sweep > 0.0);
        let [x1, y1, x2, y2, r] = [x1, y1, x2, y2, radius].map(decimal);
        let _ = write!(
            self.body,
            "<path d=\"M{x1} {y1}A{r} {r} 0 {large} {clockwise} {x2} {y2}\" class=\"{}\"/>",
            escaped(class)
        );
    }

    /// A line of writing; the class decides its size.
    pub fn text(&mut self, at: Point, words: &str, anchor: Anchor, class: &str) {
        self.text_turned(at, words, anchor, class, 0.0);
    }

    /// A line of writing in another direction, degrees clockwise.
    pub fn text_turned(
        &mut self,
        at: Point,
        words: &str,
        anchor: Anchor,
        class: &str,
        degrees: f64,
    ) {
        if [at[0], at[1], degrees].iter().any(|c| !c.is_finite()) {
            return;
        }
        let [x, y] = at.map(decimal);
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let turn = if degrees == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {x} {y})\"", decimal(degrees))
        };
        let _ = write!(
            self.body,
            "<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\" class=\"{}\"{turn}>{}</text>",
            escaped(class),
            escaped(words)
        );
    }

    /// An arrow head with its point at a place, along a direction of any length.
    pub fn arrow_head(&mut self, tip: Point, along: Point, size: f64, class: &str) {
        let length = libm::hypot(along[0], along[1]);
        if length.is_nan() || length <= 0.0 {
            return;
        }
        let [u, v] = along.map(|c| c / length * size);
        let base = [tip[0] - u, tip[1] - v];
        let side = [-v * 0.4, u * 0.4];
        let corners =
            [tip, [base[0] + side[0], base[1] + side[1]], [base[0] - side[0], base[1] - side[1]]];
        self.polygon(&corners, class);
    }

    /// The drawing with its words for those who do not see it. A wide one does not shrink to the width of a phone: it is
    /// moved along.
    pub fn figure(self, caption: &str) -> Markup {
        let wide = self.size[0] > WIDE_MM;
        html! {
            figure {
                @if wide { div .scroll.drawing tabindex="0" { (self.svg()) } } @else { (self.svg()) }
                @if !caption.is_empty() { figcaption { (caption) } }
            }
        }
    }

    /// The drawing alone.
    pub fn svg(self) -> Markup {
        let [width, height] = self.size.map(decimal);
        let title = escaped(&self.title);
        PreEscaped(format!(
            "<svg class=\"canvas\" role=\"img\" aria-label=\"{title}\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\">{}</svg>",
            self.body
        ))
    }
}

/// A number of mm as it stands in a file: at most two decimals, never "-0".
fn decimal(mm: f64) -> String {
    let text = format!("{mm:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
