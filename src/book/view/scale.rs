//! Scales of drawings, and the bars that say them.

use crate::units::System;

/// Scales that a builder's rule or head can follow.
pub const SERIES: [f64; 10] = [1.0, 2.0, 2.5, 5.0, 10.0, 12.5, 20.0, 25.0, 50.0, 100.0];

/// The largest drawing that a room has place for: how many mm of the machine are one of paper. None where even
/// the smallest of the series is too large.
///
/// ```
/// use hosewright::book::view::scale::fitting;
/// assert_eq!(fitting([2600.0, 900.0], [240.0, 100.0]), Some(12.5));
/// assert_eq!(fitting([90_000.0, 900.0], [240.0, 100.0]), None);
/// ```
pub fn fitting(size_mm: [f64; 2], room_mm: [f64; 2]) -> Option<f64> {
    let fits = |scale: &f64| size_mm.iter().zip(room_mm).all(|(s, r)| s / scale <= r);
    SERIES.into_iter().find(fits)
}

/// A scale in words: `1 : 12.5`.
pub fn words(scale: f64) -> String {
    format!("1 : {scale}")
}

/// Lengths that a bar or the steps of a grid can have, rising: 1, 2 and 5 in mm, or what divides feet in inches.
fn rounds(system: System) -> Vec<f64> {
    if system == System::Inch {
        return [0.5, 1.0, 2.0, 6.0, 12.0, 24.0, 60.0, 120.0, 240.0].map(|i| 25.4 * i).to_vec();
    }
    let decade = |ten: f64| [1.0, 2.0, 5.0].map(|n| n * ten);
    [1.0, 10.0, 100.0, 1e3, 1e4].into_iter().flat_map(decade).collect()
}

/// The longest round length that is no longer than a room, mm of the machine.
pub fn bar_mm(scale: f64, room_mm: f64, system: System) -> Option<f64> {
    rounds(system).into_iter().rev().find(|mm| mm / scale <= room_mm)
}

/// The shortest round length that is no shorter on paper than a gap, mm of the machine.
pub fn step_mm(scale: f64, gap_mm: f64, system: System) -> Option<f64> {
    rounds(system).into_iter().find(|mm| mm / scale >= gap_mm)
}
