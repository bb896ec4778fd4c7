//! Rows: how far down each item stands, so that wires are straight.

use super::channel::Side;
use super::web::{Foot, Web};

/// Sweeps over all columns.
const SWEEPS: usize = 12;

/// The first row of each item.
pub fn tops(web: &Web) -> Vec<i32> {
    let mut tops = vec![0; web.items.len()];
    for column in &web.columns {
        for (item, offset) in column.iter().zip(offsets(web, column)) {
            tops[*item] = offset;
        }
    }
    for sweep in 0..SWEEPS {
        let count = web.columns.len();
        // First after one bank, then after the other, last after both.
        let banks: &[Side] = match sweep {
            0 | 2 => &[Side::Right],
            1 | 3 => &[Side::Left],
            _ => &[Side::Left, Side::Right],
        };
        for step in 0..count {
            let column = if sweep % 2 == 0 { step } else { count - 1 - step };
            place(web, column, banks, &mut tops);
        }
    }
    tops
}

/// Rows of the items of a column when they stand as close as they may.
fn offsets(web: &Web, column: &[usize]) -> Vec<i32> {
    let mut next = 0;
    let mut before = None;
    let mut offsets = Vec::new();
    for item in column {
        let item = web.items[*item];
        // Two boxes have a free row between them.
        next += i32::from(before.flatten().is_some() && item.block.is_some());
        offsets.push(next);
        next += item.rows;
        before = Some(item.block);
    }
    offsets
}

/// Items that stand close, with the rows they would like their first one to have.
struct Pile {
    count: usize,
    wishes: Vec<(i32, i32)>,
    top: i32,
}

impl Pile {
    fn settle(&mut self) {
        self.wishes.sort_unstable();
        let whole: i32 = self.wishes.iter().map(|w| w.1).sum();
        let mut sum = 0;
        for (row, weight) in &self.wishes {
            sum += weight;
            self.top = *row;
            if 2 * sum >= whole {
                break;
            }
        }
    }
}

/// Puts the items of a column where the weighted sum of all bends is least (isotonic regression: what would pass
/// through one another is put together and takes the median).
fn place(web: &Web, column: usize, banks: &[Side], tops: &mut [i32]) {
    let items = &web.columns[column];
    let offsets = offsets(web, items);
    let wishes = wishes(web, column, banks, tops);
    let mut piles: Vec<Pile> = Vec::new();
    for (item, offset) in items.iter().zip(&offsets) {
        let mut own: Vec<(i32, i32)> =
            wishes.iter().filter(|w| w.0 == *item).map(|w| (w.1 - offset, w.2)).collect();
        if own.is_empty() {
            own.push((tops[*item] - offset, 1));
        }
        let mut pile = Pile { count: 1, wishes: own, top: 0 };
        pile.settle();
        while let Some(above) = piles.pop_if(|above| above.top >= pile.top) {
            pile.count += above.count;
            pile.wishes.extend(above.wishes);
            pile.settle();
        }
        piles.push(pile);
    }
    let places = piles.iter().flat_map(|p| std::iter::repeat_n(p.top, p.count));
    for ((item, offset), top) in items.iter().zip(offsets).zip(places) {
        tops[*item] = top + offset;
    }
}

/// The item, the row it would like to have, and how much: long straight wires weigh more.
fn wishes(web: &Web, column: usize, banks: &[Side], tops: &[i32]) -> Vec<(usize, i32, i32)> {
    let mut wishes = Vec::new();
    for hop in web.hops_in(column).chain(web.hops_in(column + 1)) {
        let [a, b] = hop.feet;
        for (own, other) in [(a, b), (b, a)] {
            if own.column == column && own.item != other.item && banks.contains(&own.side) {
                let passing = |f: &Foot| web.items[f.item].block.is_none();
                let weight = match (passing(&own), passing(&other)) {
                    (true, true) => 6,
                    (false, false) => 3,
                    _ => 2,
                };
                wishes.push((own.item, tops[other.item] + other.row - own.row, weight));
            }
        }
    }
    wishes
}
