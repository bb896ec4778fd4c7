//! Whether a hose still reaches when it has shortened and every tolerance falls the wrong way.

use super::{MakeupError, above_zero, finite, not_below_zero, within};

/// What can make a hose that was cut come out too short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReachInput<'a> {
    /// Length of the route from measuring point to measuring point, mm.
    pub path_mm: f64,
    /// Length of bare hose as cut, mm.
    pub cut_mm: f64,
    /// Cut-off of both fittings together, mm; below zero for spigots.
    pub cut_offs_mm: f64,
    /// Share by which the hose may shorten under pressure.
    pub contraction_fraction: f64,
    /// How far the ends move apart along the hose in service, mm.
    pub movement_mm: f64,
    /// Each amount by which hose or route may be off, mm: cut, cut-offs, ports.
    pub tolerances_mm: &'a [f64],
}

/// Slack that is left, mm; below zero where the hose is pulled tight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlackLeft {
    /// As cut, with everything in its place and no pressure.
    pub at_rest_mm: f64,
    /// Shortened by pressure, with the ends moved apart.
    pub in_service_mm: f64,
    /// In service, with every tolerance against it.
    pub worst_mm: f64,
    /// Root of the sum of the squared tolerances.
    pub spread_mm: f64,
}

/// # What it gives
///
/// How much longer than its route a hose still is: at rest, in service, and in service with every
/// tolerance against it.
///
/// # Formula
///
/// `at rest = cut + cut_offs - path`; `in service = cut (1 - contraction) + cut_offs - path - movement`;
/// `worst = in service - sum of tolerances`; `spread = sqrt(sum of squares)`.
///
/// # Valid for
///
/// `path_mm` and `cut_mm` above 0, `contraction_fraction` from 0 to under 1, movement and tolerances
/// from 0.
///
/// # Source
///
/// Only the hose shortens, not the fittings: AC 43.13-1B, figure 9-9 (cross-checked). Worst-case and
/// root-sum-square stacks of tolerances: common practice.
///
/// # Notes
///
/// The tolerance of a port counts whole, as if it lay along the hose. The spread takes the amounts as
/// independent of each other.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::reach::{ReachInput, slack_left};
///
/// let left = slack_left(&ReachInput {
///     path_mm: 486.0,
///     cut_mm: 467.0,
///     cut_offs_mm: 48.0,
///     contraction_fraction: 0.04,
///     movement_mm: 0.0,
///     tolerances_mm: &[2.0, 1.0, 1.0, 3.0, 3.0],
/// })?;
/// assert!((left.worst_mm - 0.32).abs() < 1e-9);
/// assert!((left.spread_mm - 24.0_f64.sqrt()).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn slack_left(input: &ReachInput<'_>) -> Result<SlackLeft, MakeupError> {
    above_zero("path_mm", input.path_mm)?;
    above_zero("cut_mm", input.cut_mm)?;
    finite("cut_offs_mm", input.cut_offs_mm)?;
    within("contraction_fraction", input.contraction_fraction, 0.0, 1.0 - 1e-6)?;
    not_below_zero("movement_mm", input.movement_mm)?;
    let (mut sum_mm, mut squares) = (0.0, 0.0);
    for tolerance_mm in input.tolerances_mm {
        sum_mm += not_below_zero("a tolerance", *tolerance_mm)?;
        squares += tolerance_mm * tolerance_mm;
    }
    let beyond_path_mm = input.cut_offs_mm - input.path_mm;
    let pressed_mm = input.cut_mm * (1.0 - input.contraction_fraction);
    let in_service_mm = pressed_mm + beyond_path_mm - input.movement_mm;
    Ok(SlackLeft {
        at_rest_mm: input.cut_mm + beyond_path_mm,
        in_service_mm,
        worst_mm: in_service_mm - sum_mm,
        spread_mm: squares.sqrt(),
    })
}
