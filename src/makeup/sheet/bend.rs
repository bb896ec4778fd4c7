//! Bend allowance, setback, and the flat length of a chain of straights and bends.

use std::f64::consts::PI;

use crate::makeup::{MakeupError, above_zero, not_below_zero, within};

/// A bend of a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetBend {
    /// Angle that it is bent through.
    pub angle_rad: f64,
    /// Radius of its inside.
    pub inside_mm: f64,
    /// Thickness of the sheet.
    pub thickness_mm: f64,
}

impl SheetBend {
    fn checked(&self) -> Result<&Self, MakeupError> {
        above_zero("angle of a bend", self.angle_rad)?;
        within("angle of a bend, in radians", self.angle_rad, 0.0, 2.0 * PI + 1e-9)?;
        not_below_zero("inside radius of a bend", self.inside_mm)?;
        above_zero("thickness of a sheet", self.thickness_mm)?;
        Ok(self)
    }
}

/// # What it gives
///
/// The flat length that goes into a bend, mm.
///
/// # Formula
///
/// `angle (inside radius + k thickness)`, the length of the layer that is neither stretched nor squeezed.
///
/// # Valid for
///
/// `k` from 0 to 1: where the layer lies between the inside (0) and the outside (1) of the bend.
///
/// # Source
///
/// Common practice. With `k = 0.5` it is the mid-line of US Navy training manual NAVEDTRA 14119, p. 13-43.
///
/// # Notes
///
/// `k` depends on the metal, on the radius and on the brake: see [`k_of_test_bend`].
///
/// # Errors
///
/// Refuses angles outside a whole turn, a radius below zero, no thickness, and `k` out of range.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{SheetBend, allowance_mm};
///
/// let bend = SheetBend { angle_rad: 90f64.to_radians(), inside_mm: 3.0, thickness_mm: 1.6 };
/// assert!((allowance_mm(&bend, 0.42)? - 5.768).abs() < 5e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn allowance_mm(bend: &SheetBend, k: f64) -> Result<f64, MakeupError> {
    let bend = bend.checked()?;
    within("k", k, 0.0, 1.0)?;
    Ok(bend.angle_rad * (bend.inside_mm + k * bend.thickness_mm))
}

/// # What it gives
///
/// The flat length that goes into a bend, mm, by the formula of the aircraft handbooks.
///
/// # Formula
///
/// `(0.01743 R + 0.0078 T) N`, with `N` in degrees.
///
/// # Valid for
///
/// Aluminium alloy sheet of aircraft thickness on usual bend radii; the handbooks give no range.
///
/// # Source
///
/// FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe, chapter 4 (read).
///
/// # Notes
///
/// It is `k = 0.447` with `pi / 180` rounded down by 0.13 percent. A Navy text prints 0.0173 as the first
/// factor, a misprint.
///
/// # Errors
///
/// As [`allowance_mm`].
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{SheetBend, handbook_allowance_mm};
///
/// let bend = SheetBend { angle_rad: 90f64.to_radians(), inside_mm: 0.16 * 25.4, thickness_mm: 0.040 * 25.4 };
/// assert!((handbook_allowance_mm(&bend)? / 25.4 - 0.279072).abs() < 1e-6);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn handbook_allowance_mm(bend: &SheetBend) -> Result<f64, MakeupError> {
    let bend = bend.checked()?;
    Ok((0.017_43 * bend.inside_mm + 0.0078 * bend.thickness_mm) * bend.angle_rad.to_degrees())
}

/// # What it gives
///
/// How far the bend begins before the corner where the outsides of both legs would meet, mm.
///
/// # Formula
///
/// `tan(angle / 2) (inside radius + thickness)`.
///
/// # Valid for
///
/// Angles below half a turn; at half a turn the outsides do not meet.
///
/// # Source
///
/// FAA AC 43.13-1B, table 4-7, which holds the tangent for every degree. Two of its values are wrong as
/// read (159 and 176 degrees), most others cut off instead of rounded: it is computed here.
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// As [`allowance_mm`], and angles from 179.5 degrees on.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{SheetBend, setback_mm};
///
/// let bend = SheetBend { angle_rad: 90f64.to_radians(), inside_mm: 3.0, thickness_mm: 1.6 };
/// assert!((setback_mm(&bend)? - 4.6).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn setback_mm(bend: &SheetBend) -> Result<f64, MakeupError> {
    let bend = bend.checked()?;
    within("angle of a bend, in radians", bend.angle_rad, 0.0, 179.5 * PI / 180.0)?;
    Ok(libm::tan(0.5 * bend.angle_rad) * (bend.inside_mm + bend.thickness_mm))
}

/// # What it gives
///
/// What the flat sheet is shorter by than both legs measured to the corner of their outsides, mm.
///
/// # Formula
///
/// `2 setback - allowance`.
///
/// # Valid for
///
/// As [`setback_mm`].
///
/// # Source
///
/// Common practice; it follows from the definitions.
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// As [`setback_mm`], and an allowance below zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{SheetBend, deduction_mm};
///
/// let bend = SheetBend { angle_rad: 90f64.to_radians(), inside_mm: 3.0, thickness_mm: 1.6 };
/// assert!((deduction_mm(&bend, 5.768)? - 3.432).abs() < 1e-9);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn deduction_mm(bend: &SheetBend, allowance_mm: f64) -> Result<f64, MakeupError> {
    not_below_zero("allowance of a bend", allowance_mm)?;
    Ok(2.0 * setback_mm(bend)? - allowance_mm)
}

/// Where a bend lies on the flat strip, counted from end A.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendArea {
    /// Where it begins, mm.
    pub from_mm: f64,
    /// Where it ends, mm.
    pub to_mm: f64,
}

/// # What it gives
///
/// The area of every bend on the flat strip, and the length of the strip, mm.
///
/// # Formula
///
/// The sum of all straights and allowances in their order.
///
/// # Valid for
///
/// One straight more than bends, none below zero.
///
/// # Source
///
/// FAA-H-8083-31, chapter 4: the developed width is the sum of flats and bend allowances (read).
///
/// # Notes
///
/// None.
///
/// # Errors
///
/// Refuses lists that do not go together, and lengths below zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::flat_strip;
///
/// let (bends, length_mm) = flat_strip(&[28.0, 53.4, 28.0], &[5.768, 5.768])?;
/// assert!((bends[1].from_mm - 87.168).abs() < 1e-9 && (length_mm - 120.936).abs() < 1e-9);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn flat_strip(
    straights_mm: &[f64],
    allowances_mm: &[f64],
) -> Result<(Vec<BendArea>, f64), MakeupError> {
    let [first, rest @ ..] = straights_mm else {
        return Err(MakeupError::TooFew { what: "straights", has: 0, least: 1 });
    };
    if rest.len() < allowances_mm.len() {
        let least = allowances_mm.len() + 1;
        return Err(MakeupError::TooFew { what: "straights", has: straights_mm.len(), least });
    }
    if rest.len() > allowances_mm.len() {
        let most = allowances_mm.len() + 1;
        return Err(MakeupError::TooMany { what: "straights", has: straights_mm.len(), most });
    }
    let mut at_mm = not_below_zero("straight of a strip", *first)?;
    let mut areas = Vec::with_capacity(allowances_mm.len());
    for (allowance, straight) in allowances_mm.iter().zip(rest) {
        let to_mm = at_mm + not_below_zero("allowance of a bend", *allowance)?;
        areas.push(BendArea { from_mm: at_mm, to_mm });
        at_mm = to_mm + not_below_zero("straight of a strip", *straight)?;
    }
    Ok((areas, above_zero("length of a strip", at_mm)?))
}

/// # What it gives
///
/// Where a bend is put straight under the front edge of the nose of a brake, mm from end A.
///
/// # Formula
///
/// One radius of the nose from the line where the bend begins on the clamped side, into the bend.
///
/// # Valid for
///
/// A brake that clamps the sheet under a nose of that radius and lifts the free part; any angle, since the foremost point
/// of the nose stands one radius before the place where the sheet leaves it.
///
/// # Source
///
/// Plane geometry. The sight line of FAA-H-8083-31, chapter 4, is the same rule (from memory).
///
/// # Notes
///
/// Looked at from straight above.
///
/// # Errors
///
/// Refuses a radius below zero, and one that is longer than the bend: the sheet would never leave such a nose there.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{BendArea, sight_mm};
///
/// let bend = BendArea { from_mm: 28.0, to_mm: 33.768 };
/// assert!((sight_mm(&bend, 3.0, false)? - 31.0).abs() < 1e-12);
/// assert!((sight_mm(&bend, 3.0, true)? - 30.768).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn sight_mm(bend: &BendArea, nose_mm: f64, clamped_at_b: bool) -> Result<f64, MakeupError> {
    not_below_zero("radius of the nose", nose_mm)?;
    within("radius of the nose", nose_mm, 0.0, bend.to_mm - bend.from_mm)?;
    Ok(if clamped_at_b { bend.to_mm - nose_mm } else { bend.from_mm + nose_mm })
}

/// A strip that was cut, measured, bent once and measured again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestBend {
    /// Its length when flat, mm.
    pub flat_mm: f64,
    /// Both legs, each measured outside to the corner where the outsides meet, mm.
    pub legs_mm: [f64; 2],
    /// The bend.
    pub bend: SheetBend,
}

/// # What it gives
///
/// The `k` that a test bend shows.
///
/// # Formula
///
/// `k = ((flat - legs + 2 setback) / angle - inside radius) / thickness`.
///
/// # Valid for
///
/// Angles below half a turn. What comes out is not held against a range here: a slip of the ruler can give
/// any number.
///
/// # Source
///
/// The allowance of [`allowance_mm`] solved for `k`.
///
/// # Notes
///
/// A reading that is off by 0.1 mm moves `k` by `0.1 / (angle thickness)`: 0.04 for a right angle in 1.6 mm.
///
/// # Errors
///
/// As [`setback_mm`], and lengths that are not above zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::bend::{SheetBend, TestBend, k_of_test_bend};
///
/// let bend = SheetBend { angle_rad: 90f64.to_radians(), inside_mm: 3.0, thickness_mm: 1.6 };
/// let k = k_of_test_bend(&TestBend { flat_mm: 96.5, legs_mm: [50.0, 50.0], bend })?;
/// assert!((k - 0.393).abs() < 5e-4);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn k_of_test_bend(test: &TestBend) -> Result<f64, MakeupError> {
    let [a_mm, b_mm] = test.legs_mm;
    let legs_mm = above_zero("leg of a test bend", a_mm)? + above_zero("leg of a test bend", b_mm)?;
    let flat_mm = above_zero("flat length of a test bend", test.flat_mm)?;
    let allowance_mm = flat_mm - legs_mm + 2.0 * setback_mm(&test.bend)?;
    Ok((allowance_mm / test.bend.angle_rad - test.bend.inside_mm) / test.bend.thickness_mm)
}
