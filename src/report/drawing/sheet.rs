//! Sheets of paper: where the drawing lies on each page, the title, the scale bars in both axes, the notes.

use std::f64::consts::FRAC_PI_2;

use crate::trial::print::BAR_MM;

use super::{Anchor, Drawing, Piece, Point, Stroke, text_width_mm};

/// What printers leave white at every edge, mm.
pub const MARGIN_MM: f64 = 10.0;
/// The longer scale bar, mm: 4 in.
pub const INCH_BAR_MM: f64 = 101.6;
/// What two pages show both, mm.
const OVERLAP_MM: f64 = 10.0;
/// Room under the drawing for bars and notes, mm.
const FOOT_MM: f64 = 110.0;
/// Room over the drawing for the title, mm.
const HEAD_MM: f64 = 13.0;
/// More pages than this are not glued together by anybody.
const MOST_PAGES: usize = 40;
/// Stands on every page.
const SCALE: &str = "Scale 1:1. Print at 100 %, no fit to page. Before use measure all four bars: 100 mm and 4 in, along \
and across. If one is off by more than 0.5 mm, do not use this sheet.";

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 297 x 210 mm (ISO 216).
    #[default]
    A4,
    /// 11 x 8.5 in.
    Letter,
}

impl Paper {
    /// Its longer and its shorter side, mm.
    pub fn sides_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [297.0, 210.0],
            Self::Letter => [279.4, 215.9],
        }
    }
}

/// Why a drawing cannot be put on paper.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// Nothing is drawn, or a size is not a number.
    #[error("there is nothing to draw")]
    Empty,
    /// It is broader than a page has room for.
    #[error("the drawing is {height_mm:.0} mm high, and a page has room for {room_mm:.0} mm")]
    TooHigh {
        /// Its height, mm.
        height_mm: f64,
        /// Room on an upright page, mm.
        room_mm: f64,
    },
    /// It is longer than anybody would glue together.
    #[error("the drawing is {length_mm:.0} mm long: more than {most} pages")]
    TooLong {
        /// Its length, mm.
        length_mm: f64,
        /// The most pages.
        most: usize,
    },
}

/// A page: its size, the part of the drawing that it shows, and its own pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width and height, mm.
    pub size: Point,
    /// Lowest and highest x of the drawing that it shows, mm.
    pub window: Point,
    /// What is added to a point of the drawing to find it on the page, mm.
    pub shift: Point,
    /// Pieces on the page itself: title, bars, notes, joins.
    pub frame: Vec<Piece>,
}

/// Lays a drawing on pages: lengthwise if it is low enough, else upright, over as many as it is long.
///
/// # Errors
/// Refuses a drawing without pieces, one too high for an upright page, and one of more than 40 pages.
pub fn pages(drawing: &Drawing, paper: Paper) -> Result<Vec<Page>, SheetError> {
    let [low, high] = drawing.bounds().ok_or(SheetError::Empty)?;
    let (length_mm, height_mm) = (high[0] - low[0], high[1] - low[1]);
    if !(length_mm.is_finite() && height_mm.is_finite()) {
        return Err(SheetError::Empty);
    }
    let [long, short] = paper.sides_mm();
    let room = |height: f64| height - 2.0 * MARGIN_MM - FOOT_MM - HEAD_MM;
    let size = if height_mm <= room(short) { [long, short] } else { [short, long] };
    if height_mm > room(size[1]) {
        return Err(SheetError::TooHigh { height_mm, room_mm: room(size[1]) });
    }
    let starts = starts(length_mm, size[0] - 2.0 * MARGIN_MM)?;
    let count = starts.len();
    let floor = MARGIN_MM + FOOT_MM + 0.5 * (room(size[1]) - height_mm);
    let one = |(index, start): (usize, f64)| {
        let first = low[0] + start;
        let mut page = Page {
            size,
            window: [first, first + size[0] - 2.0 * MARGIN_MM],
            shift: [MARGIN_MM - first, floor - low[1]],
            frame: Vec::new(),
        };
        page.frame = frame(drawing, &page, index, count);
        page
    };
    Ok(starts.into_iter().enumerate().map(one).collect())
}

/// Where each page begins, counted from the beginning of the drawing, mm.
fn starts(length_mm: f64, room_mm: f64) -> Result<Vec<f64>, SheetError> {
    let mut starts = vec![0.0];
    let mut start = 0.0;
    while start + room_mm < length_mm {
        if starts.len() == MOST_PAGES {
            return Err(SheetError::TooLong { length_mm, most: MOST_PAGES });
        }
        start += room_mm - OVERLAP_MM;
        starts.push(start);
    }
    Ok(starts)
}

fn frame(drawing: &Drawing, page: &Page, index: usize, count: usize) -> Vec<Piece> {
    let mut frame = Drawing::new("", Vec::new());
    let [width, height] = page.size;
    let top = height - MARGIN_MM - 4.0;
    let of = if count > 1 { format!(", page {} of {count}", index + 1) } else { String::new() };
    let room = width - 2.0 * MARGIN_MM;
    let title = shortened(&drawing.title, room - text_width_mm(&of, 4.0), 4.0);
    frame.text([MARGIN_MM, top], 4.0, title + &of, Anchor::Start);
    bars(&mut frame, [MARGIN_MM, MARGIN_MM]);
    let notes_mm = room - 36.0;
    let mut y = MARGIN_MM + INCH_BAR_MM - 3.0;
    let notes = core::iter::once(SCALE).chain(drawing.notes.iter().map(String::as_str));
    for (number, note) in notes.enumerate() {
        for line in lines(note, notes_mm, 3.0) {
            // The bars lie below; what has no room is in the report.
            if y > MARGIN_MM + 26.0 {
                frame.text([MARGIN_MM + 36.0, y], 3.0, line, Anchor::Start);
            }
            y -= 4.5;
        }
        y -= if number == 0 { 3.0 } else { 1.0 };
    }
    joins(&mut frame, page, index, count);
    frame.pieces
}

/// Lines along which pages are laid over each other, in the middle of what both show.
fn joins(frame: &mut Drawing, page: &Page, index: usize, count: usize) {
    let [width, height] = page.size;
    let (low, high) = (MARGIN_MM + FOOT_MM - 2.0, height - MARGIN_MM - HEAD_MM + 4.0);
    let mut join = |x: f64, pages: usize| {
        frame.line([x, low], [x, high], Stroke::Join);
        let words = format!("join {pages}-{}", pages + 1);
        frame.text_turned([x - 0.8, low + 1.0], 2.5, words, Anchor::Start, FRAC_PI_2);
    };
    if index > 0 {
        join(MARGIN_MM + 0.5 * OVERLAP_MM, index);
    }
    if index + 1 < count {
        join(width - MARGIN_MM - 0.5 * OVERLAP_MM, index + 1);
    }
}

/// The four scale bars, by their lowest corner: 100 mm and 4 in upwards, and both to the right.
pub fn bars(drawing: &mut Drawing, corner: Point) {
    let [x, y] = corner;
    for (place, length, name) in [(5.5, BAR_MM, "100 mm"), (16.0, INCH_BAR_MM, "4 in")] {
        bar(drawing, [x + place, y], [0.0, 1.0], length, name);
        bar(drawing, [x + 36.0, y + place], [1.0, 0.0], length, name);
    }
}

/// A scale bar with a tick at both ends and one for every tenth, or every inch.
fn bar(drawing: &mut Drawing, from: Point, along: Point, length: f64, name: &str) {
    let parts = if name.ends_with("in") { 4 } else { 10 };
    let at = |u: f64, v: f64| {
        [from[0] + u * along[0] - v * along[1], from[1] + u * along[1] + v * along[0]]
    };
    drawing.line(at(0.0, 0.0), at(length, 0.0), Stroke::Thin);
    for part in 0..=parts {
        let u = length * f64::from(part) / f64::from(parts);
        let reach = if part == 0 || part == parts { 2.5 } else { 1.2 };
        drawing.line(at(u, -reach), at(u, reach), Stroke::Thin);
    }
    let turn = libm::atan2(along[1], along[0]);
    drawing.text_turned(at(0.5 * length, 3.0), 3.0, name, Anchor::Middle, turn);
}

/// As much of a text as has room, with dots for the rest.
fn shortened(text: &str, room_mm: f64, height: f64) -> String {
    if text_width_mm(text, height) <= room_mm {
        return text.to_owned();
    }
    let mut short = String::new();
    for letter in text.chars() {
        if text_width_mm(&short, height) + text_width_mm("....", height) > room_mm {
            break;
        }
        short.push(letter);
    }
    short + "..."
}

/// A text broken into lines at blanks; a word longer than a line is cut off.
fn lines(text: &str, room_mm: f64, height: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let word = shortened(word, room_mm, height);
        if let Some(last) = lines.last_mut()
            && (last.is_empty()
                || text_width_mm(last, height) + text_width_mm(&word, height) + height < room_mm)
        {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(&word);
        } else {
            lines.push(word);
        }
    }
    lines
}
