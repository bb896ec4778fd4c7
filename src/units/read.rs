//! Reads a quantity written by hand and says exactly what is wrong when it cannot.

use core::ops::Range;

use super::number::{scan, trimmed_span};
use super::quantity::Quantity;
use super::refusal;
use super::unit::{Unit, find};

/// The longest text that is read, in bytes; longer ones are no quantity.
const LONGEST: usize = 200;

/// What is wrong with a text that should have been a quantity.
#[derive(thiserror::Error, Debug, Clone, PartialEq)]
#[error("{message}")]
pub struct ReadError {
    /// The bytes of the text that are at fault; both ends lie between letters.
    pub span: Range<usize>,
    /// What is wrong, in one sentence.
    pub message: String,
    /// What to write instead, one hint each.
    pub help: Vec<String>,
}

impl ReadError {
    pub(super) fn new(span: Range<usize>, message: impl Into<String>) -> Self {
        Self { span, message: message.into(), help: Vec::new() }
    }

    pub(super) fn help(mut self, hint: impl Into<String>) -> Self {
        self.help.push(hint.into());
        self
    }
}

/// Reads a quantity: a number, then its unit, with or without a blank between.
///
/// The quantity asked for decides which units are accepted; see the [module page](super).
///
/// # Errors
/// A [`ReadError`] that names the bytes at fault, for a missing number or unit, a unit of another
/// kind, a gauge pressure where an absolute one belongs (and the reverse), a decimal comma, anything
/// left over, and values that are not finite or below an absolute zero.
///
/// ```
/// use hosewright::units::{Length, read};
/// let bore: Length = read("3/8 in")?;
/// assert!((bore.si() - 0.009525).abs() < 1e-15);
/// # use hosewright::units::Quantity;
/// # Ok::<(), hosewright::units::ReadError>(())
/// ```
pub fn read<Q: Quantity>(text: &str) -> Result<Q, ReadError> {
    check_length(text, Q::NAME)?;
    if text.trim().is_empty() {
        return Err(ReadError::new(0..text.len(), format!("the {} is missing here", Q::NAME))
            .help(refusal::example::<Q>()));
    }
    let start = text.len() - text.trim_start().len();
    if let Some((unit, from)) = leading_unit::<Q>(text, start) {
        let number = scan(text, from)?;
        let rest = trimmed_span(text, number.end);
        if !rest.is_empty() {
            return Err(refusal::left_over(text, rest));
        }
        return convert(number.value, unit, start..number.end);
    }
    let number = scan(text, start)?;
    let span = trimmed_span(text, number.end);
    let written = text.get(span.clone()).unwrap_or_default();
    match find(Q::units(), written) {
        Some(unit) => convert(number.value, unit, start..span.end.max(number.end)),
        None if written.is_empty() => Err(refusal::unit_missing::<Q>(
            text.get(start..number.end).unwrap_or_default(),
            start..number.end,
        )),
        None => Err(refusal::unit_unknown::<Q>(written, &span)),
    }
}

/// Reads a number whose unit stands elsewhere, such as in the head of a table column.
///
/// # Errors
/// A [`ReadError`] whose bytes lie in `unit` when the unit is not one of the quantity, and for a value
/// that is not finite or below an absolute zero.
///
/// ```
/// use hosewright::units::{GaugePressure, Quantity, read_in};
/// let working: GaugePressure = read_in(2000.0, "psi")?;
/// assert!((working.si() - 13_789_514.59).abs() < 0.01);
/// # Ok::<(), hosewright::units::ReadError>(())
/// ```
pub fn read_in<Q: Quantity>(value: f64, unit: &str) -> Result<Q, ReadError> {
    check_length(unit, Q::NAME)?;
    let span = trimmed_span(unit, 0);
    let written = unit.trim();
    match find(Q::units(), written) {
        Some(found) => convert(value, found, span),
        None if written.is_empty() => {
            Err(refusal::unit_missing::<Q>(&value.to_string(), 0..unit.len()))
        }
        None => Err(refusal::unit_unknown::<Q>(written, &span)),
    }
}

/// Refuses a text that is too long to be one quantity.
pub(super) fn check_length(text: &str, name: &str) -> Result<(), ReadError> {
    if text.len() <= LONGEST {
        return Ok(());
    }
    Err(ReadError::new(0..text.len(), format!("{} bytes are too long for one {name}", text.len()))
        .help("write one number and one unit"))
}

/// The unit in front of the number, for the kinds that are written that way, and where it ends.
fn leading_unit<Q: Quantity>(text: &str, start: usize) -> Option<(&'static Unit, usize)> {
    if !Q::UNIT_FIRST {
        return None;
    }
    let rest = text.get(start..)?;
    let after = rest.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let word = rest.get(..rest.len() - after.len())?;
    let number = after.trim_start_matches(|c: char| c == '=' || c.is_whitespace());
    Some((find(Q::units(), word)?, text.len() - number.len()))
}

/// Turns a number in a unit into the quantity, refusing what no such quantity can be.
fn convert<Q: Quantity>(value: f64, unit: &Unit, span: Range<usize>) -> Result<Q, ReadError> {
    let si = unit.to_si(value);
    if !si.is_finite() {
        return Err(ReadError::new(span, format!("this {} is too large to compute with", Q::NAME)));
    }
    if si.abs() < f64::MIN_POSITIVE && value != 0.0 && unit.offset == 0.0 {
        return Err(ReadError::new(span, format!("this {} is too small to compute with", Q::NAME)));
    }
    // A billionth covers the last bits lost in turning -459.67 degF into exactly 0 K.
    if si < Q::LEAST - 1e-9 {
        return Err(refusal::below_least::<Q>(unit, span));
    }
    Ok(Q::from_si(si.max(Q::LEAST)))
}
