//! How far a bent tube springs back, and the angle to set so that the wanted one is left.

use std::f64::consts::PI;

use crate::makeup::{MakeupError, above_zero, springback, within};

/// A thin tube of a material that yields at once and does not harden.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinTube {
    /// Radius of the middle of the wall, mm.
    pub mean_radius_mm: f64,
    /// Yield strength, Pa.
    pub yield_pa: f64,
    /// Young's modulus, Pa.
    pub modulus_pa: f64,
}

/// # What it gives
///
/// The share of a bend that stays when the tube is let go: angle left over angle bent, which is also the
/// radius bent over the radius left.
///
/// # Formula
///
/// With `x = Y R / (E r)`: `1 - (2 / pi) (asin x + x sqrt(1 - x^2))`.
///
/// # Valid for
///
/// A thin round tube of an elastic and perfectly plastic material, bent round `radius_mm` to its centre
/// line, `x` under 1; at 1 the bend is elastic and springs open altogether.
///
/// # Source
///
/// Derived here: the moment of the stresses in the ring, taken off elastically. The same model for a
/// sheet is that of F. J. Gardiner, 1957 (quoted-elsewhere).
///
/// # Notes
///
/// Hardening and ovality make the tube spring back further: a first guess, to be replaced by a test bend.
///
/// # Errors
///
/// Refuses numbers that are not finite and above zero, and `x` of 1 and more.
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::springback::{ThinTube, share_left};
///
/// let tube = ThinTube { mean_radius_mm: 5.9055, yield_pa: 276.0e6, modulus_pa: 68.9e9 };
/// assert!((share_left(&tube, 38.1)? - 0.967098).abs() < 1e-6);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn share_left(tube: &ThinTube, radius_mm: f64) -> Result<f64, MakeupError> {
    above_zero("radius of a bend", radius_mm)?;
    let share = elastic_share(tube)? * radius_mm;
    within("share of the section that stays elastic", share, 0.0, 1.0 - 1e-9)?;
    Ok(left(share))
}

/// Elastic share of the section for each mm of bend radius.
fn elastic_share(tube: &ThinTube) -> Result<f64, MakeupError> {
    above_zero("mean radius of a tube", tube.mean_radius_mm)?;
    above_zero("yield strength", tube.yield_pa)?;
    above_zero("modulus", tube.modulus_pa)?;
    Ok(tube.yield_pa / (tube.modulus_pa * tube.mean_radius_mm))
}

fn left(share: f64) -> f64 {
    1.0 - 2.0 / PI * (libm::asin(share) + share * (1.0 - share * share).sqrt())
}

/// # What it gives
///
/// The radius that a tube must be bent round, in mm, so that `finished_mm` is left when it is let go.
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
/// As [`share_left`].
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::springback::{ThinTube, bent_radius_mm};
///
/// let tube = ThinTube { mean_radius_mm: 5.9055, yield_pa: 276.0e6, modulus_pa: 68.9e9 };
/// assert!((bent_radius_mm(&tube, 39.396)? - 38.1).abs() < 1e-3);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn bent_radius_mm(tube: &ThinTube, finished_mm: f64) -> Result<f64, MakeupError> {
    above_zero("finished radius of a bend", finished_mm)?;
    let elastic = elastic_share(tube)?;
    let share_left = |bent_mm: f64| left(elastic * bent_mm);
    Ok(springback::bent_radius_mm(finished_mm, 1.0 / elastic, share_left))
}

/// A bend made to see what is left of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestBend {
    /// Angle that the bender was set to.
    pub set_rad: f64,
    /// Angle measured when the tube was let go.
    pub got_rad: f64,
}

/// What a bender leaves of a bend, from test bends: `springback = share x set angle + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// Part of the springback that grows with the angle set.
    pub share: f64,
    /// Part of the springback that every bend has.
    pub offset_rad: f64,
    /// Smallest angle left for which the test bends speak.
    pub least_rad: f64,
    /// Largest angle left for which the test bends speak.
    pub most_rad: f64,
    /// How far the test bends lie off the line at most.
    pub scatter_rad: f64,
}

/// # What it gives
///
/// The springback of a bender and tube from test bends.
///
/// # Formula
///
/// One test bend: `springback = share x set`. Two: the straight line through both. More: the line with the
/// least sum of squares.
///
/// # Valid for
///
/// Angles set above 0 and up to half a turn; what is left between 0 and the angle set. One test bend speaks
/// for every smaller bend, several for the bends between them.
///
/// # Source
///
/// Common practice; least squares as in every textbook.
///
/// # Notes
///
/// [`Calibration::scatter_rad`] tells how well more than two test bends agree.
///
/// # Errors
///
/// Refuses no test bend at all, angles out of range, several test bends at one angle only, and bends of
/// which less is left the further the bender is set.
///
/// # Example
///
/// ```
/// use hosewright::makeup::tube::springback::{TestBend, calibration};
///
/// let degrees = |set: f64, got: f64| TestBend { set_rad: set.to_radians(), got_rad: got.to_radians() };
/// let bender = calibration(&[degrees(45.0, 43.0), degrees(90.0, 87.0)])?;
/// let set = bender.set_angle_rad(60f64.to_radians())?;
/// assert!((set.to_degrees() - 62.386).abs() < 1e-3);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn calibration(tests: &[TestBend]) -> Result<Calibration, MakeupError> {
    for test in tests {
        within("angle set", above_zero("angle set", test.set_rad)?, 0.0, PI)?;
        within("angle left", above_zero("angle left", test.got_rad)?, 0.0, test.set_rad)?;
    }
    let [first, rest @ ..] = tests else {
        return Err(MakeupError::TooFew { what: "test bends", has: 0, least: 1 });
    };
    let (slope, start_rad) =
        if rest.is_empty() { (first.got_rad / first.set_rad, 0.0) } else { line(tests)? };
    above_zero("angle left for each angle set", slope)?;
    let got =
        |pick: fn(f64, f64) -> f64| rest.iter().fold(first.got_rad, |a, t| pick(a, t.got_rad));
    let off = |t: &TestBend| (start_rad + slope * t.set_rad - t.got_rad).abs();
    Ok(Calibration {
        share: 1.0 - slope,
        offset_rad: 0.0 - start_rad,
        least_rad: if rest.is_empty() { 0.0 } else { got(f64::min) },
        most_rad: got(f64::max),
        scatter_rad: tests.iter().map(off).fold(0.0, f64::max),
    })
}

/// Slope and start of the angle left over the angle set, by least squares.
fn line(tests: &[TestBend]) -> Result<(f64, f64), MakeupError> {
    let (mut count, mut set, mut got) = (0.0, 0.0, 0.0);
    for test in tests {
        count += 1.0;
        set += test.set_rad;
        got += test.got_rad;
    }
    let (set_mean, got_mean) = (set / count, got / count);
    let (mut spread, mut slant) = (0.0, 0.0);
    for test in tests {
        let off = test.set_rad - set_mean;
        spread += off * off;
        slant += off * (test.got_rad - got_mean);
    }
    above_zero("spread of the angles set in the test bends", spread)?;
    let slope = slant / spread;
    Ok((slope, got_mean - slope * set_mean))
}

impl Calibration {
    /// The angle to set so that an angle is left.
    ///
    /// # Errors
    /// Refuses angles outside what the test bends speak for.
    pub fn set_angle_rad(&self, wanted_rad: f64) -> Result<f64, MakeupError> {
        // An angle taken from a route is a rounding off the one that was bent.
        let noise = 1e-9;
        within(
            "angle wanted, in radians",
            wanted_rad,
            self.least_rad - noise,
            self.most_rad + noise,
        )?;
        Ok((wanted_rad + self.offset_rad) / (1.0 - self.share))
    }
}
