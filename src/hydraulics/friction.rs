//! Darcy friction factor of a straight round bore: laminar, transition and turbulent.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};
use super::colebrook::{
    checked_ratio, factor_and_log_slope_unchecked, factor_unchecked, log_slope_unchecked,
};

pub use super::colebrook::{darcy_colebrook, darcy_colebrook_batch};

/// Reynolds number up to which flow in a straight bore is taken as laminar.
///
/// It is where the interpolation through the transition begins, so it belongs to the formula.
pub const LAMINAR_UP_TO: f64 = 2000.0;
/// Reynolds number from which flow in a straight bore is taken as turbulent: the end of the interpolation.
pub const TURBULENT_FROM: f64 = 4000.0;
/// Largest Reynolds number of the friction formulas.
pub const REYNOLDS_UP_TO: f64 = 1.0e8;
/// Largest roughness ratio (roughness height over bore) of Colebrook's formula.
pub const ROUGHNESS_RATIO_UP_TO: f64 = 0.05;

/// Kind of flow in a straight bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Regime {
    /// Reynolds number up to 2000: smooth layers, loss proportional to viscosity.
    Laminar,
    /// Between 2000 and 4000: either kind may occur, so there is a band and no one value.
    Transition,
    /// Reynolds number from 4000: eddies across the bore, wall roughness counts.
    Turbulent,
}

impl Regime {
    /// The regime of a Reynolds number.
    ///
    /// ```
    /// use hosewright::hydraulics::friction::Regime;
    /// assert_eq!(Regime::of(3000.0), Regime::Transition);
    /// ```
    #[must_use]
    pub fn of(reynolds: f64) -> Self {
        if reynolds <= LAMINAR_UP_TO {
            Self::Laminar
        } else if reynolds < TURBULENT_FROM {
            Self::Transition
        } else {
            Self::Turbulent
        }
    }

    /// The regime as one word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Laminar => "laminar",
            Self::Transition => "transition",
            Self::Turbulent => "turbulent",
        }
    }
}

impl core::fmt::Display for Regime {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.word())
    }
}

/// A Darcy friction factor with the band it may lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// The value to solve with.
    pub factor: f64,
    /// Kind of flow.
    pub regime: Regime,
    /// Lowest honest value; below `factor` only in the transition.
    pub low: f64,
    /// Highest honest value; above `factor` only in the transition.
    pub high: f64,
}

/// Laminar Darcy friction factor.
///
/// # What it gives
/// The Darcy factor of fully developed laminar flow in a round bore.
///
/// # Formula
/// f = 64 / Re
///
/// # Arguments
/// `reynolds`: Reynolds number on the bore, above 0.
///
/// # Valid for
/// Re up to 2000. Above that it is given as the lower edge of the transition band only.
///
/// # Source
/// Hagen and Poiseuille; e.g. Esposito, Fluid Power with Applications, ch. 4. Standing: quoted-elsewhere.
///
/// # Notes
/// A line shorter than its entry length (about 0.058 Re bores) loses more than this.
///
/// ```
/// use hosewright::hydraulics::friction::laminar;
/// assert_eq!(laminar(640.0)?, 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`]; [`HydraulicsError::NotRepresentable`]
/// when Re is so small that the quotient overflows.
pub fn laminar(reynolds: f64) -> Result<f64, HydraulicsError> {
    let factor = 64.0 / positive("the Reynolds number", reynolds)?;
    result("the friction factor", factor)
}

/// Darcy friction factor at any Reynolds number, with its regime and its honest band.
///
/// # What it gives
/// One continuous, smooth factor to solve with, the regime, and the band low..high.
/// Outside the transition the band has no width.
///
/// # Formula
/// Re ≤ 2000: 64/Re. Re ≥ 4000: Colebrook. Between: the cubic (Hermite) of ln f against ln Re that
/// meets 64/Re at 2000 with its slope -1 and Colebrook at 4000 with Colebrook's slope.
/// Band between: low = 64/Re, high = Colebrook at the same Re.
///
/// # Arguments
/// `reynolds`: above 0, up to 1e8. `roughness_ratio`: 0 to 0.05.
///
/// # Valid for
/// Straight round bore, steady flow of a Newtonian liquid.
///
/// # Source
/// Ends: [`laminar`] and [`darcy_colebrook`]. Join: own interpolation, standing common-practice; the
/// pressure loss that follows from it always rises with the flow.
///
/// # Notes
/// The join is an interpolation, not physics: size a line on `high`, judge a metering bore on both ends.
///
/// ```
/// use hosewright::hydraulics::friction::{Regime, darcy};
/// let f = darcy(3000.0, 0.0)?;
/// assert_eq!(f.regime, Regime::Transition);
/// assert!((f.factor - 0.0353).abs() < 5e-5);
/// assert!(f.low < f.factor && f.factor < f.high);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`];
/// [`HydraulicsError::NotRepresentable`] for an absurdly small Reynolds number.
pub fn darcy(reynolds: f64, roughness_ratio: f64) -> Result<Friction, HydraulicsError> {
    check_pair(reynolds, roughness_ratio)?;
    let regime = Regime::of(reynolds);
    let (factor, low, high) = match regime {
        Regime::Laminar => {
            let f = laminar(reynolds)?;
            (f, f, f)
        }
        Regime::Turbulent => {
            let f = factor_unchecked(reynolds, roughness_ratio);
            (f, f, f)
        }
        Regime::Transition => {
            let f = Join::new(roughness_ratio).factor_and_log_slope(reynolds).0;
            let high = factor_unchecked(reynolds, roughness_ratio);
            (f, laminar(reynolds)?, high)
        }
    };
    Ok(Friction { factor, regime, low, high })
}

/// Slope of the friction curve of [`darcy`] in logarithms.
///
/// # What it gives
/// d ln f / d ln Re: -1 in laminar flow, between -0.25 and 0 in turbulent flow. The pressure loss of a
/// straight bore then goes locally with the flow to the power 2 + slope, which a solver needs.
///
/// # Formula
/// The derivative of each branch of [`darcy`].
///
/// # Valid for
/// As [`darcy`].
///
/// # Source
/// Differentiation of the formulas named there.
///
/// # Notes
/// Continuous: the branches meet with equal slopes.
///
/// ```
/// use hosewright::hydraulics::friction::log_slope;
/// assert_eq!(log_slope(500.0, 0.0)?, -1.0);
/// assert!(log_slope(1.0e7, 0.01)? > -0.001);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// As [`darcy`].
pub fn log_slope(reynolds: f64, roughness_ratio: f64) -> Result<f64, HydraulicsError> {
    check_pair(reynolds, roughness_ratio)?;
    Ok(match Regime::of(reynolds) {
        Regime::Laminar => -1.0,
        Regime::Turbulent => log_slope_unchecked(reynolds, roughness_ratio),
        Regime::Transition => Join::new(roughness_ratio).factor_and_log_slope(reynolds).1,
    })
}

/// Factor and slope in logarithms of [`darcy`] and [`log_slope`], for arguments already known to be in range.
pub(super) fn factor_and_log_slope(reynolds: f64, roughness_ratio: f64) -> (f64, f64) {
    match Regime::of(reynolds) {
        Regime::Laminar => (64.0 / reynolds, -1.0),
        Regime::Turbulent => factor_and_log_slope_unchecked(reynolds, roughness_ratio),
        Regime::Transition => Join::new(roughness_ratio).factor_and_log_slope(reynolds),
    }
}

fn check_pair(reynolds: f64, roughness_ratio: f64) -> Result<(), HydraulicsError> {
    positive("the Reynolds number", reynolds)?;
    within("the Reynolds number", reynolds, 0.0, REYNOLDS_UP_TO)?;
    not_negative("the roughness ratio", roughness_ratio)?;
    checked_ratio(roughness_ratio)?;
    Ok(())
}

/// The cubic of ln f against ln Re across the transition, in t = 0..1 over the width of ln Re.
pub(super) struct Join {
    width: f64,
    start: f64,
    end: f64,
    start_rise: f64,
    end_rise: f64,
}

impl Join {
    pub(super) fn new(roughness_ratio: f64) -> Self {
        let width = libm::log(TURBULENT_FROM / LAMINAR_UP_TO);
        let (factor, slope) = factor_and_log_slope_unchecked(TURBULENT_FROM, roughness_ratio);
        Self {
            width,
            start: libm::log(64.0 / LAMINAR_UP_TO),
            end: libm::log(factor),
            start_rise: -width,
            end_rise: width * slope,
        }
    }

    fn place(&self, reynolds: f64) -> f64 {
        libm::log(reynolds / LAMINAR_UP_TO) / self.width
    }

    /// Coefficients of t² and t³.
    fn curvature(&self) -> (f64, f64) {
        let rise = self.end - self.start;
        (
            3.0 * rise - 2.0 * self.start_rise - self.end_rise,
            self.start_rise + self.end_rise - 2.0 * rise,
        )
    }

    /// The factor and its slope in logarithms.
    pub(super) fn factor_and_log_slope(&self, reynolds: f64) -> (f64, f64) {
        let t = self.place(reynolds);
        let (second, third) = self.curvature();
        let ln_factor = self.start + t * (self.start_rise + t * (second + t * third));
        let log_slope = (self.start_rise + t * (2.0 * second + t * 3.0 * third)) / self.width;
        (libm::exp(ln_factor), log_slope)
    }
}
