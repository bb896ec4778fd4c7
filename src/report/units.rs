//! Numbers of a report in the builder's units.

use crate::units::{
    Flow, GaugePressure, Length, PressureDifference, Quantity, System, Temperature, Torque,
    Velocity, Volume, inch_fraction, write,
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
        "L/min" => flow(number / 60e3, system),
        "L" => write(Volume::from_si(number / 1e3), system),
        "N m" => write(Torque::from_si(number), system),
        "Re" => format!("Re {number:.0}"),
        "" => format!("{number:.2}"),
        _ => format!("{number:.1} {unit}"),
    }
}

/// A column of numbers whose unit stands in its head.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Lengths in mm, or inches to the nearest 1/32.
    Length,
    /// Flows in L/min, or gal(US)/h.
    Flow,
    /// Velocities in m/s, or ft/s.
    Velocity,
    /// Pressures in kPa, or psi.
    Pressure,
}

impl Column {
    /// The head of such a column.
    pub fn head(self, name: &str, system: System) -> String {
        let (metric, inch) = match self {
            Self::Length => ("mm", "in"),
            Self::Flow => ("L/min", "gal(US)/h"),
            Self::Velocity => ("m/s", "ft/s"),
            Self::Pressure => ("kPa", "psi"),
        };
        match system {
            System::Metric => format!("{name} {metric}"),
            System::Inch => format!("{name} {inch}"),
            System::Both => format!("{name} {metric} ({inch})"),
        }
    }

    /// A number of such a column from its value in mm, m3/s, m/s or Pa.
    pub fn number(self, value: f64, system: System) -> String {
        match system {
            System::Metric => self.metric(value),
            System::Inch => self.inch(value),
            System::Both => format!("{} ({})", self.metric(value), self.inch(value)),
        }
    }

    fn metric(self, value: f64) -> String {
        match self {
            Self::Flow => digits(value * 60e3),
            Self::Length | Self::Velocity => digits(value),
            Self::Pressure => digits(value / 1e3),
        }
    }

    fn inch(self, value: f64) -> String {
        match self {
            Self::Length => {
                let fraction = inch_fraction(Length::from_si(value / 1e3), 32).to_string();
                fraction.trim_end_matches(" in").to_owned()
            }
            Self::Flow => digits(value / (231.0 * 0.0254 * 0.0254 * 0.0254) * 3600.0),
            Self::Velocity => digits(value / 0.3048),
            Self::Pressure => digits(value / (0.453_592_37 * 9.806_65 / (0.0254 * 0.0254))),
        }
    }
}

/// Three digits, but never less than the whole number: 0.0123, 1.23, 12.3, 123, 12346.
fn digits(value: f64) -> String {
    let places = match value.abs() {
        size if size >= 99.95 => 0,
        size if size >= 9.995 => 1,
        size if size >= 0.9995 => 2,
        size if size >= 0.0005 => 3,
        _ => 0,
    };
    let text = format!("{value:.places$}");
    if text.trim_start_matches('-').trim_matches(['0', '.']).is_empty() { "0".into() } else { text }
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
