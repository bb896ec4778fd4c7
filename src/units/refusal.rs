//! The wording of refused units: what was meant, what is near, and what is accepted.

use core::ops::Range;

use super::accepted::{fluid, heat, mechanics, pressure, size};
use super::quantity::Quantity;
use super::read::ReadError;
use super::unit::{Unit, find, plain};

/// Every kind of quantity with its units, to say what a misplaced unit measures.
const KINDS: &[(&str, &[Unit])] = &[
    ("length", size::LENGTH),
    ("area", size::AREA),
    ("volume", size::VOLUME),
    ("angle", size::ANGLE),
    ("time", mechanics::TIME),
    ("velocity", mechanics::VELOCITY),
    ("mass", mechanics::MASS),
    ("mass per length", mechanics::LINEAR_MASS),
    ("density", mechanics::DENSITY),
    ("force", mechanics::FORCE),
    ("torque", mechanics::TORQUE),
    ("power", mechanics::POWER),
    ("energy", mechanics::ENERGY),
    ("flow", fluid::FLOW),
    ("mass flow", fluid::MASS_FLOW),
    ("dynamic viscosity", fluid::DYNAMIC_VISCOSITY),
    ("kinematic viscosity", fluid::KINEMATIC_VISCOSITY),
    ("pressure", pressure::DIFFERENCE),
    ("absolute pressure", pressure::ABSOLUTE),
    ("gauge pressure", pressure::GAUGE),
    ("stress", pressure::STRESS),
    ("temperature", heat::TEMPERATURE),
    ("temperature difference", heat::TEMPERATURE_DIFFERENCE),
    ("specific heat", heat::SPECIFIC_HEAT),
    ("thermal conductivity", heat::CONDUCTIVITY),
    ("thermal expansion", heat::HEAT_EXPANSION),
    ("flow coefficient", fluid::FLOW_COEFFICIENT),
    ("acceleration", mechanics::ACCELERATION),
    ("ratio", size::RATIO),
];

/// Spellings that are refused because they can mean more than one thing.
const AMBIGUOUS: &[(&str, &str)] = &[
    ("gal", "write gal(US) or gal(UK)"),
    ("gallon", "write gal(US) or gal(UK)"),
    ("gallons", "write gal(US) or gal(UK)"),
    ("gal/h", "write gal(US)/h or gal(UK)/h"),
    ("gph", "write gal(US)/h or gal(UK)/h"),
    ("gal/min", "write gal(US)/min or gal(UK)/min"),
    ("gpm", "write gal(US)/min or gal(UK)/min"),
    ("qt", "write qt(US), or the volume in L"),
    ("mil", "write thou for a thousandth of an inch, or mm"),
];

/// A hint with two texts that read.
pub(super) fn example<Q: Quantity>() -> String {
    let shown: Vec<String> = Q::EXAMPLES.iter().take(2).map(|text| format!("\"{text}\"")).collect();
    format!("write a number and a unit, for example {}", shown.join(" or "))
}

/// The refusal of a number without a unit.
pub(super) fn unit_missing<Q: Quantity>(number: &str, span: Range<usize>) -> ReadError {
    let usual = Q::METRIC.zero;
    let text =
        if Q::UNIT_FIRST { format!("{usual} {number}") } else { format!("{number} {usual}") };
    ReadError::new(span, format!("the {} has no unit", Q::NAME))
        .help(format!("add the unit, for example \"{text}\""))
        .help(accepted::<Q>())
}

/// The refusal of anything behind a complete quantity.
pub(super) fn left_over(text: &str, span: Range<usize>) -> ReadError {
    let shown = text.get(span.clone()).unwrap_or_default();
    ReadError::new(span, format!("`{shown}` is left over")).help("write one number and one unit")
}

/// The refusal of a value below an absolute zero.
pub(super) fn below_least<Q: Quantity>(unit: &Unit, span: Range<usize>) -> ReadError {
    ReadError::new(span, format!("no {} is below absolute zero", Q::NAME)).help(format!(
        "the least is {} {}",
        unit.from_si(Q::LEAST),
        unit.symbol
    ))
}

/// The refusal of a unit that the quantity is not written in.
pub(super) fn unit_unknown<Q: Quantity>(written: &str, span: &Range<usize>) -> ReadError {
    if let Some((_, hint)) = AMBIGUOUS.iter().find(|(spelling, _)| *spelling == written) {
        return ReadError::new(span.clone(), format!("`{written}` can mean more than one unit"))
            .help(*hint);
    }
    if matches!(plain(written).rsplit_once('.'), Some((_, "vacuum" | "vac"))) {
        return ReadError::new(span.clone(), "a vacuum is written as a pressure below ambient")
            .help("write a negative gauge pressure, for example \"-20 kPa\", or an absolute one");
    }
    if let Some(error) = other_kind::<Q>(written, span) {
        return error;
    }
    if let Some(error) = more_behind::<Q>(written, span) {
        return error;
    }
    let error = ReadError::new(span.clone(), format!("`{written}` is no unit of {}", Q::NAME));
    near::<Q>(written, error).help(accepted::<Q>())
}

/// The refusal of a unit that belongs to another kind of quantity.
fn other_kind<Q: Quantity>(written: &str, span: &Range<usize>) -> Option<ReadError> {
    let (name, unit) =
        KINDS.iter().find_map(|(name, units)| Some((*name, find(units, written)?)))?;
    let message = format!("`{written}` is a unit of {name}, not of {}", Q::NAME);
    let error = ReadError::new(span.clone(), message);
    Some(match hint(Q::NAME, name, unit) {
        Some(hint) => error.help(hint),
        None => error.help(accepted::<Q>()),
    })
}

/// What to do about the misplacements that builders really make.
fn hint(wanted: &str, found: &str, unit: &Unit) -> Option<String> {
    let symbol = unit.symbol;
    let bare = symbol.trim_end_matches(" abs");
    match (wanted, found) {
        ("absolute pressure", "pressure") => Some(format!(
            "an absolute pressure counts from vacuum and says so: write \"{symbol} abs\""
        )),
        ("absolute pressure", "gauge pressure") => Some(format!(
            "an absolute pressure counts from vacuum: add ambient and write \"{symbol} abs\""
        )),
        ("gauge pressure", "absolute pressure") => Some(format!(
            "a gauge pressure counts from ambient: take ambient off and write \"{bare}\" or \"{bare} gauge\""
        )),
        ("pressure difference", "absolute pressure" | "gauge pressure") => {
            Some(format!("a difference has no zero to count from: write \"{bare}\""))
        }
        ("temperature difference", "temperature") => Some(format!(
            "{symbol} names a point on the scale; a difference is written in K or in delta_{symbol}"
        )),
        ("temperature", "temperature difference") => Some(format!(
            "{symbol} names a difference; a temperature is written in degC, degF or K"
        )),
        ("force", "mass") => Some("a force is written in N, lbf or kgf".to_owned()),
        ("torque", "mass" | "force" | "length") => {
            Some("a torque is a force on an arm: N m, in lb or ft lb".to_owned())
        }
        _ => None,
    }
}

/// The refusal of text behind a good unit, such as a second quantity.
fn more_behind<Q: Quantity>(written: &str, span: &Range<usize>) -> Option<ReadError> {
    let cut = written.char_indices().rev().filter(|(at, _)| *at > 0).find(|(at, letter)| {
        let front = written.get(..*at).unwrap_or_default();
        !letter.is_alphanumeric() && find(Q::units(), front).is_some() && !front.is_empty()
    })?;
    let rest = written.get(cut.0..).unwrap_or_default();
    let from = span.start + written.len() - rest.trim_start().len();
    Some(
        ReadError::new(from..span.end, format!("`{}` is left over", rest.trim()))
            .help("write one number and one unit"),
    )
}

/// Adds the units that differ from what was written by case or by a letter.
fn near<Q: Quantity>(written: &str, error: ReadError) -> ReadError {
    let wanted = plain(written);
    let same: Vec<&str> = Q::units()
        .iter()
        .filter(|unit| {
            unit.spellings().any(|spelling| plain(spelling).eq_ignore_ascii_case(&wanted))
        })
        .map(|unit| unit.symbol)
        .collect();
    if !same.is_empty() {
        return error
            .help(format!("capitals matter in units: did you mean `{}`?", same.join("` or `")));
    }
    match closest(Q::units(), &wanted) {
        Some(symbol) => error.help(format!("did you mean `{symbol}`?")),
        None => error,
    }
}

/// The unit with the fewest letters changed, if a typing slip can explain them.
fn closest(units: &'static [Unit], wanted: &str) -> Option<&'static str> {
    let slips = if wanted.chars().count() < 4 { 1 } else { 2 };
    units
        .iter()
        .flat_map(|unit| unit.spellings().map(move |spelling| (unit.symbol, plain(spelling))))
        .filter(|(_, spelling)| spelling.chars().count() > slips)
        .map(|(symbol, spelling)| (strsim::osa_distance(&spelling, wanted), symbol))
        .filter(|(distance, _)| *distance <= slips)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, symbol)| symbol)
}

/// The list of all accepted units.
fn accepted<Q: Quantity>() -> String {
    let symbols: Vec<&str> =
        Q::units().iter().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
    format!("units of {}: {}", Q::NAME, symbols.join(", "))
}
