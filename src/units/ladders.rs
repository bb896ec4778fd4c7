//! The units and roundings that each kind of quantity is written with.

use super::write::{Form, Ladder, Step};

const ALL: f64 = f64::INFINITY;

/// A step with decimals.
const fn to(below: f64, symbol: &'static str, places: u32) -> Step {
    Step { below, symbol, form: Form::Decimals(places) }
}

macro_rules! ladders {
    ($($name:ident = $zero:literal, $steps:expr;)*) => {
        $(pub(super) const $name: Ladder = Ladder { zero: $zero, steps: &$steps };)*
    };
}

ladders! {
    LENGTH = "mm", [to(100.0, "um", 1), to(1000.0, "mm", 1), to(1e4, "mm", 0), to(ALL, "m", 2)];
    LENGTH_INCH = "in", [
        to(0.125, "in", 4),
        Step { below: 1200.0, symbol: "in", form: Form::Fraction(32) },
        to(ALL, "ft", 1),
    ];
    AREA = "mm2", [to(100.0, "mm2", 2), to(1e4, "mm2", 0), to(1e4, "cm2", 0), to(ALL, "m2", 2)];
    AREA_INCH = "in2", [to(10.0, "in2", 3), to(144.0, "in2", 1), to(ALL, "ft2", 1)];
    VOLUME = "L", [to(100.0, "mL", 1), to(100.0, "L", 2), to(1e4, "L", 0), to(ALL, "m3", 1)];
    VOLUME_INCH = "gal(US)", [to(231.0, "in3", 1), to(100.0, "gal(US)", 2), to(ALL, "gal(US)", 0)];
    ANGLE = "deg", [to(ALL, "deg", 1)];
    TIME = "s", [
        to(1.0, "ms", 1), to(1000.0, "ms", 0), to(60.0, "s", 1), to(60.0, "min", 1),
        to(ALL, "h", 1),
    ];
    VELOCITY = "m/s", [to(ALL, "m/s", 2)];
    VELOCITY_INCH = "ft/s", [to(ALL, "ft/s", 1)];
    ACCELERATION = "m/s2", [to(ALL, "m/s2", 2)];
    ACCELERATION_INCH = "ft/s2", [to(ALL, "ft/s2", 1)];
    MASS = "g", [to(10.0, "g", 1), to(1000.0, "g", 0), to(100.0, "kg", 2), to(ALL, "kg", 0)];
    MASS_INCH = "lb", [to(1.0, "lb", 3), to(100.0, "lb", 2), to(ALL, "lb", 0)];
    LINEAR_MASS = "g/m", [to(10.0, "g/m", 1), to(1000.0, "g/m", 0), to(ALL, "kg/m", 2)];
    LINEAR_MASS_INCH = "lb/ft", [to(1.0, "lb/ft", 3), to(ALL, "lb/ft", 2)];
    DENSITY = "kg/m3", [to(10.0, "kg/m3", 3), to(100.0, "kg/m3", 1), to(ALL, "kg/m3", 0)];
    DENSITY_INCH = "lb/ft3", [to(1.0, "lb/ft3", 4), to(ALL, "lb/ft3", 1)];
    FORCE = "N", [to(100.0, "N", 1), to(1000.0, "N", 0), to(ALL, "kN", 2)];
    FORCE_INCH = "lbf", [to(100.0, "lbf", 1), to(ALL, "lbf", 0)];
    TORQUE = "N m", [to(100.0, "N m", 1), to(1000.0, "N m", 0), to(ALL, "kN m", 2)];
    TORQUE_INCH = "in lb", [
        to(10.0, "in lb", 1), to(300.0, "in lb", 0), to(100.0, "ft lb", 1), to(ALL, "ft lb", 0),
    ];
    POWER = "W", [to(10.0, "W", 2), to(1000.0, "W", 0), to(ALL, "kW", 2)];
    POWER_INCH = "hp", [to(1.0, "hp", 4), to(ALL, "hp", 2)];
    ENERGY = "J", [to(1000.0, "J", 1), to(1000.0, "kJ", 2), to(ALL, "MJ", 2)];
    ENERGY_INCH = "ft lbf", [to(1000.0, "ft lbf", 1), to(ALL, "BTU", 1)];
    FLOW = "L/min", [
        to(10.0, "L/h", 2), to(60.0, "L/h", 1), to(100.0, "L/min", 2), to(1000.0, "L/min", 0),
        to(ALL, "m3/h", 1),
    ];
    FLOW_INCH = "gal(US)/min", [
        to(60.0, "gal(US)/h", 2), to(100.0, "gal(US)/min", 2), to(ALL, "gal(US)/min", 0),
    ];
    MASS_FLOW = "g/s", [to(100.0, "g/s", 2), to(1000.0, "g/s", 0), to(ALL, "kg/s", 3)];
    MASS_FLOW_INCH = "lb/min", [to(1.0, "lb/min", 4), to(ALL, "lb/min", 2)];
    DYNAMIC_VISCOSITY = "mPa s", [
        to(1.0, "mPa s", 4), to(100.0, "mPa s", 2), to(1000.0, "mPa s", 0), to(ALL, "Pa s", 2),
    ];
    DYNAMIC_VISCOSITY_INCH = "cP", [to(1.0, "cP", 4), to(100.0, "cP", 2), to(ALL, "cP", 0)];
    KINEMATIC_VISCOSITY = "mm2/s", [
        to(10.0, "mm2/s", 3), to(100.0, "mm2/s", 1), to(ALL, "mm2/s", 0),
    ];
    KINEMATIC_VISCOSITY_INCH = "cSt", [to(10.0, "cSt", 3), to(100.0, "cSt", 1), to(ALL, "cSt", 0)];
    GAUGE = "bar", [
        to(1000.0, "Pa", 0), to(100.0, "kPa", 1), to(100.0, "bar", 2), to(ALL, "bar", 0),
    ];
    GAUGE_INCH = "psi", [to(10.0, "psi", 3), to(100.0, "psi", 1), to(ALL, "psi", 0)];
    ABSOLUTE = "kPa abs", [
        to(1000.0, "Pa abs", 0), to(200.0, "kPa abs", 1), to(100.0, "bar abs", 2),
        to(ALL, "bar abs", 0),
    ];
    ABSOLUTE_INCH = "psi abs", [
        to(10.0, "psi abs", 3), to(100.0, "psi abs", 1), to(ALL, "psi abs", 0),
    ];
    STRESS = "MPa", [
        to(1000.0, "kPa", 1), to(100.0, "MPa", 1), to(10_000.0, "MPa", 0), to(ALL, "GPa", 1),
    ];
    STRESS_INCH = "psi", [to(1000.0, "psi", 0), to(1000.0, "ksi", 1), to(ALL, "ksi", 0)];
    TEMPERATURE = "degC", [to(ALL, "degC", 0)];
    TEMPERATURE_INCH = "degF", [to(ALL, "degF", 0)];
    TEMPERATURE_DIFFERENCE = "K", [to(ALL, "K", 1)];
    TEMPERATURE_DIFFERENCE_INCH = "delta_degF", [to(ALL, "delta_degF", 1)];
    RATIO = "%", [to(1.0, "%", 3), to(100.0, "%", 1), to(ALL, "", 3)];
    SPECIFIC_HEAT = "J/(kg K)", [to(ALL, "J/(kg K)", 0)];
    SPECIFIC_HEAT_INCH = "BTU/(lb degF)", [to(ALL, "BTU/(lb degF)", 4)];
    CONDUCTIVITY = "W/(m K)", [to(10.0, "W/(m K)", 4), to(ALL, "W/(m K)", 1)];
    CONDUCTIVITY_INCH = "BTU/(h ft degF)", [
        to(10.0, "BTU/(h ft degF)", 4), to(ALL, "BTU/(h ft degF)", 1),
    ];
    HEAT_EXPANSION = "um/(m K)", [to(ALL, "um/(m K)", 1)];
    HEAT_EXPANSION_INCH = "ppm/degF", [to(ALL, "ppm/degF", 1)];
    FLOW_COEFFICIENT = "Kv", [to(1.0, "Kv", 4), to(100.0, "Kv", 2), to(ALL, "Kv", 0)];
    FLOW_COEFFICIENT_INCH = "Cv", [to(1.0, "Cv", 4), to(100.0, "Cv", 2), to(ALL, "Cv", 0)];
}
