//! Accepted units of gauge pressure, absolute pressure, pressure difference and stress.

use crate::units::unit::{GRAVITY, PSI, Unit, unit};

/// Density of mercury that the conventional columns stand for, kg/m3.
const MERCURY: f64 = 13_595.1;
/// Density of water that the conventional columns stand for, kg/m3.
const WATER: f64 = 1000.0;

/// Builds one pressure table: `$row` makes a row from symbol, other spellings, factor, definition.
macro_rules! pressures {
    ($row:ident) => {
        &[
            $row!("Pa", 1.0, "N/m2, SI"),
            $row!("hPa", 1e2, "100 Pa"),
            $row!("kPa", 1e3, "1000 Pa"),
            $row!("MPa", 1e6, "1 000 000 Pa", "N/mm2"),
            $row!("mbar", 1e2, "100 Pa"),
            $row!("bar", 1e5, "100 000 Pa"),
            $row!("psi", PSI, "lbf / in2", "lbf/in2"),
            $row!("ksi", 1e3 * PSI, "1000 lbf / in2"),
            $row!("atm", 101_325.0, "101 325 Pa exactly"),
            $row!("torr", 101_325.0 / 760.0, "atm / 760", "Torr"),
            $row!("kgf/cm2", GRAVITY * 1e4, "kgf / (m / 100)2", "at"),
            $row!("mmHg", MERCURY * GRAVITY / 1e3, "13 595.1 kg/m3 x 9.806 65 m/s2 x mm"),
            $row!("inHg", MERCURY * GRAVITY * 0.0254, "25.4 mmHg"),
            $row!("mmH2O", WATER * GRAVITY / 1e3, "1000 kg/m3 x 9.806 65 m/s2 x mm", "mm H2O"),
            $row!("mH2O", WATER * GRAVITY, "1000 mmH2O", "m H2O"),
            $row!("inH2O", WATER * GRAVITY * 0.0254, "25.4 mmH2O", "in H2O"),
            $row!("ftH2O", WATER * GRAVITY * 0.3048, "12 inH2O", "ft H2O"),
        ]
    };
}

macro_rules! bare {
    ($symbol:literal, $factor:expr, $definition:literal $(, $other:literal)?) => {
        unit($symbol, &[$($other)?], $factor, $definition)
    };
}

macro_rules! gauge {
    ($symbol:literal, $factor:expr, $definition:literal $(, $other:literal)?) => {
        unit(
            $symbol,
            &[
                concat!($symbol, "g"),
                concat!($symbol, " g"),
                concat!($symbol, "(g)"),
                concat!($symbol, " gauge"),
                $($other, concat!($other, " gauge"),)?
            ],
            $factor,
            concat!($definition, ", above ambient"),
        )
    };
}

macro_rules! absolute {
    ($symbol:literal, $factor:expr, $definition:literal $(, $other:literal)?) => {
        unit(
            concat!($symbol, " abs"),
            &[
                concat!($symbol, "a"),
                concat!($symbol, " a"),
                concat!($symbol, "(a)"),
                concat!($symbol, "(abs)"),
                concat!($symbol, " absolute"),
                $(concat!($other, " abs"),)?
            ],
            $factor,
            concat!($definition, ", above vacuum"),
        )
    };
}

pub(in crate::units) const GAUGE: &[Unit] = pressures!(gauge);
pub(in crate::units) const ABSOLUTE: &[Unit] = pressures!(absolute);
pub(in crate::units) const DIFFERENCE: &[Unit] = pressures!(bare);

pub(in crate::units) const STRESS: &[Unit] = &[
    unit("Pa", &["N/m2"], 1.0, "N/m2, SI"),
    unit("kPa", &[], 1e3, "1000 Pa"),
    unit("MPa", &["N/mm2"], 1e6, "1 000 000 Pa"),
    unit("GPa", &["kN/mm2"], 1e9, "1 000 000 000 Pa"),
    unit("bar", &[], 1e5, "100 000 Pa"),
    unit("psi", &["lbf/in2"], PSI, "lbf / in2"),
    unit("ksi", &["kip/in2"], 1e3 * PSI, "1000 lbf / in2"),
    unit("Mpsi", &["Msi"], 1e6 * PSI, "1 000 000 lbf / in2"),
];
