//! Axes of plots: round ticks, the builder's units, and names beside the curves instead of a legend.

use crate::book::canvas::{Anchor, Canvas, Point, SMALL_MM, width_mm};
use crate::units::System;

/// Steps that an axis has at most; fewer where each tick has two numbers.
const MOST_STEPS: f64 = 7.0;
const MOST_STEPS_BOTH: f64 = 4.0;
/// Height of a row of small letters, mm.
const ROW_MM: f64 = 3.3;
/// From a curve to its name, mm.
const NAME_GAP_MM: f64 = 13.0;

/// Dashes and colours of curves; neither alone tells them apart.
pub const STYLES: [&str; 8] = [
    "",
    "dash ink-blue",
    "chain ink-brown",
    "dots ink-green",
    "long ink-red",
    "chain ink-blue",
    "long ink-brown",
    "dash ink-green",
];

/// What is counted along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Pressure, Pa.
    Pressure,
    /// Distance, m.
    Distance,
    /// Flow, m3/s.
    Flow,
    /// Velocity, m/s.
    Velocity,
}

/// A unit by its symbol and size.
type Unit = (&'static str, f64);

impl Kind {
    /// The metric unit and the inch unit for numbers up to a size.
    fn units(self, most: f64) -> [Unit; 2] {
        let psi = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
        let gallon = 231.0 * 0.0254 * 0.0254 * 0.0254;
        match self {
            Self::Pressure if most > 2e6 => [("bar", 1e5), ("psi", psi)],
            Self::Pressure => [("kPa", 1e3), ("psi", psi)],
            Self::Distance => [("m", 1.0), ("ft", 0.3048)],
            Self::Flow if most < 2e-5 => [("L/h", 1e-3 / 3600.0), ("gal(US)/h", gallon / 3600.0)],
            Self::Flow => [("L/min", 1e-3 / 60.0), ("gal(US)/h", gallon / 3600.0)],
            Self::Velocity => [("m/s", 1.0), ("ft/s", 0.3048)],
        }
    }
}

/// Round numbers between two others, at most so many: steps of 1, 2 or 5 and tens of them.
///
/// ```
/// use hosewright::book::plot::axes::ticks;
/// assert_eq!(ticks(0.0, 10.0, 6.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
/// assert!(ticks(1.0, 1.0, 6.0).is_empty());
/// ```
pub fn ticks(low: f64, high: f64, most: f64) -> Vec<f64> {
    let Some(step) = step(high - low, most) else { return Vec::new() };
    let mut number = (low / step - 1e-9).ceil();
    let mut all = Vec::new();
    while number * step <= high + 1e-9 * step {
        all.push(number * step);
        number += 1.0;
    }
    all
}

/// A round step that divides a span into no more than so many.
fn step(span: f64, most: f64) -> Option<f64> {
    let least = span / most;
    if !(least.is_finite() && least > 0.0) {
        return None;
    }
    let ten = libm::pow(10.0, libm::floor(libm::log10(least)));
    [1.0, 2.0, 5.0, 10.0].map(|n| n * ten).into_iter().find(|s| *s >= least * (1.0 - 1e-9))
}

/// A linear axis.
#[derive(Clone, Debug)]
pub struct Axis {
    title: String,
    kind: Kind,
    system: System,
    /// The numbers at its ends, in SI units.
    ends: [f64; 2],
    /// Where its ends lie, mm.
    paper: [f64; 2],
}

impl Axis {
    /// An axis that holds two numbers, in SI units, between two places of the paper; its ends are round.
    /// None where both are one or no numbers.
    pub fn new(
        title: &str,
        kind: Kind,
        system: System,
        [low, high]: [f64; 2],
        paper: [f64; 2],
    ) -> Option<Self> {
        let mut axis = Self { title: title.into(), kind, system, ends: [low, high], paper };
        let size = axis.unit().1;
        let step = step((high - low) / size, axis.most_steps())? * size;
        axis.ends = [(low / step + 1e-9).floor() * step, (high / step - 1e-9).ceil() * step];
        Some(axis)
    }

    /// Where a number lies, mm.
    pub fn at(&self, number: f64) -> f64 {
        let share = (number - self.ends[0]) / (self.ends[1] - self.ends[0]);
        self.paper[0] + share * (self.paper[1] - self.paper[0])
    }

    /// By how much the numbers at its ends differ.
    pub fn span(&self) -> f64 {
        self.ends[1] - self.ends[0]
    }

    /// The number at its upper end.
    pub fn high(&self) -> f64 {
        self.ends[1]
    }

    fn most_steps(&self) -> f64 {
        if self.system == System::Both { MOST_STEPS_BOTH } else { MOST_STEPS }
    }

    fn unit(&self) -> Unit {
        let most = self.ends.iter().fold(0.0, |m: f64, e| m.max(e.abs()));
        let [metric, inch] = self.kind.units(most);
        if self.system == System::Inch { inch } else { metric }
    }

    /// The head with its unit: `flow, L/min`.
    pub fn head(&self) -> String {
        let most = self.ends[1].abs().max(self.ends[0].abs());
        let [metric, inch] = self.kind.units(most);
        let title = &self.title;
        match self.system {
            System::Metric => format!("{title}, {}", metric.0),
            System::Inch => format!("{title}, {}", inch.0),
            System::Both => format!("{title}, {} ({})", metric.0, inch.0),
        }
    }

    /// Its ticks: the number in SI units, and what is written there.
    pub fn marks(&self) -> Vec<(f64, String)> {
        let (_, size) = self.unit();
        let [low, high] = self.ends.map(|e| e / size);
        let all = ticks(low, high, self.most_steps());
        let step = if let [a, b, ..] = all[..] { b - a } else { 1.0 };
        let most = self.ends[1].abs().max(self.ends[0].abs());
        let inch = self.kind.units(most)[1].1;
        let written = |number: f64| match self.system {
            System::Both => {
                format!(
                    "{} ({})",
                    rounded(number, step),
                    rounded(number * size / inch, step * size / inch)
                )
            }
            _ => rounded(number, step),
        };
        all.into_iter().map(|n| (n * size, written(n))).collect()
    }
}

/// A number with the digits that tell steps apart.
fn rounded(number: f64, step: f64) -> String {
    let places = match step {
        s if s >= 0.999 => 0,
        s if s >= 0.0999 => 1,
        s if s >= 0.00999 => 2,
        _ => 3,
    };
    let text = format!("{number:.places$}");
    if text.trim_start_matches('-').trim_matches(['0', '.']).is_empty() { "0".into() } else { text }
}

/// Two axes.
#[derive(Clone, Debug)]
pub struct Axes {
    /// To the right.
    pub x: Axis,
    /// Upwards.
    pub y: Axis,
}

impl Axes {
    /// A point by its numbers in SI units.
    pub fn point(&self, [x, y]: [f64; 2]) -> Point {
        [self.x.at(x), self.y.at(y)]
    }

    /// Draws both with their ticks.
    pub fn draw(&self, canvas: &mut Canvas) {
        let [left, right] = self.x.paper;
        let [bottom, top] = self.y.paper;
        for (number, words) in self.y.marks() {
            let at = self.y.at(number);
            canvas.line([left, at], [right, at], "hair");
            canvas.text([left - 1.5, at + 0.9], &words, Anchor::End, "small");
        }
        for (number, words) in self.x.marks() {
            let at = self.x.at(number);
            canvas.line([at, bottom], [at, bottom + 1.2], "thin");
            canvas.text([at, bottom + 4.2], &words, Anchor::Middle, "small");
        }
        canvas.polyline(&[[left, top], [left, bottom], [right, bottom]], "");
        canvas.text([right, bottom + 8.4], &self.x.head(), Anchor::End, "small");
        let middle = [3.0, 0.5 * (top + bottom)];
        canvas.text_turned(middle, &self.y.head(), Anchor::Middle, "small", -90.0);
    }
}

/// A name with the point that it belongs to.
#[derive(Clone, Debug)]
pub struct Name {
    /// The point.
    pub at: Point,
    /// What is written.
    pub words: String,
    /// Class of its curve; its last word is the colour, if it has one.
    pub class: &'static str,
}

/// Writes names in a column, each as near to its point as the others leave it.
pub fn names(canvas: &mut Canvas, mut names: Vec<Name>, left: f64, [top, bottom]: [f64; 2]) {
    names.sort_by(|a, b| a.at[1].total_cmp(&b.at[1]));
    let width = canvas.size()[0] - left - NAME_GAP_MM;
    let rows: Vec<Vec<String>> = names.iter().map(|n| wrapped(&n.words, width)).collect();
    let heights: Vec<f64> = rows.iter().map(|r| ROW_MM * count(r.len()) + 0.7).collect();
    let wanted: Vec<f64> = names.iter().map(|n| n.at[1]).collect();
    let places = spread(&wanted, &heights, [top, bottom]);
    for ((name, rows), middle) in names.iter().zip(&rows).zip(places) {
        let bend = [left + NAME_GAP_MM - 9.0, middle];
        canvas.polyline(&[name.at, bend], "faint");
        // A sample of the curve, so that its dashes are seen beside its name.
        canvas.line(bend, [left + NAME_GAP_MM - 0.8, middle], name.class);
        let first = middle - 0.5 * ROW_MM * (count(rows.len()) - 1.0) + 0.9;
        let class = format!("small {}", name.class.split(' ').next_back().unwrap_or(""));
        for (index, row) in rows.iter().enumerate() {
            let at = [left + NAME_GAP_MM, first + ROW_MM * count(index)];
            canvas.text(at, row, Anchor::Start, &class);
        }
    }
}

/// Middles of things in a column that are as near to where they are wanted as their heights allow.
pub fn spread(wanted: &[f64], heights: &[f64], [low, high]: [f64; 2]) -> Vec<f64> {
    let mut places: Vec<f64> = wanted.to_vec();
    let mut free = low;
    for (place, height) in places.iter_mut().zip(heights) {
        *place = place.max(free + 0.5 * height);
        free = *place + 0.5 * height;
    }
    let mut free = high;
    for (place, height) in places.iter_mut().zip(heights).rev() {
        *place = place.min(free - 0.5 * height);
        free = *place - 0.5 * height;
    }
    places
}

/// Words in rows of a width.
pub fn wrapped(words: &str, width: f64) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match rows.last_mut() {
            Some(row) if width_mm(&format!("{row} {word}"), SMALL_MM) <= width => {
                row.push(' ');
                row.push_str(word);
            }
            _ => rows.push(word.to_owned()),
        }
    }
    rows
}

fn count(number: usize) -> f64 {
    f64::from(u32::try_from(number).unwrap_or(u32::MAX))
}
