//! How well one reading fits what it may be a reading of.

use std::f64::consts::{PI, SQRT_2};

use super::{IdentifyError, above_zero, finite};

/// What was read, and by how much it may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The value read.
    pub value: f64,
    /// The error stated with it, to either side: two standard deviations.
    pub error: f64,
}

/// A reading farther off than this many of its stated errors is not a reading of that thing.
const FARTHEST_ERRORS: f64 = 2.0;

impl Reading {
    /// A reading.
    ///
    /// # Errors
    ///
    /// [`IdentifyError`] for a value that is not finite, or an error that is not above zero.
    pub fn new(value: f64, error: f64) -> Result<Self, IdentifyError> {
        Ok(Self { value: finite("value", value)?, error: above_zero("error", error)? })
    }

    /// # What it gives
    ///
    /// How dense the reading lies where the true value is equally likely anywhere in a window.
    ///
    /// # Formula
    ///
    /// `(Phi((x - low) / s) - Phi((x - high) / s)) / (high - low)` with `s = error / 2`: the uniform
    /// density of the window, spread by a normal error.
    ///
    /// # Valid for
    ///
    /// Windows with `low < high`; all in one unit, the density in one over that unit.
    ///
    /// # Source
    ///
    /// Convolution of the two densities, derived here; a stated error as two standard deviations is
    /// common practice (coverage factor 2).
    ///
    /// # Notes
    ///
    /// Beyond two stated errors from the window use [`Reading::off`], which excludes.
    ///
    /// # Errors
    ///
    /// [`IdentifyError::EmptyWindow`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::identify::reading::Reading;
    ///
    /// let length = Reading::new(315.0, 3.0)?;
    /// let inside = length.in_window(310.5, 320.7)?;
    /// assert!((inside - 1.0 / 10.2).abs() < 1e-3);
    /// # Ok::<(), hosewright::identify::IdentifyError>(())
    /// ```
    pub fn in_window(&self, low: f64, high: f64) -> Result<f64, IdentifyError> {
        if finite("low", low)? >= finite("high", high)? {
            return Err(IdentifyError::EmptyWindow { low, high });
        }
        let scale = self.error / 2.0 * SQRT_2;
        let tail = |edge: f64| 0.5 * libm::erfc((self.value - edge) / scale);
        Ok((tail(high) - tail(low)) / (high - low))
    }

    /// # What it gives
    ///
    /// How dense the reading lies where the true value is one number.
    ///
    /// # Formula
    ///
    /// The normal density about it, its standard deviation half of the stated error.
    ///
    /// # Valid for
    ///
    /// Any finite number in the unit of the reading.
    ///
    /// # Source
    ///
    /// Normal law of errors; two standard deviations as in [`Reading::in_window`].
    ///
    /// # Notes
    ///
    /// None.
    ///
    /// # Errors
    ///
    /// [`IdentifyError::NotFinite`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::identify::reading::Reading;
    ///
    /// let bore = Reading::new(11.1, 0.3)?;
    /// assert!(bore.at(11.0)? > bore.at(10.5)?);
    /// # Ok::<(), hosewright::identify::IdentifyError>(())
    /// ```
    pub fn at(&self, nominal: f64) -> Result<f64, IdentifyError> {
        let deviation = self.error / 2.0;
        let off = (self.value - finite("nominal", nominal)?) / deviation;
        Ok(libm::exp(-0.5 * off * off) / (deviation * libm::sqrt(2.0 * PI)))
    }

    /// # What it gives
    ///
    /// How dense the reading lies where nothing is known but the size of the thing: that of a stranger.
    ///
    /// # Formula
    ///
    /// `1 / (x ln(span))`: any size alike within a span about the reading, on a scale of ratios.
    ///
    /// # Valid for
    ///
    /// Readings above zero and spans above 1.
    ///
    /// # Source
    ///
    /// A scale-free prior, common practice.
    ///
    /// # Notes
    ///
    /// The density is needed only beside [`Reading::in_window`] and [`Reading::at`].
    ///
    /// # Errors
    ///
    /// Refuses readings at or below zero and spans of 1 or less.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::identify::reading::Reading;
    ///
    /// let length = Reading::new(315.0, 3.0)?;
    /// assert!(length.of_a_stranger(100.0)? < length.in_window(310.5, 320.7)? / 100.0);
    /// # Ok::<(), hosewright::identify::IdentifyError>(())
    /// ```
    pub fn of_a_stranger(&self, span: f64) -> Result<f64, IdentifyError> {
        let ratio = above_zero("ln(span)", libm::log(above_zero("span", span)?))?;
        Ok(1.0 / (above_zero("value", self.value)? * ratio))
    }

    /// By how much the reading lies outside `low ..= high`, where that is more than twice its stated
    /// error: above zero where it is too large, below where it is too small. `None` where the reading
    /// does not exclude the window.
    ///
    /// ```
    /// use hosewright::identify::reading::Reading;
    ///
    /// let length = Reading::new(2750.0, 3.0)?;
    /// assert_eq!(length.off(2790.5, 2881.5), Some(-40.5));
    /// assert_eq!(length.off(2753.0, 2881.5), None);
    /// # Ok::<(), hosewright::identify::IdentifyError>(())
    /// ```
    pub fn off(&self, low: f64, high: f64) -> Option<f64> {
        let allowed = FARTHEST_ERRORS * self.error;
        if self.value < low - allowed {
            Some(self.value - low)
        } else if self.value > high + allowed {
            Some(self.value - high)
        } else {
            None
        }
    }
}
