//! From the route of a hose to the length to saw: slack, cut-offs, rounding, and growth under pressure.

use super::{MakeupError, above_zero, finite, within};

/// Steps this much over a whole number are whole: rounding of sums such as 0.1 + 0.2.
const STEP_NOISE: f64 = 1e-9;

/// What a cut length is worked out from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutInput {
    /// Length of the route from measuring point to measuring point, mm.
    pub path_mm: f64,
    /// Cut-off of the fitting at end a, mm; below zero for a hose pushed over a spigot.
    pub cut_off_a_mm: f64,
    /// Cut-off of the fitting at end b, mm; below zero for a hose pushed over a spigot.
    pub cut_off_b_mm: f64,
    /// Wanted slack, as a share of the assembly length.
    pub slack_fraction: f64,
    /// Least slack that passes, as a share of the assembly length.
    pub least_slack_fraction: f64,
    /// Most slack that passes, as a share of the assembly length.
    pub most_slack_fraction: f64,
    /// Share by which the hose may shorten under pressure.
    pub contraction_fraction: f64,
    /// Share by which the hose may lengthen under pressure.
    pub elongation_fraction: f64,
    /// The cut length is rounded up to whole steps of this, mm.
    pub step_mm: f64,
}

/// Lengths of one hose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutLength {
    /// Length to saw, mm, a whole number of steps.
    pub cut_mm: f64,
    /// Length of the assembly made from it, mm.
    pub assembly_mm: f64,
    /// Slack of that assembly, percent of its length.
    pub slack_percent: f64,
    /// Shortest assembly that has the least slack and still reaches when it shortens under pressure, mm.
    pub shortest_mm: f64,
    /// Longest assembly that keeps within the most slack, mm.
    pub longest_mm: f64,
    /// Length of the assembly when the hose has shortened under pressure, mm.
    pub contracted_mm: f64,
    /// Length of the assembly when the hose has lengthened under pressure, mm.
    pub elongated_mm: f64,
}

/// # What it gives
///
/// The length of hose to saw for a route, and the lengths between which the assembly passes.
///
/// # Formula
///
/// `assembly = path / (1 - slack)`; `cut = assembly - cut_off_a - cut_off_b`, rounded up to whole steps.
/// Shortest: the longer of `path / (1 - least slack)` and
/// `(path - cut_offs) / (1 - contraction) + cut_offs`. Longest: `path / (1 - most slack)`.
///
/// # Valid for
///
/// `path_mm` and `step_mm` above 0, cut-offs any finite millimetres that leave some hose, all shares
/// from 0 to under 1 (elongation from 0), `least_slack <= slack <= most_slack`.
///
/// # Source
///
/// Slack as a share of the total length: FAA-H-8083-30, page 7-19, and NAVEDTRA 14105, page 5-12
/// (cross-checked). Only the hose shortens, not the fittings: AC 43.13-1B, figure 9-9 (cross-checked).
/// Cut-offs taken off the assembly length: NAVEDTRA 14018, Table 5-2 (cross-checked).
///
/// # Notes
///
/// Slack can also be read as a share of the route, which gives a slightly shorter hose; the longer is
/// taken here. Rounding up can pass the longest length where the step is coarse: compare
/// `assembly_mm` with `longest_mm`.
///
/// # Errors
///
/// [`MakeupError::NoHoseLeft`] where the fittings are longer than the line, and refusals of numbers
/// out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::cut_length::{CutInput, cut_length};
///
/// let hose = cut_length(&CutInput {
///     path_mm: 486.0,
///     cut_off_a_mm: 24.0,
///     cut_off_b_mm: 24.0,
///     slack_fraction: 0.056,
///     least_slack_fraction: 0.05,
///     most_slack_fraction: 0.08,
///     contraction_fraction: 0.04,
///     elongation_fraction: 0.02,
///     step_mm: 1.0,
/// })?;
/// assert_eq!((hose.cut_mm, hose.assembly_mm), (467.0, 515.0));
/// assert!((hose.slack_percent - 5.631).abs() < 0.001);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn cut_length(input: &CutInput) -> Result<CutLength, MakeupError> {
    let cut_offs_mm = checked(input)?;
    let wanted_mm = hose_left(input.path_mm / (1.0 - input.slack_fraction), cut_offs_mm)?;
    let steps = finite("steps in the cut length", wanted_mm / input.step_mm)?;
    as_cut(input, (steps - STEP_NOISE * steps.max(1.0)).ceil() * input.step_mm)
}

/// Bare hose in an assembly.
fn hose_left(assembly_mm: f64, cut_offs_mm: f64) -> Result<f64, MakeupError> {
    let hose_mm = assembly_mm - cut_offs_mm;
    if hose_mm > 0.0 {
        Ok(hose_mm)
    } else {
        Err(MakeupError::NoHoseLeft { cut_offs_mm, assembly_mm })
    }
}

/// # What it gives
///
/// The lengths of a hose that was cut to a given length, whatever was wanted.
///
/// # Formula
///
/// As [`cut_length`], with the cut length given.
///
/// # Valid for
///
/// As [`cut_length`]; `cut_mm` above 0. The wanted slack and the step are not used.
///
/// # Source
///
/// As [`cut_length`].
///
/// # Notes
///
/// The slack may come out below the least that passes, or below zero.
///
/// # Errors
///
/// As [`cut_length`].
///
/// # Example
///
/// ```
/// use hosewright::makeup::cut_length::{CutInput, as_cut};
///
/// let input = CutInput {
///     path_mm: 486.0,
///     cut_off_a_mm: 24.0,
///     cut_off_b_mm: 24.0,
///     slack_fraction: 0.056,
///     least_slack_fraction: 0.05,
///     most_slack_fraction: 0.08,
///     contraction_fraction: 0.04,
///     elongation_fraction: 0.02,
///     step_mm: 1.0,
/// };
/// // Five millimetres short of the 467 mm that were wanted.
/// assert!((as_cut(&input, 462.0)?.slack_percent - 4.706).abs() < 0.001);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn as_cut(input: &CutInput, cut_mm: f64) -> Result<CutLength, MakeupError> {
    let cut_offs_mm = checked(input)?;
    above_zero("cut_mm", cut_mm)?;
    let path_mm = input.path_mm;
    let bare_mm = hose_left(path_mm, cut_offs_mm)?;
    let assembly_mm = cut_mm + cut_offs_mm;
    let reaching_mm = bare_mm / (1.0 - input.contraction_fraction) + cut_offs_mm;
    Ok(CutLength {
        cut_mm,
        assembly_mm,
        slack_percent: slack_percent(path_mm, assembly_mm)?,
        shortest_mm: (path_mm / (1.0 - input.least_slack_fraction)).max(reaching_mm),
        longest_mm: path_mm / (1.0 - input.most_slack_fraction),
        contracted_mm: cut_mm * (1.0 - input.contraction_fraction) + cut_offs_mm,
        elongated_mm: cut_mm * (1.0 + input.elongation_fraction) + cut_offs_mm,
    })
}

/// Refuses unusable numbers; gives both cut-offs together.
fn checked(input: &CutInput) -> Result<f64, MakeupError> {
    let most = 1.0 - 1e-6;
    above_zero("path_mm", input.path_mm)?;
    above_zero("step_mm", input.step_mm)?;
    finite("cut_off_a_mm", input.cut_off_a_mm)?;
    finite("cut_off_b_mm", input.cut_off_b_mm)?;
    within("least_slack_fraction", input.least_slack_fraction, 0.0, most)?;
    let (least_slack, most_slack) = (input.least_slack_fraction, input.most_slack_fraction);
    within("most_slack_fraction", most_slack, least_slack, most)?;
    within("slack_fraction", input.slack_fraction, least_slack, most_slack)?;
    within("contraction_fraction", input.contraction_fraction, 0.0, most)?;
    within("elongation_fraction", input.elongation_fraction, 0.0, f64::MAX)?;
    Ok(input.cut_off_a_mm + input.cut_off_b_mm)
}

/// # What it gives
///
/// The slack of an assembly in percent of its length; below zero where it is shorter than its route.
///
/// # Formula
///
/// `100 (assembly - path) / assembly`
///
/// # Valid for
///
/// Lengths above 0 in millimetres.
///
/// # Source
///
/// FAA-H-8083-30, page 7-19: slack as a share of the total length (cross-checked).
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// Refuses numbers that are not finite and above zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::cut_length::slack_percent;
///
/// assert!((slack_percent(486.0, 500.0)? - 2.8).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn slack_percent(path_mm: f64, assembly_mm: f64) -> Result<f64, MakeupError> {
    above_zero("path_mm", path_mm)?;
    above_zero("assembly_mm", assembly_mm)?;
    Ok(100.0 * (assembly_mm - path_mm) / assembly_mm)
}
