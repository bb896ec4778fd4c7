//! Friction factors of all turbulent runs of a network at once, which the processor does several at a time.

use super::element::LossSlope;
use super::laws::{Bore, Law};
use crate::hydraulics::colebrook::factors_and_log_slopes_unchecked;

/// Turbulent runs, first asked for in a fixed order, then answered in the same.
#[derive(Default)]
pub(super) struct Batch {
    reynolds: Vec<f64>,
    ratios: Vec<f64>,
    factors: Vec<f64>,
    log_slopes: Vec<f64>,
    answered: usize,
}

impl Batch {
    /// Forgets what was asked.
    pub(super) fn clear(&mut self) {
        self.reynolds.clear();
        self.ratios.clear();
        self.answered = 0;
    }

    /// Notes a law at a flow, if it is a run in turbulent flow.
    pub(super) fn ask(&mut self, law: &Law, flow: f64) {
        if let Some((bore, reynolds)) = turbulent(law, flow) {
            self.reynolds.push(reynolds);
            self.ratios.push(bore.ratio);
        }
    }

    /// Works out everything that was asked.
    pub(super) fn solve(&mut self) {
        let count = self.reynolds.len();
        self.factors.resize(count, 0.0);
        self.log_slopes.resize(count, 0.0);
        factors_and_log_slopes_unchecked(
            &self.reynolds,
            &self.ratios,
            &mut self.factors,
            &mut self.log_slopes,
        );
    }

    /// The answer for a law at a flow, in the order of asking; none for what was not noted.
    pub(super) fn answer(&mut self, law: &Law, flow: f64) -> Option<LossSlope> {
        let (bore, _) = turbulent(law, flow)?;
        let at = self.answered;
        self.answered += 1;
        Some(bore.turbulent(flow, *self.factors.get(at)?, *self.log_slopes.get(at)?))
    }
}

/// The run and its Reynolds number, when the formula for turbulent flow holds.
fn turbulent<'a>(law: &'a Law, flow: f64) -> Option<(&'a Bore, f64)> {
    let Law::Run(bore) = law else { return None };
    let reynolds = bore.reynolds_at(flow);
    Bore::is_turbulent(reynolds).then_some((bore, reynolds))
}
