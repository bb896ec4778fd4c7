//! Colebrook's turbulent friction factor, solved in a fixed number of steps, alone or for whole lists.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

use super::HydraulicsError;
use super::argument::within;
use super::friction::{LAMINAR_UP_TO, REYNOLDS_UP_TO, ROUGHNESS_RATIO_UP_TO};
use super::logarithm::{Parts, ln_coarse};
use crate::wide::{Work, widest};

/// Colebrook's constant on the smooth-wall term.
const SMOOTH: f64 = 2.51;
/// One over Colebrook's constant under the roughness ratio.
const ONE_OVER_ROUGH: f64 = 1.0 / 3.7;
/// 2 / ln 10: turns -2 log10 into a natural logarithm.
const TWO_OVER_LN_10: f64 = 0.868_588_963_806_503_6;
/// 1/sqrt(f) of a smooth bore as a line over ln Re, good to 0.09; fitted here, for the start only.
const SMOOTH_START: f64 = -1.561;
const SMOOTH_SLOPE: f64 = 0.7859;

/// Pairs solved together in a batch.
const BLOCK: usize = 64;

/// Terms of Colebrook's equation in x = 1/sqrt(f): x + (2/ln 10) ln(rough + smooth x) = 0.
#[derive(Clone, Copy)]
struct Terms {
    rough: f64,
    smooth: f64,
}

impl Terms {
    #[inline(always)]
    fn new(reynolds: f64, roughness_ratio: f64) -> Self {
        Self { rough: roughness_ratio * ONE_OVER_ROUGH, smooth: SMOOTH / reynolds }
    }

    /// Starting value within 0.6 %: the smooth bore's line put once through the equation.
    #[inline(always)]
    fn start(self, reynolds: f64) -> f64 {
        let smooth_bore = SMOOTH_START + SMOOTH_SLOPE * ln_coarse(reynolds);
        -TWO_OVER_LN_10 * ln_coarse(self.rough + self.smooth * smooth_bore)
    }

    /// One step: with z = smooth (step)/inside the equation is z + k ln(1 + z) = r exactly; its inverse is taken
    /// as a series in q, to q^5. What is left out is below 3e-16 of x at Re 2000 and vanishes above.
    #[inline(always)]
    fn step(self, x: f64) -> f64 {
        let inside = self.rough + self.smooth * x;
        let pulled = TWO_OVER_LN_10 * self.smooth;
        let whole = inside + pulled;
        let parts = Parts::of(inside);
        let one_over_both = 1.0 / (parts.above() * whole);
        let miss = x + TWO_OVER_LN_10 * parts.ln(parts.below() * (whole * one_over_both));
        let one_over_whole = parts.above() * one_over_both;
        let q = -self.smooth * miss * one_over_whole;
        let m = pulled * one_over_whole;
        x - miss * (inside * one_over_whole) * (1.0 + q * (m * inverse_series(q, m)))
    }

    #[inline(always)]
    fn solve(self, reynolds: f64) -> f64 {
        self.step(self.start(reynolds))
    }

    /// The factor and d ln f / d ln Re at the solution.
    #[inline(always)]
    fn factor_and_log_slope(self, x: f64) -> (f64, f64) {
        let pulled = TWO_OVER_LN_10 * self.smooth;
        (1.0 / (x * x), -2.0 * pulled / (self.rough + self.smooth * x + pulled))
    }
}

/// (z/q - 1)/(m q) where z = q + m (z - ln(1 + z)), by Lagrange's inversion.
#[inline(always)]
fn inverse_series(q: f64, m: f64) -> f64 {
    let third = 0.5 * m - 1.0 / 3.0;
    let fourth = 0.25 + m * (-5.0 / 6.0 + m * 0.625);
    let fifth = -0.2 + m * (13.0 / 12.0 + m * (-1.75 + m * 0.875));
    0.5 + q * (third + q * (fourth + q * fifth))
}

/// Colebrook's factor for arguments already known to be in range.
#[inline(always)]
pub(super) fn factor_unchecked(reynolds: f64, roughness_ratio: f64) -> f64 {
    let x = Terms::new(reynolds, roughness_ratio).solve(reynolds);
    1.0 / (x * x)
}

/// Colebrook's factor and d ln f / d ln Re, for arguments already known to be in range.
pub(super) fn factor_and_log_slope_unchecked(reynolds: f64, roughness_ratio: f64) -> (f64, f64) {
    let terms = Terms::new(reynolds, roughness_ratio);
    terms.factor_and_log_slope(terms.solve(reynolds))
}

/// d ln f / d ln Re of Colebrook's curve, for arguments already known to be in range.
pub(super) fn log_slope_unchecked(reynolds: f64, roughness_ratio: f64) -> f64 {
    factor_and_log_slope_unchecked(reynolds, roughness_ratio).1
}

pub(super) fn checked_ratio(roughness_ratio: f64) -> Result<f64, HydraulicsError> {
    within("the roughness ratio", roughness_ratio, 0.0, ROUGHNESS_RATIO_UP_TO)
}

/// Turbulent Darcy friction factor by Colebrook's formula, solved to the last digits.
///
/// # What it gives
/// The Darcy friction factor, within 1e-15 (relative) of the exact solution of the formula from Re 4000,
/// within 2e-15 below.
///
/// # Formula
/// 1/√f = -2 log10( ratio/3.7 + 2.51/(Re √f) ). Solved in a fixed number of steps: an explicit start
/// from coarse logarithms, then one step of fifth order, so equal input gives equal bytes everywhere.
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
    within("the Reynolds number", reynolds, LAMINAR_UP_TO, REYNOLDS_UP_TO)?;
    Ok(factor_unchecked(reynolds, checked_ratio(roughness_ratio)?))
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
    same_length("Reynolds numbers and roughness ratios", reynolds.len(), roughness_ratios.len())?;
    same_length("Reynolds numbers and friction factors", reynolds.len(), factors.len())?;
    let pairs = || reynolds.iter().zip(roughness_ratios);
    // Counted instead of stopped at, so that the check vectorises too.
    let refused = pairs().fold(0, |count, (re, ratio)| {
        count
            + u64::from(!(LAMINAR_UP_TO..=REYNOLDS_UP_TO).contains(re))
            + u64::from(!(0.0..=ROUGHNESS_RATIO_UP_TO).contains(ratio))
    });
    if refused > 0 {
        for (&re, &ratio) in pairs() {
            darcy_colebrook(re, ratio)?;
        }
    }
    let blocks = reynolds.chunks(BLOCK).zip(roughness_ratios.chunks(BLOCK));
    for (factors, (reynolds, ratios)) in factors.chunks_mut(BLOCK).zip(blocks) {
        solve_block(reynolds, ratios, factors);
        for factor in factors {
            *factor = 1.0 / (*factor * *factor);
        }
    }
    Ok(())
}

/// Solves up to [`BLOCK`] pairs for x in two short passes: the processor then works on several pairs at once instead of
/// waiting for one long chain of steps. The terms of each pair.
#[inline(always)]
fn solve_block(
    reynolds: &[f64],
    ratios: &[f64],
    roots: &mut [f64],
) -> ([f64; BLOCK], [f64; BLOCK]) {
    let mut rough = [0.0; BLOCK];
    let mut smooth = [0.0; BLOCK];
    let terms = rough.iter_mut().zip(&mut smooth).zip(roots.iter_mut());
    for (((rough, smooth), start), (&re, &ratio)) in terms.zip(reynolds.iter().zip(ratios)) {
        let terms = Terms::new(re, ratio);
        (*rough, *smooth, *start) = (terms.rough, terms.smooth, terms.start(re));
    }
    for (root, (&rough, &smooth)) in roots.iter_mut().zip(rough.iter().zip(&smooth)) {
        *root = Terms { rough, smooth }.step(*root);
    }
    (rough, smooth)
}

/// Factors and d ln f / d ln Re of a whole list, for arguments already known to be in range and lists of one length.
pub(super) fn factors_and_log_slopes_unchecked(
    reynolds: &[f64],
    ratios: &[f64],
    factors: &mut [f64],
    log_slopes: &mut [f64],
) {
    widest(Friction { reynolds, ratios, factors, log_slopes });
}

/// Lists of one length: what is asked, and the places of the answers.
struct Friction<'a> {
    reynolds: &'a [f64],
    ratios: &'a [f64],
    factors: &'a mut [f64],
    log_slopes: &'a mut [f64],
}

impl Work for Friction<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let lists = self.reynolds.chunks(BLOCK).zip(self.ratios.chunks(BLOCK));
        let results = self.factors.chunks_mut(BLOCK).zip(self.log_slopes.chunks_mut(BLOCK));
        for ((reynolds, ratios), (factors, log_slopes)) in lists.zip(results) {
            let (rough, smooth) = solve_block(reynolds, ratios, factors);
            let results = factors.iter_mut().zip(log_slopes);
            for ((factor, slope), (&rough, &smooth)) in results.zip(rough.iter().zip(&smooth)) {
                (*factor, *slope) = Terms { rough, smooth }.factor_and_log_slope(*factor);
            }
        }
    }
}

fn same_length(what: &'static str, left: usize, right: usize) -> Result<(), HydraulicsError> {
    if left == right { Ok(()) } else { Err(HydraulicsError::LengthsDiffer { what, left, right }) }
}
