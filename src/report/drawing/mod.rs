//! Drawings at full size: pieces in millimetres, put on sheets with scale bars, and written as SVG or DXF.
//!
//! A writer of a report makes a [`Drawing`] out of lines, arcs, circles, texts and dimensions, x to the right
//! and y up, at the size of the part. [`sheet::pages`] lays it on paper, over as many pages as it is long;
//! [`svg::page`] writes a page, [`dxf::text`] the whole drawing.
//!
//! ```
//! use hosewright::report::drawing::{Anchor, Drawing, Stroke, sheet, svg, dxf};
//!
//! let mut drawing = Drawing::new("Strip of a tank", vec!["Measure both bars before use.".into()]);
//! drawing.rectangle([0.0, 0.0], [250.0, 20.0], Stroke::Outline);
//! drawing.text([125.0, 8.0], 3.0, "1/2 full", Anchor::Middle);
//! drawing.dimension([0.0, 20.0], [250.0, 20.0], 8.0, "250 mm");
//! let pages = sheet::pages(&drawing, sheet::Paper::A4)?;
//! assert_eq!(pages.len(), 1);
//! assert!(svg::page(&drawing, &pages[0]).contains("width=\"297mm\""));
//! assert!(dxf::text(&drawing).ends_with("EOF\n"));
//! # Ok::<(), hosewright::report::drawing::sheet::SheetError>(())
//! ```

pub mod dxf;
pub mod sheet;
pub mod svg;

/// Height of the text of a dimension, mm.
const DIMENSION_TEXT_MM: f64 = 2.5;
/// Half the length of the slanting tick at the end of a dimension line, mm.
const TICK_MM: f64 = 0.9;
/// Gap between the part and its extension line, and what that stands over the dimension line, mm.
const GAP_MM: f64 = 1.0;
/// Width of a letter over its height: the mean of common sans-serif type, to keep room for a text.
const LETTER_WIDTH: f64 = 0.56;

/// A point, mm: x to the right, y up.
pub type Point = [f64; 2];

/// What a stroke means; it decides width, dashes, and the layer in DXF.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// The edge to cut along.
    Outline,
    /// A line to bend along, or where a bend begins or ends.
    Bend,
    /// The edge of a hole.
    Hole,
    /// A centre line or a mark.
    Centre,
    /// Dimension and extension lines, scale bars.
    Thin,
    /// A line along which pages are joined.
    Join,
}

impl Stroke {
    /// Every stroke.
    pub const ALL: [Self; 6] =
        [Self::Outline, Self::Bend, Self::Hole, Self::Centre, Self::Thin, Self::Join];

    /// Width of the pen, mm.
    pub fn width_mm(self) -> f64 {
        match self {
            Self::Outline | Self::Hole => 0.35,
            Self::Bend | Self::Centre | Self::Thin | Self::Join => 0.18,
        }
    }

    /// Dash and gap, mm; none for a line that is drawn through.
    pub fn dash_mm(self) -> Option<[f64; 2]> {
        match self {
            Self::Bend => Some([3.0, 1.5]),
            Self::Centre => Some([6.0, 1.0]),
            Self::Join => Some([1.0, 1.0]),
            Self::Outline | Self::Hole | Self::Thin => None,
        }
    }

    /// Name of its layer.
    pub fn layer(self) -> &'static str {
        match self {
            Self::Outline => "OUTLINE",
            Self::Bend => "BEND",
            Self::Hole => "HOLE",
            Self::Centre => "CENTRE",
            Self::Thin => "DIMENSION",
            Self::Join => "JOIN",
        }
    }
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

/// A piece of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// A straight line.
    Line {
        /// One end, mm.
        from: Point,
        /// The other end, mm.
        to: Point,
        /// What it means.
        stroke: Stroke,
    },
    /// Part of a circle, anticlockwise.
    Arc {
        /// Centre, mm.
        centre: Point,
        /// Radius, mm.
        radius: f64,
        /// Direction from the centre to its beginning, rad.
        start: f64,
        /// How far it goes on anticlockwise, rad.
        sweep: f64,
        /// What it means.
        stroke: Stroke,
    },
    /// A circle.
    Circle {
        /// Centre, mm.
        centre: Point,
        /// Radius, mm.
        radius: f64,
        /// What it means.
        stroke: Stroke,
    },
    /// A line of writing.
    Text {
        /// Point on the line that the letters stand on, mm.
        at: Point,
        /// Height of the type, mm.
        height: f64,
        /// Direction of writing, rad anticlockwise from the right.
        turn: f64,
        /// Which part of it stands at the point.
        anchor: Anchor,
        /// The words, as they were typed.
        words: String,
    },
}

/// A drawing at full size.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it shows.
    pub title: String,
    /// Sentences that go on every page: what it is for, cautions.
    pub notes: Vec<String>,
    /// Its pieces.
    pub pieces: Vec<Piece>,
}

impl Drawing {
    /// A drawing without a piece.
    pub fn new(title: impl Into<String>, notes: Vec<String>) -> Self {
        Self { title: title.into(), notes, pieces: Vec::new() }
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.pieces.push(Piece::Line { from, to, stroke });
    }

    /// Adds the four sides of a rectangle, by two opposite corners.
    pub fn rectangle(&mut self, low: Point, high: Point, stroke: Stroke) {
        let corners = [low, [high[0], low[1]], high, [low[0], high[1]], low];
        for side in corners.windows(2) {
            self.line(side[0], side[1], stroke);
        }
    }

    /// Adds part of a circle: from a direction, so far anticlockwise, rad.
    pub fn arc(&mut self, centre: Point, radius: f64, start: f64, sweep: f64, stroke: Stroke) {
        self.pieces.push(Piece::Arc { centre, radius, start, sweep, stroke });
    }

    /// Adds a circle.
    pub fn circle(&mut self, centre: Point, radius: f64, stroke: Stroke) {
        self.pieces.push(Piece::Circle { centre, radius, stroke });
    }

    /// Adds a line of writing from left to right.
    pub fn text(&mut self, at: Point, height: f64, words: impl Into<String>, anchor: Anchor) {
        self.text_turned(at, height, words, anchor, 0.0);
    }

    /// Adds a line of writing in another direction, rad anticlockwise from the right.
    pub fn text_turned(
        &mut self,
        at: Point,
        height: f64,
        words: impl Into<String>,
        anchor: Anchor,
        turn: f64,
    ) {
        self.pieces.push(Piece::Text { at, height, turn, anchor, words: words.into() });
    }

    /// Adds a dimension from one point to another: extension lines, a dimension line that lies so far to
    /// the left of the way from one to the other, ticks, and the words over its middle. Points that are one
    /// give nothing.
    pub fn dimension(&mut self, from: Point, to: Point, offset: f64, words: impl Into<String>) {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = libm::hypot(dx, dy);
        if length.is_nan() || length <= 0.0 {
            return;
        }
        let along = [dx / length, dy / length];
        let left = [-along[1], along[0]];
        let shifted = |p: Point, by: f64| [p[0] + by * left[0], p[1] + by * left[1]];
        let outward = offset.signum();
        for end in [from, to] {
            let (near, far) =
                (shifted(end, outward * GAP_MM), shifted(end, offset + outward * GAP_MM));
            self.line(near, far, Stroke::Thin);
            let [x, y] = shifted(end, offset);
            let slant = [along[0] + left[0], along[1] + left[1]].map(|c| c * TICK_MM);
            self.line([x - slant[0], y - slant[1]], [x + slant[0], y + slant[1]], Stroke::Thin);
        }
        self.line(shifted(from, offset), shifted(to, offset), Stroke::Thin);
        // Upright or from below, never on its head.
        let flipped = along[0] < -1e-9 || (along[0].abs() <= 1e-9 && along[1] < 0.0);
        let (direction, lift) = if flipped { (-1.0, -0.8) } else { (1.0, 0.8) };
        let middle = [0.5 * (from[0] + to[0]), 0.5 * (from[1] + to[1])];
        let turn = libm::atan2(direction * along[1], direction * along[0]);
        let at = shifted(middle, offset + lift);
        self.text_turned(at, DIMENSION_TEXT_MM, words, Anchor::Middle, turn);
    }

    /// Lowest and highest corner of all pieces, mm; nothing for an empty drawing, or where a coordinate is not
    /// a finite number. Room for texts is estimated.
    pub fn bounds(&self) -> Option<[Point; 2]> {
        if self.pieces.iter().flat_map(Piece::corners).flatten().any(|c| !c.is_finite()) {
            return None;
        }
        let mut points = self.pieces.iter().flat_map(Piece::corners);
        let first = points.next()?;
        let grown = points.fold([first, first], |[low, high], p| {
            [[low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])]]
        });
        Some(grown)
    }
}

impl Piece {
    /// Points between which the whole piece lies.
    fn corners(&self) -> Vec<Point> {
        match self {
            Self::Line { from, to, .. } => vec![*from, *to],
            // An arc is taken for its circle: it is never left out, only given more room than it needs.
            Self::Arc { centre: [x, y], radius, .. }
            | Self::Circle { centre: [x, y], radius, .. } => {
                vec![[x - radius, y - radius], [x + radius, y + radius]]
            }
            Self::Text { at, height, turn, anchor, words } => {
                let length = text_width_mm(words, *height);
                let start = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => -0.5 * length,
                    Anchor::End => -length,
                };
                let (sin, cos) = (libm::sin(*turn), libm::cos(*turn));
                let placed =
                    |u: f64, v: f64| [at[0] + u * cos - v * sin, at[1] + u * sin + v * cos];
                let (low, high) = (-0.25 * height, *height);
                [(start, low), (start + length, low), (start, high), (start + length, high)]
                    .map(|(u, v)| placed(u, v))
                    .to_vec()
            }
        }
    }
}

/// Room that a line of writing takes, mm; an estimate.
pub fn text_width_mm(words: &str, height: f64) -> f64 {
    let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
    LETTER_WIDTH * height * f64::from(letters)
}

/// A number of mm as it stands in a file: at most four decimals, never "-0".
fn decimal(mm: f64) -> String {
    let text = format!("{mm:.4}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
