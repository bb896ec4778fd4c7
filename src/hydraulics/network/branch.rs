//! One link as the iteration sees it: its ends, its law with its valve, its flow.

use super::Network;
use super::batch::Batch;
use super::element::LossSlope;
use super::error::NetworkError;
use super::laws::Law;

/// One link in the iteration. Flows are mass flows, slopes are per mass flow.
pub(super) struct Branch {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) density: f64,
    pub(super) lift: f64,
    /// Passes from `from` to `to` only.
    pub(super) one_way: bool,
    /// What the valve and the throttle keep for themselves.
    pub(super) offset: f64,
    /// Loss at no flow, without the offset: below zero for a pump.
    pub(super) at_rest: f64,
    /// Takes part: not shut, not cut off, no flow source.
    pub(super) passes: bool,
    pub(super) flow: f64,
    pub(super) loss: f64,
    pub(super) slope: f64,
    /// Pressure difference less the lift.
    pub(super) driven: f64,
    /// A flow of the usual size, and its loss over that of no flow.
    pub(super) usual_flow: f64,
    pub(super) usual_loss: f64,
    pub(super) closed_slope: f64,
    /// Change of the flow in a whole step.
    pub(super) step: f64,
    /// Flow, loss and slope at the place along the step that was looked at last.
    pub(super) trial: (f64, f64, f64),
}

impl Branch {
    /// Loss and slope at a mass flow that was noted in the batch before, if it is for the batch.
    ///
    /// # Errors
    /// What the law refuses.
    pub(super) fn at(
        &self,
        link: usize,
        law: &Law,
        flow: f64,
        batch: &mut Batch,
    ) -> Result<(f64, f64), NetworkError> {
        if self.one_way && flow <= 0.0 {
            return Ok((self.at_rest + self.offset + flow * self.closed_slope, self.closed_slope));
        }
        let volume_flow = flow / self.density;
        let found = batch.answer(law, volume_flow).map_or_else(|| law.at(volume_flow), Ok);
        let LossSlope { loss_pa, slope_pa_s_m3 } =
            found.map_err(|error| NetworkError::Hydraulics { link, error })?;
        Ok((loss_pa + self.offset, slope_pa_s_m3 / self.density))
    }

    /// Notes the law at a mass flow in the batch, if it will be asked there.
    pub(super) fn note(&self, law: &Law, flow: f64, batch: &mut Batch) {
        if !(self.one_way && flow <= 0.0) {
            batch.ask(law, flow / self.density);
        }
    }

    /// Pressure by which the valve is pressed open; below zero it is pressed shut.
    pub(super) fn excess(&self) -> f64 {
        self.driven - self.at_rest - self.offset
    }

    /// A valve that no flow passes.
    pub(super) fn is_closed(&self) -> bool {
        self.one_way && self.flow <= 0.0
    }

    /// The slope for the linearised network. Where next to nothing flows yet although much drives, the slope of a square
    /// law is far too small; the chord to the flow that this drive would give is taken then.
    pub(super) fn safe_slope(&self) -> f64 {
        let steepest = 0.5 * self.usual_loss / self.usual_flow;
        if self.slope >= steepest {
            return self.slope;
        }
        let drive = (self.driven - self.loss).abs().min(self.usual_loss);
        self.slope.max(steepest * (drive / self.usual_loss).sqrt())
    }
}

/// A link made ready; a flow source has its flow and takes no part.
///
/// # Errors
/// [`NetworkError::Hydraulics`] when its law has no loss at no flow.
pub(super) fn branch(
    network: &Network,
    link: usize,
    law: &Law,
    passes: bool,
) -> Result<Branch, NetworkError> {
    let ends = &network.links[link];
    let regulated = network.regulators.iter().any(|r| r.link == link);
    let source = match law {
        Law::Source { flow } if !ends.shut => Some(flow * ends.density_kg_m3),
        _ => None,
    };
    let at_rest = law.at(0.0).map_err(|error| NetworkError::Hydraulics { link, error })?;
    Ok(Branch {
        from: ends.from,
        to: ends.to,
        density: ends.density_kg_m3,
        lift: ends.lift_pa,
        one_way: ends.one_way.is_some() || regulated,
        offset: ends.one_way.map_or(0.0, |valve| valve.opens_pa),
        at_rest: at_rest.loss_pa,
        passes: passes && source.is_none() && !matches!(law, Law::Source { .. }),
        flow: source.unwrap_or(0.0),
        loss: 0.0,
        slope: 0.0,
        driven: 0.0,
        usual_flow: 1.0,
        usual_loss: 0.0,
        closed_slope: 0.0,
        step: 0.0,
        trial: (0.0, 0.0, 0.0),
    })
}
