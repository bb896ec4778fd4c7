//! How far a bent strip springs back, and the radius and angle to bend it to.

use crate::makeup::{MakeupError, above_zero, springback, within};

/// A strip of a material that yields at once and does not harden.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Yield strength, Pa.
    pub yield_pa: f64,
    /// Young's modulus, Pa.
    pub modulus_pa: f64,
}

impl Strip {
    /// `x` for each mm of radius.
    fn elastic_share(&self) -> Result<f64, MakeupError> {
        above_zero("thickness of a sheet", self.thickness_mm)?;
        above_zero("yield strength", self.yield_pa)?;
        above_zero("modulus", self.modulus_pa)?;
        Ok(self.yield_pa / (self.modulus_pa * self.thickness_mm))
    }
}

/// # What it gives
///
/// The share of a bend that stays when the strip is let go: angle left over angle bent, which is also the
/// radius bent over the radius left.
///
/// # Formula
///
/// With `x = R Y / (E t)`: `4 x^3 - 3 x + 1`.
///
/// # Valid for
///
/// An elastic and perfectly plastic material, narrow against its radius, `radius_mm` to the middle of the
/// thickness, `x` under 1/2; at 1/2 the bend is elastic and springs open altogether.
///
/// # Source
///
/// F. J. Gardiner, The springback of metals, 1957 (quoted-elsewhere); the moment of the stresses over the
/// thickness, integrated, gives the same six digits.
///
/// # Notes
///
/// Hardening makes the strip spring back further: a first guess, to be replaced by a test bend. A wide sheet
/// cannot shrink sideways: then `Y` is larger by `2 / sqrt 3` and `E` by `1 / (1 - nu^2)`.
///
/// # Errors
///
/// Refuses numbers that are not finite and above zero, and `x` of 1/2 and more.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::springback::{Strip, share_left};
///
/// let strip = Strip { thickness_mm: 2.0, yield_pa: 300e6, modulus_pa: 210e9 };
/// assert!((share_left(&strip, 50.0)? - 0.893039).abs() < 1e-6);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn share_left(strip: &Strip, radius_mm: f64) -> Result<f64, MakeupError> {
    above_zero("radius of a bend", radius_mm)?;
    let x = strip.elastic_share()? * radius_mm;
    within("share of the thickness that stays elastic, halved", x, 0.0, 0.5 - 1e-9)?;
    Ok(left(x))
}

fn left(x: f64) -> f64 {
    4.0 * x * x * x - 3.0 * x + 1.0
}

/// # What it gives
///
/// The radius to bend a strip to, mm, so that `finished_mm` is left when it is let go; both to the middle of
/// the thickness.
///
/// # Formula
///
/// The `R` for which `R / share left of R` is the finished radius, by halving: the left side rises with `R`.
///
/// # Valid for
///
/// As [`share_left`].
///
/// # Source
///
/// As [`share_left`].
///
/// # Notes
///
/// Settles to the last digits of the arithmetic; every finished radius has exactly one.
///
/// # Errors
///
/// Refuses numbers that are not finite and above zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::springback::{Strip, bent_radius_mm};
///
/// let strip = Strip { thickness_mm: 1.5, yield_pa: 205e6, modulus_pa: 193e9 };
/// assert!((bent_radius_mm(&strip, 103.75)? - 85.0874).abs() < 1e-3);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn bent_radius_mm(strip: &Strip, finished_mm: f64) -> Result<f64, MakeupError> {
    above_zero("finished radius of a bend", finished_mm)?;
    let elastic = strip.elastic_share()?;
    let share_left = |bent_mm: f64| left(elastic * bent_mm);
    Ok(springback::bent_radius_mm(finished_mm, 0.5 / elastic, share_left))
}
