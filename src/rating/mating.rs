//! Whether two ends go together: thread, seat, size and gender, and a hose on its spigot.

use super::{RatingError, above_zero, not_below_zero};

/// Which way round an end is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gender {
    /// Thread or plug on the outside.
    Male,
    /// Thread or socket on the inside.
    Female,
    /// Both sides alike, as two flanges.
    Alike,
}

/// What makes an end fit another, in the words of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EndForm<'a> {
    /// Family or seat: what makes it tight.
    pub seat: &'a str,
    /// Thread, or what holds the joint together.
    pub thread: &'a str,
    /// Size as named in its family.
    pub size: &'a str,
    /// Which way round it is made.
    pub gender: Gender,
}

/// What happens when two ends are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mating {
    /// They screw together and seal.
    Mates,
    /// Both are male, both are female, or only one of them is made alike on both sides.
    WrongGender,
    /// Same family, other size.
    WrongSize,
    /// Same seat and size, other thread.
    WrongThread,
    /// They screw together but do not seal: same thread, other seat.
    SameThreadOtherSeat,
    /// Neither thread nor seat agree.
    NothingAlike,
}

/// # What it gives
///
/// Whether two ends go together and, if not, why not.
///
/// # Formula
///
/// Gender first; then the same thread with another seat is told apart from every other mismatch,
/// because it can be assembled and only shows when it leaks.
///
/// # Valid for
///
/// Names that are spelt alike in both ends; capitals and outer blanks do not count.
///
/// # Source
///
/// Common practice.
///
/// # Notes
///
/// The thread must carry its diameter and pitch, else two sizes of one family look alike.
///
/// # Errors
///
/// [`RatingError::NotGiven`] where a name is empty: nothing is assumed.
///
/// # Example
///
/// ```
/// use hosewright::rating::mating::{EndForm, Gender, Mating, mating};
///
/// let nipple = EndForm { seat: "flare 37", thread: "7/16-20", size: "-4", gender: Gender::Male };
/// let swivel = EndForm { seat: "flare 45", thread: "7/16-20", size: "-4", gender: Gender::Female };
/// assert_eq!(mating(&nipple, &swivel)?, Mating::SameThreadOtherSeat);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn mating(a: &EndForm<'_>, b: &EndForm<'_>) -> Result<Mating, RatingError> {
    let seat = same("seat", a.seat, b.seat)?;
    let thread = same("thread", a.thread, b.thread)?;
    let size = same("size", a.size, b.size)?;
    let pair = matches!(
        (a.gender, b.gender),
        (Gender::Male, Gender::Female)
            | (Gender::Female, Gender::Male)
            | (Gender::Alike, Gender::Alike)
    );
    Ok(match (pair, thread, seat, size) {
        (false, ..) => Mating::WrongGender,
        (true, true, true, true) => Mating::Mates,
        (true, true, false, _) => Mating::SameThreadOtherSeat,
        (true, _, true, false) => Mating::WrongSize,
        (true, false, true, true) => Mating::WrongThread,
        (true, false, false, _) => Mating::NothingAlike,
    })
}

fn same(what: &'static str, a: &str, b: &str) -> Result<bool, RatingError> {
    let (a, b) = (a.trim(), b.trim());
    if a.is_empty() || b.is_empty() {
        return Err(RatingError::NotGiven { what });
    }
    Ok(a.to_lowercase() == b.to_lowercase())
}

/// How a hose sits on a spigot before the clamp is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpigotFit {
    /// The bore is larger than the spigot by more than is allowed.
    Loose {
        /// Bore less spigot, mm.
        gap_mm: f64,
    },
    /// It goes on and the clamp can close it.
    Fits {
        /// How far the bore is stretched, as a share of the bore; below zero where it is slack.
        stretch_fraction: f64,
    },
    /// The bore would have to stretch more than is allowed.
    TooTight {
        /// How far the bore would be stretched, as a share of the bore.
        stretch_fraction: f64,
    },
}

/// # What it gives
///
/// Whether a hose fits the spigot it is pushed over.
///
/// # Formula
///
/// `stretch = (spigot - bore) / bore`, against the allowed stretch; `gap = bore - spigot` against the
/// allowed looseness.
///
/// # Valid for
///
/// Diameters above 0 in millimetres; `allowed_stretch_fraction` and `allowed_gap_mm` from 0.
///
/// # Source
///
/// Definition; the limits are handed in.
///
/// # Notes
///
/// Use the diameter over the bead where the question is whether it can be pushed on, and the diameter
/// behind the bead where the question is whether it seals.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range.
///
/// # Example
///
/// ```
/// use hosewright::rating::mating::{SpigotFit, spigot_fit};
///
/// let fit = spigot_fit(25.0, 26.0, 0.1, 0.5)?;
/// assert_eq!(fit, SpigotFit::Fits { stretch_fraction: 0.04 });
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn spigot_fit(
    bore_mm: f64,
    spigot_outside_mm: f64,
    allowed_stretch_fraction: f64,
    allowed_gap_mm: f64,
) -> Result<SpigotFit, RatingError> {
    above_zero("bore_mm", bore_mm)?;
    above_zero("spigot_outside_mm", spigot_outside_mm)?;
    not_below_zero("allowed_stretch_fraction", allowed_stretch_fraction)?;
    not_below_zero("allowed_gap_mm", allowed_gap_mm)?;
    let gap_mm = bore_mm - spigot_outside_mm;
    let stretch_fraction = -gap_mm / bore_mm;
    Ok(if gap_mm > allowed_gap_mm {
        SpigotFit::Loose { gap_mm }
    } else if stretch_fraction > allowed_stretch_fraction {
        SpigotFit::TooTight { stretch_fraction }
    } else {
        SpigotFit::Fits { stretch_fraction }
    })
}
