//! The arithmetic of one front, its rows in fours, which the processor works on together.
//!
//! A four of rows holds one [`Cell`] for each column that reaches it, one after the other: what is added up over many
//! columns lies in one stretch. On and above the diagonal stands zero. The ground is the last row, after those beyond.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

/// Four rows of one column.
pub(super) type Cell = [f64; FOUR];

/// Rows in a cell.
pub(super) const FOUR: usize = 4;
pub(super) const NOTHING: Cell = [0.0; FOUR];

/// Size of a front: the nodes it eliminates, and the rows it touches beyond them, without the ground.
#[derive(Clone, Copy)]
pub(super) struct Shape {
    pub(super) own: usize,
    pub(super) beyond: usize,
}

impl Shape {
    /// Fours of the own rows; the last may be partly empty.
    pub(super) fn own_fours(self) -> usize {
        self.own.div_ceil(FOUR)
    }

    /// Fours of the rows beyond and the ground.
    pub(super) fn beyond_fours(self) -> usize {
        (self.beyond + 1).div_ceil(FOUR)
    }

    /// First cell of a four of rows in the own columns.
    pub(super) fn start(self, four: usize) -> usize {
        match four.checked_sub(self.own_fours()) {
            Some(below) => triangle(self.own_fours().saturating_sub(1)) + (below + 1) * self.own,
            None => triangle(four),
        }
    }

    /// Cells of the own columns.
    pub(super) fn cells(self) -> usize {
        self.start(self.own_fours() + self.beyond_fours())
    }

    /// Cells of the columns beyond, which remain after the elimination.
    pub(super) fn remains(self) -> usize {
        let (columns, last) = (self.beyond.div_ceil(FOUR), self.beyond_fours() - 1);
        triangle(last) + FOUR * columns.min(last + 1)
    }
}

/// Cells before a four of rows whose columns form a triangle.
pub(super) fn triangle(four: usize) -> usize {
    2 * four * (four + 1)
}

/// Where a row or column of the remains goes in the front above: the place of a value is that of its row, among the own
/// columns there or among those beyond, plus that of its column.
#[derive(Clone, Copy, Default)]
pub(super) struct Landing {
    pub(super) own: u32,
    pub(super) beyond: u32,
    pub(super) column: u32,
}

/// Adds the remains to the front above, the first `near` columns among its own ones. The zeros on and above the diagonal
/// land anywhere.
#[inline(always)]
pub(super) fn gather(
    remains: &[Cell],
    rows: &[Landing],
    columns: &[Landing],
    near: usize,
    own: &mut [f64],
    beyond: &mut [f64],
) {
    let mut rest = remains;
    for (four, rows) in rows.as_chunks::<FOUR>().0.iter().enumerate() {
        let (cells, later) = rest.split_at((FOUR * (four + 1)).min(rest.len()));
        let (here, there) = cells.split_at(near.min(cells.len()));
        add(here, columns, rows.map(|row| row.own), own);
        add(there, &columns[here.len()..], rows.map(|row| row.beyond), beyond);
        rest = later;
    }
}

#[inline(always)]
fn add(cells: &[Cell], columns: &[Landing], rows: [u32; FOUR], target: &mut [f64]) {
    for (cell, column) in cells.iter().zip(columns) {
        for (value, row) in cell.iter().zip(rows) {
            target[(row + column.column) as usize] += value;
        }
    }
}

/// Eliminates the nodes of a front: leaves what leads from each to later rows in its column, one over the sum of it in
/// `inverse`, and adds what takes its place to the columns beyond.
#[inline(always)]
pub(super) fn eliminate(
    shape: Shape,
    own: &mut [Cell],
    beyond: &mut [Cell],
    inverse: &mut [Cell],
    across: &mut Vec<Cell>,
) {
    for four in 0..shape.own_fours() {
        match shape.own - FOUR * four {
            1 => panel::<1>(shape, four, own, inverse, across),
            2 => panel::<2>(shape, four, own, inverse, across),
            3 => panel::<3>(shape, four, own, inverse, across),
            _ => panel::<FOUR>(shape, four, own, inverse, across),
        }
    }
    let left = &own[shape.start(shape.own_fours())..];
    for four in 0..shape.beyond.div_ceil(FOUR) {
        scale(&left[four * shape.own..][..shape.own], inverse, across);
        for row in four..shape.beyond_fours() {
            if let Some(tile) = beyond[triangle(row) + FOUR * four..].first_chunk_mut() {
                update::<FOUR>(tile, &left[row * shape.own..], across);
                if row == four {
                    clear_upper(tile);
                }
            }
        }
    }
}

/// Eliminates up to four nodes: first brings their columns up to date, then works on them alone.
#[inline(always)]
fn panel<const WIDE: usize>(
    shape: Shape,
    four: usize,
    own: &mut [Cell],
    inverse: &mut [Cell],
    across: &mut Vec<Cell>,
) {
    let first = FOUR * four;
    scale(&own[shape.start(four)..][..first], inverse, across);
    let rows = four..shape.own_fours() + shape.beyond_fours();
    let mut away = [NOTHING; WIDE];
    for row in rows.clone() {
        let (left, right) = own[shape.start(row)..].split_at_mut(first);
        let Some(tile) = right.first_chunk_mut::<WIDE>() else { continue };
        update(tile, left, across);
        if row == four {
            clear_upper(tile);
            continue;
        }
        for (sum, column) in away.iter_mut().zip(tile) {
            for (sum, value) in sum.iter_mut().zip(column) {
                *sum += *value;
            }
        }
    }
    let mut shares = [NOTHING; WIDE];
    for row in rows {
        let Some(tile) = own[shape.start(row) + first..].first_chunk_mut::<WIDE>() else {
            continue;
        };
        if row == four {
            (shares, inverse[four]) = pivots(tile, away.map(|[a, b, c, d]| (a + b) + (c + d)));
        } else {
            follow(tile, &shares);
        }
    }
}

/// Eliminates the nodes of a tile on the diagonal; what leads away from them below the tile is given as sums. The shares
/// that each node sends to those after it, and one over what leads away from each.
#[inline(always)]
fn pivots<const WIDE: usize>(
    tile: &mut [Cell; WIDE],
    mut below: [f64; WIDE],
) -> ([Cell; WIDE], Cell) {
    let (mut shares, mut inverse) = ([NOTHING; WIDE], NOTHING);
    for pivot in 0..WIDE {
        let column = tile[pivot];
        let away = column.iter().sum::<f64>() + below[pivot];
        inverse[pivot] = if away > 0.0 { 1.0 / away } else { 0.0 };
        for later in pivot + 1..WIDE {
            let share = column[later] * inverse[pivot];
            for row in later + 1..FOUR {
                tile[later][row] += share * column[row];
            }
            below[later] += share * below[pivot];
            shares[pivot][later] = share;
        }
    }
    (shares, inverse)
}

/// Adds to the columns of a tile what the nodes eliminated in the tile on the diagonal send there.
#[inline(always)]
fn follow<const WIDE: usize>(tile: &mut [Cell; WIDE], shares: &[Cell; WIDE]) {
    for pivot in 0..WIDE {
        let from = tile[pivot];
        for later in pivot + 1..WIDE {
            for (value, from) in tile[later].iter_mut().zip(from) {
                *value += shares[pivot][later] * from;
            }
        }
    }
}

/// Cells times what belongs to their columns.
#[inline(always)]
fn scale(cells: &[Cell], inverse: &[Cell], scaled: &mut Vec<Cell>) {
    scaled.clear();
    let factors = inverse.as_flattened();
    scaled.extend(cells.iter().zip(factors).map(|(cell, factor)| cell.map(|value| value * factor)));
}

/// Adds to a tile what all columns to the left send there: the heart of the elimination.
#[inline(always)]
fn update<const WIDE: usize>(tile: &mut [Cell; WIDE], left: &[Cell], across: &[Cell]) {
    let mut sums = *tile;
    for (cell, shares) in left.iter().zip(across) {
        for (column, share) in sums.iter_mut().zip(shares) {
            for (value, from) in column.iter_mut().zip(cell) {
                *value += share * from;
            }
        }
    }
    *tile = sums;
}

#[inline(always)]
fn clear_upper<const WIDE: usize>(tile: &mut [Cell; WIDE]) {
    for (index, column) in tile.iter_mut().enumerate() {
        column[..=index].fill(0.0);
    }
}
