//! A moment of UTC as text, to the second.

use core::fmt;
use core::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::Date;

/// Seconds of a day.
const DAY_S: u64 = 86_400;
/// Number of the first day of 1970.
const EPOCH_DAY: u32 = 719_163;

/// A moment of UTC, written as `2026-05-01T14:03:22Z`.
///
/// # Source
/// The form is that of RFC 3339 (2002), section 5.6, with `Z` and whole seconds.
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
pub struct Moment {
    date: Date,
    second: u32,
}

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
        let day = u32::try_from(seconds / DAY_S).ok().and_then(|day| day.checked_add(EPOCH_DAY));
        let date = day.and_then(|day| Date::numbered(day).ok()).ok_or(NoMoment)?;
        let second = u32::try_from(seconds % DAY_S).map_err(|_| NoMoment)?;
        Ok(Self { date, second })
    }

    /// Its day.
    pub fn date(self) -> Date {
        self.date
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hour, minute, second) = (self.second / 3600, self.second / 60 % 60, self.second % 60);
        write!(out, "{}T{hour:02}:{minute:02}:{second:02}Z", self.date)
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
            text.get(from..to).and_then(|t| t.parse::<u32>().ok()).ok_or(NoMoment)
        };
        let date = text.get(..10).and_then(|day| day.parse::<Date>().ok()).ok_or(NoMoment)?;
        let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
        if hour > 23 || minute > 59 || second > 59 || date.number() < EPOCH_DAY {
            return Err(NoMoment);
        }
        Ok(Self { date, second: hour * 3600 + minute * 60 + second })
    }
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
