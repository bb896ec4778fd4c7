//! Measured points and how to read between them; never beyond.

use thiserror::Error;

/// Why a curve has no value to give.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum CurveError {
    /// Fewer than two points, or points that do not rise.
    #[error("a curve needs at least two points with rising, finite abscissae")]
    Points,
    /// The question lies outside the measured range.
    #[error("{asked} lies outside the points, which run from {low} to {high}")]
    Outside {
        /// What was asked.
        asked: f64,
        /// First abscissa.
        low: f64,
        /// Last abscissa.
        high: f64,
    },
}

/// Points with rising abscissae.
///
/// ```
/// use hosewright::curve::Curve;
/// let curve = Curve::new(vec![(0.0, 1.0), (10.0, 3.0)]).unwrap();
/// assert_eq!(curve.linear(5.0).unwrap(), 2.0);
/// assert!(curve.linear(11.0).is_err());
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

impl Curve {
    /// A curve through the points.
    ///
    /// # Errors
    /// Fewer than two points, a value that is not finite, or abscissae that do not rise.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, CurveError> {
        let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
        let rising = points.windows(2).all(|w| w[0].0 < w[1].0);
        if points.len() < 2 || !finite || !rising {
            return Err(CurveError::Points);
        }
        Ok(Self { points })
    }

    /// First and last abscissa.
    pub fn range(&self) -> (f64, f64) {
        let first = self.points.first().map_or(0.0, |p| p.0);
        let last = self.points.last().map_or(0.0, |p| p.0);
        (first, last)
    }

    /// Straight lines between the points.
    ///
    /// # Errors
    /// [`CurveError::Outside`] beyond the first or last point.
    pub fn linear(&self, x: f64) -> Result<f64, CurveError> {
        let i = self.interval(x)?;
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        Ok(y0 + (y1 - y0) * ((x - x0) / (x1 - x0)))
    }

    /// Monotone cubic between the points: no overshoot, smooth slope.
    ///
    /// Slopes after Fritsch and Carlson (SIAM J. Numer. Anal. 17 (1980) 238) in the weighted
    /// harmonic form of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5 (1984) 300).
    ///
    /// # Errors
    /// [`CurveError::Outside`] beyond the first or last point.
    pub fn monotone(&self, x: f64) -> Result<f64, CurveError> {
        self.monotone_with_slope(x).map(|(value, _)| value)
    }

    /// As [`Curve::monotone`], with the slope there.
    ///
    /// ```
    /// use hosewright::curve::Curve;
    /// let curve = Curve::new(vec![(0.0, 0.0), (1.0, 2.0), (2.0, 4.0)]).unwrap();
    /// assert_eq!(curve.monotone_with_slope(0.5).unwrap(), (1.0, 2.0));
    /// ```
    ///
    /// # Errors
    /// [`CurveError::Outside`] beyond the first or last point.
    pub fn monotone_with_slope(&self, x: f64) -> Result<(f64, f64), CurveError> {
        let i = self.interval(x)?;
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        let h = x1 - x0;
        let t = (x - x0) / h;
        let (m0, m1) = (self.slope(i) * h, self.slope(i + 1) * h);
        let (t2, t3) = (t * t, t * t * t);
        let value = y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
            + m0 * (t3 - 2.0 * t2 + t)
            + y1 * (3.0 * t2 - 2.0 * t3)
            + m1 * (t3 - t2);
        let rise = (y1 - y0) * 6.0 * (t - t2)
            + m0 * (3.0 * t2 - 4.0 * t + 1.0)
            + m1 * (3.0 * t2 - 2.0 * t);
        Ok((value, rise / h))
    }

    fn interval(&self, x: f64) -> Result<usize, CurveError> {
        let (low, high) = self.range();
        if !(x >= low && x <= high) {
            return Err(CurveError::Outside { asked: x, low, high });
        }
        let after = self.points.partition_point(|p| p.0 <= x);
        Ok(after.saturating_sub(1).min(self.points.len() - 2))
    }

    fn secant(&self, i: usize) -> (f64, f64) {
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        (x1 - x0, (y1 - y0) / (x1 - x0))
    }

    fn slope(&self, i: usize) -> f64 {
        let last = self.points.len() - 1;
        if last == 1 {
            return self.secant(0).1;
        }
        if i == 0 {
            return end_slope(self.secant(0), self.secant(1));
        }
        if i == last {
            return end_slope(self.secant(last - 1), self.secant(last - 2));
        }
        let ((h0, d0), (h1, d1)) = (self.secant(i - 1), self.secant(i));
        if d0 * d1 <= 0.0 {
            return 0.0;
        }
        let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
        (w0 + w1) / (w0 / d0 + w1 / d1)
    }
}

/// Three-point slope at an end, held back so that the curve keeps its direction.
fn end_slope((h0, d0): (f64, f64), (h1, d1): (f64, f64)) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 <= 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::Curve;

    #[test]
    fn a_monotone_curve_never_leaves_the_band_of_its_neighbours() {
        let curve = Curve::new(vec![(0.0, 0.0), (1.0, 0.1), (2.0, 5.0), (3.0, 5.1)]).unwrap();
        for step in 0..=300 {
            let y = curve.monotone(f64::from(step) / 100.0).unwrap();
            assert!((0.0..=5.1).contains(&y), "{y}");
        }
    }

    #[test]
    fn points_that_fall_back_are_refused() {
        assert!(Curve::new(vec![(1.0, 0.0), (1.0, 2.0)]).is_err());
        assert!(Curve::new(vec![(1.0, f64::NAN), (2.0, 2.0)]).is_err());
    }
}
