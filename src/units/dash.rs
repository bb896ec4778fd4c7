//! A dash size: the nominal size of a tube in sixteenths of an inch, and nothing else.

use core::fmt;
use core::str::FromStr;

use super::quantity::{Length, Quantity};
use super::read::ReadError;
use super::unit::INCH;

/// A dash size, for example `-6`.
///
/// It counts sixteenths of an inch of the **nominal tube outside diameter** that the fitting is made
/// for. The bore of a hose of that size is smaller, differs between kinds of hose, and must come from
/// a table: a dash size therefore never becomes a bore.
///
/// A letter behind the number (`-16Z`) marks a variant with the same nominal tube size.
///
/// ```
/// use hosewright::units::{Dash, Quantity};
/// let dash: Dash = "-06".parse()?;
/// assert_eq!(dash.to_string(), "-6");
/// assert!((dash.tube_outside().si() - 0.375 * 0.0254).abs() < 1e-15);
/// # Ok::<(), hosewright::units::ReadError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Dash {
    sixteenths: u8,
    suffix: Option<char>,
}

impl Dash {
    /// The dash size of so many sixteenths, 1 to 99; `None` outside that range.
    #[must_use]
    pub fn new(sixteenths: u8) -> Option<Self> {
        (1..=99).contains(&sixteenths).then_some(Self { sixteenths, suffix: None })
    }

    /// The number behind the dash.
    #[must_use]
    pub fn sixteenths(self) -> u8 {
        self.sixteenths
    }

    /// The letter behind the number, if there is one.
    #[must_use]
    pub fn suffix(self) -> Option<char> {
        self.suffix
    }

    /// The nominal outside diameter of the tube, in sixteenths of an inch. It is no bore.
    #[must_use]
    pub fn tube_outside(self) -> Length {
        Length::from_si(f64::from(self.sixteenths) / 16.0 * INCH)
    }
}

impl fmt::Display for Dash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "-{}", self.sixteenths)?;
        self.suffix.map_or(Ok(()), |letter| write!(out, "{letter}"))
    }
}

impl FromStr for Dash {
    type Err = ReadError;

    fn from_str(text: &str) -> Result<Self, ReadError> {
        super::read::check_length(text, "dash size")?;
        let trimmed = text.trim();
        let start = text.len() - text.trim_start().len();
        let span = start..(start + trimmed.len()).min(text.len()).max(start);
        let Some(body) = trimmed.strip_prefix(['-', '\u{2212}', '–']) else {
            return Err(without_dash(
                trimmed,
                if trimmed.is_empty() { 0..text.len() } else { span },
            ));
        };
        let suffix = body.chars().next_back().filter(char::is_ascii_uppercase);
        let number = body.strip_suffix(|c: char| c.is_ascii_uppercase()).unwrap_or(body);
        let plain = matches!(number.len(), 1 | 2) && number.bytes().all(|b| b.is_ascii_digit());
        let size = number.parse().ok().filter(|_| plain).and_then(Self::new);
        size.map(|dash| Self { suffix, ..dash }).ok_or_else(|| {
            ReadError::new(span, format!("`{trimmed}` is no dash size"))
                .help("a dash size is -1 to -99, a capital letter may follow, as in -6 and -16Z")
        })
    }
}

/// The refusal of a text that has no dash in front.
fn without_dash(trimmed: &str, span: core::ops::Range<usize>) -> ReadError {
    if trimmed.is_empty() {
        return ReadError::new(span, "the dash size is missing here").help("write for example -6");
    }
    let error = ReadError::new(span, format!("`{trimmed}` has no dash in front"));
    if trimmed.len() <= 2 && trimmed.bytes().all(|b| b.is_ascii_digit()) {
        return error.help(format!("write -{trimmed}"));
    }
    error.help("a dash size counts sixteenths of an inch of nominal tube size, for example -6")
}
