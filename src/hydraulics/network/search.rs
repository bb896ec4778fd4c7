//! The search along a step: as far as the content of the network falls.
//!
//! Along a step the flows balance at every node, so the slope of the content is the sum, over all links, of the step's
//! flow times what the loss exceeds the driving pressure by. It rises all along the step, because every loss does.

use super::error::NetworkError;
use super::iterate::{BALANCED, Iteration};

/// Places looked at along one step.
const MOST_PLACES: u32 = 40;
/// Share of the first slope of the content at which a place along the step is good enough.
const GOOD_ENOUGH: f64 = 0.4;
/// Error of energy below which rounding blurs the content, and whole steps close on the answer anyway.
const NEAR: f64 = 1.0e-7;
/// A few units in the last digit.
const ROUNDING: f64 = 1.0e-15;

impl Iteration<'_> {
    /// Goes along the step as far as the content falls.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn search(&mut self) -> Result<(), NetworkError> {
        let (first, blur) = self.first_slope();
        let enough = blur - GOOD_ENOUGH * first;
        let mut last = self.content_slope(1.0)?;
        let unbalanced = self.mass_residual > BALANCED;
        if self.energy_residual <= NEAR || unbalanced || last <= enough {
            let closed = unbalanced && self.close_reversed();
            self.accept();
            self.balanced_ahead = !closed;
            return Ok(());
        }
        let (mut low, mut high) = ((0.0, first), (1.0, last));
        if let Some(place) = self.first_closing() {
            let slope = self.content_slope(place)?;
            if slope <= 0.0 {
                self.accept();
                return Ok(());
            }
            high = (place, slope);
        }
        for turn in 0..MOST_PLACES {
            let share = -low.1 / (high.1 - low.1);
            let share = if turn % 3 == 2 { 0.5 } else { share.clamp(0.01, 0.99) };
            let place = low.0 + (high.0 - low.0) * share;
            last = self.content_slope(place)?;
            if last.abs() <= enough {
                break;
            }
            if last < 0.0 {
                low = (place, last);
            } else {
                high = (place, last);
            }
        }
        self.accept();
        Ok(())
    }

    /// Slope of the content where the step begins, and what rounding leaves uncertain in it.
    fn first_slope(&self) -> (f64, f64) {
        let span = self.pressures.iter().fold(0.0_f64, |most, p| most.max(p.abs()));
        let moves = self.branches.iter().zip(&self.conductances).filter(|(b, _)| b.passes);
        moves.fold((0.0, 0.0), |(first, blur), (branch, conductance)| {
            let uncertain = ROUNDING * branch.step.abs() * (branch.loss.abs() + span);
            (first - branch.step * branch.step / conductance, blur + uncertain)
        })
    }

    /// Closes valves that a whole step would have passed backwards, true when there are any: the next step balances the
    /// nodes beside them.
    fn close_reversed(&mut self) -> bool {
        let mut closed = false;
        for branch in self.branches.iter_mut().filter(|b| b.passes && !b.is_closed()) {
            if branch.one_way && branch.trial.0 < 0.0 {
                branch.trial = (0.0, branch.at_rest + branch.offset, branch.closed_slope);
                closed = true;
            }
        }
        closed
    }

    /// Where along the step the first valve closes.
    fn first_closing(&self) -> Option<f64> {
        let closing = self.branches.iter().filter(|b| b.passes && b.one_way && b.flow > 0.0);
        let places = closing.filter(|b| b.flow + b.step < 0.0).map(|b| b.flow / -b.step);
        places.min_by(f64::total_cmp)
    }

    /// Slope of the content at a place along the step; losses and flows there are kept as the trial.
    fn content_slope(&mut self, place: f64) -> Result<f64, NetworkError> {
        self.batch.clear();
        for (branch, law) in self.branches.iter_mut().zip(self.laws).filter(|(b, _)| b.passes) {
            let mut flow = branch.flow + place * branch.step;
            if branch.one_way && flow.abs() <= ROUNDING * branch.flow.abs() {
                flow = 0.0;
            }
            branch.trial.0 = flow;
            branch.note(law, flow, &mut self.batch);
        }
        self.batch.solve();
        let mut slope = 0.0;
        for (link, (branch, law)) in self.branches.iter_mut().zip(self.laws).enumerate() {
            if branch.passes {
                let flow = branch.trial.0;
                let (loss, steep) = branch.at(link, law, flow, &mut self.batch)?;
                branch.trial = (flow, loss, steep);
                slope += branch.step * (loss - branch.driven);
            }
        }
        Ok(slope)
    }

    fn accept(&mut self) {
        self.balanced_ahead = false;
        for branch in self.branches.iter_mut().filter(|b| b.passes) {
            (branch.flow, branch.loss, branch.slope) = branch.trial;
        }
    }
}
