//! Where to mark a straight tube before it is bent, and how much a bend stretches it.

use std::f64::consts::FRAC_PI_2;

use crate::geometry::BendTable;
use crate::makeup::{MakeupError, finite};

/// What a mark on the tube is brought to in the bender.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkAt {
    /// Where the bend begins.
    Start,
    /// The middle of the bend.
    Centre,
    /// The corner, where the straights on both sides would meet.
    Corner,
}

/// # What it gives
///
/// How much longer a tube becomes by bending, in mm.
///
/// # Formula
///
/// `stretch of a right angle x angle / (pi / 2)`
///
/// # Valid for
///
/// Angles from 0 in radians. The stretch is measured on a test bend of a right angle: both legs measured
/// to the corner, less what they should be.
///
/// # Source
///
/// Common practice; that it grows with the angle is an assumption.
///
/// # Notes
///
/// Below zero where the tube is pushed together.
///
/// # Errors
///
/// Refuses numbers that are not finite.
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::marks::stretch_mm;
///
/// assert!((stretch_mm(1.2, std::f64::consts::FRAC_PI_4)? - 0.6).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn stretch_mm(right_angle_mm: f64, angle_rad: f64) -> Result<f64, MakeupError> {
    finite("stretch of a right angle", right_angle_mm)?;
    Ok(right_angle_mm * finite("angle bent", angle_rad)? / FRAC_PI_2)
}

/// # What it gives
///
/// The mark for each bend on the straight tube, in mm from the end at which the table begins.
///
/// # Formula
///
/// Straights and arcs before the bend, each arc less its stretch; to the centre half the arc less half its
/// stretch further, to the corner the setback further.
///
/// # Valid for
///
/// Any bend table; `right_angle_mm` as in [`stretch_mm`], 0 for a tube that does not stretch.
///
/// # Source
///
/// Derived here.
///
/// # Notes
///
/// A stretched tube grows behind its first mark: every mark after it comes earlier than on the drawing.
///
/// # Errors
///
/// Refuses numbers that are not finite.
///
/// # Example
///
/// ```
/// use hosewright::geometry::{BendTable, TubeBend};
/// use hosewright::makeup::tube::marks::{MarkAt, marks_mm};
/// use std::f64::consts::FRAC_PI_2;
///
/// let bend =
///     TubeBend { straight_mm: 80.0, rotation_rad: 0.0, angle_rad: FRAC_PI_2, radius_mm: 20.0 };
/// let tube = BendTable { bends: vec![bend, bend], last_straight_mm: 50.0, passed: Vec::new() };
/// let marks = marks_mm(&tube, 1.0, MarkAt::Start)?;
/// assert!((marks[1] - (160.0 + 10.0 * std::f64::consts::PI - 1.0)).abs() < 1e-9);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn marks_mm(
    table: &BendTable,
    right_angle_mm: f64,
    mark: MarkAt,
) -> Result<Vec<f64>, MakeupError> {
    let mut starts_mm = 0.0;
    let mut marks = Vec::with_capacity(table.bends.len());
    for bend in &table.bends {
        starts_mm += bend.straight_mm;
        let unbent_mm = bend.arc_mm() - stretch_mm(right_angle_mm, bend.angle_rad)?;
        let further_mm = match mark {
            MarkAt::Start => 0.0,
            MarkAt::Centre => 0.5 * unbent_mm,
            MarkAt::Corner => bend.setback_mm(),
        };
        marks.push(starts_mm + further_mm);
        starts_mm += unbent_mm;
    }
    Ok(marks)
}
