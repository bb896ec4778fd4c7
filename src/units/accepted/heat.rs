//! Accepted units of temperature, temperature difference and the heat properties of matter.

use crate::units::unit::{BTU, FAHRENHEIT_STEP, FOOT, HOUR, POUND, Unit, unit};

/// Zero of the Celsius scale, K.
const CELSIUS_ZERO: f64 = 273.15;
/// Zero of the Fahrenheit scale, K: 459.67 degrees above absolute zero.
const FAHRENHEIT_ZERO: f64 = 459.67 * 5.0 / 9.0;

pub(in crate::units) const TEMPERATURE: &[Unit] = &[
    unit("K", &["kelvin"], 1.0, "SI"),
    Unit {
        symbol: "degC",
        aliases: &["C", "deg C", "Celsius", "celsius"],
        factor: 1.0,
        offset: CELSIUS_ZERO,
        definition: "K - 273.15",
    },
    Unit {
        symbol: "degF",
        aliases: &["F", "deg F", "Fahrenheit", "fahrenheit"],
        factor: FAHRENHEIT_STEP,
        offset: FAHRENHEIT_ZERO,
        definition: "5/9 K, zero at 459.67 degF above absolute zero",
    },
];

pub(in crate::units) const TEMPERATURE_DIFFERENCE: &[Unit] = &[
    unit("K", &["kelvin", "delta_K"], 1.0, "SI"),
    unit("delta_degC", &["delta degC", "delta_C"], 1.0, "1 K"),
    unit("delta_degF", &["delta degF", "delta_F"], FAHRENHEIT_STEP, "5/9 K"),
];

pub(in crate::units) const SPECIFIC_HEAT: &[Unit] = &[
    unit("J/(kg K)", &["J/kgK", "J/kg K", "J/kg/K"], 1.0, "SI"),
    unit("kJ/(kg K)", &["kJ/kgK", "kJ/kg K", "kJ/kg/K"], 1e3, "1000 J/(kg K)"),
    unit(
        "BTU/(lb degF)",
        &["Btu/(lb degF)", "BTU/lb degF", "BTU/lb F", "BTU/(lb F)"],
        BTU / (POUND * FAHRENHEIT_STEP),
        "BTU / (lb x 5/9 K)",
    ),
];

pub(in crate::units) const CONDUCTIVITY: &[Unit] = &[
    unit("W/(m K)", &["W/mK", "W/m K", "W/m/K"], 1.0, "SI"),
    unit("mW/(m K)", &["mW/mK", "mW/m K"], 1e-3, "W/(m K) / 1000"),
    unit(
        "BTU/(h ft degF)",
        &["Btu/(h ft degF)", "BTU/(h ft F)", "BTU/(hr ft F)"],
        BTU / (HOUR * FOOT * FAHRENHEIT_STEP),
        "BTU / (3600 s x 12 in x 5/9 K)",
    ),
];

pub(in crate::units) const HEAT_EXPANSION: &[Unit] = &[
    unit("1/K", &["1/degC", "1/C", "m/(m K)"], 1.0, "SI"),
    unit("um/(m K)", &["ppm/K", "ppm/degC", "um/m K", "um/mK", "1e-6/K"], 1e-6, "1/K / 1 000 000"),
    unit("1/degF", &["1/F", "in/(in degF)"], 1.0 / FAHRENHEIT_STEP, "9/5 1/K"),
    unit("ppm/degF", &["uin/(in degF)"], 1e-6 / FAHRENHEIT_STEP, "9/5 1/K / 1 000 000"),
];
