//! Days of the calendar.

use core::fmt;
use core::str::FromStr;

/// Greatest year that is written with four digits.
const LAST_YEAR: u32 = 9999;

/// A day, counted in the Gregorian calendar also before that was introduced.
///
/// # What it gives
/// The number of the day, with 1 for the first of January of the year 1.
///
/// # Formula
/// `365 (y - 1) + (y - 1) / 4 - (y - 1) / 100 + (y - 1) / 400` days before year `y`, whole divisions; years divisible
/// by 4 have a leap day, those by 100 only if by 400.
///
/// # Valid for
/// Years 1 to 9999.
///
/// # Source
/// E. M. Reingold and N. Dershowitz, Calendrical Calculations, fixed day numbers; standing: from-memory. Form of the
/// text: ISO 8601, calendar date.
///
/// # Notes
/// A quarter (`2024-Q3`, or `3Q2024` as it is printed on hose) stands for its first day: then nothing is younger
/// than it is taken for. Two digits of a year are refused: nobody can tell 3Q80 from the next.
///
/// # Errors
/// A text that is no day of the calendar.
///
/// ```
/// use hosewright::record::{Date, NoDate};
/// let day = |text: &str| text.parse::<Date>();
/// assert_eq!(day("1970-01-01")?.number(), 719_163);
/// assert_eq!(Date::numbered(719_163), day("1970-01-01"));
/// assert_eq!(day("3Q2024")?, day("2024-07-01")?);
/// assert_eq!(day("2024-02-29")?.after_years(8.0)?.to_string(), "2032-02-29");
/// assert_eq!(day("2024-02-29")?.after_years(7.0)?.to_string(), "2031-02-28");
/// assert!(day("2100-02-29").is_err() && day("3Q24").is_err());
/// # Ok::<(), NoDate>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u32,
    month: u32,
    day: u32,
}

/// A text that is no date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "a date is written as 2024-03-15, a quarter as 2024-Q1 or 1Q2024, with a year of four digits"
)]
pub struct NoDate;

fn is_leap(year: u32) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

fn days_in(year: u32, month: u32) -> u32 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days before the first of January of a year.
fn days_before(year: u32) -> u32 {
    let before = year - 1;
    365 * before + before / 4 - before / 100 + before / 400
}

impl Date {
    /// A day of the calendar.
    ///
    /// # Errors
    /// Where there is no such day.
    pub fn new(year: u32, month: u32, day: u32) -> Result<Self, NoDate> {
        let exists = (1..=LAST_YEAR).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        if exists { Ok(Self { year, month, day }) } else { Err(NoDate) }
    }

    /// The day of a number.
    ///
    /// # Errors
    /// Below 1 and beyond the year 9999.
    pub fn numbered(number: u32) -> Result<Self, NoDate> {
        // A year has at most 366 days, so this is the year or too early by one for every 1500.
        let early = number / 366 + 1;
        let years = (early..=LAST_YEAR).take_while(|y| days_before(*y) < number);
        let year = years.last().ok_or(NoDate)?;
        let mut day = number - days_before(year);
        for month in 1..=12 {
            let length = days_in(year, month);
            if day <= length {
                return Self::new(year, month, day);
            }
            day -= length;
        }
        Err(NoDate)
    }

    /// The number of the day.
    pub fn number(self) -> u32 {
        let months: u32 = (1..self.month).map(|month| days_in(self.year, month)).sum();
        days_before(self.year) + months + self.day
    }

    /// Days from another day to this one; negative where that comes later.
    pub fn days_since(self, other: Self) -> i64 {
        i64::from(self.number()) - i64::from(other.number())
    }

    /// The day so many years later; the last of the month where the month has no such day. Parts of a year are
    /// counted in whole months.
    ///
    /// # Errors
    /// Beyond the year 9999, for a number that is negative and for one that is no whole number of months.
    pub fn after_years(self, years: f64) -> Result<Self, NoDate> {
        let months = years * 12.0;
        let whole = months.round();
        if (months - whole).abs() > 1e-9 || !(0.0..=120_000.0).contains(&whole) {
            return Err(NoDate);
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "bounded above"
        )]
        let months = whole as u32 + self.month - 1;
        let (year, month) = (self.year + months / 12, months % 12 + 1);
        Self::new(year, month, self.day.min(days_in(year, month)))
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for Date {
    type Err = NoDate;

    fn from_str(text: &str) -> Result<Self, NoDate> {
        let number = |digits: &str, count: usize| {
            let plain = digits.len() == count && digits.bytes().all(|b| b.is_ascii_digit());
            digits.parse::<u32>().ok().filter(|_| plain).ok_or(NoDate)
        };
        let quarter = |year: &str, quarter: &str| {
            let quarter = number(quarter, 1)?;
            let first = (1..=4).contains(&quarter).then(|| quarter * 3 - 2).ok_or(NoDate)?;
            Self::new(number(year, 4)?, first, 1)
        };
        let text = text.trim();
        if let Some((year, rest)) = text.split_once("-Q") {
            return quarter(year, rest);
        }
        if let Some((count, year)) = text.split_once('Q') {
            return quarter(year, count);
        }
        let mut parts = text.split('-');
        match (parts.next(), parts.next(), parts.next(), parts.next()) {
            (Some(year), Some(month), Some(day), None) => {
                Self::new(number(year, 4)?, number(month, 2)?, number(day, 2)?)
            }
            _ => Err(NoDate),
        }
    }
}
