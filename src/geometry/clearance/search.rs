//! Branch and bound along one or two stretches: the least value, certified.

use crate::geometry::GeometryError;

/// A search ends when no place can be lower than the one found by more than this.
pub(super) const TOLERANCE_MM: f64 = 1e-7;
/// Where a tube runs round a cylinder, or two growing bends run alongside, thousands of cells are needed; more
/// than this are a fault.
const MOST_CELLS: usize = 2_000_000;

/// What no place of a cell can be below, and how far from its middle the lowest is to be expected.
#[derive(Debug, Clone, Copy)]
pub(super) struct Floor<const N: usize> {
    pub value: f64,
    pub at: [f64; N],
}

/// The lowest place found.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lowest<const N: usize> {
    pub at: [f64; N],
    pub value: f64,
}

impl<const N: usize> Lowest<N> {
    fn take(&mut self, at: [f64; N], value: f64) {
        if value < self.value {
            *self = Self { at, value };
        }
    }
}

/// A box of parameters: its middle and half its size.
#[derive(Debug, Clone, Copy)]
struct Cell<const N: usize> {
    mid: [f64; N],
    half: [f64; N],
    floor: f64,
}

/// The least value below `below` over `-half ..= half` in every parameter; `None` where there is none.
///
/// `floor` gets the middle of a cell, half its size and the value in the middle.
pub(super) fn least<const N: usize>(
    half: [f64; N],
    below: f64,
    value: impl Fn([f64; N]) -> f64,
    floor: impl Fn([f64; N], [f64; N], f64) -> Floor<N>,
) -> Result<Option<Lowest<N>>, GeometryError> {
    let mut best = Lowest { at: [0.0; N], value: below };
    // Ends first: there the least is met exactly, and far from an end the cells shrink fast.
    corners(half).for_each(|at| best.take(at, value(at)));
    let mut open = vec![Cell { mid: [0.0; N], half, floor: f64::NEG_INFINITY }];
    let mut cells = 0;
    while let Some(cell) = open.pop() {
        if cell.floor >= best.value - TOLERANCE_MM {
            continue;
        }
        cells += 1;
        if cells > MOST_CELLS {
            return Err(GeometryError::NotSettled { what: "the nearest place of two lines" });
        }
        let in_middle = value(cell.mid);
        best.take(cell.mid, in_middle);
        let floor = floor(cell.mid, cell.half, in_middle);
        if floor.value >= best.value - TOLERANCE_MM {
            continue;
        }
        let mut expected = cell.mid;
        expected.iter_mut().zip(floor.at).for_each(|(at, off)| *at += off);
        best.take(expected, value(expected));
        split(&Cell { floor: floor.value, ..cell }, &mut open);
    }
    Ok((best.value < below).then_some(best))
}

/// All corners of the whole box.
fn corners<const N: usize>(half: [f64; N]) -> impl Iterator<Item = [f64; N]> {
    (0..1_usize << N).map(move |bits| {
        let mut corner = half;
        for (axis, side) in corner.iter_mut().enumerate() {
            if bits >> axis & 1 == 0 {
                *side = -*side;
            }
        }
        corner
    })
}

/// Halves a cell across its longest side.
fn split<const N: usize>(cell: &Cell<N>, open: &mut Vec<Cell<N>>) {
    let mut longest = 0;
    for axis in 1..N {
        if cell.half[axis] > cell.half[longest] {
            longest = axis;
        }
    }
    let quarter = 0.5 * cell.half[longest];
    for side in [quarter, -quarter] {
        let mut next = *cell;
        next.half[longest] = quarter;
        next.mid[longest] += side;
        open.push(next);
    }
}
