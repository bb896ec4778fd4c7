//! The clock, and days that the builder gives in its place.

use super::Trouble;
use crate::diagnostic::visible;
use crate::record::{Date, Moment, NoDate, NoMoment};

/// The time that is given, or that of the clock.
#[expect(clippy::disallowed_types, reason = "the one clock there is: when an entry was written")]
pub fn time(given: Option<&str>) -> Result<Moment, Trouble> {
    if let Some(text) = given {
        return text.parse().map_err(|e: NoMoment| {
            Trouble::hint(format!("--time \"{}\" is no time", visible(text)), e.to_string())
        });
    }
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).ok();
    let now = seconds.and_then(|s| Moment::from_unix(s.as_secs()).ok());
    now.ok_or_else(|| {
        Trouble::hint("the clock of this computer is wrong", "set it, or give --time")
    })
}

/// The day that is given, or today by the clock.
pub fn day(given: Option<&str>) -> Result<Date, Trouble> {
    match given {
        Some(text) => text.parse().map_err(|e: NoDate| {
            Trouble::hint(format!("--at \"{}\" is no date", visible(text)), e.to_string())
        }),
        None => Ok(time(None)?.date()),
    }
}
