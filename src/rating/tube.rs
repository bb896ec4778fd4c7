//! Pressure a rigid tube holds: thick-wall, thin-wall and piping-code formulae with wall tolerance.

use super::{RatingError, above_zero, not_below_zero, within};

/// Cross-section of a tube as bought, with the tolerances that weaken it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeSection {
    /// Nominal outside diameter, mm.
    pub outside_mm: f64,
    /// Nominal wall, mm.
    pub wall_mm: f64,
    /// How much larger the outside diameter may come, mm.
    pub outside_over_mm: f64,
    /// Share of the wall that may be missing: 0.1 for a tolerance of minus 10 percent.
    pub wall_under_fraction: f64,
}

/// The weakest section the tolerances allow.
#[derive(Debug, Clone, Copy)]
struct Weakest {
    outside_mm: f64,
    wall_mm: f64,
}

impl TubeSection {
    fn weakest(&self) -> Result<Weakest, RatingError> {
        above_zero("outside_mm", self.outside_mm)?;
        above_zero("wall_mm", self.wall_mm)?;
        not_below_zero("outside_over_mm", self.outside_over_mm)?;
        within("wall_under_fraction", self.wall_under_fraction, 0.0, 0.99)?;
        if 2.0 * self.wall_mm >= self.outside_mm {
            return Err(RatingError::NoBore { outside_mm: self.outside_mm, wall_mm: self.wall_mm });
        }
        Ok(Weakest {
            outside_mm: self.outside_mm + self.outside_over_mm,
            wall_mm: self.wall_mm * (1.0 - self.wall_under_fraction),
        })
    }
}

/// # What it gives
///
/// The inside pressure, in pascals, at which the bore of a tube reaches the given strength.
///
/// # Formula
///
/// `P = S (D^2 - d^2) / (D^2 + d^2)`, with `D` the largest outside diameter, `d = D - 2 t` and `t` the
/// thinnest wall.
///
/// # Valid for
///
/// Round tubes of any wall under half the outside diameter, closed or open ends; hoop stress against
/// `strength_pa` above 0.
///
/// # Source
///
/// MIL-T-8504B (25 July 1991), paragraph 3.6 (read). The copy read has lost the division sign; the
/// thick-wall theory of Lame makes it a quotient.
///
/// # Notes
///
/// The paragraph uses it for a proof pressure, with yield strength, the smallest wall and the largest
/// diameter its tolerances allow.
///
/// # Errors
///
/// Refuses numbers that are not finite, a diameter, wall or strength not above zero, and a wall that
/// leaves no bore.
///
/// # Example
///
/// ```
/// use hosewright::rating::tube::{TubeSection, lame_yield_pa};
///
/// let psi = 6894.757;
/// let quarter_inch = TubeSection {
///     outside_mm: 6.35,
///     wall_mm: 0.7112,
///     outside_over_mm: 0.1016,
///     wall_under_fraction: 0.1,
/// };
/// let proof_pa = lame_yield_pa(&quarter_inch, 30_000.0 * psi)?;
/// assert!((proof_pa / psi - 6529.0).abs() < 1.0);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn lame_yield_pa(section: &TubeSection, strength_pa: f64) -> Result<f64, RatingError> {
    above_zero("strength_pa", strength_pa)?;
    let Weakest { outside_mm, wall_mm } = section.weakest()?;
    let bore_mm = outside_mm - 2.0 * wall_mm;
    let (outside_sq, bore_sq) = (outside_mm * outside_mm, bore_mm * bore_mm);
    Ok(strength_pa * (outside_sq - bore_sq) / (outside_sq + bore_sq))
}

/// # What it gives
///
/// The nominal wall, in millimetres, that a tube needs so that its bore just reaches the given strength
/// under `pressure_pa`.
///
/// # Formula
///
/// `d = D sqrt((S - P) / (S + P))`, thinnest wall `(D - d) / 2`, nominal wall that over
/// `1 - wall_under_fraction`.
///
/// # Valid for
///
/// `0 < pressure_pa < strength_pa`; `outside_mm` above 0, `outside_over_mm` from 0,
/// `wall_under_fraction` from 0 to 0.99.
///
/// # Source
///
/// [`lame_yield_pa`] solved for the wall.
///
/// # Notes
///
/// Multiply the working pressure by the wanted factor before calling.
///
/// # Errors
///
/// [`RatingError::NoWallHolds`] where the pressure reaches the strength, [`RatingError::NoBore`] where
/// the nominal wall would close the bore, and refusals of unusable numbers.
///
/// # Example
///
/// ```
/// use hosewright::rating::tube::lame_wall_mm;
///
/// let wall_mm = lame_wall_mm(10.0, 0.0, 0.0, 60e6, 100e6)?;
/// assert!((wall_mm - 2.5).abs() < 1e-12);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn lame_wall_mm(
    outside_mm: f64,
    outside_over_mm: f64,
    wall_under_fraction: f64,
    pressure_pa: f64,
    strength_pa: f64,
) -> Result<f64, RatingError> {
    above_zero("outside_mm", outside_mm)?;
    not_below_zero("outside_over_mm", outside_over_mm)?;
    within("wall_under_fraction", wall_under_fraction, 0.0, 0.99)?;
    above_zero("pressure_pa", pressure_pa)?;
    above_zero("strength_pa", strength_pa)?;
    if pressure_pa >= strength_pa {
        return Err(RatingError::NoWallHolds { pressure_pa, strength_pa });
    }
    let largest_mm = outside_mm + outside_over_mm;
    let ratio = ((strength_pa - pressure_pa) / (strength_pa + pressure_pa)).sqrt();
    let wall_mm = 0.5 * largest_mm * (1.0 - ratio) / (1.0 - wall_under_fraction);
    if 2.0 * wall_mm >= outside_mm {
        return Err(RatingError::NoBore { outside_mm, wall_mm });
    }
    Ok(wall_mm)
}

/// # What it gives
///
/// The inside pressure, in pascals, at which the mean hoop stress of a thin wall reaches the given
/// strength.
///
/// # Formula
///
/// `P = 2 S t / D`, on the largest outside diameter and the thinnest wall.
///
/// # Valid for
///
/// Any wall under half the outside diameter. Taken on the outside diameter it never promises more than
/// [`lame_yield_pa`]; taken on the mean diameter, as some books do, it would.
///
/// # Source
///
/// Barlow's formula, textbook form (cross-checked).
///
/// # Notes
///
/// The quotient to [`lame_yield_pa`] is `(1 - 2 w + 2 w^2) / (1 - w)` with `w = t / D`: 1 for a vanishing
/// wall, least (0.83) at `w = 0.29`, and 1 again where the bore vanishes.
///
/// # Errors
///
/// As [`lame_yield_pa`].
///
/// # Example
///
/// ```
/// use hosewright::rating::tube::{TubeSection, barlow_pa};
///
/// let tube = TubeSection {
///     outside_mm: 20.0,
///     wall_mm: 1.0,
///     outside_over_mm: 0.0,
///     wall_under_fraction: 0.0,
/// };
/// assert!((barlow_pa(&tube, 100e6)? - 10e6).abs() < 1e-6);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn barlow_pa(section: &TubeSection, strength_pa: f64) -> Result<f64, RatingError> {
    above_zero("strength_pa", strength_pa)?;
    let weakest = section.weakest()?;
    Ok(2.0 * strength_pa * weakest.wall_mm / weakest.outside_mm)
}

/// # What it gives
///
/// The rated inside pressure, in pascals, by the form the piping codes use.
///
/// # Formula
///
/// `P = 2 S (t - C) / (D - 0.8 (t - C))`, on the largest outside diameter and the thinnest wall.
///
/// # Valid for
///
/// `allowable_pa` above 0 at the working temperature; `corrosion_mm` from 0 and under the thinnest wall
/// (0 for copper).
///
/// # Source
///
/// A copper trade association's tube handbook, page on pressure ratings and burst strength, quoting the
/// B31 pressure-piping code (read); the factor 0.8 is from memory and confirmed by reproducing that
/// handbook's table 3c.
///
/// # Notes
///
/// With the nominal wall it reads 10 to 14 percent high, so the wall tolerance must be given.
///
/// # Errors
///
/// As [`lame_yield_pa`], and [`RatingError::OutOfRange`] for a corrosion allowance that eats the wall.
///
/// # Example
///
/// ```
/// use hosewright::rating::tube::{TubeSection, boardman_pa};
///
/// let psi = 6894.757;
/// let half_inch_copper = TubeSection {
///     outside_mm: 15.875,
///     wall_mm: 0.7112,
///     outside_over_mm: 0.0635,
///     wall_under_fraction: 3.0 / 28.0,
/// };
/// let rated_pa = boardman_pa(&half_inch_copper, 6000.0 * psi, 0.0)?;
/// assert!((rated_pa / psi - 494.0).abs() < 0.5);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn boardman_pa(
    section: &TubeSection,
    allowable_pa: f64,
    corrosion_mm: f64,
) -> Result<f64, RatingError> {
    above_zero("allowable_pa", allowable_pa)?;
    let weakest = section.weakest()?;
    within("corrosion_mm", corrosion_mm, 0.0, weakest.wall_mm)?;
    let sound_mm = weakest.wall_mm - corrosion_mm;
    Ok(2.0 * allowable_pa * sound_mm / (weakest.outside_mm - 0.8 * sound_mm))
}

/// Which strength sets the rating of a tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GovernedBy {
    /// Yield strength over the proof factor.
    Yield,
    /// Ultimate strength over the burst factor.
    Ultimate,
}

/// Working pressure of a tube, and what sets it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeRating {
    /// Pressure allowed by yield, Pa.
    pub by_yield_pa: f64,
    /// Pressure allowed by ultimate strength, Pa.
    pub by_ultimate_pa: f64,
    /// The lower of the two, Pa.
    pub rated_pa: f64,
    /// Which of the two it is.
    pub governed_by: GovernedBy,
}

/// # What it gives
///
/// The working pressure of a tube such that the proof pressure does not reach yield, nor the burst
/// pressure the ultimate strength, at the bore.
///
/// # Formula
///
/// `min(lame(yield) / proof_factor, lame(ultimate) / burst_factor)`
///
/// # Valid for
///
/// Strengths above 0 in pascals, ultimate not below yield; factors from 1.
///
/// # Source
///
/// [`lame_yield_pa`] (MIL-T-8504B, paragraph 3.6, read); dividing by a proof and a burst factor is
/// common practice. The factors are handed in.
///
/// # Notes
///
/// Using the ultimate strength at the bore alone stays on the safe side of a real burst pressure.
///
/// # Errors
///
/// As [`lame_yield_pa`]; [`RatingError::OutOfRange`] for factors under 1 or an ultimate strength below
/// yield.
///
/// # Example
///
/// ```
/// use hosewright::rating::tube::{GovernedBy, TubeSection, tube_rating};
///
/// let tube = TubeSection {
///     outside_mm: 10.0,
///     wall_mm: 2.5,
///     outside_over_mm: 0.0,
///     wall_under_fraction: 0.0,
/// };
/// let rating = tube_rating(&tube, 100e6, 160e6, 2.0, 4.0)?;
/// assert!((rating.rated_pa - 24e6).abs() < 1e-3);
/// assert_eq!(rating.governed_by, GovernedBy::Ultimate);
/// # Ok::<(), hosewright::rating::RatingError>(())
/// ```
pub fn tube_rating(
    section: &TubeSection,
    yield_pa: f64,
    ultimate_pa: f64,
    proof_factor: f64,
    burst_factor: f64,
) -> Result<TubeRating, RatingError> {
    above_zero("yield_pa", yield_pa)?;
    within("ultimate_pa", ultimate_pa, yield_pa, f64::MAX)?;
    within("proof_factor", proof_factor, 1.0, f64::MAX)?;
    within("burst_factor", burst_factor, 1.0, f64::MAX)?;
    let by_yield_pa = lame_yield_pa(section, yield_pa)? / proof_factor;
    let by_ultimate_pa = lame_yield_pa(section, ultimate_pa)? / burst_factor;
    let governed_by =
        if by_yield_pa <= by_ultimate_pa { GovernedBy::Yield } else { GovernedBy::Ultimate };
    Ok(TubeRating {
        by_yield_pa,
        by_ultimate_pa,
        rated_pa: by_yield_pa.min(by_ultimate_pa),
        governed_by,
    })
}
