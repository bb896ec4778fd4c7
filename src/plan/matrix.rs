//! The operating cases that are made by combination.

use std::collections::BTreeSet;

use toml::de::DeTable;

use super::case::{attitude_rad, height};
use super::choice::Choices;
use super::{Given, positive, shape};
use crate::document::{Placed, Section, shorten};
use crate::units::{Angle, Length, Quantity, Temperature};

/// More values of one key make more cases than anybody can look at.
const MOST: usize = 64;

/// What is combined with what.
#[derive(Clone, Debug, Default)]
pub struct Matrix {
    /// Heights above the sea, m; at least one.
    pub altitudes_m: Vec<f64>,
    /// Pitches, nose up positive, rad; level if the plan gives none.
    pub nose_up_rad: Vec<f64>,
    /// Rolls, right side down positive, rad; level if the plan gives none.
    pub roll_right_rad: Vec<f64>,
    /// Temperatures that go together; none if the plan gives none.
    pub weather: Vec<Weather>,
    /// Components whose states are combined, by index; all that have several if the plan does not say.
    pub vary: Vec<usize>,
    /// Combinations of component and state, by index, that the machine does not allow.
    pub without: Vec<Vec<(usize, usize)>>,
}

/// Temperatures that go together.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// What it is called.
    pub name: String,
    /// Temperature of the air.
    pub air: Option<Temperature>,
    /// Temperatures of fluids where they start from, by index of the fluid.
    pub fluids: Vec<(usize, Temperature)>,
    /// Whether the machine has run long enough for heat to have settled.
    pub warm: bool,
}

/// Reads `[matrix]`.
pub fn read(root: &Section<'_>, choices: &Choices<'_>) -> Option<Matrix> {
    let section = root.section("matrix", &shape::MATRIX)?;
    for key in ["altitude", "nose_up", "roll_right", "weather", "vary", "without"] {
        report_length(&section, key);
    }
    let altitudes = list::<Length>(&section, "altitude");
    let altitudes = altitudes.iter().filter_map(|a| height(&section, a)).map(Quantity::si);
    let level = |angles: Vec<f64>| if angles.is_empty() { vec![0.0] } else { angles };
    let angles = |key: &str| {
        let read = list::<Angle>(&section, key);
        level(read.iter().map(|a| attitude_rad(&section, key, a)).collect())
    };
    Some(Matrix {
        altitudes_m: altitudes.collect(),
        nose_up_rad: angles("nose_up"),
        roll_right_rad: angles("roll_right"),
        weather: weather(&section, choices),
        vary: vary(&section, choices),
        without: without(&section, choices),
    })
}

fn report_length(section: &Section<'_>, key: &str) {
    let Some(items) = section.value(key).and_then(|v| v.get_ref().as_array()) else {
        return;
    };
    // Nothing to vary and nothing to leave out can be said; no height and no attitude cannot.
    if items.is_empty() && !["vary", "without"].contains(&key) {
        let help = vec!["write at least one value".into()];
        section.reader().problem(&section.place(key), format!("{key} is empty"), "empty", help);
    }
    if items.len() > MOST {
        section.reader().problem(
            &section.place(key),
            format!("{key} has {} values, and a matrix takes {MOST} of one kind", items.len()),
            "too many",
            vec!["the cases are all combinations: take those at the ends and the worst".into()],
        );
    }
}

/// A list of quantities that are all different.
fn list<Q: Quantity>(section: &Section<'_>, key: &str) -> Vec<Placed<Q>> {
    let read = section.quantities::<Q>(key);
    for (index, item) in read.iter().enumerate().take(MOST) {
        if read.iter().take(index).any(|before| before.value == item.value) {
            section.reader().problem(
                &item.span,
                format!("this value stands twice in {key}"),
                "again",
                vec!["take one of the two out".into()],
            );
        }
    }
    read
}

fn weather(section: &Section<'_>, choices: &Choices<'_>) -> Vec<Weather> {
    let mut given = Given::new("weather");
    let mut all = Vec::new();
    for weather in section.sections("weather", &shape::WEATHER) {
        let name = weather.words("name");
        if let Some(name) = &name {
            given.is_new(&weather, name);
        }
        all.push(Weather {
            name: name.map(|n| n.value).unwrap_or_default(),
            air: positive::<Temperature>(&weather, "air").map(|t| t.value),
            fluids: choices.temperatures(&weather),
            warm: weather.flag("warm").unwrap_or(true),
        });
    }
    all
}

fn vary(section: &Section<'_>, choices: &Choices<'_>) -> Vec<usize> {
    if !section.has("vary") {
        return choices.varied();
    }
    let mut seen = BTreeSet::new();
    let mut vary = Vec::new();
    for id in section.names("vary") {
        let Some(index) = choices.with_states(section, &id) else { continue };
        if seen.insert(index) {
            vary.push(index);
        } else {
            section.reader().problem(
                &id.span,
                format!("component {} stands twice in vary", shorten(&id.value)),
                "again",
                vec!["take one of the two out".into()],
            );
        }
    }
    vary
}

fn without(section: &Section<'_>, choices: &Choices<'_>) -> Vec<Vec<(usize, usize)>> {
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for (written, item) in section.assigns("without").into_iter().zip(section.array("without")) {
        if item.get_ref().as_table().is_some_and(DeTable::is_empty) {
            section.reader().problem(
                &written.span,
                "this combination names no component",
                "empty",
                vec!["for example { P1 = \"off\", P2 = \"off\" }".into()],
            );
        }
        let mut states = choices.states(section, &written.value);
        let complete = states.len() == written.value.len();
        states.sort_unstable();
        if complete && !seen.insert(states.clone()) {
            section.reader().problem(
                &written.span,
                "this combination stands twice in without",
                "again",
                vec!["take one of the two out".into()],
            );
        }
        if complete {
            all.push(states);
        }
    }
    all
}
