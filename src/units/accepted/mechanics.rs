//! Accepted units of time, motion, mass, force, torque, work and power.

use crate::units::unit::{
    BTU, FOOT, GALLON_US, GRAVITY, HOUR, INCH, LITRE, MINUTE, POUND, POUND_FORCE, Unit, unit,
};

pub(in crate::units) const TIME: &[Unit] = &[
    unit("s", &["sec", "second", "seconds"], 1.0, "SI"),
    unit("ms", &[], 1e-3, "s / 1000"),
    unit("min", &["minute", "minutes"], MINUTE, "60 s"),
    unit("h", &["hr", "hour", "hours"], HOUR, "3600 s"),
    unit("d", &["day", "days"], 24.0 * HOUR, "24 h"),
];

pub(in crate::units) const VELOCITY: &[Unit] = &[
    unit("m/s", &[], 1.0, "SI"),
    unit("mm/s", &[], 1e-3, "m/s / 1000"),
    unit("km/h", &["kph"], 1000.0 / HOUR, "1000 m in 3600 s"),
    unit("in/s", &[], INCH, "0.0254 m in 1 s"),
    unit("ft/s", &["fps"], FOOT, "12 in in 1 s"),
    unit("ft/min", &[], FOOT / MINUTE, "12 in in 60 s"),
    unit("mph", &["mile/h"], 5280.0 * FOOT / HOUR, "5280 ft in 3600 s"),
    unit("kn", &["kt", "knot", "knots"], 1852.0 / HOUR, "1852 m in 3600 s"),
];

pub(in crate::units) const ACCELERATION: &[Unit] = &[
    unit("m/s2", &[], 1.0, "SI"),
    unit("gn", &["g", "g0"], GRAVITY, "9.806 65 m/s2 exactly"),
    unit("ft/s2", &[], FOOT, "12 in/s2"),
];

pub(in crate::units) const MASS: &[Unit] = &[
    unit("kg", &["kilogram", "kilograms"], 1.0, "SI"),
    unit("g", &["gram", "grams"], 1e-3, "kg / 1000"),
    unit("mg", &[], 1e-6, "g / 1000"),
    unit("t", &["tonne", "tonnes"], 1e3, "1000 kg"),
    unit("lb", &["lbs", "lbm", "pound", "pounds"], POUND, "0.453 592 37 kg exactly"),
    unit("oz", &["ounce", "ounces"], POUND / 16.0, "lb / 16"),
];

pub(in crate::units) const LINEAR_MASS: &[Unit] = &[
    unit("kg/m", &[], 1.0, "SI"),
    unit("g/m", &[], 1e-3, "g in 1 m"),
    unit("lb/ft", &["lbs/ft"], POUND / FOOT, "lb in 12 in"),
    unit("lb/in", &[], POUND / INCH, "lb in 0.0254 m"),
    unit("oz/ft", &[], POUND / 16.0 / FOOT, "lb / 16 in 12 in"),
];

pub(in crate::units) const DENSITY: &[Unit] = &[
    unit("kg/m3", &[], 1.0, "SI"),
    unit("g/m3", &[], 1e-3, "kg/m3 / 1000"),
    unit("kg/L", &["kg/l", "kg/dm3"], 1.0 / LITRE, "1000 kg/m3"),
    unit("g/cm3", &["g/mL", "g/ml", "g/cc"], 1e3, "1000 kg/m3"),
    unit("lb/ft3", &["lbs/ft3"], POUND / (FOOT * FOOT * FOOT), "lb in 1728 in3"),
    unit("lb/in3", &[], POUND / (INCH * INCH * INCH), "lb in 1 in3"),
    unit("lb/gal(US)", &[], POUND / GALLON_US, "lb in 231 in3"),
];

pub(in crate::units) const FORCE: &[Unit] = &[
    unit("N", &["newton", "newtons"], 1.0, "SI"),
    unit("kN", &[], 1e3, "1000 N"),
    unit("MN", &[], 1e6, "1 000 000 N"),
    unit("lbf", &[], POUND_FORCE, "lb x 9.806 65 m/s2"),
    unit("kgf", &["kp"], GRAVITY, "kg x 9.806 65 m/s2"),
];

pub(in crate::units) const TORQUE: &[Unit] = &[
    unit("N m", &["Nm", "m N"], 1.0, "SI"),
    unit("kN m", &["kNm"], 1e3, "1000 N m"),
    unit("N cm", &["Ncm"], 1e-2, "N m / 100"),
    unit(
        "in lb",
        &["in lbf", "lb in", "lbf in", "inlb", "lbs in", "in lbs"],
        POUND_FORCE * INCH,
        "lbf x 0.0254 m",
    ),
    unit(
        "ft lb",
        &["ft lbf", "lb ft", "lbf ft", "ftlb", "lbs ft", "ft lbs"],
        POUND_FORCE * FOOT,
        "lbf x 12 in",
    ),
    unit("kgf m", &["kgm", "kp m"], GRAVITY, "kgf x m"),
];

pub(in crate::units) const POWER: &[Unit] = &[
    unit("W", &["watt", "watts"], 1.0, "SI"),
    unit("kW", &[], 1e3, "1000 W"),
    unit("MW", &[], 1e6, "1 000 000 W"),
    unit("hp", &["HP", "bhp"], 550.0 * FOOT * POUND_FORCE, "550 ft lbf in 1 s"),
    unit("PS", &["hp(metric)"], 75.0 * GRAVITY, "75 kgf m in 1 s"),
    unit("BTU/h", &["Btu/h"], BTU / HOUR, "BTU in 3600 s"),
];

pub(in crate::units) const ENERGY: &[Unit] = &[
    unit("J", &["joule", "joules"], 1.0, "SI"),
    unit("kJ", &[], 1e3, "1000 J"),
    unit("MJ", &[], 1e6, "1 000 000 J"),
    unit("Wh", &["W h"], HOUR, "W x 3600 s"),
    unit("kWh", &["kW h"], 1e3 * HOUR, "1000 W x 3600 s"),
    unit("ft lbf", &["ft lb"], POUND_FORCE * FOOT, "lbf x 12 in"),
    unit("BTU", &["Btu"], BTU, "1055.055 852 62 J exactly (International Table)"),
];
