//! The search along a step: as far as the content of the network falls.
//!
//! Along a step the flows balance at every node, so the slope of the content is the sum, over all links, of the step's
//! flow times what the loss exceeds the driving pressure by. It rises all along the step, because every loss does.

use rayon::prelude::*;

use super::batch::Batch;
use super::branch::{Branch, Given, Trial};
use super::cores::{change_all, worth_sharing};
use super::error::NetworkError;
use super::iterate::{BALANCED, Iteration};
use super::laws::Law;

/// Places looked at along one step.
const MOST_PLACES: u32 = 40;
/// Share of the first slope of the content at which a place along the step is good enough.
const GOOD_ENOUGH: f64 = 0.4;
/// Error of energy below which rounding blurs the content, and whole steps close on the answer anyway.
const NEAR: f64 = 1.0e-7;
/// Links whose laws are asked together.
const BLOCK: usize = 128;
/// Blocks that a core takes at least at once.
const FEW: usize = 8;
/// A few units in the last digit.
pub(super) const ROUNDING: f64 = 1.0e-15;

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
        let passing = self.branches.iter().zip(&mut self.trials).enumerate();
        for (link, (branch, trial)) in passing.filter(|(_, (b, _))| b.passes && !b.is_closed()) {
            if branch.one_way && trial.flow < 0.0 {
                *trial = self.givens[link].closed_at(0.0);
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

    /// Slope of the content at a place along the step; losses and flows there are kept as the trial. It is added up over
    /// blocks, so that it does not depend on the number of cores.
    ///
    /// # Errors
    /// A law that refuses.
    pub(super) fn content_slope(&mut self, place: f64) -> Result<f64, NetworkError> {
        let givens = self.givens.chunks(BLOCK).zip(self.laws.chunks(BLOCK));
        let links = self.branches.chunks(BLOCK).zip(self.trials.chunks_mut(BLOCK)).zip(givens);
        let blocks = links.enumerate().map(|(number, ((branches, trials), (givens, laws)))| {
            Block { first: number * BLOCK, branches, trials, givens, laws }
        });
        if !worth_sharing(self.branches.len()) {
            return blocks.map(|block| block.ask(place, &mut self.batch)).sum();
        }
        let blocks: Vec<Block> = blocks.collect();
        let ask = |batch: &mut Batch, block: Block| block.ask(place, batch);
        let shared = blocks.into_par_iter().with_min_len(FEW);
        let slopes: Vec<Result<f64, NetworkError>> = shared.map_init(Batch::default, ask).collect();
        slopes.into_iter().sum()
    }

    /// Takes what was found at the place looked at last.
    pub(super) fn accept(&mut self) {
        self.balanced_ahead = false;
        change_all(&mut self.branches, &self.trials, |branch, trial| {
            if branch.passes {
                (branch.flow, branch.loss, branch.slope) = (trial.flow, trial.loss, trial.slope);
            }
        });
    }
}

/// Some links in a row, with what they are asked for along a step.
struct Block<'a> {
    first: usize,
    branches: &'a [Branch],
    trials: &'a mut [Trial],
    givens: &'a [Given],
    laws: &'a [Law<'a>],
}

impl Block<'_> {
    /// Fills in the trials at a place along the step; what the links add to the slope of the content.
    fn ask(self, place: f64, batch: &mut Batch) -> Result<f64, NetworkError> {
        let laws = || self.givens.iter().zip(self.laws);
        batch.clear();
        let links = self.branches.iter().zip(&mut *self.trials).zip(laws());
        for ((branch, trial), (given, law)) in links {
            trial.flow = branch.flow_at(place);
            if branch.passes && !branch.closes_at(trial.flow) {
                batch.ask(law, trial.flow / given.density);
            }
        }
        batch.solve();
        let mut slope = 0.0;
        let links = self.branches.iter().zip(self.trials).zip(laws()).zip(self.first..);
        for (((branch, trial), (given, law)), link) in links {
            if !branch.passes {
                continue;
            }
            *trial = if branch.closes_at(trial.flow) {
                given.closed_at(trial.flow)
            } else {
                given.at(link, law, trial.flow, batch)?
            };
            slope += branch.step * (trial.loss - branch.driven);
        }
        Ok(slope)
    }
}
