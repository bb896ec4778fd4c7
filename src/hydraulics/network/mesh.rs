//! Linear networks of conductances: node by node is eliminated, as a star is replaced by a mesh.
//!
//! The matrix of a network of conductances is symmetric, and each diagonal is the sum of what leads away from its node.
//! Only what leads away is stored; the ground is a last row. Eliminating a node then adds positive numbers and subtracts
//! nothing, so no digits are lost however far the conductances lie apart (W. K. Grassmann, M. I. Taksar and D. P. Heyman,
//! Operations Research 33 (1985) p. 1107 for the trick on Markov chains; standing: from-memory). Additions and products
//! only, in one order: the same bytes on every machine.

use super::fronts::{Plan, plan};

pub(super) use super::fronts::GROUND;

/// A network of conductances with its elimination.
pub(super) struct Mesh {
    plan: Plan,
    /// Links sorted by the front they are added to: front by front, index of the link.
    by_front: Vec<usize>,
    front_starts: Vec<usize>,
    /// Own columns of every front: shares of the outflow, each column with its ground row last.
    shares: Vec<f64>,
    share_starts: Vec<usize>,
    /// One over what leads away from each place.
    inverse: Vec<f64>,
    /// The front at work, and the remains that wait for a front above.
    work: Vec<f64>,
    remains: Vec<f64>,
    waiting: Vec<usize>,
    placed: Vec<f64>,
}

impl Mesh {
    /// Plans the elimination of `count` nodes; the ends of an edge are nodes or [`GROUND`].
    pub(super) fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let plan = plan(count, edges);
        let mut by_front: Vec<usize> =
            (0..edges.len()).filter(|&e| plan.spots[e].is_some()).collect();
        let front_of = |edge: usize| plan.spots[edge].map_or(0, |spot| spot.front);
        by_front.sort_by_key(|&edge| front_of(edge));
        let mut front_starts = vec![0; plan.fronts.len() + 1];
        for &edge in &by_front {
            front_starts[front_of(edge) + 1] += 1;
        }
        for index in 0..plan.fronts.len() {
            front_starts[index + 1] += front_starts[index];
        }
        let mut share_starts = vec![0; plan.fronts.len() + 1];
        for (index, front) in plan.fronts.iter().enumerate() {
            share_starts[index + 1] = share_starts[index] + front.own * (front.rows.len() + 1);
        }
        let largest = plan.fronts.iter().map(|f| f.rows.len() * (f.rows.len() + 1)).max();
        Self {
            by_front,
            front_starts,
            shares: vec![0.0; share_starts.last().copied().unwrap_or(0)],
            share_starts,
            inverse: vec![0.0; count],
            work: vec![0.0; largest.unwrap_or(0)],
            remains: Vec::new(),
            waiting: Vec::new(),
            placed: vec![0.0; count],
            plan,
        }
    }

    /// Eliminates every node for the conductances of the edges, each zero or above.
    pub(super) fn factor(&mut self, conductances: &[f64]) {
        self.remains.clear();
        self.waiting.clear();
        for (index, front) in self.plan.fronts.iter().enumerate() {
            let tall = front.rows.len() + 1;
            let work = &mut self.work[..tall * front.rows.len()];
            work.fill(0.0);
            for &edge in &self.by_front[self.front_starts[index]..self.front_starts[index + 1]] {
                if let Some(spot) = self.plan.spots[edge] {
                    work[spot.column * tall + spot.row] += conductances[edge];
                }
            }
            // The last fronts that wait are those below this one: their remains lie on top.
            for _ in 0..front.below {
                let child = self.waiting.pop().unwrap_or(index);
                gather(work, tall, &self.plan.fronts[child].above, &mut self.remains);
            }
            eliminate(work, tall, front.own, &mut self.inverse[front.first..]);
            self.shares[self.share_starts[index]..self.share_starts[index + 1]]
                .copy_from_slice(&work[..tall * front.own]);
            if front.own < front.rows.len() {
                self.waiting.push(index);
            }
            for column in front.own..front.rows.len() {
                self.remains
                    .extend_from_slice(&work[column * tall + column + 1..(column + 1) * tall]);
            }
        }
    }

    /// Replaces the inflow at every node by the pressure it raises there, over the ground.
    pub(super) fn solve(&mut self, inflows: &mut [f64]) {
        for (&place, &inflow) in self.plan.place.iter().zip(&*inflows) {
            self.placed[place] = inflow;
        }
        for (index, front) in self.plan.fronts.iter().enumerate() {
            let tall = front.rows.len() + 1;
            let shares = &self.shares[self.share_starts[index]..self.share_starts[index + 1]];
            for (own, column) in shares.chunks_exact(tall).enumerate() {
                let from = self.placed[front.first + own];
                for (&row, &share) in front.rows[own + 1..].iter().zip(&column[own + 1..]) {
                    self.placed[row] += share * from;
                }
            }
        }
        for (value, inverse) in self.placed.iter_mut().zip(&self.inverse) {
            *value *= inverse;
        }
        for (index, front) in self.plan.fronts.iter().enumerate().rev() {
            let tall = front.rows.len() + 1;
            let shares = &self.shares[self.share_starts[index]..self.share_starts[index + 1]];
            for (own, column) in shares.chunks_exact(tall).enumerate().rev() {
                let mut sum = self.placed[front.first + own];
                for (&row, &share) in front.rows[own + 1..].iter().zip(&column[own + 1..]) {
                    sum += share * self.placed[row];
                }
                self.placed[front.first + own] = sum;
            }
        }
        for (&place, value) in self.plan.place.iter().zip(inflows) {
            *value = self.placed[place];
        }
    }
}

/// Adds the remains on top of the stack to the front above, and takes them off.
fn gather(work: &mut [f64], tall: usize, above: &[usize], remains: &mut Vec<f64>) {
    let mut at = remains.len() - above.len() * (above.len() + 1) / 2;
    let bottom = at;
    for (index, &column) in above.iter().enumerate() {
        let target = &mut work[column * tall..(column + 1) * tall];
        let beyond = &above[index + 1..];
        for (&row, value) in beyond.iter().zip(&remains[at..]) {
            target[row] += value;
        }
        at += beyond.len();
        target[tall - 1] += remains[at];
        at += 1;
    }
    remains.truncate(bottom);
}

/// Nodes eliminated in one sweep over the columns behind them.
const SWEEP: usize = 4;

/// Eliminates the first `own` nodes of a front and leaves their shares in their columns.
fn eliminate(work: &mut [f64], tall: usize, own: usize, inverse: &mut [f64]) {
    let mut first = 0;
    while first < own {
        let end = (first + SWEEP).min(own);
        for pivot in first..end {
            let (left, right) = work.split_at_mut((pivot + 1) * tall);
            let column = &left[pivot * tall..];
            let away: f64 = column[pivot + 1..].iter().sum();
            inverse[pivot] = if away > 0.0 { 1.0 / away } else { 0.0 };
            for (other, target) in (pivot + 1..end).zip(right.chunks_exact_mut(tall)) {
                let share = column[other] * inverse[pivot];
                if share == 0.0 {
                    continue;
                }
                for (value, &from) in target[other + 1..].iter_mut().zip(&column[other + 1..]) {
                    *value += share * from;
                }
            }
        }
        let (left, right) = work.split_at_mut(end * tall);
        sweep(&left[first * tall..], right, tall, end, &inverse[first..end]);
        first = end;
    }
    for (column, &inverse) in work.chunks_exact_mut(tall).zip(&inverse[..own]) {
        for share in column {
            *share *= inverse;
        }
    }
}

/// Adds what the nodes of a sweep leave behind to every later column.
fn sweep(pivots: &[f64], later: &mut [f64], tall: usize, end: usize, inverse: &[f64]) {
    if let &[i0, i1, i2, i3] = inverse {
        let (p0, rest) = pivots.split_at(tall);
        let (p1, rest) = rest.split_at(tall);
        let (p2, p3) = rest.split_at(tall);
        for (column, target) in (end..tall - 1).zip(later.chunks_exact_mut(tall)) {
            let (s0, s1) = (p0[column] * i0, p1[column] * i1);
            let (s2, s3) = (p2[column] * i2, p3[column] * i3);
            if (s0 + s1) + (s2 + s3) == 0.0 {
                continue;
            }
            let from = column + 1;
            let rows = p0[from..tall].iter().zip(&p1[from..tall]);
            let rows = rows.zip(p2[from..tall].iter().zip(&p3[from..tall]));
            for (value, ((a, b), (c, d))) in target[from..].iter_mut().zip(rows) {
                *value += (s0 * a + s1 * b) + (s2 * c + s3 * d);
            }
        }
        return;
    }
    for (pivot, &inverse) in pivots.chunks_exact(tall).zip(inverse) {
        for (column, target) in (end..tall - 1).zip(later.chunks_exact_mut(tall)) {
            let share = pivot[column] * inverse;
            if share == 0.0 {
                continue;
            }
            for (value, &from) in target[column + 1..].iter_mut().zip(&pivot[column + 1..]) {
                *value += share * from;
            }
        }
    }
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
