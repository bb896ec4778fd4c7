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

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::{Cell as Box, Floor, corners, least, split};

    /// Least of a wave along one stretch, and how often the wave was asked for.
    fn of_wave(below: f64, curvature: f64) -> (Option<(f64, f64)>, u32) {
        let asked = Cell::new(0_u32);
        let wave = |[u]: [f64; 1]| {
            asked.set(asked.get() + 1);
            libm::sin(3.0 * u) + 0.1 * u
        };
        let floor = |[_]: [f64; 1], [half]: [f64; 1], value: f64| Floor {
            value: value - (3.1 * half).min(curvature * half),
            at: [0.0],
        };
        let found = least([4.0], below, wave, floor).unwrap();
        (found.map(|lowest| (lowest.at[0], lowest.value)), asked.get())
    }

    #[test]
    fn the_least_of_several_valleys_is_certain() {
        let (found, asked) = of_wave(f64::INFINITY, 3.1);
        // Where 3 cos 3 u = -0.1, in the last valley to the left.
        let at = -libm::acos(-1.0 / 30.0) / 3.0 - 2.0 * std::f64::consts::PI / 3.0;
        let (place, value) = found.unwrap();
        assert!(
            (value - (libm::sin(3.0 * at) + 0.1 * at)).abs() < 2e-7,
            "{place} {value}, not {at}"
        );
        assert!((100..60_000).contains(&asked), "{asked}");
    }

    #[test]
    fn nothing_below_a_limit_is_told_at_once() {
        assert_eq!(of_wave(-1.5, 3.1).0, None);
        let (none, asked) = of_wave(-5.0, 3.1);
        assert!(none.is_none() && asked < 30, "{asked}");
        assert!(of_wave(-1.2, 3.1).0.is_some_and(|(_, value)| value < -1.2));
    }

    #[test]
    fn a_box_has_every_corner_once_and_is_halved_across_its_longest_side() {
        let mut found: Vec<[f64; 2]> = corners([1.0, 2.0]).collect();
        found.sort_by(|a, b| a.partial_cmp(b).unwrap());
        assert_eq!(found, [[-1.0, -2.0], [-1.0, 2.0], [1.0, -2.0], [1.0, 2.0]]);
        for (half, longest) in [([1.0, 2.0], 1), ([2.0, 1.0], 0)] {
            let mut open = Vec::new();
            split(&Box { mid: [5.0, 7.0], half, floor: 3.0 }, &mut open);
            assert_eq!(open.len(), 2);
            for (part, side) in open.iter().zip([1.0, -1.0]) {
                let (mut mid, mut smaller) = ([5.0, 7.0], half);
                mid[longest] += side;
                smaller[longest] = 1.0;
                assert_eq!((part.mid, part.half, part.floor), (mid, smaller, 3.0));
            }
        }
    }
}
