//! Accepted units of flow, mass flow, viscosity and flow coefficient.

use crate::units::unit::{
    FOOT, GALLON_UK, GALLON_US, HOUR, INCH, LITRE, MINUTE, POUND, Unit, unit,
};

/// Kv of a part whose Cv is one: US gal/min in m3/h over the root of psi in bar.
///
/// A root cannot be taken while compiling; the tests form it from its definition.
pub(in crate::units) const KV_PER_CV: f64 = 0.864_977_655_442_301_8;

pub(in crate::units) const FLOW: &[Unit] = &[
    unit("m3/s", &[], 1.0, "SI"),
    unit("m3/min", &[], 1.0 / MINUTE, "m3 in 60 s"),
    unit("m3/h", &[], 1.0 / HOUR, "m3 in 3600 s"),
    unit("L/s", &["l/s"], LITRE, "m3 / 1000 in 1 s"),
    unit("L/min", &["l/min", "lpm", "LPM"], LITRE / MINUTE, "m3 / 1000 in 60 s"),
    unit("L/h", &["l/h", "lph", "LPH"], LITRE / HOUR, "m3 / 1000 in 3600 s"),
    unit("mL/s", &["ml/s", "cm3/s", "cc/s"], 1e-6, "L / 1000 in 1 s"),
    unit("mL/min", &["ml/min", "cm3/min", "cc/min"], 1e-6 / MINUTE, "L / 1000 in 60 s"),
    unit("mL/h", &["ml/h", "cm3/h", "cc/h"], 1e-6 / HOUR, "L / 1000 in 3600 s"),
    unit(
        "gal(US)/min",
        &["US gal/min", "USgal/min", "gpm(US)", "US gpm", "USgpm"],
        GALLON_US / MINUTE,
        "231 in3 in 60 s",
    ),
    unit(
        "gal(US)/h",
        &["US gal/h", "USgal/h", "gph(US)", "US gph", "USgph"],
        GALLON_US / HOUR,
        "231 in3 in 3600 s",
    ),
    unit(
        "gal(UK)/min",
        &["UK gal/min", "gpm(UK)", "UK gpm", "gal(imp)/min"],
        GALLON_UK / MINUTE,
        "4.546 09 L in 60 s",
    ),
    unit(
        "gal(UK)/h",
        &["UK gal/h", "gph(UK)", "UK gph", "gal(imp)/h"],
        GALLON_UK / HOUR,
        "4.546 09 L in 3600 s",
    ),
    unit("in3/s", &[], INCH * INCH * INCH, "(0.0254 m)3 in 1 s"),
    unit("ft3/s", &["cfs"], FOOT * FOOT * FOOT, "1728 in3 in 1 s"),
    unit("ft3/min", &["cfm"], FOOT * FOOT * FOOT / MINUTE, "1728 in3 in 60 s"),
];

pub(in crate::units) const MASS_FLOW: &[Unit] = &[
    unit("kg/s", &[], 1.0, "SI"),
    unit("kg/min", &[], 1.0 / MINUTE, "kg in 60 s"),
    unit("kg/h", &[], 1.0 / HOUR, "kg in 3600 s"),
    unit("g/s", &[], 1e-3, "kg / 1000 in 1 s"),
    unit("g/min", &[], 1e-3 / MINUTE, "kg / 1000 in 60 s"),
    unit("lb/s", &[], POUND, "lb in 1 s"),
    unit("lb/min", &[], POUND / MINUTE, "lb in 60 s"),
    unit("lb/h", &["pph"], POUND / HOUR, "lb in 3600 s"),
];

pub(in crate::units) const DYNAMIC_VISCOSITY: &[Unit] = &[
    unit("Pa s", &["Pas", "N s/m2", "kg/(m s)"], 1.0, "SI"),
    unit("mPa s", &["mPas"], 1e-3, "Pa s / 1000"),
    unit("uPa s", &["uPas"], 1e-6, "Pa s / 1 000 000"),
    unit("P", &["poise"], 0.1, "Pa s / 10"),
    unit("cP", &["centipoise"], 1e-3, "Pa s / 1000"),
];

pub(in crate::units) const KINEMATIC_VISCOSITY: &[Unit] = &[
    unit("m2/s", &[], 1.0, "SI"),
    unit("cm2/s", &[], 1e-4, "(m / 100)2 in 1 s"),
    unit("mm2/s", &[], 1e-6, "(m / 1000)2 in 1 s"),
    unit("St", &["stokes"], 1e-4, "cm2/s"),
    unit("cSt", &["centistokes"], 1e-6, "mm2/s"),
    unit("in2/s", &[], INCH * INCH, "(0.0254 m)2 in 1 s"),
    unit("ft2/s", &[], FOOT * FOOT, "144 in2 in 1 s"),
];

pub(in crate::units) const FLOW_COEFFICIENT: &[Unit] = &[
    unit("Kv", &["kv", "KV"], 1.0, "m3/h of water at 1 bar"),
    unit("Cv", &["cv", "CV"], KV_PER_CV, "gal(US)/min of water at 1 psi"),
];
