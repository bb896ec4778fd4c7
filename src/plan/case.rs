//! Operating cases: the air outside and the attitude of the machine.

use super::{report_twice, shape};
use crate::document::Section;
use crate::units::{AbsolutePressure, Angle, Length, Quantity};

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
}

/// Reads all `[[case]]`.
pub fn read(root: &Section<'_>) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for section in root.sections("case", &shape::CASE) {
        let Some(name) = section.words("name") else {
            continue;
        };
        if cases.iter().any(|c| c.name == name.value) {
            report_twice(&section, "case", &name);
        }
        let angle = |key: &str| angle_rad(&section, key);
        let (nose_up_rad, roll_right_rad) = (angle("nose_up"), angle("roll_right"));
        if let Some(ambient) = ambient(&section) {
            cases.push(Case { name: name.value, ambient, nose_up_rad, roll_right_rad });
        }
    }
    if cases.is_empty() && !root.has("case") && root.has("line") {
        root.reader().absence(
            &(root.span.start..root.span.start + 1),
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
    let pressure = super::positive::<AbsolutePressure>(section, "ambient");
    match (altitude, pressure) {
        (Some(altitude), None) => {
            let metres = altitude.value.si();
            if (-2000.0..=11_000.0).contains(&metres) {
                return Some(Ambient::Altitude(altitude.value));
            }
            section.reader().problem(
                &altitude.span,
                "altitude lies outside the standard atmosphere's lowest layer",
                "out of range",
                vec!["between -2000 m and 11000 m".into()],
            );
            None
        }
        (None, Some(pressure)) => Some(Ambient::Pressure(pressure.value)),
        (Some(_), Some(pressure)) => {
            let message = "a case has an altitude or an ambient pressure, not both";
            section.reader().problem(&pressure.span, message, "one too many", Vec::new());
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

fn angle_rad(section: &Section<'_>, key: &str) -> f64 {
    let Some(angle) = section.quantity::<Angle>(key) else {
        return 0.0;
    };
    if angle.value.si().abs() > core::f64::consts::PI {
        let message = format!("{key} is more than half a turn");
        section.reader().problem(&angle.span, message, "too much", Vec::new());
    }
    angle.value.si()
}
