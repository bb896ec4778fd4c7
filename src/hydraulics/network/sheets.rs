//! The tree of an elimination: its fronts laid out as sheets of cells, where everything in them is found.

use core::ops::Range;
use std::collections::BTreeMap;

use super::fronts::{Front, GROUND, Plan};
use super::tiles::{FOUR, Landing, Shape, triangle};

/// Work of a whole elimination below which it stays on one core: sharing it would cost more. Counted in products.
const WORTH_SHARING: f64 = 1.0e6;
/// Least work of a limb: in products, and as a part of the whole.
const LEAST_LIMB: f64 = 5.0e4;
const LEAST_PART: f64 = 0.01;

/// The sheets, each after those below it, with what belongs to them.
pub(super) struct Tree {
    pub(super) sheets: Vec<Sheet>,
    /// Every link in the order of the sheets, with its place among the own columns there.
    pub(super) links: Vec<(u32, u32)>,
    /// Of every sheet the places of its rows beyond, in whole fours, and where they land in the sheet above.
    pub(super) rows: Vec<u32>,
    pub(super) landings: Vec<Landing>,
    /// Place of each node. Every sheet begins with a whole four.
    pub(super) place: Vec<u32>,
    pub(super) trunk: Limb,
}

/// A front with the places of what belongs to it.
pub(super) struct Sheet {
    pub(super) shape: Shape,
    /// Four of places where its own nodes begin.
    pub(super) first: usize,
    pub(super) cells: Range<usize>,
    pub(super) links: Range<usize>,
    pub(super) rows: Range<usize>,
    /// How many of its rows beyond are own ones of the sheet above.
    pub(super) near: usize,
    /// Sheets whose remains are added to this one.
    pub(super) below: usize,
    pub(super) odd: bool,
}

/// Sheets that hang together, and those limbs among them that are eliminated first, side by side.
pub(super) struct Limb {
    pub(super) sheets: Range<usize>,
    /// None lies in another.
    pub(super) limbs: Vec<Limb>,
}

impl Tree {
    /// Plans the elimination of `count` nodes; the ends of an edge are nodes or [`super::fronts::GROUND`].
    pub(super) fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let plan = Plan::new(count, edges);
        let mut sheets = sheets(&plan);
        let links = links(&plan, &mut sheets, edges);
        let mut place_at = Vec::with_capacity(count);
        for (sheet, front) in sheets.iter().zip(&plan.fronts) {
            place_at.extend((0..front.own).map(|own| number(FOUR * sheet.first + own)));
        }
        let rows = sheets.last().map_or(0, |last| last.rows.end);
        let mut tree = Self {
            links,
            rows: Vec::with_capacity(rows),
            landings: Vec::with_capacity(rows),
            place: plan.place.iter().map(|&at| place_at[at]).collect(),
            trunk: trunk(&plan.fronts),
            sheets,
        };
        let nowhere = number(FOUR * tree.fours());
        for (sheet, front) in tree.sheets.iter_mut().zip(&plan.fronts) {
            tree.rows.extend(plan.rows[front.beyond.clone()].iter().map(|&row| place_at[row]));
            tree.rows.resize(sheet.rows.end, nowhere);
            if let Some(up) = front.up {
                sheet.near = land(&plan, front, &plan.fronts[up], &mut tree.landings);
            }
            let ground = front.up.map_or(Landing::default(), |up| {
                let above = shape(&plan.fronts[up]);
                landing(above, above.own + above.beyond)
            });
            tree.landings.resize(sheet.rows.end, ground);
        }
        tree
    }

    /// Cells of all sheets.
    pub(super) fn cells(&self) -> usize {
        self.sheets.last().map_or(0, |last| last.cells.end)
    }

    /// Fours of places.
    pub(super) fn fours(&self) -> usize {
        self.sheets.last().map_or(0, |last| last.first + last.shape.own_fours())
    }
}

/// The whole tree as a limb.
fn trunk(fronts: &[Front]) -> Limb {
    let mut work: Vec<f64> = fronts.iter().map(work).collect();
    let mut first: Vec<usize> = (0..fronts.len()).collect();
    let mut all = 0.0;
    for (index, front) in fronts.iter().enumerate() {
        match front.up {
            Some(up) => {
                work[up] += work[index];
                first[up] = first[up].min(first[index]);
            }
            None => all += work[index],
        }
    }
    let mut heavy: BTreeMap<Option<usize>, Vec<usize>> = BTreeMap::new();
    if all >= WORTH_SHARING {
        let least = LEAST_LIMB.max(LEAST_PART * all);
        for index in (0..fronts.len()).filter(|&index| work[index] >= least) {
            heavy.entry(fronts[index].up).or_default().push(index);
        }
    }
    Limb { sheets: 0..fronts.len(), limbs: limbs(None, &heavy, &first) }
}

/// The limbs that meet at the first fork below a front; `first` is the first front of each one's limb.
fn limbs(
    up: Option<usize>,
    heavy: &BTreeMap<Option<usize>, Vec<usize>>,
    first: &[usize],
) -> Vec<Limb> {
    match heavy.get(&up).map_or(&[][..], Vec::as_slice) {
        [] => Vec::new(),
        [one] => limbs(Some(*one), heavy, first),
        several => {
            let limb = |&index: &usize| Limb {
                sheets: first[index]..index + 1,
                limbs: limbs(Some(index), heavy, first),
            };
            several.iter().map(limb).collect()
        }
    }
}

/// Products of an elimination, about.
fn work(front: &Front) -> f64 {
    let (own, tall) = (real(front.own), real(front.tall()));
    0.5 * own * (tall * (tall - own) + own * own / 3.0)
}

fn real(count: usize) -> f64 {
    f64::from(number(count))
}

fn shape(front: &Front) -> Shape {
    Shape { own: front.own, beyond: front.beyond.len() }
}

/// Sheets for the fronts, still without links and not knowing how many rows are near.
fn sheets(plan: &Plan) -> Vec<Sheet> {
    let (mut first, mut cells, mut rows) = (0, 0, 0);
    let mut sheets: Vec<Sheet> = Vec::with_capacity(plan.fronts.len());
    for front in &plan.fronts {
        let shape = shape(front);
        let (cells_end, rows_end) = (cells + shape.cells(), rows + FOUR * shape.beyond_fours());
        sheets.push(Sheet {
            shape,
            first,
            cells: cells..cells_end,
            links: 0..0,
            rows: rows..rows_end,
            near: 0,
            below: front.below,
            odd: false,
        });
        (first, cells, rows) = (first + shape.own_fours(), cells_end, rows_end);
    }
    for (index, front) in plan.fronts.iter().enumerate().rev() {
        sheets[index].odd = front.up.is_some_and(|up| !sheets[up].odd);
    }
    sheets
}

/// Finds where the rows beyond a front land in the front above; how many of them are own ones there.
fn land(plan: &Plan, front: &Front, above: &Front, landings: &mut Vec<Landing>) -> usize {
    let (mut near, mut at) = (0, 0);
    let target = &plan.rows[above.beyond.clone()];
    for &row in &plan.rows[front.beyond.clone()] {
        let there = if row < above.first + above.own {
            near += 1;
            row - above.first
        } else {
            while target.get(at).is_some_and(|&beyond| beyond < row) {
                at += 1;
            }
            above.own + at
        };
        landings.push(landing(shape(above), there));
    }
    near
}

/// The links in the order of the sheets, each with its place there.
fn links(plan: &Plan, sheets: &mut [Sheet], edges: &[(usize, usize)]) -> Vec<(u32, u32)> {
    let at = |node: usize| if node == GROUND { GROUND } else { plan.place[node] };
    let places = || edges.iter().map(|&(a, b)| (at(a).min(at(b)), at(a).max(at(b))));
    let inside = |(low, high): &(usize, usize)| low != high;
    let mut ends = vec![0; sheets.len() + 1];
    for (low, _) in places().filter(inside) {
        ends[plan.front_of[low] + 1] += 1;
    }
    for index in 0..sheets.len() {
        ends[index + 1] += ends[index];
        sheets[index].links = ends[index]..ends[index + 1];
    }
    let mut links = vec![(0, 0); ends[sheets.len()]];
    for (link, (low, high)) in places().enumerate().filter(|(_, ends)| inside(ends)) {
        let index = plan.front_of[low];
        let front = &plan.fronts[index];
        let row = landing(sheets[index].shape, plan.row(front, high)).own;
        links[ends[index]] = (number(link), row + number(FOUR * (low - front.first)));
        ends[index] += 1;
    }
    links
}

/// Where a row of a front stands, counted over its own rows and those beyond.
fn landing(shape: Shape, row: usize) -> Landing {
    let place = |cells: usize, lane: usize| number(FOUR * cells + lane);
    match row.checked_sub(shape.own) {
        None => Landing {
            own: place(shape.start(row / FOUR), row % FOUR),
            beyond: 0,
            column: number(FOUR * row),
        },
        Some(beyond) => {
            let four = beyond / FOUR;
            Landing {
                own: place(shape.start(shape.own_fours() + four), beyond % FOUR),
                beyond: place(triangle(four), beyond % FOUR),
                column: number(FOUR * beyond),
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "no machine holds a network of 2^32 places")]
fn number(count: usize) -> u32 {
    count as u32
}
