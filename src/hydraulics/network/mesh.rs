//! Linear networks of conductances: node by node is eliminated, as a star is replaced by a mesh.
//!
//! The matrix of a network of conductances is symmetric, and each diagonal is the sum of what leads away from its node.
//! Only what leads away is stored; the ground is a last row. Eliminating a node then adds positive numbers and subtracts
//! nothing, so no digits are lost however far the conductances lie apart (W. K. Grassmann, M. I. Taksar and D. P. Heyman,
//! Operations Research 33 (1985) p. 1107 for the trick on Markov chains; standing: from-memory). Additions and products
//! only, in one order: the same bytes on every machine.

use core::ops::Range;

use super::fronts::{Front, Plan, plan};
use super::sweep::Part;
use super::tiles::{Cell, FOUR, Landing, NOTHING, Shape, eliminate, gather, triangle};

pub(super) use super::fronts::GROUND;

/// A network of conductances with its elimination.
pub(super) struct Mesh {
    sheets: Vec<Sheet>,
    /// Every link in the order of the sheets, with its place among the own columns there.
    links: Vec<(u32, u32)>,
    /// Of every sheet the places of its rows beyond, in whole fours, and where they land in the sheet above.
    rows: Vec<u32>,
    landings: Vec<Landing>,
    /// Place of each node. Every sheet begins with a whole four.
    place: Vec<u32>,
    /// Own columns of every sheet: what leads away to later rows.
    cells: Vec<Cell>,
    /// One over all that leads away from each place.
    inverse: Vec<Cell>,
    /// What waits for a sheet above, from sheets at even and at odd depth.
    remains: [Vec<Cell>; 2],
    waiting: Vec<usize>,
    across: Vec<Cell>,
    placed: Vec<Cell>,
}

/// A front with the places of what belongs to it.
struct Sheet {
    shape: Shape,
    /// Four of places where its own nodes begin.
    first: usize,
    cells: Range<usize>,
    links: Range<usize>,
    rows: Range<usize>,
    /// How many of its rows beyond are own ones of the sheet above.
    near: usize,
    /// Sheets whose remains are added to this one.
    below: usize,
    odd: bool,
}

impl Mesh {
    /// Plans the elimination of `count` nodes; the ends of an edge are nodes or [`GROUND`].
    pub(super) fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let plan = plan(count, edges);
        let mut sheets = sheets(&plan.fronts);
        let links = links(&plan, &mut sheets);
        let fours = sheets.last().map_or(0, |last| last.first + last.shape.own_fours());
        let cells = sheets.last().map_or(0, |last| last.cells.end);
        let mut place_at = Vec::with_capacity(count);
        for (sheet, front) in sheets.iter().zip(&plan.fronts) {
            place_at.extend((0..front.own).map(|own| number(FOUR * sheet.first + own)));
        }
        let (mut rows, mut landings) = (Vec::new(), Vec::new());
        for (sheet, front) in sheets.iter().zip(&plan.fronts) {
            let whole = FOUR * sheet.shape.beyond_fours();
            rows.extend(front.rows[front.own..].iter().map(|&row| place_at[row]));
            rows.resize(sheet.rows.start + whole, number(FOUR * fours));
            let above = front.up.map(|up| &sheets[up].shape);
            landings.extend(front.above.iter().filter_map(|&row| Some(landing(*above?, row))));
            let ground = above.map(|above| landing(*above, above.own + above.beyond));
            landings.resize(sheet.rows.start + whole, ground.unwrap_or(NOWHERE));
        }
        Self {
            sheets,
            links,
            rows,
            landings,
            place: plan.place.iter().map(|&at| place_at[at]).collect(),
            cells: vec![NOTHING; cells],
            inverse: vec![NOTHING; fours],
            remains: [Vec::new(), Vec::new()],
            waiting: Vec::new(),
            across: Vec::new(),
            placed: vec![NOTHING; fours + 1],
        }
    }

    /// Eliminates every node for the conductances of the edges, each zero or above.
    pub(super) fn factor(&mut self, conductances: &[f64]) {
        let [even, odd] = &mut self.remains;
        for (number, sheet) in self.sheets.iter().enumerate() {
            let own = &mut self.cells[sheet.cells.clone()];
            own.fill(NOTHING);
            for &(link, place) in &self.links[sheet.links.clone()] {
                own.as_flattened_mut()[place as usize] += conductances[link as usize];
            }
            let (mine, theirs) =
                if sheet.odd { (&mut *odd, &mut *even) } else { (&mut *even, &mut *odd) };
            let bottom = mine.len();
            mine.resize(bottom + sheet.shape.remains(), NOTHING);
            let beyond = &mut mine[bottom..];
            // The last sheets that wait are those below this one: their remains lie on top.
            for _ in 0..sheet.below {
                let child = &self.sheets[self.waiting.pop().unwrap_or(number)];
                let top = theirs.len() - child.shape.remains();
                let landings = &self.landings[child.rows.clone()];
                let (own, beyond) = (own.as_flattened_mut(), beyond.as_flattened_mut());
                let columns = &landings[..child.shape.beyond];
                gather(&theirs[top..], landings, columns, child.near, own, beyond);
                theirs.truncate(top);
            }
            let inverse = &mut self.inverse[sheet.first..];
            eliminate(sheet.shape, own, beyond, inverse, &mut self.across);
            if sheet.shape.beyond > 0 {
                self.waiting.push(number);
            }
        }
    }

    /// Replaces the inflow at every node by the pressure it raises there, over the ground.
    pub(super) fn solve(&mut self, inflows: &mut [f64]) {
        self.placed.fill(NOTHING);
        let placed = self.placed.as_flattened_mut();
        for (&place, &inflow) in self.place.iter().zip(&*inflows) {
            placed[place as usize] = inflow;
        }
        let part = |sheet: &Sheet| Part {
            shape: sheet.shape,
            cells: &self.cells[sheet.cells.clone()],
            inverse: &self.inverse[sheet.first..],
            first: sheet.first,
            rows: &self.rows[sheet.rows.clone()],
        };
        for sheet in &self.sheets {
            part(sheet).forward(&mut self.placed);
        }
        // What the ground took is no pressure.
        if let Some(ground) = self.placed.last_mut() {
            *ground = NOTHING;
        }
        for sheet in self.sheets.iter().rev() {
            part(sheet).backward(&mut self.placed, &mut self.across);
        }
        let placed = self.placed.as_flattened();
        for (&place, value) in self.place.iter().zip(inflows) {
            *value = placed[place as usize];
        }
    }
}

/// A landing for what goes nowhere.
const NOWHERE: Landing = Landing { own: 0, beyond: 0, column: 0 };

/// Sheets for the fronts, still without links.
fn sheets(fronts: &[Front]) -> Vec<Sheet> {
    let (mut first, mut cells, mut rows) = (0, 0, 0);
    let mut sheets: Vec<Sheet> = Vec::with_capacity(fronts.len());
    for front in fronts {
        let shape = Shape { own: front.own, beyond: front.rows.len() - front.own };
        let (cells_end, rows_end) = (cells + shape.cells(), rows + FOUR * shape.beyond_fours());
        let own_above = front.up.map_or(0, |up| fronts[up].own);
        sheets.push(Sheet {
            shape,
            first,
            cells: cells..cells_end,
            links: 0..0,
            rows: rows..rows_end,
            near: front.above.partition_point(|&row| row < own_above),
            below: front.below,
            odd: false,
        });
        (first, cells, rows) = (first + shape.own_fours(), cells_end, rows_end);
    }
    for index in (0..fronts.len()).rev() {
        sheets[index].odd = fronts[index].up.is_some_and(|up| !sheets[up].odd);
    }
    sheets
}

/// The links in the order of the sheets, each with its place there.
fn links(plan: &Plan, sheets: &mut [Sheet]) -> Vec<(u32, u32)> {
    let mut ends = vec![0; sheets.len() + 1];
    for spot in plan.spots.iter().flatten() {
        ends[spot.front + 1] += 1;
    }
    for index in 0..sheets.len() {
        ends[index + 1] += ends[index];
        sheets[index].links = ends[index]..ends[index + 1];
    }
    let mut links = vec![(0, 0); ends[sheets.len()]];
    for (link, spot) in plan.spots.iter().enumerate() {
        let Some(spot) = spot else { continue };
        let at = landing(sheets[spot.front].shape, spot.row).own + number(FOUR * spot.column);
        links[ends[spot.front]] = (number(link), at);
        ends[spot.front] += 1;
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

#[cfg(test)]
mod tests {
    use super::{GROUND, Mesh};

    /// Numbers spread over (0, 1), the same in every run.
    fn spread(state: &mut u64) -> f64 {
        *state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (f64::from((*state >> 32) as u32) + 0.5) / 4_294_967_296.0
    }

    /// A square grid with one edge to the ground, and some chords.
    fn grid(side: usize) -> Vec<(usize, usize)> {
        let mut edges = vec![(0, GROUND)];
        for node in 0..side * side {
            if node % side + 1 < side {
                edges.push((node, node + 1));
            }
            if node + side < side * side {
                edges.push((node + side, node));
            }
        }
        edges.extend([(1, side * side - 1), (2, 2), (1, 0)]);
        edges
    }

    fn largest_miss(side: usize, spread_decades: f64) -> f64 {
        let edges = grid(side);
        let mut state = 7;
        let conductances: Vec<f64> = edges
            .iter()
            .map(|_| libm::pow(10.0, spread_decades * (spread(&mut state) - 0.5)))
            .collect();
        let mut mesh = Mesh::new(side * side, &edges);
        mesh.factor(&conductances);
        let known: Vec<f64> = (0..side * side).map(|_| 1.0 + spread(&mut state)).collect();
        let mut inflows = vec![0.0; known.len()];
        let mut sizes = vec![0.0; known.len()];
        for (&(a, b), &conductance) in edges.iter().zip(&conductances) {
            let pressure = |n: usize| if n == GROUND { 0.0 } else { known[n] };
            let flow = conductance * (pressure(a) - pressure(b));
            for (node, sign) in [(a, 1.0), (b, -1.0)].into_iter().filter(|(n, _)| *n != GROUND) {
                inflows[node] += sign * flow;
                sizes[node] += flow.abs();
            }
        }
        mesh.solve(&mut inflows);
        inflows.iter().zip(&known).map(|(x, y)| (x / y - 1.0).abs()).fold(0.0, f64::max)
    }

    #[test]
    fn grids_of_every_size_give_back_the_pressures_they_were_made_from() {
        for side in [2, 3, 4, 5, 7, 12, 40] {
            let miss = largest_miss(side, 2.0);
            assert!(miss < 1e-9, "{side}: {miss}");
        }
    }

    #[test]
    fn a_node_hung_on_next_to_nothing_keeps_its_digits() {
        // 1 -- 2 joined by a million, tied to the ground by a millionth of a millionth.
        let mut mesh = Mesh::new(2, &[(0, 1), (1, GROUND)]);
        mesh.factor(&[1.0e6, 1.0e-12]);
        let mut inflows = [1.0e-12, 0.0];
        mesh.solve(&mut inflows);
        assert!((inflows[0] - 1.0).abs() < 1e-15 && (inflows[1] - 1.0).abs() < 1e-15);
    }
}
