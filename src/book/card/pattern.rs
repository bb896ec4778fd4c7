//! The pattern that is laid over a square, so that nothing in it misleads a reader (ISO/IEC 18004:2015, 7.8).
//!
//! The standard looks at eight squares, module by module, for what disturbs, and takes the one that disturbs least.
//! Here a row of modules is one long number, so that a whole row is looked at at once.

use core::array;

use qrcode::canvas::{Canvas, MaskPattern, Module};
use qrcode::{EcLevel, Version};

/// The patterns in the order of their numbers; of equally good ones the first is taken.
const PATTERNS: [MaskPattern; 8] = [
    MaskPattern::Checkerboard,
    MaskPattern::HorizontalLines,
    MaskPattern::VerticalLines,
    MaskPattern::DiagonalLines,
    MaskPattern::LargeCheckerboard,
    MaskPattern::Fields,
    MaskPattern::Diamonds,
    MaskPattern::Meadow,
];

/// Every pattern repeats itself after so many modules.
const PERIOD: usize = 12;
/// Bits of half a row.
const HALF: usize = 128;
/// Where the modules that name level and pattern cross, and how far they reach from a corner.
const NAMED: i16 = 8;
/// The row and column of alternating modules, which crosses them.
const TIMING: i16 = 6;

/// A row of modules, the first in the lowest bit; the widest square has 177.
#[derive(Clone, Copy, Debug, Default)]
struct Row([u128; 2]);

impl Row {
    /// Every module is the one that stood so many places before it.
    fn later(self, by: u32) -> Self {
        let [low, high] = self.0;
        Self([low << by, (high << by) | (low >> (u128::BITS - by))])
    }

    /// Every module is the one that stands so many places behind it.
    fn sooner(self, by: u32) -> Self {
        let [low, high] = self.0;
        Self([(low >> by) | (high << (u128::BITS - by)), high >> by])
    }

    fn and(self, other: Self) -> Self {
        Self([self.0[0] & other.0[0], self.0[1] & other.0[1]])
    }

    fn or(self, other: Self) -> Self {
        Self([self.0[0] | other.0[0], self.0[1] | other.0[1]])
    }

    fn differs(self, other: Self) -> Self {
        Self([self.0[0] ^ other.0[0], self.0[1] ^ other.0[1]])
    }

    fn not(self) -> Self {
        Self([!self.0[0], !self.0[1]])
    }

    fn count(self) -> u32 {
        self.0[0].count_ones() + self.0[1].count_ones()
    }

    fn set(&mut self, at: usize, dark: bool) {
        let bit = 1 << (at % HALF);
        let half = &mut self.0[at / HALF];
        *half = if dark { *half | bit } else { *half & !bit };
    }

    /// The modules up to a width.
    fn first(width: usize) -> Self {
        let mut row = Self::default();
        (0..width).for_each(|at| row.set(at, true));
        row
    }

    /// Modules, each of which is like the next one of the row.
    fn like_next(self, pairs: Self) -> Self {
        self.differs(self.sooner(1)).not().and(pairs)
    }
}

/// The modules of a square, as rows and as columns.
#[derive(Clone, Debug)]
struct Modules {
    rows: Vec<Row>,
    columns: Vec<Row>,
}

impl Modules {
    fn new(width: usize) -> Self {
        Self { rows: vec![Row::default(); width], columns: vec![Row::default(); width] }
    }

    fn set(&mut self, x: usize, y: usize, dark: bool) {
        self.rows[y].set(x, dark);
        self.columns[x].set(y, dark);
    }

    fn both(&self) -> impl Iterator<Item = Row> + '_ {
        self.rows.iter().chain(&self.columns).copied()
    }
}

/// The pattern with which a drawn square disturbs least.
pub fn least_disturbing(canvas: &Canvas, width: i16, level: EcLevel) -> MaskPattern {
    let side = usize::try_from(width).unwrap_or_default();
    let (mut dark, mut free) = (Modules::new(side), Modules::new(side));
    for (y, row) in (0..width).zip(0..side) {
        for (x, column) in (0..width).zip(0..side) {
            let module = canvas.get(x, y);
            dark.set(column, row, module.is_dark());
            free.set(column, row, !matches!(module, Module::Masked(_)));
        }
    }
    let laid = |pattern| penalty(&laid(&dark, &free, pattern, level));
    PATTERNS.into_iter().min_by_key(|p| laid(*p)).unwrap_or(MaskPattern::Checkerboard)
}

/// A square with a pattern laid over what is free, and with the name of level and pattern written in.
fn laid(dark: &Modules, free: &Modules, pattern: MaskPattern, level: EcLevel) -> Modules {
    let side = dark.rows.len();
    let rows: [Row; PERIOD] = array::from_fn(|y| repeated(side, |x| turns(pattern, x, y)));
    let columns: [Row; PERIOD] = array::from_fn(|x| repeated(side, |y| turns(pattern, x, y)));
    let over = |dark: &[Row], free: &[Row], turned: &[Row; PERIOD]| {
        let pairs = dark.iter().zip(free).zip(turned.iter().cycle());
        pairs.map(|((dark, free), turned)| dark.differs(turned.and(*free))).collect()
    };
    let mut laid = Modules {
        rows: over(&dark.rows, &free.rows, &rows),
        columns: over(&dark.columns, &free.columns, &columns),
    };
    // The name is the same in a square of every size, and stands at the same distance from its corners.
    let mut small = Canvas::new(Version::Normal(1), level);
    small.apply_mask(pattern);
    let at = |c: i16| {
        let from_corner = usize::from(c.unsigned_abs());
        if c < 0 { side - from_corner } else { from_corner }
    };
    for c in (-NAMED..=NAMED).filter(|c| *c != TIMING) {
        laid.set(at(NAMED), at(c), small.get(NAMED, c).is_dark());
        laid.set(at(c), at(NAMED), small.get(c, NAMED).is_dark());
    }
    laid
}

/// Whether a pattern turns the module at a place (table 10 of the standard).
fn turns(pattern: MaskPattern, x: usize, y: usize) -> bool {
    let product = x * y;
    match pattern {
        MaskPattern::Checkerboard => (x + y).is_multiple_of(2),
        MaskPattern::HorizontalLines => y.is_multiple_of(2),
        MaskPattern::VerticalLines => x.is_multiple_of(3),
        MaskPattern::DiagonalLines => (x + y).is_multiple_of(3),
        MaskPattern::LargeCheckerboard => (y / 2 + x / 3).is_multiple_of(2),
        MaskPattern::Fields => product % 2 + product % 3 == 0,
        MaskPattern::Diamonds => (product % 2 + product % 3).is_multiple_of(2),
        MaskPattern::Meadow => ((x + y) % 2 + product % 3).is_multiple_of(2),
    }
}

/// What repeats itself after a period, over a whole row.
fn repeated(width: usize, turned: impl Fn(usize) -> bool) -> Row {
    let one: [bool; PERIOD] = array::from_fn(turned);
    let mut row = Row::default();
    (0..width).zip(one.iter().cycle()).for_each(|(at, turned)| row.set(at, *turned));
    row
}

/// How much disturbs a reader (table 11 of the standard): long runs of one colour, plain places, what looks like a
/// corner mark, and more of one colour than of the other.
fn penalty(modules: &Modules) -> usize {
    let width = modules.rows.len();
    let pairs = Row::first(width.saturating_sub(1));
    let runs: u32 = modules.both().map(|row| run_points(row.like_next(pairs))).sum();
    let plain: u32 = modules.rows.windows(2).map(|two| plain_places(two, pairs)).sum();
    let marks: u32 = modules.both().map(corner_marks).sum();
    let dark: u32 = modules.rows.iter().map(|row| row.count()).sum();
    let share = dark as usize * 200 / (width * width).max(1);
    (runs + 3 * plain + 40 * marks) as usize + share.abs_diff(100)
}

/// Three points for five modules of one colour in a row, one more for each further one.
fn run_points(like_next: Row) -> u32 {
    let two = like_next.and(like_next.sooner(1));
    let four = two.and(two.sooner(2));
    let begins = four.and(four.later(1).not());
    four.count() + 2 * begins.count()
}

/// Places of two by two modules of one colour.
fn plain_places(two: &[Row], pairs: Row) -> u32 {
    let [above, below] = two else { return 0 };
    let level = above.like_next(pairs).and(below.like_next(pairs));
    level.and(above.differs(*below).not()).count()
}

/// Places that look like a cut through a corner mark, 1 1 3 1 1, with four light modules before or behind; what lies
/// outside the square is light.
fn corner_marks(row: Row) -> u32 {
    let near = |steps: [u32; 4], moved: fn(Row, u32) -> Row| {
        steps.into_iter().fold(Row::default(), |near, by| near.or(moved(row, by)))
    };
    let core = row.sooner(2).and(row.sooner(3)).and(row.sooner(4));
    let light = row.sooner(1).or(row.sooner(5)).not();
    let mark = row.and(core).and(row.sooner(6)).and(light);
    let (before, behind) = (near([1, 2, 3, 4], Row::later), near([7, 8, 9, 10], Row::sooner));
    mark.and(before.and(behind).not()).count()
}

#[cfg(test)]
mod tests {
    use super::least_disturbing;
    use qrcode::canvas::Canvas;
    use qrcode::{EcLevel, bits, ec};

    /// The crate that draws the squares finds the same pattern by looking at every module, much more slowly.
    #[test]
    fn the_pattern_is_the_one_of_the_standard() {
        let mut widths = std::collections::BTreeSet::new();
        for length in [0, 1, 17, 60, 150, 333, 480, 700, 1000, 1011, 1027, 1500, 2000, 2330] {
            for level in [EcLevel::M, EcLevel::L] {
                let letter = |i: usize| char::from(b'a' + u8::try_from(i * i % 23).unwrap());
                let text: String = (0..length).map(letter).collect();
                let bits = bits::encode_auto(text.as_bytes(), level).unwrap();
                let version = bits.version();
                let (data, check) =
                    ec::construct_codewords(&bits.into_bytes(), version, level).unwrap();
                let mut canvas = Canvas::new(version, level);
                canvas.draw_all_functional_patterns();
                canvas.draw_data(&data, &check);
                let best = canvas.apply_best_mask();
                canvas.apply_mask(least_disturbing(&canvas, version.width(), level));
                assert_eq!(canvas.into_colors(), best.into_colors(), "{length} at {level:?}");
                widths.insert(version.width());
            }
        }
        assert!(widths.len() > 15 && widths.last() == Some(&177), "{widths:?}");
    }
}
