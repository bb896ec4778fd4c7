//! Darcy friction factor of a straight round bore: laminar, transition and turbulent.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};
use super::logarithm;

/// Colebrook's constant on the smooth-wall term.
const SMOOTH: f64 = 2.51;
/// Colebrook's constant under the roughness ratio.
const ROUGH: f64 = 3.7;
/// 2 / ln 10: turns -2 log10 into a natural logarithm.
const TWO_OVER_LN_10: f64 = 0.868_588_963_806_503_6;
/// First guess of 1/sqrt(f); the whole valid range is 3.5 to 13.
const FIRST_GUESS: f64 = 8.0;

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

/// Terms of Colebrook's equation in x = 1/sqrt(f): x + (2/ln 10) ln(rough + smooth x) = 0.
#[derive(Clone, Copy)]
struct Terms {
    rough: f64,
    smooth: f64,
}

impl Terms {
    #[inline]
    fn new(reynolds: f64, roughness_ratio: f64) -> Self {
        Self {
            rough: roughness_ratio / ROUGH,
            smooth: SMOOTH / reynolds,
        }
    }

    /// Starting value: one coarse logarithm at the first guess, then ln(1+z) as z(6+z)/(6+4z), a quadratic in z.
    #[inline]
    fn start(self) -> f64 {
        let inside = self.rough + self.smooth * FIRST_GUESS;
        let miss = FIRST_GUESS + TWO_OVER_LN_10 * logarithm::ln_coarse(inside);
        let share = self.smooth / inside;
        let wanted = -share * miss;
        let pull = TWO_OVER_LN_10 * share;
        let half = 3.0 + 3.0 * pull - 2.0 * wanted;
        let root = (half * half + 6.0 * (4.0 + pull) * wanted).sqrt();
        FIRST_GUESS - 6.0 * miss / (half + root)
    }

    /// One step of fourth order: the exact equation in the step, inverted as a series.
    #[inline]
    fn step(self, x: f64) -> f64 {
        let inside = self.rough + self.smooth * x;
        let miss = x + TWO_OVER_LN_10 * logarithm::ln(inside);
        let pulled = TWO_OVER_LN_10 * self.smooth;
        let one_over = 1.0 / (inside + pulled);
        let q = -self.smooth * miss * one_over;
        let m = pulled * one_over;
        let series = 1.0 + q * m * (0.5 + q * (0.5 * m - 1.0 / 3.0));
        x - miss * inside * one_over * series
    }

    #[inline]
    fn solve(self) -> f64 {
        self.step(self.start())
    }

    /// d ln f / d ln Re on the solved curve.
    fn log_slope(self) -> f64 {
        let pulled = TWO_OVER_LN_10 * self.smooth;
        -2.0 * pulled / (self.rough + self.smooth * self.solve() + pulled)
    }
}

#[inline]
fn colebrook_unchecked(reynolds: f64, roughness_ratio: f64) -> f64 {
    let x = Terms::new(reynolds, roughness_ratio).solve();
    1.0 / (x * x)
}

fn checked_ratio(roughness_ratio: f64) -> Result<f64, HydraulicsError> {
    within(
        "the roughness ratio",
        roughness_ratio,
        0.0,
        ROUGHNESS_RATIO_UP_TO,
    )
}

/// Turbulent Darcy friction factor by Colebrook's formula, solved to the last digits.
///
/// # What it gives
/// The Darcy friction factor, within 1e-15 (relative) of the exact solution of the formula.
///
/// # Formula
/// 1/√f = -2 log10( ratio/3.7 + 2.51/(Re √f) ). Solved in a fixed number of steps: an explicit start
/// from one coarse logarithm, then one fourth-order step, so equal input gives equal bytes everywhere.
///
/// # Arguments
/// `reynolds`: Reynolds number on the bore, 2000 to 1e8. `roughness_ratio`: wall roughness height over
/// bore, 0 to 0.05.
///
/// # Valid for
/// Turbulent flow, Re from 4000. From 2000 to 4000 it is given as the upper edge of the transition band only.
///
/// # Source
/// C. F. Colebrook, Journal of the Institution of Civil Engineers 11 (1939), p. 133; constants 2.51 and
/// 3.7 as commonly printed. Standing: from-memory for the paper; the numbers are checked against 200
/// values solved to 60 digits.
///
/// # Notes
/// The formula itself stands for real pipe within some 10 to 15 % only; the digits here are for
/// repeatability, not for accuracy of the prediction.
///
/// ```
/// use hosewright::hydraulics::friction::darcy_colebrook;
/// let f = darcy_colebrook(100_000.0, 0.0002)?;
/// assert!((f - 0.019_005_435_2).abs() < 1e-10);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`] or [`HydraulicsError::OutOfRange`] for arguments outside the ranges above.
pub fn darcy_colebrook(reynolds: f64, roughness_ratio: f64) -> Result<f64, HydraulicsError> {
    within(
        "the Reynolds number",
        reynolds,
        LAMINAR_UP_TO,
        REYNOLDS_UP_TO,
    )?;
    Ok(colebrook_unchecked(
        reynolds,
        checked_ratio(roughness_ratio)?,
    ))
}

/// Colebrook's friction factor for whole lists at once; each value is bit for bit that of [`darcy_colebrook`].
///
/// # What it gives
/// `factors[i]` is the Darcy factor of `reynolds[i]` and `roughness_ratios[i]`.
///
/// # Formula
/// As [`darcy_colebrook`]; written without branches so that the compiler can solve several at a time.
///
/// # Valid for
/// As [`darcy_colebrook`], every entry.
///
/// # Source
/// As [`darcy_colebrook`].
///
/// # Notes
/// All arguments are looked at before the first result is written: on an error `factors` is untouched.
///
/// ```
/// use hosewright::hydraulics::friction::darcy_colebrook_batch;
/// let mut factors = [0.0; 2];
/// darcy_colebrook_batch(&[1.0e4, 1.0e5], &[0.0, 0.0002], &mut factors)?;
/// assert!((factors[1] - 0.019_005_435_2).abs() < 1e-10);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::LengthsDiffer`] when the lists differ in length; otherwise the error of the first
/// entry that [`darcy_colebrook`] refuses.
pub fn darcy_colebrook_batch(
    reynolds: &[f64],
    roughness_ratios: &[f64],
    factors: &mut [f64],
) -> Result<(), HydraulicsError> {
    same_length(
        "Reynolds numbers and roughness ratios",
        reynolds.len(),
        roughness_ratios.len(),
    )?;
    same_length(
        "Reynolds numbers and friction factors",
        reynolds.len(),
        factors.len(),
    )?;
    let pairs = || reynolds.iter().zip(roughness_ratios);
    let allowed = pairs().fold(true, |so_far, (&re, &ratio)| {
        so_far
            & (re >= LAMINAR_UP_TO)
            & (re <= REYNOLDS_UP_TO)
            & (ratio >= 0.0)
            & (ratio <= ROUGHNESS_RATIO_UP_TO)
    });
    if !allowed {
        for (&re, &ratio) in pairs() {
            darcy_colebrook(re, ratio)?;
        }
    }
    for (factor, (&re, &ratio)) in factors.iter_mut().zip(pairs()) {
        *factor = colebrook_unchecked(re, ratio);
    }
    Ok(())
}

fn same_length(what: &'static str, left: usize, right: usize) -> Result<(), HydraulicsError> {
    if left == right {
        Ok(())
    } else {
        Err(HydraulicsError::LengthsDiffer { what, left, right })
    }
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
            let f = colebrook_unchecked(reynolds, roughness_ratio);
            (f, f, f)
        }
        Regime::Transition => {
            let f = libm::exp(Join::new(roughness_ratio).ln_factor(reynolds));
            let high = colebrook_unchecked(reynolds, roughness_ratio);
            (f, laminar(reynolds)?, high)
        }
    };
    Ok(Friction {
        factor,
        regime,
        low,
        high,
    })
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
        Regime::Turbulent => Terms::new(reynolds, roughness_ratio).log_slope(),
        Regime::Transition => Join::new(roughness_ratio).log_slope(reynolds),
    })
}

fn check_pair(reynolds: f64, roughness_ratio: f64) -> Result<(), HydraulicsError> {
    positive("the Reynolds number", reynolds)?;
    within("the Reynolds number", reynolds, 0.0, REYNOLDS_UP_TO)?;
    not_negative("the roughness ratio", roughness_ratio)?;
    checked_ratio(roughness_ratio)?;
    Ok(())
}

/// The cubic of ln f against ln Re across the transition, in t = 0..1 over the width of ln Re.
struct Join {
    width: f64,
    start: f64,
    end: f64,
    start_rise: f64,
    end_rise: f64,
}

impl Join {
    fn new(roughness_ratio: f64) -> Self {
        let width = libm::log(TURBULENT_FROM / LAMINAR_UP_TO);
        let terms = Terms::new(TURBULENT_FROM, roughness_ratio);
        Self {
            width,
            start: libm::log(64.0 / LAMINAR_UP_TO),
            end: libm::log(colebrook_unchecked(TURBULENT_FROM, roughness_ratio)),
            start_rise: -width,
            end_rise: width * terms.log_slope(),
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

    fn ln_factor(&self, reynolds: f64) -> f64 {
        let t = self.place(reynolds);
        let (second, third) = self.curvature();
        self.start + t * (self.start_rise + t * (second + t * third))
    }

    fn log_slope(&self, reynolds: f64) -> f64 {
        let t = self.place(reynolds);
        let (second, third) = self.curvature();
        (self.start_rise + t * (2.0 * second + t * 3.0 * third)) / self.width
    }
}
