//! One link as the iteration sees it: its ends, its law with its valve, its flow.

use super::Network;
use super::batch::Batch;
use super::element::LossSlope;
use super::error::NetworkError;
use super::laws::Law;
use super::search::ROUNDING;

/// One link in the iteration: what every step reads. Flows are mass flows, slopes are per mass flow.
pub(super) struct Branch {
    ends: [u32; 2],
    /// Passes from `from` to `to` only.
    pub(super) one_way: bool,
    /// Takes part: not shut, not cut off, no flow source.
    pub(super) passes: bool,
    pub(super) lift: f64,
    pub(super) flow: f64,
    pub(super) loss: f64,
    pub(super) slope: f64,
    /// Pressure difference less the lift.
    pub(super) driven: f64,
    /// Change of the flow in a whole step.
    pub(super) step: f64,
    /// Slope below which that of the law may be far too small: see [`Branch::safe_slope`].
    pub(super) steepest: f64,
}

/// What is given for a link, or worked out once.
pub(super) struct Given {
    pub(super) density: f64,
    /// What the valve and the throttle keep for themselves.
    pub(super) offset: f64,
    /// Loss at no flow, without the offset: below zero for a pump.
    pub(super) at_rest: f64,
    /// A flow of the usual size, and its loss over that of no flow.
    pub(super) usual_flow: f64,
    pub(super) usual_loss: f64,
    pub(super) closed_slope: f64,
}

/// Flow, loss and slope of a link at the place along the step that was looked at last.
#[derive(Clone, Copy, Default)]
pub(super) struct Trial {
    pub(super) flow: f64,
    pub(super) loss: f64,
    pub(super) slope: f64,
}

impl Given {
    /// Loss and slope at a mass flow that was noted in the batch before, if it is for the batch.
    ///
    /// # Errors
    /// What the law refuses.
    #[inline]
    pub(super) fn at(
        &self,
        link: usize,
        law: &Law,
        flow: f64,
        batch: &mut Batch,
    ) -> Result<Trial, NetworkError> {
        let volume_flow = flow / self.density;
        let found = batch.answer(law, volume_flow).map_or_else(|| law.at(volume_flow), Ok);
        let LossSlope { loss_pa, slope_pa_s_m3 } =
            found.map_err(|error| NetworkError::Hydraulics { link, error })?;
        Ok(Trial { flow, loss: loss_pa + self.offset, slope: slope_pa_s_m3 / self.density })
    }

    /// A closed valve: a very steep law.
    pub(super) fn closed_at(&self, flow: f64) -> Trial {
        let loss = self.at_rest + self.offset + flow * self.closed_slope;
        Trial { flow, loss, slope: self.closed_slope }
    }
}

impl Branch {
    pub(super) fn from(&self) -> usize {
        self.ends[0] as usize
    }

    pub(super) fn to(&self) -> usize {
        self.ends[1] as usize
    }

    /// Pressure by which the valve is pressed open; below zero it is pressed shut.
    pub(super) fn excess(&self, given: &Given) -> f64 {
        self.driven - given.at_rest - given.offset
    }

    /// A valve that no flow passes.
    pub(super) fn is_closed(&self) -> bool {
        self.closes_at(self.flow)
    }

    /// The flow at a place along the step; next to nothing through a valve is none.
    pub(super) fn flow_at(&self, place: f64) -> f64 {
        let flow = self.flow + place * self.step;
        if self.one_way && flow.abs() <= ROUNDING * self.flow.abs() { 0.0 } else { flow }
    }

    /// Whether a flow would find the valve closed.
    pub(super) fn closes_at(&self, flow: f64) -> bool {
        self.one_way && flow <= 0.0
    }

    /// The slope for the linearised network. Where next to nothing flows yet although much drives, the slope of a square
    /// law is far too small; the chord to the flow that this drive would give is taken then.
    pub(super) fn safe_slope(&self, given: &Given) -> f64 {
        if self.slope >= self.steepest {
            return self.slope;
        }
        let drive = (self.driven - self.loss).abs().min(given.usual_loss);
        self.slope.max(self.steepest * (drive / given.usual_loss).sqrt())
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
) -> Result<(Branch, Given), NetworkError> {
    let ends = &network.links[link];
    let regulated = network.regulators.iter().any(|r| r.link == link);
    let source = match law {
        Law::Source { flow } if !ends.shut => Some(flow * ends.density_kg_m3),
        _ => None,
    };
    let at_rest = law.at(0.0).map_err(|error| NetworkError::Hydraulics { link, error })?;
    let branch = Branch {
        ends: [narrow(ends.from), narrow(ends.to)],
        one_way: ends.one_way.is_some() || regulated,
        passes,
        lift: ends.lift_pa,
        flow: source.unwrap_or(0.0),
        loss: 0.0,
        slope: 0.0,
        driven: 0.0,
        step: 0.0,
        steepest: 0.0,
    };
    let given = Given {
        density: ends.density_kg_m3,
        offset: ends.one_way.map_or(0.0, |valve| valve.opens_pa),
        at_rest: at_rest.loss_pa,
        usual_flow: 1.0,
        usual_loss: 0.0,
        closed_slope: 0.0,
    };
    Ok((branch, given))
}

/// An index in the space of half of one.
#[expect(clippy::cast_possible_truncation, reason = "no machine holds a network of 2^32 nodes")]
pub(super) fn narrow(index: usize) -> u32 {
    index as u32
}
