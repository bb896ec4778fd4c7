//! Linear networks of conductances: node by node is eliminated, as a star is replaced by a mesh.
//!
//! The matrix of a network of conductances is symmetric, and each diagonal is the sum of what leads away from its node.
//! Only what leads away is stored; the ground is a last row. Eliminating a node then adds positive numbers and subtracts
//! nothing, so no digits are lost however far the conductances lie apart (W. K. Grassmann, M. I. Taksar and D. P. Heyman,
//! Operations Research 33 (1985) p. 1107 for the trick on Markov chains; standing: from-memory). Additions and products
//! only, in one order: the same bytes on every machine.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

use rayon::prelude::*;

use super::sheets::{Limb, Sheet, Tree};
use super::sweep::Part;
use super::tiles::{Cell, NOTHING, eliminate, gather};
use crate::wide::{Work, widest};

/// A network of conductances with its elimination.
pub(super) struct Mesh {
    tree: Tree,
    /// Own columns of every sheet: what leads away to later rows.
    cells: Vec<Cell>,
    /// One over all that leads away from each place.
    inverse: Vec<Cell>,
    trunk: Stack,
    placed: Vec<Cell>,
}

/// What waits for a sheet above, in one limb.
#[derive(Default)]
struct Stack {
    /// Remains of sheets at even and at odd depth.
    remains: [Vec<Cell>; 2],
    sheets: Vec<usize>,
    across: Vec<Cell>,
    /// Those of the limbs in it.
    limbs: Vec<Self>,
}

/// The cells of some sheets in a row, and one over what leads away from their places.
struct Stretch<'a> {
    sheets: &'a [Sheet],
    /// Number of the first sheet.
    from: usize,
    cells: &'a mut [Cell],
    inverse: &'a mut [Cell],
}

impl<'a> Stretch<'a> {
    /// Cuts off the first sheets.
    fn cut(&mut self, end: usize) -> Stretch<'a> {
        let (sheets, later) = self.sheets.split_at(end - self.from);
        let cells: usize = sheets.iter().map(|sheet| sheet.cells.len()).sum();
        let fours: usize = sheets.iter().map(|sheet| sheet.shape.own_fours()).sum();
        let (cells, more_cells) = core::mem::take(&mut self.cells).split_at_mut(cells);
        let (inverse, more_inverse) = core::mem::take(&mut self.inverse).split_at_mut(fours);
        let from = self.from;
        *self = Stretch { sheets: later, from: end, cells: more_cells, inverse: more_inverse };
        Stretch { sheets, from, cells, inverse }
    }
}

impl Mesh {
    /// Plans the elimination of `count` nodes; the ends of an edge are nodes or [`super::fronts::GROUND`].
    pub(super) fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let tree = Tree::new(count, edges);
        Self {
            cells: vec![NOTHING; tree.cells()],
            inverse: vec![NOTHING; tree.fours()],
            trunk: Stack::default(),
            placed: vec![NOTHING; tree.fours() + 1],
            tree,
        }
    }

    /// Eliminates every node for the conductances of the edges, each zero or above. Limbs of a large tree are
    /// eliminated on all cores; what is done in a sheet does not depend on where it is done.
    pub(super) fn factor(&mut self, conductances: &[f64]) {
        let whole = Stretch {
            sheets: &self.tree.sheets,
            from: 0,
            cells: &mut self.cells,
            inverse: &mut self.inverse,
        };
        self.trunk.clear(&self.tree, &self.tree.trunk, whole, conductances);
    }

    /// Replaces the inflow at every node by the pressure it raises there, over the ground.
    pub(super) fn solve(&mut self, inflows: &mut [f64]) {
        widest(Sweeps { mesh: self, inflows });
    }
}

/// The two sweeps over a mesh.
struct Sweeps<'a> {
    mesh: &'a mut Mesh,
    inflows: &'a mut [f64],
}

impl Work for Sweeps<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Mesh { tree, cells, inverse, trunk, placed } = self.mesh;
        placed.fill(NOTHING);
        for (&place, &inflow) in tree.place.iter().zip(&*self.inflows) {
            placed.as_flattened_mut()[place as usize] = inflow;
        }
        let part = |sheet: &Sheet| Part {
            shape: sheet.shape,
            cells: &cells[sheet.cells.clone()],
            inverse: &inverse[sheet.first..],
            first: sheet.first,
            rows: &tree.rows[sheet.rows.clone()],
        };
        for sheet in &tree.sheets {
            part(sheet).forward(placed);
        }
        // What the ground took is no pressure.
        if let Some(ground) = placed.last_mut() {
            *ground = NOTHING;
        }
        for sheet in tree.sheets.iter().rev() {
            part(sheet).backward(placed, &mut trunk.across);
        }
        for (&place, value) in tree.place.iter().zip(self.inflows) {
            *value = placed.as_flattened()[place as usize];
        }
    }
}

impl Stack {
    /// Eliminates a limb: the limbs in it side by side, then the rest.
    fn clear(&mut self, tree: &Tree, limb: &Limb, mut rest: Stretch, conductances: &[f64]) {
        let mut stacks = core::mem::take(&mut self.limbs);
        stacks.resize_with(limb.limbs.len(), Self::default);
        let (mut work, mut between) = (Vec::new(), Vec::new());
        for (limb, stack) in limb.limbs.iter().zip(&mut stacks) {
            between.push(rest.cut(limb.sheets.start));
            work.push((limb, rest.cut(limb.sheets.end), stack));
        }
        // Asked for nothing, `rayon` would still start its threads.
        if !work.is_empty() {
            work.into_par_iter().with_max_len(1).for_each(|(limb, stretch, stack)| {
                stack.clear(tree, limb, stretch, conductances);
            });
        }
        for (stretch, stack) in between.into_iter().zip(&mut stacks) {
            widest(Elimination { stack: self, tree, stretch, conductances });
            self.take(stack);
        }
        widest(Elimination { stack: self, tree, stretch: rest, conductances });
        self.limbs = stacks;
    }

    /// Takes over what waits in another stack.
    fn take(&mut self, other: &mut Self) {
        for (mine, theirs) in self.remains.iter_mut().zip(&mut other.remains) {
            mine.append(theirs);
        }
        self.sheets.append(&mut other.sheets);
    }
}

/// Sheets in a row that are eliminated on one core.
struct Elimination<'a, 'b> {
    stack: &'a mut Stack,
    tree: &'a Tree,
    stretch: Stretch<'b>,
    conductances: &'a [f64],
}

impl Work for Elimination<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { stack, tree, stretch, conductances } = self;
        let (mut cells, mut inverse) = (stretch.cells, stretch.inverse);
        for (number, sheet) in (stretch.from..).zip(stretch.sheets) {
            let (own, later) = cells.split_at_mut(sheet.cells.len());
            own.fill(NOTHING);
            for &(link, place) in &tree.links[sheet.links.clone()] {
                own.as_flattened_mut()[place as usize] += conductances[link as usize];
            }
            let [mine, theirs] = &mut stack.remains;
            let (mine, theirs) = if sheet.odd { (theirs, mine) } else { (mine, theirs) };
            let bottom = mine.len();
            mine.resize(bottom + sheet.shape.remains(), NOTHING);
            let beyond = &mut mine[bottom..];
            // The last sheets that wait are those below this one: their remains lie on top.
            for _ in 0..sheet.below {
                let child = &tree.sheets[stack.sheets.pop().unwrap_or(number)];
                let top = theirs.len() - child.shape.remains();
                let rows = &tree.landings[child.rows.clone()];
                let columns = &rows[..child.shape.beyond];
                let (own, beyond) = (own.as_flattened_mut(), beyond.as_flattened_mut());
                gather(&theirs[top..], rows, columns, child.near, own, beyond);
                theirs.truncate(top);
            }
            let fours = sheet.shape.own_fours();
            eliminate(sheet.shape, own, beyond, &mut inverse[..fours], &mut stack.across);
            if sheet.shape.beyond > 0 {
                stack.sheets.push(number);
            }
            (cells, inverse) = (later, &mut inverse[fours..]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Limb, Mesh};
    use crate::hydraulics::network::fronts::GROUND;

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
        // The last one is large enough to be eliminated in limbs.
        for side in [2, 3, 4, 5, 7, 12, 40, 70] {
            let miss = largest_miss(side, 2.0);
            assert!(miss < 1e-9, "{side}: {miss}");
        }
    }

    #[test]
    fn the_limbs_of_a_large_tree_are_several_and_none_lies_in_another() {
        fn count(limb: &Limb) -> usize {
            assert!(limb.limbs.windows(2).all(|two| two[0].sheets.end <= two[1].sheets.start));
            let inside = |inner: &Limb| {
                limb.sheets.start <= inner.sheets.start && inner.sheets.end <= limb.sheets.end
            };
            assert!(limb.limbs.iter().all(inside));
            1 + limb.limbs.iter().map(count).sum::<usize>()
        }
        let side = 70;
        assert!(count(&Mesh::new(side * side, &grid(side)).tree.trunk) > 4);
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
