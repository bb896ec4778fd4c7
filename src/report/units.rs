//! Numbers of a report in the builder's units.

use crate::units::{
    Flow, GaugePressure, Length, PressureDifference, Quantity, System, Temperature, Velocity, write,
};

/// A length given in mm.
pub fn length(mm: f64, system: System) -> String {
    write(Length::from_si(mm / 1e3), system)
}

/// A flow given in m3/s.
pub fn flow(m3_s: f64, system: System) -> String {
    write(Flow::from_si(m3_s), system)
}

/// A velocity given in m/s.
pub fn velocity(m_s: f64, system: System) -> String {
    write(Velocity::from_si(m_s), system)
}

/// A pressure difference given in Pa.
pub fn pressure(pascal: f64, system: System) -> String {
    write(PressureDifference::from_si(pascal), system)
}

/// A gauge pressure given in Pa.
pub fn gauge(pascal: f64, system: System) -> String {
    write(GaugePressure::from_si(pascal), system)
}

/// A temperature given in K.
pub fn temperature(kelvin: f64, system: System) -> String {
    write(Temperature::from_si(kelvin), system)
}

/// A number with the unit word of a finding.
pub fn value(number: f64, unit: &str, system: System) -> String {
    match unit {
        "mm" => length(number, system),
        "kPa" => pressure(number * 1e3, system),
        "m/s" => velocity(number, system),
        "degC" => temperature(number + 273.15, system),
        "Re" => format!("Re {number:.0}"),
        "" => format!("{number:.2}"),
        _ => format!("{number:.1} {unit}"),
    }
}

/// Units that stand in the sentences of findings, longest first.
const SPOKEN: [&str; 5] = ["kPa", "bar", "m/s", "degC", "mm"];

/// A sentence with its metric quantities in the builder's units.
///
/// ```
/// use hosewright::{report::units::in_units, units::System};
/// let inch = in_units("the leg is 25.4 mm long", System::Inch);
/// assert_eq!(inch, "the leg is 1 in long");
/// assert_eq!(in_units("clip 2 at 10 o'clock", System::Inch), "clip 2 at 10 o'clock");
/// ```
pub fn in_units(sentence: &str, system: System) -> String {
    if system == System::Metric {
        return sentence.to_owned();
    }
    let mut out = String::new();
    let mut rest = sentence;
    while let Some((before, number, unit, after)) = next_quantity(rest) {
        out.push_str(before);
        let base = if unit == "bar" { number * 100.0 } else { number };
        out.push_str(&value(base, if unit == "bar" { "kPa" } else { unit }, system));
        rest = after;
    }
    out.push_str(rest);
    out
}

/// The first `number unit` of a sentence: what stands before it, both, and what follows.
fn next_quantity(text: &str) -> Option<(&str, f64, &str, &str)> {
    for (start, _) in text.char_indices().filter(|(_, c)| c.is_ascii_digit() || *c == '-') {
        let inside = text[..start].ends_with(|c: char| c.is_alphanumeric() || c == '.' || c == '-');
        if inside {
            continue;
        }
        let digits = |c: char| c.is_ascii_digit() || c == '.' || c == '-';
        let end = text[start..].find(|c| !digits(c)).map_or(text.len(), |i| start + i);
        let Ok(number) = text[start..end].parse::<f64>() else {
            continue;
        };
        let Some(tail) = text[end..].strip_prefix(' ') else {
            continue;
        };
        let Some(unit) = SPOKEN.iter().find(|u| tail.starts_with(**u)) else {
            continue;
        };
        let after = &tail[unit.len()..];
        if after.starts_with(char::is_alphanumeric) {
            continue;
        }
        return Some((&text[..start], number, unit, after));
    }
    None
}
