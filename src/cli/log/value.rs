//! What was read, as names with quantities.

use std::collections::BTreeMap;

use super::{Trouble, shown_text};
use crate::diagnostic::visible;
use crate::record::Date;
use crate::signed::Reading;
use crate::units::{
    AbsolutePressure, Angle, Area, Density, DynamicViscosity, Flow, FlowCoefficient, Force,
    GaugePressure, KinematicViscosity, Length, LinearMass, Mass, MassFlow, PressureDifference,
    Quantity, Ratio, Temperature, TemperatureDifference, Time, Torque, Velocity, Volume,
    read_number, read_uncertain,
};

/// Values that are dates.
const DATES: [&str; 3] = ["cure", "made", "fitted"];
/// Values that are words.
const WORDS: [&str; 1] = ["batch"];

/// What a builder reads off something; `±` may stand behind it.
const READERS: [fn(&str) -> bool; 22] = [
    reads::<Length>,
    reads::<Torque>,
    reads::<GaugePressure>,
    reads::<AbsolutePressure>,
    reads::<PressureDifference>,
    reads::<Temperature>,
    reads::<TemperatureDifference>,
    reads::<Flow>,
    reads::<Volume>,
    reads::<Time>,
    reads::<Angle>,
    reads::<Mass>,
    reads::<Force>,
    reads::<Ratio>,
    reads::<Area>,
    reads::<Velocity>,
    reads::<Density>,
    reads::<LinearMass>,
    reads::<MassFlow>,
    reads::<FlowCoefficient>,
    reads::<DynamicViscosity>,
    reads::<KinematicViscosity>,
];

fn reads<Q: Quantity>(text: &str) -> bool {
    read_uncertain::<Q>(text).is_ok()
}

/// The values of an entry, each once and with its unit.
pub fn values(given: &[String]) -> Result<BTreeMap<String, String>, Trouble> {
    let mut values = BTreeMap::new();
    for text in given {
        let text = shown_text("value", text)?;
        let Some((name, value)) = text.split_once('=') else {
            let message = format!("--value \"{}\" is not NAME=QUANTITY", visible(&text));
            return Err(Trouble::hint(message, "for example --value \"cut=462 mm\""));
        };
        let (name, value) = (name.trim(), value.trim());
        if name.is_empty() || value.is_empty() {
            let message = format!("--value \"{}\" lacks its name or its quantity", visible(&text));
            return Err(Trouble::hint(message, "for example --value \"cut=462 mm\""));
        }
        if DATES.contains(&name) {
            value.parse::<Date>().map_err(|e| {
                let message = format!("--value {name}: \"{}\" is no date", visible(value));
                Trouble::hint(message, e.to_string())
            })?;
        } else if !WORDS.contains(&name) {
            quantity(name, value)?;
        }
        if values.insert(name.to_owned(), value.to_owned()).is_some() {
            return Err(Trouble::plain(format!("--value {name} stands twice")));
        }
    }
    Ok(values)
}

/// Refuses what is no quantity.
fn quantity(name: &str, value: &str) -> Result<(), Trouble> {
    let example = "for example \"462 mm\", \"12 N m\", \"2.5 bar\", \"130 s\", \"2 caps\" or \"462 mm ± 1 mm\"";
    if read_number(value).is_ok() {
        return Err(Trouble::hint(format!("--value {name}: \"{value}\" has no unit"), example));
    }
    let counted = Reading::count(value).is_some();
    if !counted && !READERS.iter().any(|reads| reads(value)) {
        return Err(Trouble::hint(format!("--value {name}: \"{value}\" is no quantity"), example));
    }
    Ok(())
}
