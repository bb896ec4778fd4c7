//! The two sweeps over an eliminated network: inflows on towards the ground, pressures back from it.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

use super::tiles::{Cell, FOUR, NOTHING, Shape};

/// The part of one front: its own columns, its first four of places, the places of its rows beyond.
#[derive(Clone, Copy)]
pub(super) struct Part<'a> {
    pub(super) shape: Shape,
    pub(super) cells: &'a [Cell],
    pub(super) inverse: &'a [Cell],
    pub(super) first: usize,
    pub(super) rows: &'a [u32],
}

impl Part<'_> {
    /// The columns that reach a four of rows.
    #[inline(always)]
    fn columns(&self, four: usize) -> &[Cell] {
        &self.cells[self.shape.start(four)..self.shape.start(four + 1)]
    }

    /// Sends the inflow of each own node on to later rows, and leaves it over what leads away from the node.
    #[inline(always)]
    pub(super) fn forward(self, placed: &mut [Cell]) {
        let own_fours = self.shape.own_fours();
        for four in 0..own_fours {
            let (own, inverse) = (&placed[self.first..], self.inverse[four]);
            let (before, diagonal) = self.columns(four).split_at(FOUR * four);
            let mut sum = own[four];
            send(before, own.as_flattened(), &mut sum);
            for (index, column) in diagonal.iter().enumerate() {
                sum[index] *= inverse[index];
                let from = sum[index];
                for row in index + 1..FOUR {
                    sum[row] += column[row] * from;
                }
            }
            placed[self.first + four] = sum;
        }
        for (four, rows) in self.rows.chunks_exact(FOUR).enumerate() {
            let mut sum = NOTHING;
            send(self.columns(own_fours + four), placed[self.first..].as_flattened(), &mut sum);
            let placed = placed.as_flattened_mut();
            for (&row, value) in rows.iter().zip(sum) {
                placed[row as usize] += value;
            }
        }
    }

    /// Adds to each own node what the pressures of later rows raise there; those beyond are gathered first.
    #[inline(always)]
    pub(super) fn backward(self, placed: &mut [Cell], beyond: &mut Vec<Cell>) {
        beyond.clear();
        let pressures = placed.as_flattened();
        let fours = self.rows.as_chunks::<FOUR>().0.iter();
        beyond.extend(fours.map(|rows| rows.map(|row| pressures[row as usize])));
        for four in (0..self.shape.own_fours()).rev() {
            match self.shape.own - FOUR * four {
                1 => self.raise::<1>(four, placed, beyond),
                2 => self.raise::<2>(four, placed, beyond),
                3 => self.raise::<3>(four, placed, beyond),
                _ => self.raise::<FOUR>(four, placed, beyond),
            }
        }
    }

    /// Adds to up to four own nodes what the pressures of all later rows raise there.
    #[inline(always)]
    fn raise<const WIDE: usize>(self, four: usize, placed: &mut [Cell], beyond: &[Cell]) {
        let own_fours = self.shape.own_fours();
        let (own, later) = placed[self.first + four..self.first + own_fours].split_at_mut(1);
        let mut sums = [NOTHING; WIDE];
        for (row, pressures) in (four + 1..).zip(later.iter().chain(beyond)) {
            let columns = self.cells[self.shape.start(row) + FOUR * four..].first_chunk::<WIDE>();
            for (sum, column) in sums.iter_mut().zip(columns.into_iter().flatten()) {
                for ((value, share), pressure) in sum.iter_mut().zip(column).zip(pressures) {
                    *value += share * pressure;
                }
            }
        }
        let diagonal = &self.cells[self.shape.start(four) + FOUR * four..];
        for index in (0..WIDE).rev() {
            let mut sum = sums[index];
            for row in index + 1..FOUR {
                sum[row] += diagonal[index][row] * own[0][row];
            }
            own[0][index] += self.inverse[four][index] * ((sum[0] + sum[1]) + (sum[2] + sum[3]));
        }
    }
}

/// Adds to four rows what the columns send there.
#[inline(always)]
fn send(columns: &[Cell], from: &[f64], sum: &mut Cell) {
    for (column, from) in columns.iter().zip(from) {
        for (value, share) in sum.iter_mut().zip(column) {
            *value += share * from;
        }
    }
}
