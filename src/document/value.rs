//! Reading single values of a TOML text, and the wording when one is of the wrong kind.

use core::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::{Placed, Reader, shorten};
use crate::diagnostic::hides;
use crate::units::{self, Quantity};

/// Coordinates beyond this are a slip of the keyboard, whatever the length unit.
const FARTHEST: f64 = 1e12;

/// Three finite coordinates as `[x, y, z]`.
pub fn point(
    reader: &Reader,
    name: &str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Placed<[f64; 3]>> {
    triple(reader, name, value, "coordinates are bare numbers in the plan's length unit")
}

/// Three finite numbers; `are` says what bare numbers mean here.
pub(super) fn triple(
    reader: &Reader,
    name: &str,
    value: &Spanned<DeValue<'_>>,
    are: &str,
) -> Option<Placed<[f64; 3]>> {
    let Some(items) = value.get_ref().as_array() else {
        wrong_kind(reader, name, value, "three numbers [x, y, z]");
        return None;
    };
    if items.len() != 3 {
        let found = items.len();
        let noun = if found == 1 { "number" } else { "numbers" };
        reader.problem(
            &value.span(),
            format!("{name} has {found} {noun}, but needs three: [x, y, z]"),
            "not three",
            vec!["for example [120, 0, 45]".into()],
        );
        return None;
    }
    let mut xyz = [0.0; 3];
    for (coordinate, item) in xyz.iter_mut().zip(items) {
        let Some(number) = number(item.get_ref()) else {
            wrong_kind_with(reader, name, item, "three finite numbers", vec![are.to_owned()]);
            return None;
        };
        *coordinate = number;
    }
    Some(Placed { value: xyz, span: value.span() })
}

/// A quantity from a text value, `what` it is in words; its own misreading is reported on the offending letters.
pub fn read_quantity<Q: Quantity>(
    reader: &Reader,
    name: &str,
    what: impl FnOnce() -> String,
    value: &Spanned<DeValue<'_>>,
) -> Option<Placed<Q>> {
    let span = value.span();
    let Some(text) = value.get_ref().as_str() else {
        // A bare share may be meant as a fraction or in per cent: only the other kinds keep theirs.
        let bare = number(value.get_ref()).filter(|_| Q::NAME != units::Ratio::NAME);
        let help = match bare {
            Some(_) => with_unit::<Q>(&reader.raw(&span)),
            None => example::<Q>().to_owned(),
        };
        let help = vec![format!("for example \"{help}\"")];
        wrong_kind_with(reader, name, value, "text with a unit", help);
        return None;
    };
    match units::read_uncertain::<Q>(text) {
        Ok((value, None)) => Some(Placed { value, span }),
        Ok((value, Some(amount))) => {
            let quantity = Placed { value, span };
            let value = reader.uncertain_value(name, what, &quantity, amount)?;
            Some(Placed { value, ..quantity })
        }
        Err(error) => {
            let place = inner_span(&reader.raw(&span), &span, text, &error.span);
            let message = format!("{name}: {}", error.message);
            let label = format!("not {} {}", article(Q::NAME), Q::NAME);
            reader.problem(&place, message, label, error.help);
            None
        }
    }
}

/// A number with the usual unit of its kind.
pub fn with_unit<Q: Quantity>(number: &str) -> String {
    let unit = Q::METRIC.zero;
    if Q::UNIT_FIRST { format!("{unit} {number}") } else { format!("{number} {unit}") }
}

/// A text that reads as the quantity.
pub fn example<Q: Quantity>() -> &'static str {
    Q::EXAMPLES.first().copied().unwrap_or("")
}

/// Words from a text value; what would disturb a terminal is refused.
pub fn words(reader: &Reader, name: &str, value: &Spanned<DeValue<'_>>) -> Option<Placed<String>> {
    let span = value.span();
    let Some(text) = value.get_ref().as_str() else {
        let plain = number(value.get_ref()).map(|_| reader.raw(&span));
        let help = plain.map(|raw| format!("write {name} = \"{raw}\""));
        wrong_kind_with(reader, name, value, "text in double quotes", help.into_iter().collect());
        return None;
    };
    if text.trim().is_empty() {
        let help = vec!["write something between the quotes; what says nothing is left out".into()];
        reader.problem(&span, format!("{name} is empty"), "empty", help);
        return None;
    }
    // A text of several lines keeps the line ends of the file, which differ between systems.
    let text = text.replace("\r\n", "\n");
    if text.chars().any(|c| hides(c) && c != '\n' && c != '\t') {
        reader.problem(
            &span,
            format!("{name} holds a control character or a mark that turns the writing around"),
            "not printable",
            vec!["use letters that can be seen".into()],
        );
        return None;
    }
    Some(Placed { value: text, span })
}

/// Whether a text can be a name; if not, that is reported.
pub fn check_name(reader: &Reader, text: &Placed<String>) -> bool {
    let good = |c: char| c.is_alphanumeric() || "_-.".contains(c);
    let length = text.value.chars().count();
    let ok = (1..=60).contains(&length) && text.value.chars().all(good);
    if !ok {
        reader.problem(
            &text.span,
            format!("\"{}\" cannot be a name", shorten(&text.value)),
            "not a name",
            vec!["a name has 1 to 60 letters, digits, _ - or . and no blanks".into()],
        );
    }
    ok
}

/// Reports a value of the wrong kind.
pub fn wrong_kind(reader: &Reader, name: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
    wrong_kind_with(reader, name, value, wanted, Vec::new());
}

fn wrong_kind_with(
    reader: &Reader,
    name: &str,
    value: &Spanned<DeValue<'_>>,
    wanted: &str,
    help: Vec<String>,
) {
    let found = found(value.get_ref());
    let message = format!("{name} needs {wanted}, not {found}");
    // A table of many lines has its header as its first line.
    let label = if number(value.get_ref()).is_some() { "a number".to_owned() } else { found };
    reader.problem(&reader.first_line(&value.span()), message, label, help);
}

/// What a value is, as a builder would say it.
fn found(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(_) => "a text".to_owned(),
        DeValue::Integer(i) if i.radix() == 10 => shorten(i.as_str()),
        DeValue::Integer(_) => "a number in another notation".to_owned(),
        DeValue::Float(f) => shorten(f.as_str()),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(_) => "a date or time".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" }
}

/// A number of the text as `f64`; `None` for infinities and other kinds.
pub fn number(value: &DeValue<'_>) -> Option<f64> {
    let parsed = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok(),
        DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
        _ => None,
    };
    parsed.filter(|n| n.is_finite() && n.abs() < FARTHEST)
}

/// A whole number of the text.
pub fn whole_number(value: &DeValue<'_>) -> Option<u32> {
    match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse().ok(),
        _ => None,
    }
}

/// The bytes of a part of a text value, when the text stands in the file letter for letter.
fn inner_span(raw: &str, span: &Range<usize>, text: &str, part: &Range<usize>) -> Range<usize> {
    match raw.find(text) {
        Some(start) if !text.is_empty() => {
            let from = span.start + start;
            from + part.start..from + part.end.max(part.start)
        }
        _ => span.clone(),
    }
}
