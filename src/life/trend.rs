//! Flow numbers of several years, and whether they fall.

use crate::record::Date;

/// Days of a year of the calendar, on average over its cycle of 400 years.
const YEAR_DAYS: f64 = 365.2425;
/// So many standard errors a slope must have to be more than chance.
const SURE: f64 = 2.0;

/// A straight line through readings over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Change per year, in the unit of the readings.
    pub slope: f64,
    /// Its standard error; none of two readings, which any line fits.
    pub slope_error: Option<f64>,
    /// What the line gives on the first day.
    pub start: f64,
    /// First day.
    pub first: Date,
    /// Share of the first reading that the last one lacks; negative where it gives more.
    pub lost: f64,
}

impl Trend {
    /// # What it gives
    /// The line of least squares through readings over their days, and the standard error of its slope.
    ///
    /// # Formula
    /// `b = Sxy / Sxx`; `s_b = sqrt((Syy - b Sxy) / (n - 2) / Sxx)`, the rest summed from the residuals.
    ///
    /// # Valid for
    /// Two readings or more, not all of one day; the error from three on, for scatter that is alike in all of them.
    ///
    /// # Source
    /// NIST/SEMATECH e-Handbook of Statistical Methods, section 4.1.4.1, linear least squares; standing:
    /// from-memory. Checked against `scipy.stats.linregress`.
    ///
    /// # Errors
    /// None where there is no line.
    ///
    /// ```
    /// use hosewright::life::Trend;
    /// use hosewright::record::Date;
    /// let day = |text: &str| text.parse::<Date>().unwrap();
    /// let readings = [(day("2023-01-01"), 2.0), (day("2024-01-01"), 1.9), (day("2025-01-01"), 1.8)];
    /// let trend = Trend::through(&readings).unwrap();
    /// assert!((trend.slope + 0.1).abs() < 1e-3 && (trend.lost - 0.1).abs() < 1e-12);
    /// ```
    pub fn through(readings: &[(Date, f64)]) -> Option<Self> {
        let (first, last) = (readings.first()?, readings.last()?);
        let count = readings.len();
        // Readings of a record are some ten; 2^52 of them are never reached.
        #[expect(clippy::cast_precision_loss, reason = "see above, and days within 9999 years")]
        let (n, years) = (count as f64, |day: Date| day.days_since(first.0) as f64 / YEAR_DAYS);
        let mean_t = readings.iter().map(|(d, _)| years(*d)).sum::<f64>() / n;
        let mean_y = readings.iter().map(|(_, y)| y).sum::<f64>() / n;
        let sxx: f64 =
            readings.iter().map(|(d, _)| (years(*d) - mean_t) * (years(*d) - mean_t)).sum();
        let sxy: f64 = readings.iter().map(|(d, y)| (years(*d) - mean_t) * (y - mean_y)).sum();
        if sxx <= 0.0 || first.1 <= 0.0 {
            return None;
        }
        let slope = sxy / sxx;
        let start = mean_y - slope * mean_t;
        let rest = |(d, y): &(Date, f64)| y - start - slope * years(*d);
        let squares: f64 = readings.iter().map(|r| rest(r) * rest(r)).sum();
        let slope_error = (count > 2).then(|| (squares / (n - 2.0) / sxx).sqrt());
        Some(Self { slope, slope_error, start, first: first.0, lost: (first.1 - last.1) / first.1 })
    }

    /// Whether the slope is more than twice its error.
    pub fn is_sure(&self) -> bool {
        self.slope_error.is_some_and(|error| self.slope.abs() > SURE * error)
    }

    /// Years after the first day at which the line falls to a limit; only where it surely falls.
    pub fn falls_to_after_years(&self, limit: f64) -> Option<f64> {
        let falls = self.is_sure() && self.slope < 0.0;
        falls.then(|| (limit - self.start) / self.slope).filter(|t| t.is_finite())
    }

    /// The day at which it falls to a limit, to the month; only where it surely falls, and within a century.
    pub fn falls_to(&self, limit: f64) -> Option<Date> {
        let months = (self.falls_to_after_years(limit)?.max(0.0) * 12.0).floor();
        (months <= 1200.0).then(|| self.first.after_years(months / 12.0).ok())?
    }
}
