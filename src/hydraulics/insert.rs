//! What the insert of a hose end costs: a narrowing, a short tube and a widening in series.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};
use super::darcy_weisbach::{Liquid, Straight, straight_loss};
use super::loss::{contraction_k, expansion_k, loss_pa};
use super::reynolds::velocity_m_s;

/// A hose end's passage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insert {
    /// Bore of the hose in m, above 0.
    pub hose_bore_m: f64,
    /// Bore of the insert in m, above 0 and at most the hose's.
    pub bore_m: f64,
    /// Length of the insert's bore in m, zero or above.
    pub length_m: f64,
    /// Roughness height of the insert's bore in m, zero or above.
    pub roughness_m: f64,
}

/// What a flow loses in a hose end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsertLoss {
    /// Whole loss in Pa.
    pub drop_pa: f64,
    /// Loss at the narrowing in Pa.
    pub contraction_pa: f64,
    /// Wall friction inside the insert in Pa.
    pub tube_pa: f64,
    /// Loss at the widening in Pa.
    pub expansion_pa: f64,
    /// Mean velocity in the insert in m/s.
    pub throat_velocity_m_s: f64,
    /// Reynolds number in the insert.
    pub throat_reynolds: f64,
    /// How far the static pressure in the insert lies below that of the hose because the stream runs faster there, in Pa.
    pub throat_dip_pa: f64,
}

/// Pressure loss of the insert of one hose end.
///
/// # What it gives
/// An [`InsertLoss`]: the loss and its three parts, the throat's velocity and its dip in static pressure.
///
/// # Formula
/// [`contraction_k`] at the hose's Reynolds number, [`straight_loss`] over the insert, [`expansion_k`] at the
/// insert's Reynolds number, all on the insert's velocity; dip = ρ (vt² - v²)/2.
///
/// # Valid for
/// `flow_m3_s` (m³/s) zero or above; insert bore at most the hose's; the ranges of the formulas named.
///
/// # Source
/// The formulas named, put in series. Standing: common-practice.
///
/// # Notes
/// A hose has two ends: count this twice. Sharp edges are assumed; a tapered insert loses less. An insert
/// shorter than about five of its bores has no room to recover between the steps, so the sum errs high.
/// Liquid may boil in the throat first: subtract the dip from the static pressure there.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::Liquid;
/// use hosewright::hydraulics::insert::{Insert, insert_loss};
/// let end = Insert { hose_bore_m: 0.010, bore_m: 0.007, length_m: 0.025, roughness_m: 0.0 };
/// let coolant = Liquid { density_kg_m3: 1038.0, viscosity_pa_s: 0.001 };
/// let loss = insert_loss(&end, &coolant, 15.0e-3 / 60.0)?;
/// assert!(loss.expansion_pa > 0.0 && loss.throat_dip_pa > loss.expansion_pa);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::OutOfRange`] for an insert wider than its hose; every error of the formulas named.
pub fn insert_loss(
    insert: &Insert,
    liquid: &Liquid,
    flow_m3_s: f64,
) -> Result<InsertLoss, HydraulicsError> {
    let flow = not_negative("the flow", flow_m3_s)?;
    let hose_bore = positive("the hose bore", insert.hose_bore_m)?;
    let bore = positive("the insert bore", insert.bore_m)?;
    within("the insert bore", bore, 0.0, hose_bore)?;
    let throat = straight_loss(
        &Straight {
            bore_m: bore,
            length_m: insert.length_m,
            roughness_m: insert.roughness_m,
            loss_sum: 0.0,
        },
        liquid,
        flow,
    )?;
    let density = liquid.density_kg_m3;
    let fast = throat.velocity_m_s;
    let slow = velocity_m_s(flow, hose_bore)?;
    let steps = if throat.reynolds > 0.0 {
        let hose_reynolds = throat.reynolds * (bore / hose_bore);
        (
            loss_pa(contraction_k(hose_reynolds, bore, hose_bore)?, density, fast)?,
            loss_pa(expansion_k(throat.reynolds, bore, hose_bore)?, density, fast)?,
        )
    } else {
        (0.0, 0.0)
    };
    Ok(InsertLoss {
        drop_pa: result("the pressure loss", steps.0 + throat.drop_pa + steps.1)?,
        contraction_pa: steps.0,
        tube_pa: throat.drop_pa,
        expansion_pa: steps.1,
        throat_velocity_m_s: fast,
        throat_reynolds: throat.reynolds,
        throat_dip_pa: 0.5 * density * (fast - slow) * (fast + slow),
    })
}
