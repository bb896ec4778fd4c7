//! Units of the published problems, turned to SI by hand so that nothing here leans on the program's own units.

use super::calls::Answer;
use std::collections::BTreeMap;
use std::error::Error;

const INCH: f64 = 0.0254;
const FOOT: f64 = 12.0 * INCH;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = POUND * 9.806_65;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;
const SQUARE_FOOT: f64 = FOOT * FOOT;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;

/// SI per unit; a unit that no problem uses is a slip in a data file.
pub(super) fn factor(unit: &str) -> Answer {
    Ok(match unit {
        "-" | "m" | "s" | "m/s" | "m/s2" | "m2" | "m3" | "m2/s" | "m3/s" | "Pa" | "Pa s"
        | "Pa/m" | "kg/m3" | "W" | "J/kg" | "m3/h at 1 bar" | "K" | "mol/s" | "kg/s"
        | "J/(kg K)" | "1/K" => 1.0,
        "in" => INCH,
        "mile" => 5280.0 * FOOT,
        "ft2" | "ft2/s" => SQUARE_FOOT,
        "ft" | "ft/s" | "ft/s2" => FOOT,
        "mm2/s" => 1e-6,
        "mm" | "cP" | "L/s" | "L" => 1e-3,
        "lb/(ft s)" => POUND / FOOT,
        "lb/ft3" => POUND / CUBIC_FOOT,
        "slug/ft3" => POUND_FORCE / FOOT / CUBIC_FOOT,
        "lbf/ft3" => POUND_FORCE / CUBIC_FOOT,
        "kN/m3" | "kPa" | "kW" => 1e3,
        "MPa" | "Pa/(L/s)2" => 1e6,
        "%" => 1e-2,
        "psi" => POUND_FORCE / (INCH * INCH),
        "lbf/ft2" => POUND_FORCE / SQUARE_FOOT,
        "psi/100ft" => POUND_FORCE / (INCH * INCH) / (100.0 * FOOT),
        "ft3" | "ft3/s" => CUBIC_FOOT,
        "cm2" => 1e-4,
        "GPa" => 1e9,
        "psi/degF" => POUND_FORCE / (INCH * INCH) * 1.8,
        "L/min" => 1e-3 / 60.0,
        "m3/h" => 1.0 / 3600.0,
        "gal" => GALLON,
        "gal/min" => GALLON / 60.0,
        "bbl/h" => 42.0 * GALLON / 3600.0,
        "kg/min" => 1.0 / 60.0,
        "hp" => 550.0 * FOOT * POUND_FORCE,
        "deg" => core::f64::consts::PI / 180.0,
        _ => return Err(format!("no factor for the unit `{unit}`").into()),
    })
}

/// The inputs of a case in SI.
pub(super) struct Given(BTreeMap<String, f64>);

impl Given {
    pub(super) fn new(raw: &BTreeMap<String, (f64, String)>) -> Result<Self, Box<dyn Error>> {
        raw.iter()
            .map(|(name, (value, unit))| Ok((name.clone(), value * factor(unit)?)))
            .collect::<Result<_, _>>()
            .map(Self)
    }

    pub(super) fn may(&self, name: &str) -> Option<f64> {
        self.0.get(name).copied()
    }

    pub(super) fn get(&self, name: &str) -> Answer {
        let found = self.may(name);
        found.ok_or_else(|| format!("the case gives no `{name}`").into())
    }

    pub(super) fn or(&self, name: &str, otherwise: f64) -> f64 {
        self.may(name).unwrap_or(otherwise)
    }
}
