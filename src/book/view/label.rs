//! Where names find room: beside what they name, off each other, and off the lines as far as that goes.

use core::f64::consts::PI;

use crate::book::canvas::Point;

/// Directions that are tried.
const DIRECTIONS: u32 = 12;
/// What it costs to cover a mm2 of a line, against a mm of distance.
const LINE_COST: f64 = 1.6;
/// Least distance between two names, mm.
const GAP_MM: f64 = 0.5;

/// A place that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// What is named.
    pub anchor: Point,
    /// Middle of the name.
    pub centre: Point,
}

/// A sheet of which some is taken.
#[derive(Clone, Debug)]
pub struct Room {
    low: Point,
    high: Point,
    columns: usize,
    /// Square mm that a line runs through, row by row.
    lines: Vec<bool>,
    taken: Taken,
}

/// What no name may cover, by low and high corners; each square of the paper knows what lies in it, so that a name is
/// held against its neighbours only.
#[derive(Clone, Debug)]
struct Taken {
    low: Point,
    columns: usize,
    rows: usize,
    squares: Vec<Vec<[Point; 2]>>,
}

/// Side of such a square, mm.
const SQUARE_MM: f64 = 8.0;

impl Taken {
    fn new(low: Point, high: Point) -> Self {
        let count = |i: usize| cell((high[i] - low[i]) / SQUARE_MM) + 1;
        let (columns, rows) = (count(0), count(1));
        Self { low, columns, rows, squares: vec![Vec::new(); columns * rows] }
    }

    /// The squares that a rectangle touches; what lies beyond the edge is in the last one.
    fn squares(&self, [low, high]: [Point; 2]) -> impl Iterator<Item = usize> {
        let (columns, origin) = (self.columns, self.low);
        let range = move |i: usize, count: usize| {
            let at = |c: f64| cell((c - origin[i]) / SQUARE_MM).min(count - 1);
            at(low[i])..=at(high[i])
        };
        let across = range(0, columns);
        range(1, self.rows).flat_map(move |row| across.clone().map(move |c| row * columns + c))
    }

    fn push(&mut self, corners: [Point; 2]) {
        let squares: Vec<usize> = self.squares(corners).collect();
        for square in squares {
            self.squares[square].push(corners);
        }
    }

    /// Whether a rectangle covers nothing that is taken.
    fn leaves(&self, [low, high]: [Point; 2]) -> bool {
        let apart =
            |other: &[Point; 2]| (0..2).any(|i| other[1][i] <= low[i] || other[0][i] >= high[i]);
        self.squares([low, high]).all(|square| self.squares[square].iter().all(apart))
    }
}

impl Room {
    /// An empty rectangle by its corners.
    pub fn new(low: Point, high: Point) -> Self {
        let columns = cell(high[0] - low[0]) + 1;
        let rows = cell(high[1] - low[1]) + 1;
        Self {
            low,
            high,
            columns,
            lines: vec![false; columns * rows],
            taken: Taken::new(low, high),
        }
    }

    /// Notes a line.
    pub fn stroke(&mut self, from: Point, to: Point) {
        let length = libm::hypot(to[0] - from[0], to[1] - from[1]);
        if !length.is_finite() {
            return;
        }
        let steps = cell(2.0 * length) + 1;
        for step in 0..=steps {
            let share = index_share(step, steps);
            let at = [0, 1].map(|i| from[i] + share * (to[i] - from[i]));
            if let Some(square) = self.square(at).and_then(|s| self.lines.get_mut(s)) {
                *square = true;
            }
        }
    }

    /// Notes something that no name may cover.
    pub fn take(&mut self, centre: Point, size: Point) {
        self.taken.push(corners(centre, size, 0.0));
    }

    /// Finds room for a name of a size beside one of several places, no farther off than `reach`.
    pub fn place(&mut self, anchors: &[Point], size: Point, reach: &[f64]) -> Option<Found> {
        let mut best: Option<(f64, Found)> = None;
        for (index, anchor) in anchors.iter().enumerate() {
            for gap in reach {
                for direction in 0..DIRECTIONS {
                    let angle = 2.0 * PI * f64::from(direction) / f64::from(DIRECTIONS);
                    let centre = [
                        anchor[0] + libm::cos(angle) * (0.5 * size[0] + gap),
                        anchor[1] - libm::sin(angle) * (0.5 * size[1] + gap),
                    ];
                    let begin = gap + if index > 0 { 0.5 } else { 0.0 };
                    let most = best.map_or(f64::INFINITY, |b| b.0);
                    if begin < most
                        && let Some(cost) = self.cost(centre, size).filter(|c| begin + c < most)
                    {
                        best = Some((begin + cost, Found { anchor: *anchor, centre }));
                    }
                }
            }
        }
        let (_, found) = best?;
        self.take(found.centre, size);
        Some(found)
    }

    /// What a name covers; none where it must not stand.
    fn cost(&self, centre: Point, size: Point) -> Option<f64> {
        let [low, high] = corners(centre, size, GAP_MM);
        let inside = (0..2).all(|i| low[i] >= self.low[i] && high[i] <= self.high[i]);
        if !inside || !self.taken.leaves([low, high]) {
            return None;
        }
        let (first, last) = (self.square(low)?, self.square(high)?);
        let (left, right) = (first % self.columns, last % self.columns);
        let rows = first / self.columns..=last / self.columns;
        let covered = rows.map(|row| {
            let row = &self.lines[row * self.columns + left..=row * self.columns + right];
            row.iter().filter(|l| **l).count()
        });
        Some(LINE_COST * f64::from(u32::try_from(covered.sum::<usize>()).unwrap_or(u32::MAX)))
    }

    fn square(&self, [x, y]: Point) -> Option<usize> {
        let inside = x >= self.low[0] && y >= self.low[1] && x <= self.high[0] && y <= self.high[1];
        inside.then(|| cell(y - self.low[1]) * self.columns + cell(x - self.low[0]))
    }
}

fn corners(centre: Point, size: Point, more: f64) -> [Point; 2] {
    let half = size.map(|s| 0.5 * s + more);
    [[0, 1].map(|i| centre[i] - half[i]), [0, 1].map(|i| centre[i] + half[i])]
}

/// The whole mm below a distance.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and what no paper reaches"
)]
fn cell(mm: f64) -> usize {
    mm.clamp(0.0, 1e4) as usize
}

fn index_share(step: usize, steps: usize) -> f64 {
    let whole = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    whole(step) / whole(steps.max(1))
}
