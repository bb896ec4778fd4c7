//! Bending stiffness of a hose from what it does on a bench: overhanging the edge, or loaded.

use core::f64::consts::FRAC_PI_2;

use super::{GeometryError, above_zero, within};

/// Steps along the hose; the fourth-order rule is then exact to nine digits up to the heaviest load.
const STEPS: u32 = 400;
/// Load numbers beyond which a hose hangs down like a rope.
const HEAVIEST: f64 = 1e3;
/// Load numbers below which a droop cannot be measured.
const LIGHTEST: f64 = 1e-6;
/// Halvings of a bracket.
const MOST_HALVINGS: u32 = 200;
/// A three-point deflection beyond this share of the span is no longer small.
const SMALL_SHARE: f64 = 0.05;

/// The shape of a hose clamped level at one end, free at the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cantilever {
    /// Slope of the free end below the level.
    pub tip_slope_rad: f64,
    /// How far the free end hangs below the clamp, over the length.
    pub drop_over_length: f64,
    /// How far it reaches out from the clamp, over the length.
    pub reach_over_length: f64,
}

impl Cantilever {
    /// Angle below the level of the line from the clamp to the free end.
    #[must_use]
    pub fn chord_angle_rad(&self) -> f64 {
        libm::atan2(self.drop_over_length, self.reach_over_length)
    }
}

/// What was measured on an overhanging hose.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Reading {
    /// How far the free end hangs below the clamp.
    Droop {
        /// The distance.
        droop_m: f64,
    },
    /// Angle below the level of the line from the clamp to the free end.
    ChordAngle {
        /// The angle.
        angle_rad: f64,
    },
}

/// A hose that overhangs an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overhang {
    /// Length beyond the edge.
    pub length_m: f64,
    /// Weight per length; 0 where it is nothing beside the load at the tip.
    pub per_length_n_m: f64,
    /// Load at the free end, 0 without.
    pub tip_n: f64,
}

/// A bending stiffness with the numbers that lead to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stiffness {
    /// Bending stiffness EI.
    pub stiffness_n_m2: f64,
    /// `w L^3 / EI`.
    pub load_number: f64,
    /// `P L^2 / EI`.
    pub tip_load_number: f64,
    /// The whole shape.
    pub shape: Cantilever,
}

/// # What it gives
///
/// The shape of a hose clamped level under its own weight and a load at its free end, however far it bends.
///
/// # Formula
///
/// `theta'' = -(g s + p) cos theta` with `s` from the free end, `theta' = 0` there and `theta = 0` at the
/// clamp; `g = w L^3 / EI`, `p = P L^2 / EI`. Fourth-order Runge-Kutta in 400 steps, and the slope of the
/// free end enclosed by halving.
///
/// # Valid for
///
/// `g` and `p` from 0 to 1000 together, not both 0. Straight when free; no stretch.
///
/// # Source
///
/// The elastica. Tip load: K. E. Bisshopp, D. C. Drucker, Quarterly of Applied Mathematics 3 (1945)
/// p. 272 (standing: from-memory).
///
/// # Notes
///
/// The load keeps its direction while the hose bends.
///
/// # Errors
///
/// [`GeometryError::OutOfRange`] or [`GeometryError::NotFinite`] for the load numbers.
///
/// # Example
///
/// ```
/// let shape = hosewright::geometry::stiffness::cantilever(8.00420, 0.0)?;
/// assert!((shape.chord_angle_rad().to_degrees() - 41.5).abs() < 1e-3);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn cantilever(load_number: f64, tip_load_number: f64) -> Result<Cantilever, GeometryError> {
    let g = within("load number", load_number, 0.0, HEAVIEST)?;
    let p = within("tip load number", tip_load_number, 0.0, HEAVIEST)?;
    within("load numbers together", g + p, LIGHTEST, HEAVIEST)?;
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..MOST_HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        // A free end that hangs too little comes level before the clamp.
        *(if from_tip(middle, g, p).is_some() { &mut high } else { &mut low }) = middle;
    }
    from_tip(high, g, p).ok_or(GeometryError::OutOfRange {
        what: "load numbers together",
        value: g + p,
        least: LIGHTEST,
        most: HEAVIEST,
    })
}

/// The shape from a slope of the free end; `None` where the hose comes level before the clamp.
fn from_tip(tip_slope_rad: f64, g: f64, p: f64) -> Option<Cantilever> {
    let step = 1.0 / f64::from(STEPS);
    let change = |s: f64, state: [f64; 4]| {
        let (sine, cosine) = (libm::sin(state[0]), libm::cos(state[0]));
        [state[1], -(g * s + p) * cosine, sine, cosine]
    };
    let ahead =
        |state: [f64; 4], slope: [f64; 4], by: f64| [0, 1, 2, 3].map(|i| state[i] + by * slope[i]);
    let mut state = [tip_slope_rad, 0.0, 0.0, 0.0];
    for count in 0..STEPS {
        let s = f64::from(count) * step;
        let first = change(s, state);
        let second = change(s + 0.5 * step, ahead(state, first, 0.5 * step));
        let third = change(s + 0.5 * step, ahead(state, second, 0.5 * step));
        let fourth = change(s + step, ahead(state, third, step));
        let mean =
            [0, 1, 2, 3].map(|i| (first[i] + 2.0 * (second[i] + third[i]) + fourth[i]) / 6.0);
        state = ahead(state, mean, step);
        if state[0] < 0.0 {
            return None;
        }
    }
    Some(Cantilever { tip_slope_rad, drop_over_length: state[2], reach_over_length: state[3] })
}

/// # What it gives
///
/// The bending stiffness of a hose from one reading of how it hangs over an edge.
///
/// # Formula
///
/// The load number at which [`cantilever`] gives the reading; `EI = w L^3 / g`, or `P L^2 / p` where only
/// the tip is loaded. At a chord angle of 41.5 degrees this is the plain `EI = w (L/2)^3`.
///
/// # Valid for
///
/// Droops from 0.001 to 0.9 of the overhang, chord angles from 0.06 to 75 degrees.
///
/// # Source
///
/// Overhang test of F. T. Peirce, Journal of the Textile Institute 21 (1930) T377, standardised in ASTM
/// D1388 (both standing: from-memory); solved exactly here instead of with his formula, which is 6 % high
/// at 41.5 degrees.
///
/// # Notes
///
/// A hose that was coiled is curved when free: measure with the curl up, turn the hose half round, measure
/// with the curl down, and use the mean of both readings.
///
/// # Errors
///
/// [`GeometryError::NotAboveZero`], [`GeometryError::OutOfRange`] or [`GeometryError::NotFinite`] for the
/// arguments.
///
/// # Example
///
/// ```
/// use hosewright::geometry::stiffness::{Overhang, Reading, stiffness};
///
/// let hose = Overhang { length_m: 0.6, per_length_n_m: 3.43, tip_n: 0.0 };
/// let found = stiffness(&hose, Reading::ChordAngle { angle_rad: 41.5_f64.to_radians() })?;
/// assert!((found.stiffness_n_m2 / (3.43 * 0.3 * 0.3 * 0.3) - 1.0).abs() < 1e-3);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn stiffness(overhang: &Overhang, reading: Reading) -> Result<Stiffness, GeometryError> {
    let length = above_zero("length_m", overhang.length_m)?;
    let weight = within("per_length_n_m", overhang.per_length_n_m, 0.0, f64::MAX)? * length;
    let tip = within("tip_n", overhang.tip_n, 0.0, f64::MAX)?;
    let whole = above_zero("weight and load together", weight + tip)?;
    let wanted = match reading {
        Reading::Droop { droop_m } => within("droop over overhang", droop_m / length, 1e-3, 0.9)?,
        Reading::ChordAngle { angle_rad } => within("chord angle, rad", angle_rad, 1e-3, 1.31)?,
    };
    let shape_at = |load: f64| cantilever(load * weight / whole, load * tip / whole);
    let gives = |shape: &Cantilever| match reading {
        Reading::Droop { .. } => shape.drop_over_length,
        Reading::ChordAngle { .. } => shape.chord_angle_rad(),
    };
    let (mut low, mut high) = (LIGHTEST * 1.001, HEAVIEST * 0.999);
    let mut shape = shape_at(high)?;
    for _ in 0..MOST_HALVINGS {
        let middle = (low * high).sqrt();
        if high / low < 1.0 + 1e-12 {
            break;
        }
        shape = shape_at(middle)?;
        *(if gives(&shape) < wanted { &mut low } else { &mut high }) = middle;
    }
    let load = (low * high).sqrt();
    Ok(Stiffness {
        stiffness_n_m2: whole * length * length / load,
        load_number: load * weight / whole,
        tip_load_number: load * tip / whole,
        shape,
    })
}

/// # What it gives
///
/// The bending stiffness of a hose that lies on two supports and is loaded half way between them.
///
/// # Formula
///
/// `EI = P span^3 / (48 deflection)`
///
/// # Valid for
///
/// Small deflections, up to a twentieth of the span; the deflection is that which the load adds.
///
/// # Source
///
/// Beam theory, any handbook (common practice).
///
/// # Notes
///
/// The weight of the hose need not be known: read before and after the load is put on.
///
/// # Errors
///
/// [`GeometryError::NotAboveZero`], [`GeometryError::OutOfRange`] or [`GeometryError::NotFinite`] for the
/// arguments.
///
/// # Example
///
/// ```
/// let found = hosewright::geometry::stiffness::three_point(10.0, 0.6, 0.015)?;
/// assert!((found - 3.0).abs() < 1e-12);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn three_point(load_n: f64, span_m: f64, deflection_m: f64) -> Result<f64, GeometryError> {
    let load = above_zero("load_n", load_n)?;
    let span = above_zero("span_m", span_m)?;
    let deflection = above_zero("deflection_m", deflection_m)?;
    within("deflection over span", deflection / span, 0.0, SMALL_SHARE)?;
    Ok(load * span * span * span / (48.0 * deflection))
}
