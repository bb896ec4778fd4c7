//! Threads: every size of every thread table as diameter, pitch and seat, with its source.

use super::file::{Row, TableFile};
use super::{Cell, Tables};
use crate::source::{Cite, Sourced};
use crate::units::{Angle, Length, Quantity, read_number};

/// Millimetres of an inch.
const INCH_MM: f64 = 25.4;

/// One size of a thread family.
#[derive(Clone, Debug)]
pub struct ThreadSize {
    /// Family, which decides the seat.
    pub family: String,
    /// Size as the family counts it.
    pub size: String,
    /// The thread as printed.
    pub thread: String,
    /// Nominal outside diameter, mm.
    pub major_mm: f64,
    /// Pitch, mm.
    pub pitch_mm: f64,
    /// Whether its flanks stand at 55 degrees.
    pub whitworth: bool,
    /// Angle of the cone against the axis; none where it seals without one.
    pub cone: Option<Sourced<Angle>>,
    /// What seals, in words.
    pub seat: Option<String>,
    /// Where it stands.
    pub cite: Cite,
}

/// Every size of every thread table, by the names of the tables.
pub fn all(tables: &Tables) -> Vec<ThreadSize> {
    let files = tables.names("thread").into_iter().filter_map(|name| tables.get("thread", name));
    files.flat_map(|file| file.rows.iter().filter_map(|row| size(file, row))).collect()
}

fn size(file: &TableFile, row: &Row) -> Option<ThreadSize> {
    let name = row.cells.get("size").map(Cell::to_text)?;
    let thread = file.words(row, "thread").map_or_else(|| name.clone(), |t| t.value);
    let mm = |key: &str| file.quantity::<Length>(row, key).map(|l| l.value.si() * 1e3);
    let printed = mm("major").zip(mm("pitch"));
    let (major_mm, pitch_mm) = printed.or_else(|| designation(&thread))?;
    let flank = file.fact_quantity::<Angle>("flank");
    Some(ThreadSize {
        family: file.fact_words("family").map_or_else(|| file.name.clone(), |f| f.value),
        size: name,
        thread,
        major_mm,
        pitch_mm,
        whitworth: flank.is_some_and(|f| f.value.si().to_degrees() < 57.0),
        cone: file.fact_quantity::<Angle>("cone"),
        seat: file.fact_words("seat").map(|s| s.value),
        cite: file.cite(row),
    })
}

/// Diameter and pitch, mm, of a thread as it is written: `3/4-16`, `1 1/16-12 UN`, `M22x1.5`.
///
/// ```
/// use hosewright::table::thread::designation;
/// let (major, pitch) = designation("3/4-16").unwrap();
/// assert!((major - 19.05).abs() < 1e-9 && (pitch - 1.5875).abs() < 1e-9);
/// assert_eq!(designation("m22 x 1.5"), Some((22.0, 1.5)));
/// assert_eq!(designation("G 1/2"), None);
/// ```
pub fn designation(text: &str) -> Option<(f64, f64)> {
    let text = text.trim().to_lowercase();
    let pair = if let Some(metric) = text.strip_prefix('m') {
        let (major, pitch) = metric.split_once(['x', '×'])?;
        (number(major)?, number(pitch)?)
    } else {
        let (major, rest) = text.split_once('-')?;
        let turns = rest.split_whitespace().next()?;
        (inches(major)? * INCH_MM, INCH_MM / number(turns)?)
    };
    let sound = |n: f64| n.is_finite() && n > 0.0 && n < 1e3;
    (sound(pair.0) && sound(pair.1)).then_some(pair)
}

/// Inches as whole and fraction: `1 1/16`.
fn inches(text: &str) -> Option<f64> {
    let mut sum = 0.0;
    for part in text.split_whitespace() {
        sum += match part.split_once('/') {
            Some((above, below)) => number(above)? / number(below)?,
            None => number(part)?,
        };
    }
    Some(sum)
}

fn number(text: &str) -> Option<f64> {
    read_number(text.trim()).ok()
}

/// A pitch as it is read from a gauge, mm: `1.5 mm` or `16 tpi`.
///
/// ```
/// use hosewright::table::thread::pitch_mm;
/// assert_eq!(pitch_mm("16 tpi"), Some(1.5875));
/// assert_eq!(pitch_mm("1.5 mm"), Some(1.5));
/// assert_eq!(pitch_mm("1.5 bar"), None);
/// ```
pub fn pitch_mm(text: &str) -> Option<f64> {
    let text = text.trim();
    let mm = match text.strip_suffix("tpi") {
        Some(turns) => INCH_MM / number(turns)?,
        None => crate::units::read::<Length>(text).ok()?.si() * 1e3,
    };
    (mm.is_finite() && mm > 0.0 && mm < 100.0).then_some(mm)
}
