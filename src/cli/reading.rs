//! Readings of pressure tests from arguments: `F1=0.2 bar to 0.18 bar in 10 min, 18 degC to 21 degC`.

use super::Trouble;
use super::args::InstrumentArgs;
use super::argument::{positive, read};
use crate::diagnostic::visible;
use crate::trial::proof::Pumped;
use crate::trial::reading::{Instruments, Reading};
use crate::units::{
    AbsolutePressure, GaugePressure, PressureDifference, Quantity, Temperature,
    TemperatureDifference, Time, Volume,
};

/// Pressure of the standard atmosphere at sea level, Pa (ISO 2533).
const SEA_LEVEL_PA: f64 = 101_325.0;

/// The instruments, and the air.
pub fn instruments(args: &InstrumentArgs) -> Result<Instruments, Trouble> {
    let pressure = args.error.as_deref().map(|e| read::<PressureDifference>("error", e));
    let temperature = args
        .error_temperature
        .as_deref()
        .map(|e| read::<TemperatureDifference>("error-temperature", e));
    let air = args.air.as_deref().map(|a| positive::<AbsolutePressure>("air", a)).transpose()?;
    let rig = args.rig.as_deref().map(|r| positive::<Volume>("rig", r)).transpose()?;
    let found = Instruments {
        pressure: pressure.transpose()?.unwrap_or(PressureDifference::from_si(0.0)),
        temperature: temperature.transpose()?.unwrap_or(TemperatureDifference::from_si(0.0)),
        air: air.unwrap_or(AbsolutePressure::from_si(SEA_LEVEL_PA)),
        rig: rig.unwrap_or(Volume::from_si(0.0)),
    };
    if found.pressure.si() < 0.0 || found.temperature.si() < 0.0 {
        return Err(Trouble::plain("--error and --error-temperature must not be negative"));
    }
    Ok(found)
}

/// Temperature of the test as planned.
pub fn temperature(args: &InstrumentArgs) -> Result<Temperature, Trouble> {
    positive::<Temperature>("temperature", &args.temperature)
}

/// All readings.
pub fn readings(args: &InstrumentArgs) -> Result<Vec<Reading>, Trouble> {
    args.measured.iter().map(|text| reading(text)).collect()
}

fn reading(text: &str) -> Result<Reading, Trouble> {
    let wrong = || {
        Trouble::hint(
            format!(
                "--measured \"{}\" is not LINES=PRESSURE to PRESSURE in TIME, TEMPERATURE to TEMPERATURE",
                visible(text)
            ),
            "for example --measured \"F1=0.2 bar to 0.18 bar in 10 min, 18 degC to 21 degC\"",
        )
    };
    let (lines, rest) = text.split_once('=').ok_or_else(wrong)?;
    let (left, warm) = rest.rsplit_once(',').ok_or_else(wrong)?;
    let (pressures, time) = left.rsplit_once(" in ").ok_or_else(wrong)?;
    let (p1, p2) = pressures.split_once(" to ").ok_or_else(wrong)?;
    let (t1, t2) = warm.split_once(" to ").ok_or_else(wrong)?;
    let pressure = |text: &str| read::<GaugePressure>("measured", text.trim());
    let temperature = |text: &str| positive::<Temperature>("measured", text.trim());
    Ok(Reading {
        lines: ids(lines),
        pressure: [pressure(p1)?, pressure(p2)?],
        time: positive::<Time>("measured", time.trim())?,
        temperature: [temperature(t1)?, temperature(t2)?],
    })
}

/// All that was pumped in.
pub fn pumped(texts: &[String]) -> Result<Vec<Pumped>, Trouble> {
    texts.iter().map(|text| one_pumped(text)).collect()
}

fn one_pumped(text: &str) -> Result<Pumped, Trouble> {
    let wrong = || {
        Trouble::hint(
            format!("--pumped \"{}\" is not LINES=VOLUME from PRESSURE to PRESSURE", visible(text)),
            "for example --pumped \"P2=38 mL from 0 bar to 315 bar\"",
        )
    };
    let (lines, rest) = text.split_once('=').ok_or_else(wrong)?;
    let (volume, pressures) = rest.split_once(" from ").ok_or_else(wrong)?;
    let (from, to) = pressures.split_once(" to ").ok_or_else(wrong)?;
    let pressure = |text: &str| read::<GaugePressure>("pumped", text.trim());
    Ok(Pumped {
        lines: ids(lines),
        volume: positive::<Volume>("pumped", volume.trim())?,
        from: pressure(from)?,
        to: pressure(to)?,
    })
}

fn ids(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}
