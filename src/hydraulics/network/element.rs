//! What a link holds: its law from volume flow to pressure loss.

use std::sync::Arc;

use super::curves::{LossCurve, PumpCurve};
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::darcy_weisbach::{Liquid, Straight};

/// A loss and its slope at one flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossSlope {
    /// Pressure that the flow costs, in Pa.
    pub loss_pa: f64,
    /// Change of the loss with the flow, in Pa s/m³; zero or above.
    pub slope_pa_s_m3: f64,
}

/// A law from flow to loss, written elsewhere: a whole line with bends and inserts, say.
///
/// The loss must rise strictly with the flow, over both directions, without a jump, and be zero at no flow. It need not be
/// the same backwards.
///
/// ```
/// use hosewright::hydraulics::HydraulicsError;
/// use hosewright::hydraulics::network::{LossLaw, LossSlope};
/// #[derive(Debug)]
/// struct Screen;
/// impl LossLaw for Screen {
///     fn loss(&self, flow_m3_s: f64) -> Result<LossSlope, HydraulicsError> {
///         Ok(LossSlope { loss_pa: 1e7 * flow_m3_s, slope_pa_s_m3: 1e7 })
///     }
/// }
/// assert_eq!(Screen.loss(1e-4)?.loss_pa, 1000.0);
/// # Ok::<(), HydraulicsError>(())
/// ```
pub trait LossLaw: Send + Sync + core::fmt::Debug {
    /// Loss and slope at a flow in m³/s of either sign.
    ///
    /// # Errors
    /// A flow for which the law does not hold. The search then tries a smaller one.
    fn loss(&self, flow_m3_s: f64) -> Result<LossSlope, HydraulicsError>;

    /// A flow in m³/s of the size that is usual here, above 0; the search starts from it.
    fn usual_m3_s(&self) -> f64 {
        1.0e-4
    }
}

/// What the liquid passes through.
#[derive(Debug, Clone)]
pub enum Element {
    /// A line with its own law.
    Line(Arc<dyn LossLaw>),
    /// A straight run of one bore, as [`crate::hydraulics::darcy_weisbach::straight_loss`] has it.
    Run {
        /// The run with its loss coefficients.
        run: Straight,
        /// What flows in it.
        liquid: Liquid,
    },
    /// Loss a Q + b Q |Q|; both zero is a free passage.
    Loss {
        /// a in Pa s/m³, zero or above.
        linear_pa_s_m3: f64,
        /// b in Pa s²/m⁶, zero or above.
        square_pa_s2_m6: f64,
    },
    /// A measured loss.
    Curve(LossCurve),
    /// A measured rise.
    Pump(PumpCurve),
    /// A pump whose rise falls with the square of the flow: rest - b Q².
    PumpSquare {
        /// Rise at no flow in Pa, above 0.
        rest_pa: f64,
        /// b in Pa s²/m⁶, above 0.
        square_pa_s2_m6: f64,
    },
    /// A gear, vane or piston pump: flow less what slips back, Q = flow - slip × rise.
    Displacement {
        /// Flow without any rise, in m³/s, zero or above.
        flow_m3_s: f64,
        /// Slip in m³/s per Pa, zero or above.
        slip_m3_s_pa: f64,
    },
}
