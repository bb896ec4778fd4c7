//! Writes a quantity for people, rounded by kind, or exactly, for a machine to read back.

use super::decimal::decimal;
use super::fraction::inch_fraction;
use super::quantity::{Length, Quantity};
use super::unit::Unit;

/// The units that results are written in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum System {
    /// mm, kPa and bar, degC, L/min.
    #[default]
    Metric,
    /// Inches and fractions, psi, degF, US gallons.
    Inch,
    /// Metric first, inch behind it in brackets.
    Both,
}

/// How quantities of one kind are written: the first step whose limit is above the size is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ladder {
    /// The unit that nothing, or what rounds to nothing, is written in.
    pub zero: &'static str,
    /// The steps, by rising size.
    pub steps: &'static [Step],
}

/// One step of a [`Ladder`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The step serves sizes below this many of its own units.
    pub below: f64,
    /// The unit.
    pub symbol: &'static str,
    /// The rounding.
    pub form: Form,
}

/// How the number of a [`Step`] is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// At most so many decimals, trailing zeros left out.
    Decimals(u32),
    /// A fraction of an inch with this denominator at most.
    Fraction(u32),
}

/// Writes a quantity for people, rounded as the [module page](super) lists.
///
/// ```
/// use hosewright::units::{Length, Quantity, System, write};
/// let cut = Length::from_si(0.486);
/// assert_eq!(write(cut, System::Metric), "486 mm");
/// assert_eq!(write(cut, System::Inch), "19 1/8 in");
/// assert_eq!(write(cut, System::Both), "486 mm (19 1/8 in)");
/// ```
#[must_use]
pub fn write<Q: Quantity>(q: Q, system: System) -> String {
    match system {
        System::Metric => climb::<Q>(q.si(), &Q::METRIC),
        System::Inch => climb::<Q>(q.si(), &Q::INCH),
        System::Both => {
            let (metric, inch) = (climb::<Q>(q.si(), &Q::METRIC), climb::<Q>(q.si(), &Q::INCH));
            if metric == inch { metric } else { format!("{metric} ({inch})") }
        }
    }
}

/// Writes a quantity in one of its units with all the digits it has.
///
/// Reading the text gives the same bits in the SI unit, and at most one unit in the last place off in
/// any other (for degC and degF within 1e-12 K). A unit that is not one of the quantity is replaced by
/// its SI unit.
///
/// ```
/// use hosewright::units::{Length, Quantity, read, write_exact};
/// let bore: Length = read("3/8 in")?;
/// assert_eq!(write_exact(bore, "in"), "0.375 in");
/// assert_eq!(read::<Length>(&write_exact(bore, "m")), Ok(bore));
/// # Ok::<(), hosewright::units::ReadError>(())
/// ```
#[must_use]
pub fn write_exact<Q: Quantity>(q: Q, unit_symbol: &str) -> String {
    let (si, units) = (q.si(), Q::units());
    if !si.is_finite() {
        return not_finite::<Q>();
    }
    let named = units.iter().find(|unit| unit.symbol == unit_symbol).or(units.first());
    named.map_or_else(String::new, |unit| join::<Q>(&exact(si, unit), unit.symbol))
}

/// The shortest digits among those that come closest to the SI value when read back.
fn exact(si: f64, unit: &Unit) -> String {
    let near = unit.from_si(si);
    [near, near.next_up(), near.next_down()]
        .into_iter()
        .map(|value| ((unit.to_si(value) - si).abs(), digits(value)))
        .min_by(|(off, text), (other, longer)| {
            off.total_cmp(other).then(text.len().cmp(&longer.len()))
        })
        .map_or_else(String::new, |(_, text)| text)
}

/// All digits of a number, with an exponent where it would be long.
fn digits(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-6..1e15).contains(&size) {
        return format!("{value:e}");
    }
    format!("{}", value + 0.0)
}

/// Writes an SI value by the first step that is high enough.
fn climb<Q: Quantity>(si: f64, ladder: &Ladder) -> String {
    if !si.is_finite() {
        return not_finite::<Q>();
    }
    for step in ladder.steps {
        let Some(unit) = Q::units().iter().find(|unit| unit.symbol == step.symbol) else {
            continue;
        };
        let value = unit.from_si(si);
        if value.abs() < step.below {
            return spell::<Q>(si, value, step, ladder.zero);
        }
    }
    write_exact(Q::from_si(si), ladder.zero)
}

/// Writes the value of one step.
fn spell<Q: Quantity>(si: f64, value: f64, step: &Step, zero: &str) -> String {
    let text = match step.form {
        Form::Fraction(parts) => return inch_fraction(Length::from_si(si), parts).to_string(),
        Form::Decimals(places) => decimal(value, places),
    };
    let has_offset = Q::units().iter().any(|unit| unit.offset != 0.0);
    if text == "0" && !has_offset { join::<Q>("0", zero) } else { join::<Q>(&text, step.symbol) }
}

fn join<Q: Quantity>(number: &str, symbol: &str) -> String {
    match (symbol.is_empty(), Q::UNIT_FIRST) {
        (true, _) => number.to_owned(),
        (false, true) => format!("{symbol} {number}"),
        (false, false) => format!("{number} {symbol}"),
    }
}

fn not_finite<Q: Quantity>() -> String {
    format!("no finite {}", Q::NAME)
}
