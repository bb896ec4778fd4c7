//! Rounds a number as a person rounds its decimal text: halves away from zero, no minus zero.

/// Digits that are kept before rounding, so that the noise of the last bits cannot tip a half.
const KEPT: usize = 12;

/// The number as a decimal text with at most `places` decimals, without trailing zeros.
///
/// Numbers of 1e15 and more are written with an exponent.
pub(super) fn decimal(value: f64, places: u32) -> String {
    let value = value + 0.0;
    if value.abs() >= 1e15 {
        return format!("{value:e}");
    }
    let Some(scaled) = scaled(value, places) else {
        return format!("{value}");
    };
    let unit = 10_u128.pow(places.min(30));
    let (whole, part) = (scaled / unit, scaled % unit);
    let minus = if value < 0.0 && scaled != 0 { "-" } else { "" };
    if part == 0 {
        return format!("{minus}{whole}");
    }
    let digits = format!("{part:0>width$}", width = places as usize);
    format!("{minus}{whole}.{}", digits.trim_end_matches('0'))
}

/// The nearest whole number, halves away from zero; the largest there is for anything beyond it.
pub(super) fn nearest_whole(value: f64) -> i64 {
    let size = scaled(value, 0).and_then(|count| i64::try_from(count).ok()).unwrap_or(i64::MAX);
    if value < 0.0 { -size } else { size }
}

/// The size of `value` in units of the last decimal place; `None` when it cannot be counted.
fn scaled(value: f64, places: u32) -> Option<u128> {
    let text = format!("{:.*e}", KEPT - 1, value.abs());
    let (mantissa, exponent) = text.split_once('e')?;
    let digits: u128 = mantissa.replace('.', "").parse().ok()?;
    let shift = exponent.parse::<i32>().ok()? - i32::try_from(KEPT - 1).ok()?
        + i32::try_from(places).ok()?;
    let power = 10_u128.checked_pow(shift.unsigned_abs());
    if shift >= 0 {
        return digits.checked_mul(power?);
    }
    // A power too large to hold leaves nothing of twelve digits.
    Some(power.map_or(0, |power| (digits + power / 2) / power))
}
