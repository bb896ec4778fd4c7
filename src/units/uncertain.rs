//! Reads a quantity that says how well it is known: `8 mm ± 0.1 mm`, `2.5 kPa ± 10 %`.

use super::quantity::{Quantity, Ratio};
use super::read::{ReadError, check_length, read};

/// Ways the mark between a value and its uncertainty is written.
const MARKS: [&str; 3] = ["±", "+/-", "+-"];
/// Units that make the uncertainty a share of the value.
const SHARES: [&str; 3] = ["%", "percent", "per cent"];

/// Reads a quantity and the amount by which it may be off, if the text gives one.
///
/// Behind `±` (or `+-`) stands a share of the value in `%`, or an amount with its unit. The amount of
/// a temperature is a difference, such as `3 K`, and that of a pressure bears no `gauge` or `abs`. A
/// share is always one of the value: `60 % ± 5 %` runs from 57 % to 63 %; five points are `± 0.05`.
///
/// # Errors
/// As [`read`], for either part, and for an amount that is missing, negative or not finite, a share of
/// a temperature, which depends on the zero of its scale, and an amount of more than one on a ratio.
///
/// ```
/// use hosewright::units::{Length, Quantity, Temperature, read_uncertain};
/// let (bore, amount) = read_uncertain::<Length>("8 mm ± 5 %")?;
/// assert_eq!((bore.si(), amount.map(Quantity::si)), (0.008, Some(0.0004)));
/// let (_, amount) = read_uncertain::<Temperature>("90 degC +- 3 K")?;
/// assert_eq!(amount.map(Quantity::si), Some(3.0));
/// assert_eq!(read_uncertain::<Length>("8 mm")?.1, None);
/// assert!(read_uncertain::<Temperature>("90 degC ± 3 %").is_err());
/// # Ok::<(), hosewright::units::ReadError>(())
/// ```
pub fn read_uncertain<Q: Quantity>(text: &str) -> Result<(Q, Option<Q::Difference>), ReadError> {
    check_length(text, Q::NAME)?;
    let Some((value, mark, amount)) = parts(text) else {
        return Ok((read(text)?, None));
    };
    let quantity = read::<Q>(value)?;
    if amount.trim().is_empty() {
        let error =
            ReadError::new(value.len()..text.len(), format!("nothing stands behind {mark}"));
        return Err(error.help(form::<Q>()));
    }
    let from = text.len() - amount.len();
    let off = off(quantity, amount).map_err(|mut error| {
        error.span = error.span.start + from..error.span.end + from;
        error
    })?;
    Ok((quantity, Some(off)))
}

/// The text before the first mark, the mark, and the text behind it.
fn parts(text: &str) -> Option<(&str, &'static str, &str)> {
    let first = MARKS.into_iter().filter_map(|mark| Some((text.find(mark)?, mark)));
    let (at, mark) = first.min_by_key(|(at, _)| *at)?;
    Some((text.get(..at)?, mark, text.get(at + mark.len()..)?))
}

/// The amount behind the mark.
fn off<Q: Quantity>(quantity: Q, text: &str) -> Result<Q::Difference, ReadError> {
    let start = text.len() - text.trim_start().len();
    let span = start..text.trim_end().len();
    let share = SHARES.iter().any(|unit| text.trim_end().ends_with(unit));
    if share && Q::units().iter().any(|unit| unit.offset != 0.0) {
        let message = format!("a share of a {} depends on the zero of its scale", Q::NAME);
        return Err(ReadError::new(span, message).help(form::<Q>()));
    }
    let (amount, si) = if share {
        let share = read::<Ratio>(text)?.si();
        (share, share * quantity.si().abs())
    } else {
        let amount = read::<Q::Difference>(text)?.si();
        (amount, amount)
    };
    if amount < 0.0 {
        return Err(ReadError::new(span, "an uncertainty is not negative").help(form::<Q>()));
    }
    if !si.is_finite() {
        return Err(ReadError::new(span, "this uncertainty is too large to compute with"));
    }
    if !share && Q::NAME == Ratio::NAME && si > 1.0 {
        let message = "an uncertainty of a ratio is not more than 1";
        return Err(ReadError::new(span, message).help("five points of per cent are ± 0.05"));
    }
    Ok(Q::Difference::from_si(si))
}

/// What would be right behind the mark.
fn form<Q: Quantity>() -> String {
    let amount = Q::Difference::EXAMPLES.first().copied().unwrap_or_default();
    if Q::units().iter().any(|unit| unit.offset != 0.0) {
        return format!("write a {}, for example ± {amount}", Q::Difference::NAME);
    }
    "write an amount with its unit, or a share of the value such as ± 10 %".to_owned()
}
