//! A moment of UTC as text, to the second.

use core::fmt;
use core::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

const DAY_S: u64 = 86_400;
/// First second of the year 10000, counted from 1970.
const END_S: u64 = 253_402_300_800;

/// A moment of UTC, written as `2026-05-01T14:03:22Z`.
///
/// # Source
/// The form is that of RFC 3339 (2002), section 5.6, with `Z` and whole seconds. Days are counted in
/// the Gregorian calendar: years divisible by 4 have a leap day, those by 100 only if by 400.
///
/// ```
/// use hosewright::record::Moment;
/// assert_eq!(Moment::from_unix(951_782_400)?.to_string(), "2000-02-29T00:00:00Z");
/// assert_eq!("2000-02-29T00:00:00Z".parse(), Moment::from_unix(951_782_400));
/// assert!("2100-02-29T00:00:00Z".parse::<Moment>().is_err());
/// assert!("2026-05-01 14:03".parse::<Moment>().is_err());
/// # Ok::<(), hosewright::record::NoMoment>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment(u64);

/// A text or a number that is no moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a time is written as 2026-05-01T14:03:22Z, in UTC, from 1970 on")]
pub struct NoMoment;

impl Moment {
    /// The moment so many seconds after 1970 began, leap seconds not counted.
    ///
    /// # Errors
    /// From the year 10000 on.
    pub fn from_unix(seconds: u64) -> Result<Self, NoMoment> {
        if seconds < END_S { Ok(Self(seconds)) } else { Err(NoMoment) }
    }
}

fn is_leap(year: u64) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

/// Days of each month of a year.
fn months(year: u64) -> [u64; 12] {
    let february = if is_leap(year) { 29 } else { 28 };
    [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
}

/// Days from 1970 to the first of January of a year.
fn days_before(year: u64) -> u64 {
    // Leap days up to the end of a year, counted from the year 0.
    let leap = |year: u64| year / 4 - year / 100 + year / 400;
    (year - 1970) * 365 + leap(year - 1) - leap(1969)
}

impl fmt::Display for Moment {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (days, second) = (self.0 / DAY_S, self.0 % DAY_S);
        // A year has at most 366 days, so this is the year or one too early.
        let early = 1970 + days / 366;
        let year = (early..=early + 30).rev().find(|y| days_before(*y) <= days).unwrap_or(early);
        let mut day = days - days_before(year);
        let mut month = 1;
        for length in months(year) {
            if day < length {
                break;
            }
            day -= length;
            month += 1;
        }
        let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
        let day = day + 1;
        write!(out, "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
    }
}

impl FromStr for Moment {
    type Err = NoMoment;

    fn from_str(text: &str) -> Result<Self, NoMoment> {
        let form = b"####-##-##T##:##:##Z";
        let fits = |(given, wanted): (u8, &u8)| match wanted {
            b'#' => given.is_ascii_digit(),
            _ => given == *wanted,
        };
        if text.len() != form.len() || !text.bytes().zip(form).all(fits) {
            return Err(NoMoment);
        }
        let number = |from: usize, to: usize| {
            text.get(from..to).and_then(|t| t.parse::<u64>().ok()).ok_or(NoMoment)
        };
        let days = days_to(number(0, 4)?, number(5, 7)?, number(8, 10)?).ok_or(NoMoment)?;
        let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
        if hour > 23 || minute > 59 || second > 59 {
            return Err(NoMoment);
        }
        Self::from_unix(days * DAY_S + hour * 3600 + minute * 60 + second)
    }
}

/// Days from 1970 to a day of the calendar; none where there is no such day.
fn days_to(year: u64, month: u64, day: u64) -> Option<u64> {
    let months = (year >= 1970).then(|| months(year))?;
    let index = usize::try_from(month).ok()?.checked_sub(1)?;
    let (before, rest) = months.split_at_checked(index)?;
    let exists = (1..=*rest.first()?).contains(&day);
    exists.then(|| days_before(year) + before.iter().sum::<u64>() + day - 1)
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        text.parse().map_err(de::Error::custom)
    }
}
