//! Where the iteration starts: usual sizes, and the linear network of mean slopes with its valves set.

use super::error::NetworkError;
use super::fronts::GROUND;
use super::iterate::{Iteration, add};
use super::laws::Law;

/// Slope of a closed valve, in its usual pressure over its usual flow.
const CLOSED_SLOPE: f64 = 1.0e9;
/// Least slope in the linearised network, in the usual pressure over the usual flow. The answer does not depend on it.
const LEAST_SLOPE: f64 = 1.0e-8;
/// Part of the usual pressure that one of several links in a row may expect.
const FAIR_SHARE: f64 = 0.1;
/// Rounds in which the valves of the linear network are set before the first true step.
const FIRST_ROUNDS: u32 = 12;

impl Iteration<'_> {
    /// Usual pressure, flows and slopes, from which the search starts.
    ///
    /// # Errors
    /// A law that refuses its usual flow.
    pub(super) fn scale(&mut self) -> Result<(), NetworkError> {
        let pressure = self.usual_pressure();
        let mut flow = self.taken.iter().map(|t| t.abs()).fold(0.0, f64::max);
        let links = self.branches.iter().zip(&mut self.givens).zip(self.laws);
        for ((_, given), law) in links.filter(|((b, _), _)| b.passes) {
            given.usual_flow = law.usual_flow(pressure).map_or(0.0, |usual| usual * given.density);
            flow = flow.max(given.usual_flow);
        }
        if flow == 0.0 {
            flow = 1.0;
        }
        self.usual_flow = flow;
        self.least_slope = LEAST_SLOPE * pressure / flow;
        for (branch, given) in self.branches.iter_mut().zip(&mut self.givens) {
            if branch.passes {
                given.usual_flow = if given.usual_flow > 0.0 { given.usual_flow } else { flow };
                branch.flow = given.usual_flow;
            }
        }
        self.content_slope(0.0)?;
        let links = self.branches.iter_mut().zip(&mut self.givens).zip(self.laws);
        for (((branch, given), law), trial) in links.zip(&self.trials) {
            if !branch.passes {
                continue;
            }
            given.usual_loss = (trial.loss - given.offset - given.at_rest).abs();
            given.closed_slope = CLOSED_SLOPE * pressure / given.usual_flow;
            branch.steepest = 0.5 * given.usual_loss / given.usual_flow;
            // A mean slope of the law between no flow and the one that a fair share of the pressure drives.
            let chord = given.usual_loss / given.usual_flow;
            let share = FAIR_SHARE * pressure;
            let steeper = (share / given.usual_loss.max(f64::MIN_POSITIVE)).sqrt();
            let linear = matches!(law, Law::Slipping { .. });
            let more =
                if linear || law.rest_pa() > 0.0 { 1.0 } else { steeper.clamp(1.0e-3, 1.0e3) };
            branch.slope = (chord * more).max(self.least_slope);
        }
        Ok(())
    }

    /// The largest pressure that drives anything; never zero.
    fn usual_pressure(&self) -> f64 {
        let mut pressure = self.pressures.iter().map(|p| p.abs()).fold(0.0, f64::max);
        let links =
            || self.branches.iter().zip(&self.givens).zip(self.laws).filter(|((b, _), _)| b.passes);
        for ((branch, given), law) in links() {
            pressure = pressure.max(branch.lift.abs()).max(given.offset).max(law.rest_pa());
        }
        if pressure == 0.0 {
            // Driven by wanted flows alone: what those cost in the usual link.
            let taken = self.taken.iter().map(|t| t.abs()).fold(0.0, f64::max);
            for ((_, given), law) in links() {
                let found = law.at(taken / given.density).map_or(0.0, |f| f.loss_pa.abs());
                pressure = pressure.max(found);
            }
        }
        if pressure == 0.0 || !pressure.is_finite() { 1.0 } else { pressure }
    }

    /// Starts from the linear network of mean slopes, its valves set.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn start(&mut self) -> Result<(), NetworkError> {
        for branch in self.branches.iter_mut().filter(|b| b.passes) {
            branch.flow = f64::MIN_POSITIVE;
        }
        for _ in 0..FIRST_ROUNDS {
            if !self.linear_round() {
                break;
            }
        }
        self.evaluate()
    }

    /// Solves the linear network with the valves as they are; true when a valve should change.
    fn linear_round(&mut self) -> bool {
        let links = || self.branches.iter().zip(&self.givens);
        for ((branch, given), conductance) in links().zip(&mut self.conductances) {
            let slope = if branch.is_closed() { given.closed_slope } else { branch.slope };
            *conductance = if branch.passes { 1.0 / slope } else { 0.0 };
        }
        self.change.fill(0.0);
        for (node, &taken) in self.taken.iter().enumerate() {
            if let Some(inflow) = self.change.get_mut(self.unknown[node]) {
                *inflow = -taken;
            }
        }
        for node in 0..self.pressures.len() {
            if self.unknown[node] != GROUND {
                self.pressures[node] = 0.0;
            }
        }
        for ((branch, given), &conductance) in links().zip(&self.conductances) {
            let driven = self.pressures[branch.from()] - self.pressures[branch.to()] - branch.lift;
            let flow = conductance * (driven - given.at_rest - given.offset);
            add(&mut self.change, self.unknown[branch.from()], -flow);
            add(&mut self.change, self.unknown[branch.to()], flow);
        }
        self.eliminate();
        self.mesh.solve(&mut self.change);
        self.move_pressures();
        self.compare();
        let mut changed = false;
        let links = self.branches.iter_mut().zip(&self.givens);
        for ((branch, given), &conductance) in links.zip(&self.conductances) {
            if branch.passes {
                let was = branch.is_closed();
                branch.flow = conductance * branch.excess(given);
                changed |= branch.one_way && was != branch.is_closed();
            }
        }
        changed
    }

    /// Starts from given flows.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn start_from(&mut self, flows: &[f64]) -> Result<(), NetworkError> {
        for (branch, &flow) in self.branches.iter_mut().zip(flows).filter(|(b, _)| b.passes) {
            branch.flow = flow;
        }
        self.evaluate()
    }
}
