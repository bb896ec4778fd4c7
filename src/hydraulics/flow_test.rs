//! The flow test with a can and a watch: the time to expect, the flow measured, the resistance that explains it.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result};

/// Time in which a can fills.
///
/// # What it gives
/// The time in s.
///
/// # Formula
/// t = V/Q
///
/// # Valid for
/// `volume_m3` zero or above, `flow_m3_s` above 0.
///
/// # Source
/// Definition of the flow.
///
/// # Notes
/// Hold the outlet where it is in the machine: its height drives the flow.
///
/// ```
/// use hosewright::hydraulics::flow_test::fill_time_s;
/// // one litre at 33.75 L/h
/// assert!((fill_time_s(1e-3, 33.75e-3 / 3600.0)? - 106.67).abs() < 5e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn fill_time_s(volume_m3: f64, flow_m3_s: f64) -> Result<f64, HydraulicsError> {
    let volume = not_negative("the volume of the can", volume_m3)?;
    result("the time", volume / positive("the flow", flow_m3_s)?)
}

/// A can that was filled, and how well can and time are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filling {
    /// Volume of the can in m³, above 0.
    pub volume_m3: f64,
    /// By how much the volume may be wrong, in m³; zero or above, less than the volume.
    pub volume_error_m3: f64,
    /// Time it took in s, above 0.
    pub time_s: f64,
    /// By how much the time may be wrong, in s; zero or above, less than the time.
    pub time_error_s: f64,
}

/// A measured flow with the band it may lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredFlow {
    /// The flow in m³/s.
    pub flow_m3_s: f64,
    /// Least flow that the errors allow, in m³/s.
    pub low_m3_s: f64,
    /// Largest flow that the errors allow, in m³/s.
    pub high_m3_s: f64,
}

/// Flow from a can and a time.
///
/// # What it gives
/// The flow and both ends of its band, in m³/s.
///
/// # Formula
/// Q = V/t; low (V - dV)/(t + dt), high (V + dV)/(t - dt)
///
/// # Valid for
/// As [`Filling`] has it.
///
/// # Source
/// Definition of the flow; the band takes both errors at their worst. Standing: common-practice.
///
/// # Notes
/// Half a second at start and end of a fill of half a minute is already three per cent.
///
/// ```
/// use hosewright::hydraulics::flow_test::{Filling, measured_flow};
/// let filling = Filling { volume_m3: 1e-3, volume_error_m3: 1e-5, time_s: 40.0, time_error_s: 0.5 };
/// let found = measured_flow(&filling)?;
/// assert!((found.flow_m3_s - 2.5e-5).abs() < 1e-18);
/// assert!(found.low_m3_s < found.flow_m3_s && found.flow_m3_s < found.high_m3_s);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn measured_flow(filling: &Filling) -> Result<MeasuredFlow, HydraulicsError> {
    let volume = positive("the volume of the can", filling.volume_m3)?;
    let time = positive("the time", filling.time_s)?;
    let volume_error = not_negative("the error of the volume", filling.volume_error_m3)?;
    let time_error = not_negative("the error of the time", filling.time_error_s)?;
    let least = positive("the volume of the can less its error", volume - volume_error)?;
    let quickest = positive("the time less its error", time - time_error)?;
    let flow = |volume: f64, time: f64| positive("the flow", result("the flow", volume / time)?);
    Ok(MeasuredFlow {
        flow_m3_s: flow(volume, time)?,
        low_m3_s: flow(least, time + time_error)?,
        high_m3_s: flow(volume + volume_error, quickest)?,
    })
}

/// A resistance, told in both ways in which it may grow with the flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// Loss at the flow it was found at, in Pa.
    pub loss_pa: f64,
    /// Loss over the square of the flow in Pa/(m³/s)²: a narrow or a sharp place.
    pub square_pa_s2_m6: f64,
    /// Loss over the flow in Pa/(m³/s): a clogged filter, or a thin long passage.
    pub linear_pa_s_m3: f64,
}

/// The resistance that explains a measured flow, with its band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExtraResistance {
    /// At the measured flow.
    pub likely: Resistance,
    /// At the largest flow that the errors allow; zero when that flow needs none.
    pub least: Resistance,
    /// At the least flow that the errors allow.
    pub most: Resistance,
}

/// Resistance beyond the expected ones that explains a flow below the expected one.
///
/// # What it gives
/// The extra loss at the measured flow and at both ends of its band, as a square and as a linear law.
///
/// # Formula
/// The pressure that the system as planned has left over at the flow Q is what the extra resistance takes:
/// dp = `left_over`(Q), k2 = dp/Q², k1 = dp/Q
///
/// # Valid for
/// A `left_over` that falls as the flow rises: what drives the flow at that flow less every planned loss, in Pa.
///
/// # Source
/// Balance of pressures in one line. Standing: common-practice.
///
/// # Notes
/// One measurement cannot tell the two laws apart; a second one at another height or pump speed can.
///
/// ```
/// use hosewright::hydraulics::HydraulicsError;
/// use hosewright::hydraulics::flow_test::{MeasuredFlow, extra_resistance};
/// // 5 kPa of height drive 1e-4 m³/s through a line of square loss; 0.8e-4 were measured.
/// let found = MeasuredFlow { flow_m3_s: 0.8e-4, low_m3_s: 0.79e-4, high_m3_s: 0.81e-4 };
/// let extra = extra_resistance(&found, |q| Ok::<f64, HydraulicsError>(5000.0 - 5.0e11 * q * q))?;
/// assert!((extra.likely.loss_pa - 1800.0).abs() < 1e-9);
/// assert!((extra.likely.square_pa_s2_m6 - 2.8125e11).abs() < 1.0);
/// # Ok::<(), HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::Negative`] when nothing is left over at the measured flow: it is not below the expected
/// one. [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`], and whatever `left_over` refuses.
pub fn extra_resistance<E: From<HydraulicsError>>(
    measured: &MeasuredFlow,
    mut left_over: impl FnMut(f64) -> Result<f64, E>,
) -> Result<ExtraResistance, E> {
    let likely = resistance(measured.flow_m3_s, left_over(measured.flow_m3_s)?)?;
    let at_high = left_over(measured.high_m3_s)?.max(0.0);
    let least = resistance(measured.high_m3_s, at_high)?;
    let most = resistance(measured.low_m3_s, left_over(measured.low_m3_s)?)?;
    Ok(ExtraResistance { likely, least, most })
}

fn resistance(flow_m3_s: f64, left_over_pa: f64) -> Result<Resistance, HydraulicsError> {
    let flow = positive("the flow", flow_m3_s)?;
    let loss_pa = not_negative("the pressure left over at the measured flow", left_over_pa)?;
    Ok(Resistance {
        loss_pa,
        square_pa_s2_m6: result("the resistance", loss_pa / flow / flow)?,
        linear_pa_s_m3: result("the resistance", loss_pa / flow)?,
    })
}
