//! The straights and bends of a strap that goes round a body with a lining between.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::makeup::{MakeupError, above_zero, finite, not_below_zero, within};

/// Straights shorter than this are none, mm.
const NOISE_MM: f64 = 1e-9;

/// A body of which the section is a rectangle with round corners; cylinder and obround are such bodies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// Radius of its corners, mm: half the width of a cylinder, half the lesser side of an obround.
    pub corner_mm: f64,
}

impl Body {
    fn checked(&self) -> Result<&Self, MakeupError> {
        above_zero("width of the body", self.width_mm)?;
        above_zero("height of the body", self.height_mm)?;
        let most_mm = 0.5 * self.width_mm.min(self.height_mm);
        within("radius of the corners of the body", self.corner_mm, 0.0, most_mm)?;
        Ok(self)
    }
}

/// # What it gives
///
/// The length of a belt round a body, mm, at a distance from its surface.
///
/// # Formula
///
/// Perimeter `2 (w + h) - 8 r + 2 pi r`, and `2 pi` times the distance.
///
/// # Valid for
///
/// Any rectangle with round corners. The second part holds for every convex body.
///
/// # Source
///
/// Steiner's formula for parallel bodies; common geometry.
///
/// # Notes
///
/// The middle of a strap lies at the lining, as compressed, and half the thickness of the strip.
///
/// # Errors
///
/// Refuses a body without size, corners larger than it, and a distance below zero.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::strap::{Body, belt_mm};
///
/// let tank = Body { width_mm: 250.0, height_mm: 250.0, corner_mm: 125.0 };
/// assert!((belt_mm(&tank, 3.75)? - 808.9601).abs() < 1e-3);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn belt_mm(body: &Body, distance_mm: f64) -> Result<f64, MakeupError> {
    let body = body.checked()?;
    not_below_zero("distance of the belt", distance_mm)?;
    let perimeter_mm = 2.0 * (body.width_mm + body.height_mm) - (8.0 - TAU) * body.corner_mm;
    Ok(perimeter_mm + TAU * distance_mm)
}

/// A bend of a strap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrapBend {
    /// Angle that it is bent through.
    pub angle_rad: f64,
    /// Radius of its inside, mm.
    pub inside_mm: f64,
    /// Whether it is drawn round the body and not bent over an edge.
    pub wrapped: bool,
    /// Whether it turns away from the body, as into a foot.
    pub outward: bool,
}

/// A strap from end A to end B: one straight more than bends.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Straights, mm.
    pub straights_mm: Vec<f64>,
    /// The bends between them.
    pub bends: Vec<StrapBend>,
}

/// How a strap lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lay {
    /// The body.
    pub body: Body,
    /// Whether the strap is drawn round its corners; else it is bent over an edge to `bend_mm`.
    pub wrapped: bool,
    /// Lining, as compressed, mm.
    pub lining_mm: f64,
    /// Thickness of the strip, mm.
    pub thickness_mm: f64,
    /// Inside radius of what is bent over an edge, mm; not used where nothing is.
    pub bend_mm: f64,
}

impl Lay {
    fn checked(&self) -> Result<&Self, MakeupError> {
        self.body.checked()?;
        not_below_zero("lining", self.lining_mm)?;
        above_zero("thickness of a sheet", self.thickness_mm)?;
        not_below_zero("inside radius of a bend", self.bend_mm)?;
        Ok(self)
    }

    /// Inside radius of the strap where it goes round a corner of the body.
    fn corner_mm(&self) -> f64 {
        if self.wrapped { self.body.corner_mm + self.lining_mm } else { self.bend_mm }
    }

    fn corner(&self) -> StrapBend {
        let inside_mm = self.corner_mm();
        StrapBend { angle_rad: FRAC_PI_2, inside_mm, wrapped: self.wrapped, outward: false }
    }

    /// Straight along a side of the body between two corners.
    fn side_mm(&self, side_mm: f64) -> Result<f64, MakeupError> {
        straight("side of the strap", side_mm + 2.0 * self.lining_mm - 2.0 * self.corner_mm())
    }
}

/// A straight; what is a rounding below zero is none.
fn straight(what: &'static str, length_mm: f64) -> Result<f64, MakeupError> {
    let length_mm = finite(what, length_mm)?;
    not_below_zero(what, if length_mm.abs() < NOISE_MM { 0.0 } else { length_mm })
}

/// # What it gives
///
/// Straights and bends of a strap that goes over a body and stands on two feet turned outward.
///
/// # Formula
///
/// Base `width + 2 lining - 2 corner`, legs `depth + lining - corner - (bend + thickness)`, with the inside
/// radius of the strap at the corners and at the feet.
///
/// # Valid for
///
/// Legs square to the base and to the feet. `depth_mm` goes from the face that the feet stand on to the top
/// of the body, without lining.
///
/// # Source
///
/// Plane geometry; the legs run from where the corner ends to where the foot begins to turn.
///
/// # Notes
///
/// Two quarter turns without a straight between are given as one half turn.
///
/// # Errors
///
/// Refuses sizes below zero, and straights that would be shorter than nothing.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::strap::{Body, Lay, saddle};
///
/// let body = Body { width_mm: 86.0, height_mm: 58.0, corner_mm: 0.0 };
/// let lay = Lay { body, wrapped: false, lining_mm: 3.0, thickness_mm: 1.6, bend_mm: 3.0 };
/// let chain = saddle(&lay, 58.0, [28.0, 28.0])?;
/// assert!((chain.straights_mm[1] - 53.4).abs() < 1e-9 && (chain.straights_mm[2] - 86.0).abs() < 1e-9);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn saddle(lay: &Lay, depth_mm: f64, feet_mm: [f64; 2]) -> Result<Chain, MakeupError> {
    let lay = lay.checked()?;
    above_zero("depth", depth_mm)?;
    let [foot_a, foot_b] = feet_mm;
    above_zero("foot", foot_a)?;
    above_zero("foot", foot_b)?;
    let foot_bend =
        StrapBend { angle_rad: FRAC_PI_2, inside_mm: lay.bend_mm, wrapped: false, outward: true };
    let base_mm = lay.side_mm(lay.body.width_mm)?;
    let top_mm = depth_mm + lay.lining_mm - lay.corner_mm();
    let leg_mm = straight("leg of the strap", top_mm - lay.bend_mm - lay.thickness_mm)?;
    let corner = lay.corner();
    Ok(if base_mm > 0.0 {
        Chain {
            straights_mm: vec![foot_a, leg_mm, base_mm, leg_mm, foot_b],
            bends: vec![foot_bend, corner, corner, foot_bend],
        }
    } else {
        let half = StrapBend { angle_rad: PI, ..corner };
        Chain {
            straights_mm: vec![foot_a, leg_mm, leg_mm, foot_b],
            bends: vec![foot_bend, half, foot_bend],
        }
    })
}

/// # What it gives
///
/// Straights and bends of a strap that closes round a body, with a gap between its ends.
///
/// # Formula
///
/// The sides and four corners in their order from the middle of the width, half the gap taken off at either
/// end; without sides the turn less the angle of the gap at the middle of the thickness.
///
/// # Valid for
///
/// Ends that meet in the middle of the width, and gaps not longer than that straight; round a cylinder, gaps
/// shorter than half a turn.
///
/// # Source
///
/// Plane geometry; without a gap its mid-line is [`belt_mm`].
///
/// # Notes
///
/// Straights of no length are left out, and what turns on both sides of them is one bend.
///
/// # Errors
///
/// Refuses sizes below zero, and a gap that the straight has no room for.
///
/// # Example
///
/// ```
/// use hosewright::makeup::sheet::strap::{Body, Lay, band};
///
/// let body = Body { width_mm: 300.0, height_mm: 160.0, corner_mm: 80.0 };
/// let lay = Lay { body, wrapped: true, lining_mm: 3.0, thickness_mm: 1.6, bend_mm: 0.0 };
/// let chain = band(&lay, 20.0)?;
/// assert_eq!(chain.straights_mm, [60.0, 140.0, 60.0]);
/// assert!((chain.bends[0].angle_rad - std::f64::consts::PI).abs() < 1e-12);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn band(lay: &Lay, gap_mm: f64) -> Result<Chain, MakeupError> {
    let lay = lay.checked()?;
    not_below_zero("gap", gap_mm)?;
    let (width_mm, height_mm) = (lay.side_mm(lay.body.width_mm)?, lay.side_mm(lay.body.height_mm)?);
    let corner = lay.corner();
    if width_mm <= 0.0 && height_mm <= 0.0 {
        let turn_mm = PI * (corner.inside_mm + 0.5 * lay.thickness_mm);
        within("gap", gap_mm, 0.0, turn_mm)?;
        let angle_rad = TAU - gap_mm * PI / turn_mm;
        return Ok(Chain {
            straights_mm: vec![0.0; 2],
            bends: vec![StrapBend { angle_rad, ..corner }],
        });
    }
    let end_mm = straight("straight beside the gap", 0.5 * (width_mm - gap_mm))?;
    let mut chain = Chain { straights_mm: vec![end_mm], bends: Vec::new() };
    for side_mm in [height_mm, width_mm, height_mm, end_mm] {
        let joined = chain.straights_mm.last().is_some_and(|s| *s <= 0.0);
        match chain.bends.last_mut() {
            // No straight between two corners: they are one bend.
            Some(before) if joined => {
                before.angle_rad += corner.angle_rad;
                chain.straights_mm.pop();
            }
            _ => chain.bends.push(corner),
        }
        chain.straights_mm.push(side_mm);
    }
    Ok(chain)
}
