//! Loss coefficients of a tee in which two streams meet at a right angle.

use super::HydraulicsError;
use super::argument::within;

/// Coefficients of the two streams that meet in a tee, both on the velocity of the whole stream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TeeLoss {
    /// From the branch to the whole stream; below zero where the run drags it along.
    pub branch: f64,
    /// From the straight run to the whole stream.
    pub run: f64,
}

/// Losses where a branch joins a straight run at a right angle, all bores equal.
///
/// # What it gives
/// K of both ways, on the velocity behind the tee, where both streams flow together.
///
/// # Formula
/// y = branch flow / whole flow; C = 0.9 (1 - y) for y up to 0.35, above that 0.55;
/// K(branch) = C (1 + y² - 2 (1 - y)²), K(run) = 1.55 y - y²
///
/// # Valid for
/// `branch_share` y from 0 to 1, turbulent flow, sharp edges, three equal bores.
///
/// # Source
/// Crane Technical Paper 410M, Example 7-35, by way of a general formula library. Standing: quoted-elsewhere;
/// the constant 0.55 above a share of 0.35 is from-memory.
///
/// # Notes
/// K(branch) is negative for small shares: never clamp it at zero. C jumps at 0.35 from 0.585 to 0.55.
/// The network solver uses no tees: its links know nothing of each other's flow.
///
/// ```
/// use hosewright::hydraulics::tee::joining_k;
/// let tee = joining_k(380.0 / 1515.0)?;
/// assert!((tee.branch + 0.0402).abs() < 1e-4 && (tee.run - 0.3259).abs() < 1e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn joining_k(branch_share: f64) -> Result<TeeLoss, HydraulicsError> {
    let y = within("the branch's share of the flow", branch_share, 0.0, 1.0)?;
    let straight = 1.0 - y;
    let coefficient = if y <= 0.35 { 0.9 * straight } else { 0.55 };
    Ok(TeeLoss {
        branch: coefficient * (1.0 + y * y - 2.0 * straight * straight),
        run: y * (1.55 - y),
    })
}
