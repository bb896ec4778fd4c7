//! Operating cases: the air outside and the attitude of the machine.

use super::choice::Choices;
use super::{Given, positive, shape};
use crate::document::{Placed, Section};
use crate::units::{AbsolutePressure, Angle, Length, Quantity, Temperature};

/// How the pressure of the air is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ambient {
    /// By height in the standard atmosphere.
    Altitude(Length),
    /// As a pressure.
    Pressure(AbsolutePressure),
}

/// An operating case.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Its name.
    pub name: String,
    /// Pressure of the air.
    pub ambient: Ambient,
    /// Pitch, nose up positive, rad.
    pub nose_up_rad: f64,
    /// Roll, right side down positive, rad.
    pub roll_right_rad: f64,
    /// Acceleration of the machine along the plan's axes, in multiples of standard gravity.
    pub acceleration_g: [f64; 3],
    /// Temperature of the air.
    pub air: Option<Temperature>,
    /// Temperatures of fluids where they start from, by index of the fluid.
    pub fluids: Vec<(usize, Temperature)>,
    /// States of components, both by index; the others are in their usual state.
    pub states: Vec<(usize, usize)>,
    /// Whether the machine has run long enough for heat to have settled.
    pub warm: bool,
}

/// Reads all `[[case]]`.
pub fn read(root: &Section<'_>, choices: &Choices<'_>) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    let mut given = Given::new("case");
    for section in root.sections("case", &shape::CASE) {
        let Some(name) = section.words("name") else {
            continue;
        };
        given.is_new(&section, &name);
        let angle =
            |key: &str| section.quantity(key).map_or(0.0, |a| attitude_rad(&section, key, &a));
        let (nose_up_rad, roll_right_rad) = (angle("nose_up"), angle("roll_right"));
        let acceleration = section
            .triple("acceleration", "multiples of standard gravity are bare numbers: [0, 0, 1.5]");
        // A case with a fault keeps its name, so that its duties are not reported as well.
        let ambient = ambient(&section).unwrap_or(Ambient::Altitude(Length::from_si(0.0)));
        cases.push(Case {
            name: name.value,
            ambient,
            nose_up_rad,
            roll_right_rad,
            acceleration_g: acceleration.map_or([0.0; 3], |a| a.value),
            air: positive::<Temperature>(&section, "air").map(|t| t.value),
            fluids: choices.temperatures(&section),
            states: choices.states(&section, &section.assign("states")),
            warm: section.flag("warm").unwrap_or(true),
        });
    }
    let given = root.has("case") || root.has("matrix");
    if cases.is_empty() && !given && root.has("line") {
        root.reader().absence(
            &root.header(),
            "the plan has no [[case]]",
            vec![
                "a level machine at sea level is: [[case]] name = \"level\" altitude = \"0 m\""
                    .into(),
            ],
        );
    }
    cases
}

fn ambient(section: &Section<'_>) -> Option<Ambient> {
    let altitude = section.quantity::<Length>("altitude");
    let pressure = positive::<AbsolutePressure>(section, "ambient");
    match (altitude, pressure) {
        (Some(altitude), None) => height(section, &altitude).map(Ambient::Altitude),
        (None, Some(pressure)) => Some(Ambient::Pressure(pressure.value)),
        (Some(_), Some(pressure)) => {
            let message = "a case has an altitude or an ambient pressure, not both";
            let help = vec!["take out altitude or ambient".into()];
            section.reader().problem(&pressure.span, message, "one too many", help);
            None
        }
        (None, None) => {
            if !section.has("altitude") && !section.has("ambient") {
                section.reader().absence(
                    &section.header(),
                    "[[case]] needs the key \"altitude\" or \"ambient\"",
                    vec!["for example altitude = \"0 m\"".into()],
                );
            }
            None
        }
    }
}

/// A height in the standard atmosphere.
pub fn height(section: &Section<'_>, altitude: &Placed<Length>) -> Option<Length> {
    let metres = altitude.value.si();
    if (-2000.0..=11_000.0).contains(&metres) {
        return Some(altitude.value);
    }
    section.reader().problem(
        &altitude.span,
        "altitude lies outside the standard atmosphere's lowest layer",
        "out of range",
        vec!["between -2000 m and 11000 m".into()],
    );
    None
}

/// Pitch or roll, rad.
pub fn attitude_rad(section: &Section<'_>, key: &str, angle: &Placed<Angle>) -> f64 {
    if angle.value.si().abs() > core::f64::consts::PI {
        let message = format!("{key} is more than half a turn");
        section.reader().problem(
            &angle.span,
            message,
            "too much",
            vec!["from -180 deg to 180 deg".into()],
        );
    }
    angle.value.si()
}
