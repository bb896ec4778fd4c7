//! The clips of a line from taped points: text to paste into a plan, data or a spreadsheet.

use core::fmt::Write;

use serde_json::{Value, json};

use super::grid::wrapped;
use super::units::length;
use super::{Format, Layout, caution, spreadsheet};

/// Width of the text to paste where no terminal tells one.
const WIDTH: usize = 80;

/// A line that was taped.
#[derive(Clone, Debug)]
pub struct Taped<'t> {
    /// The file it was read from, as it can be shown.
    pub file: &'t str,
    /// Unit of its points, as a plan names it.
    pub unit: &'static str,
    /// How many points were read.
    pub given: usize,
    /// The corners that are left, as written.
    pub kept: Vec<[f64; 3]>,
    /// How far a point may lie beside a straight to be left out, mm.
    pub straight_mm: Option<f64>,
    /// The farthest of those that are left out, mm.
    pub farthest_mm: f64,
    /// Length along the corners, mm.
    pub length_mm: f64,
    /// Whether the first and the last point are ports.
    pub ends: bool,
}

impl Taped<'_> {
    fn left_out(&self) -> usize {
        self.given - self.kept.len()
    }

    fn clips(&self) -> &[[f64; 3]] {
        match self.kept.as_slice() {
            [_, between @ .., _] if self.ends => between,
            all => all,
        }
    }

    /// The two ports, where the first and the last point are.
    fn ports(&self) -> Option<[[f64; 3]; 2]> {
        let ends = self.kept.first().zip(self.kept.last()).filter(|_| self.ends)?;
        Some([*ends.0, *ends.1])
    }

    /// The key of a `[[line]]`, on one line where that is wide enough.
    fn key(&self, width: usize) -> String {
        let points: Vec<String> = self.clips().iter().copied().map(point).collect();
        let one = format!("clips   = [{}]", points.join(", "));
        if one.len() <= width {
            return one;
        }
        let rows: Vec<String> = points.iter().map(|p| format!("  {p},\n")).collect();
        format!("clips   = [\n{}]", rows.concat())
    }
}

fn point([x, y, z]: [f64; 3]) -> String {
    format!("[{x}, {y}, {z}]")
}

/// The line in a format.
pub fn write(taped: &Taped<'_>, format: Format, layout: Layout) -> String {
    match format {
        Format::Text => text(taped, layout),
        Format::Json => format!("{:#}\n", data(taped)),
        Format::Csv => sheet(taped),
    }
}

/// All but the key is a comment, so that the whole can be pasted.
fn text(taped: &Taped<'_>, layout: Layout) -> String {
    let mut out = String::new();
    let mut comment = |text: &str| {
        for line in wrapped(text, layout.width.saturating_sub(2), 0).lines() {
            let _ = writeln!(out, "# {line}");
        }
    };
    let left = taped.left_out();
    let mm = |mm: f64| length(mm, layout.system);
    let beside = if left == 0 {
        "none is left out".to_owned()
    } else {
        format!("{left} left out, none more than {} beside its straight", mm(taped.farthest_mm))
    };
    comment(&format!("{} points of {}: {beside}", taped.given, taped.file));
    comment(&format!("{} along the corners from the first to the last", mm(taped.length_mm)));
    if let Some([a, b]) = taped.ports() {
        comment(&format!("end A at {}, end B at {}", point(a), point(b)));
    }
    comment(&format!("for a plan with length_unit = \"{}\"", taped.unit));
    comment(caution::ALWAYS);
    let _ = writeln!(out, "{}", taped.key(layout.width));
    out
}

fn data(taped: &Taped<'_>) -> Value {
    let ports = taped.ports();
    json!({
        "file": taped.file,
        "unit": taped.unit,
        "points": taped.given,
        "left_out": taped.left_out(),
        "straight_mm": taped.straight_mm,
        "farthest_mm": taped.farthest_mm,
        "length_mm": taped.length_mm,
        "end_a": ports.map(|p| p[0]),
        "end_b": ports.map(|p| p[1]),
        "clips": taped.clips(),
        "toml": taped.key(WIDTH),
        "cautions": [caution::ALWAYS],
    })
}

fn sheet(taped: &Taped<'_>) -> String {
    let row = |what: String, at: [f64; 3]| {
        let mut row = vec![what];
        row.extend(at.map(|c| c.to_string()));
        row.push(taped.unit.to_owned());
        row
    };
    let [a, b] = taped.ports().map_or([None, None], |ports| ports.map(Some));
    let clips = taped.clips().iter().enumerate();
    let rows = a
        .map(|at| row("end A".into(), at))
        .into_iter()
        .chain(clips.map(|(i, at)| row(format!("clip {}", i + 1), *at)))
        .chain(b.map(|at| row("end B".into(), at)));
    spreadsheet::rows(&["what", "x", "y", "z", "unit"], rows)
}
