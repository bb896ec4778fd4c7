//! Reads the number in front of a unit: whole, decimal, with exponent, fraction or mixed fraction.

use core::ops::Range;

use super::read::ReadError;

/// A number found in a text and the byte after it.
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) end: usize,
}

/// Ways a minus sign is written: hyphen and the true minus.
const MINUS: [char; 2] = ['-', '\u{2212}'];
/// Dashes that are written between the ends of a range.
const RANGE: [char; 4] = ['-', '\u{2212}', '–', '—'];

/// Reads a number without a unit, such as a bare table cell.
///
/// Accepted: `12`, `0.040`, `.5`, `1e-3`, `3/8`, `1 1/8`, `1-1/8`, each with a sign before it.
///
/// # Errors
/// A [`ReadError`] with the bytes at fault for an empty text, a decimal comma, anything behind the
/// number, and a number that is not finite.
///
/// ```
/// use hosewright::units::read_number;
/// assert_eq!(read_number("1-1/8"), Ok(1.125));
/// assert_eq!(read_number("1e-3"), Ok(0.001));
/// assert!(read_number("1,5").is_err());
/// ```
pub fn read_number(text: &str) -> Result<f64, ReadError> {
    super::read::check_length(text, "number")?;
    let start = text.len() - text.trim_start().len();
    if text.trim().is_empty() {
        return Err(ReadError::new(0..text.len(), "a number is missing here")
            .help("write a number, for example 12, 0.375 or 3/8"));
    }
    let number = scan(text, start)?;
    let rest = tail(text, number.end);
    if rest.trim().is_empty() {
        return Ok(number.value);
    }
    let behind = trimmed_span(text, number.end);
    let shown = text.get(behind.clone()).unwrap_or_default();
    Err(ReadError::new(behind, format!("`{shown}` is behind the number"))
        .help("only a number stands here; its unit is already given elsewhere"))
}

/// Reads the number that begins at byte `start`.
pub(super) fn scan(text: &str, start: usize) -> Result<Number, ReadError> {
    let (negative, first) = sign(text, start);
    let whole_end = digits(text, first);
    let number = match fraction_end(text, first, whole_end)? {
        Some(end) => Number { value: fraction(text, first..end)?, end },
        None => decimal(text, start, first, whole_end)?,
    };
    check_behind(text, start, number.end)?;
    let value = if negative { -number.value } else { number.value };
    Ok(Number { value: value + 0.0, ..number })
}

/// Whether the number is negative, and where its digits begin.
fn sign(text: &str, start: usize) -> (bool, usize) {
    let rest = tail(text, start);
    if let Some(after) = rest.strip_prefix(MINUS) {
        return (true, text.len() - after.len());
    }
    let after = rest.strip_prefix('+').unwrap_or(rest);
    (false, text.len() - after.len())
}

/// Where a fraction or mixed fraction ends that begins at `first`, if there is one.
fn fraction_end(text: &str, first: usize, whole: usize) -> Result<Option<usize>, ReadError> {
    if whole == first {
        return Ok(None);
    }
    if let Some(end) = quotient_end(text, first)? {
        return Ok(Some(end));
    }
    let rest = tail(text, whole);
    let joined = rest.strip_prefix('-').unwrap_or_else(|| rest.trim_start());
    let second = text.len() - joined.len();
    if second == whole { Ok(None) } else { quotient_end(text, second) }
}

/// Where `a/b` that begins at `start` ends; `None` when no such fraction stands there.
fn quotient_end(text: &str, start: usize) -> Result<Option<usize>, ReadError> {
    let top = digits(text, start);
    if top == start || !tail(text, top).starts_with('/') {
        return Ok(None);
    }
    let end = digits(text, top + 1);
    if end == top + 1 {
        return Ok(None);
    }
    if tail(text, end).starts_with(['/', '.', ',']) && digits(text, end + 1) > end + 1 {
        return Err(ReadError::new(
            start..digits(text, end + 1),
            "a fraction is one whole number over another",
        )
        .help("write it like 3/8 or 1 1/8"));
    }
    Ok(Some(end))
}

/// The value of `a/b`, `w a/b` or `w-a/b`.
fn fraction(text: &str, span: Range<usize>) -> Result<f64, ReadError> {
    let written = text.get(span.clone()).unwrap_or_default();
    let (front, bottom) = written.split_once('/').unwrap_or((written, "1"));
    let (whole, top) =
        front.rsplit_once(|c: char| c == '-' || c.is_whitespace()).unwrap_or(("", front));
    let whole = if whole.is_empty() { Some(0) } else { whole.trim().parse::<u32>().ok() };
    let mixed = front.len() != top.len();
    let parts = whole.zip(top.parse::<u32>().ok()).zip(bottom.parse::<u32>().ok());
    let Some(((whole, top), bottom)) = parts else {
        return Err(ReadError::new(span, "the numbers of this fraction are too large")
            .help("write it as a decimal number"));
    };
    if bottom == 0 {
        return Err(ReadError::new(span, "a fraction cannot be over zero"));
    }
    if mixed && top >= bottom {
        return Err(ReadError::new(span, "the fraction behind a whole number must be below one")
            .help("write it like 1 1/8"));
    }
    Ok((f64::from(whole) * f64::from(bottom) + f64::from(top)) / f64::from(bottom))
}

/// A whole or decimal number with an optional exponent.
fn decimal(text: &str, start: usize, first: usize, whole: usize) -> Result<Number, ReadError> {
    let mut end = whole;
    if tail(text, end).starts_with('.') {
        let places = digits(text, end + 1);
        if whole > first || places > end + 1 {
            end = places;
        }
    }
    if end == first {
        return Err(no_number(text, start));
    }
    let mantissa = first..end;
    end = exponent_end(text, end);
    let written = text.get(first..end).unwrap_or_default();
    let value: f64 = written.parse().unwrap_or(f64::NAN);
    if !value.is_finite() {
        return Err(ReadError::new(start..end, format!("{written} is too large a number")));
    }
    let zero = !text.get(mantissa).unwrap_or_default().contains(|c: char| matches!(c, '1'..='9'));
    if value < f64::MIN_POSITIVE && !zero {
        return Err(ReadError::new(start..end, format!("{written} is too small a number")));
    }
    Ok(Number { value, end })
}

/// An `e` is an exponent only when a number follows it; otherwise it begins a unit.
fn exponent_end(text: &str, end: usize) -> usize {
    let Some(rest) = tail(text, end).strip_prefix(['e', 'E']) else {
        return end;
    };
    let unsigned = rest.strip_prefix(['+', '-']).unwrap_or(rest);
    let from = text.len() - unsigned.len();
    let to = digits(text, from);
    if to > from { to } else { end }
}

/// The fault of a text that does not begin with a number.
fn no_number(text: &str, start: usize) -> ReadError {
    let rest = tail(text, start);
    let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
    let word = rest.get(..length).unwrap_or(rest);
    let span = start..start + length;
    let bare = word.trim_start_matches(['+', '-', '\u{2212}']).to_ascii_lowercase();
    if bare.starts_with("nan") || bare.starts_with("inf") {
        return ReadError::new(span, format!("`{word}` is no measured number"))
            .help("leave the entry out when the value is not known");
    }
    if let Some(vulgar) = rest.chars().find(|c| is_vulgar(*c)) {
        return vulgar_fault(span, vulgar);
    }
    ReadError::new(span, format!("`{word}` does not begin with a number"))
        .help("write the number first and the unit behind it, for example 12 mm")
}

/// Refuses what may follow a number but belongs to no unit: commas, second numbers, ranges.
fn check_behind(text: &str, start: usize, end: usize) -> Result<(), ReadError> {
    let rest = tail(text, end);
    if let Some(after) =
        rest.strip_prefix(',').filter(|after| after.starts_with(|c: char| c.is_ascii_digit()))
    {
        let stop = digits(text, text.len() - after.len());
        return Err(comma(text, start..stop));
    }
    let span = start..text.len() - trailing(text);
    let next = rest.trim_start();
    if next.starts_with(['±']) || next.starts_with("+/-") || next.starts_with("+-") {
        return Err(ReadError::new(span, "a tolerance cannot stand here").help("write one number"));
    }
    if next.strip_prefix(RANGE).is_some_and(|after| begins_number(after.trim_start())) {
        return Err(ReadError::new(span, "a range cannot stand here").help("write one number"));
    }
    if let Some(vulgar) = next.chars().next().filter(|c| is_vulgar(*c)) {
        return Err(vulgar_fault(span, vulgar));
    }
    if rest.starts_with('/') && begins_number(rest.trim_start_matches('/')) {
        return Err(ReadError::new(span, "a fraction is one whole number over another")
            .help("write it like 3/8 or 1 1/8"));
    }
    let from = text.len() - next.len();
    let inverse = next.starts_with("1/") || next.starts_with("1e-6/");
    if begins_number(next) && !(inverse && from > end) {
        return Err(ReadError::new(span, "two numbers stand here")
            .help("write one number; a thousand is written 1000, without a space"));
    }
    Ok(())
}

fn comma(text: &str, span: Range<usize>) -> ReadError {
    let written = text.get(span.clone()).unwrap_or_default();
    let pointed = written.replacen(',', ".", 1);
    ReadError::new(span, "the decimal mark is a point, and thousands are not marked")
        .help(format!("write {pointed}, not {written}"))
}

fn vulgar_fault(span: Range<usize>, vulgar: char) -> ReadError {
    ReadError::new(span, format!("`{vulgar}` is one letter, not a fraction"))
        .help("write the fraction with a stroke, for example 1 1/2 in")
}

fn is_vulgar(letter: char) -> bool {
    matches!(letter, '¼'..='¾' | '⅐'..='⅞')
}

fn begins_number(text: &str) -> bool {
    let text = text.strip_prefix('.').unwrap_or(text);
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// The byte after the run of ASCII digits that begins at `from`.
fn digits(text: &str, from: usize) -> usize {
    let rest = tail(text, from);
    from + rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len()
}

fn tail(text: &str, from: usize) -> &str {
    text.get(from..).unwrap_or_default()
}

fn trailing(text: &str) -> usize {
    text.len() - text.trim_end().len()
}

/// The bytes behind `from` without the blanks around them.
pub(super) fn trimmed_span(text: &str, from: usize) -> Range<usize> {
    let rest = tail(text, from);
    let begin = text.len() - rest.trim_start().len();
    begin..(text.len() - trailing(text)).max(begin)
}
