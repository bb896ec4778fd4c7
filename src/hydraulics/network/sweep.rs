//! The two sweeps over an eliminated network: inflows on towards the ground, pressures back from it.

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
    fn columns(&self, four: usize) -> &[Cell] {
        &self.cells[self.shape.start(four)..self.shape.start(four + 1)]
    }

    /// Sends the inflow of each own node on to later rows, and leaves it over what leads away from the node.
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

    /// Adds to each own node what the pressures of later rows raise there.
    pub(super) fn backward(self, placed: &mut [Cell], sums: &mut Vec<Cell>) {
        let own_fours = self.shape.own_fours();
        sums.clear();
        sums.resize(self.shape.own, NOTHING);
        for (four, rows) in self.rows.as_chunks::<FOUR>().0.iter().enumerate() {
            let pressures = rows.map(|row| placed.as_flattened()[row as usize]);
            raise(self.columns(own_fours + four), pressures, sums);
        }
        for four in (0..own_fours).rev() {
            let (before, diagonal) = self.columns(four).split_at(FOUR * four);
            let (own, inverse) = (&mut placed[self.first + four], self.inverse[four]);
            for (index, column) in diagonal.iter().enumerate().rev() {
                let mut sum = sums[FOUR * four + index];
                for row in index + 1..FOUR {
                    sum[row] += column[row] * own[row];
                }
                own[index] += inverse[index] * ((sum[0] + sum[1]) + (sum[2] + sum[3]));
            }
            raise(before, *own, sums);
        }
    }
}

/// Adds to four rows what the columns send there.
fn send(columns: &[Cell], from: &[f64], sum: &mut Cell) {
    for (column, from) in columns.iter().zip(from) {
        for (value, share) in sum.iter_mut().zip(column) {
            *value += share * from;
        }
    }
}

/// Adds to the columns what the pressures of four rows raise there, row by row of the four.
fn raise(columns: &[Cell], pressures: Cell, sums: &mut [Cell]) {
    for (column, sum) in columns.iter().zip(sums) {
        for ((value, share), pressure) in sum.iter_mut().zip(column).zip(pressures) {
            *value += share * pressure;
        }
    }
}
