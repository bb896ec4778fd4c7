//! Reading the states of a component, what a tank holds, and what a component uses up.

use std::collections::BTreeSet;

use super::reading::port;
use super::{Need, State, Tank, find_path};
use crate::document::{Placed, Section, shorten};
use crate::plan::{Bounds, Given, Names, not_negative, positive, ratio, shape, tank};
use crate::units::{Flow, GaugePressure, Quantity, Ratio, Volume};

/// What the states of a component depend on.
pub struct Owner<'c> {
    /// Its kind; empty where that has a fault.
    pub kind: &'c str,
    /// Names of its paths.
    pub paths: Names<'c>,
    /// Whether it may have more paths than could be read.
    pub hides: bool,
    /// Whether one of them is written as a pump.
    pub has_pump: bool,
    /// Whether one of them is written as a thermostat.
    pub has_thermostat: bool,
    /// What it holds.
    pub tank: Option<&'c Tank>,
    /// Millimetres in the plan's length unit.
    pub unit_mm: f64,
}

/// Reads all `[[component.state]]` of a component; one without a readable name has none.
pub fn read_states(section: &Section<'_>, owner: &Owner<'_>) -> Vec<State> {
    let mut given = Given::new("state");
    let mut states: Vec<State> = Vec::new();
    for state in section.sections("state", &shape::STATE) {
        let name = state.words("name");
        if let Some(name) = &name {
            given.is_new(&state, name);
        }
        let name = name.map(|n| n.value).unwrap_or_default();
        states.push(State { name, ..read_state(&state, owner) });
    }
    // A state that cannot be told by its name may be the one that a case means.
    if section.has_nameless("state", "name") {
        states.push(State::default());
    }
    states
}

fn read_state(section: &Section<'_>, owner: &Owner<'_>) -> State {
    report_foreign(section, owner.kind, &["surface", "volume", "pressure"]);
    if !owner.has_pump && !owner.hides {
        report_needless(section, "speed", "a pump");
    }
    if !owner.has_thermostat && !owner.hides {
        report_needless(section, "position", "a thermostat");
    }
    let volume = not_negative::<Volume>(section, "volume");
    let capacity = owner.tank.and_then(|t| t.capacity);
    report_overfull(section, volume.as_ref(), capacity);
    State {
        name: String::new(),
        shut: shut(section, owner),
        blocked: share(section, "blocked", &Bounds::FROM_0_BELOW_1),
        speed: share(section, "speed", &Bounds::ABOVE_0_TO_2),
        position: share(section, "position", &Bounds::FROM_0_TO_1),
        surface_mm: surface(section, owner.unit_mm),
        volume: volume.map(|v| v.value),
        pressure: section.quantity::<GaugePressure>("pressure").map(|p| p.value),
    }
}

fn share(section: &Section<'_>, key: &str, bounds: &Bounds) -> Option<Ratio> {
    ratio(section, key, bounds).map(|r| r.value)
}

fn surface(section: &Section<'_>, unit_mm: f64) -> Option<[f64; 3]> {
    section.point("surface").map(|at| at.value.map(|c| c * unit_mm))
}

fn shut(section: &Section<'_>, owner: &Owner<'_>) -> Vec<usize> {
    let mut seen = BTreeSet::new();
    let mut shut = Vec::new();
    for name in section.names("shut") {
        if owner.hides && owner.paths.find(&name.value).is_none() {
            continue;
        }
        let Some(index) = find_path(section, &name, &owner.paths) else { continue };
        if seen.insert(index) {
            shut.push(index);
        } else {
            section.reader().problem(
                &name.span,
                format!("path \"{}\" stands twice in shut", shorten(&name.value)),
                "again",
                vec!["take one of the two out".into()],
            );
        }
    }
    shut
}

/// Keys that only a tank has.
fn report_foreign(section: &Section<'_>, kind: &str, keys: &[&str]) {
    if kind == "tank" || kind.is_empty() {
        return;
    }
    for key in keys.iter().filter(|k| section.has(k)) {
        section.reader().problem(
            &section.place(key),
            format!("{key} belongs to a tank, and this component has the kind {kind}"),
            "not a tank",
            vec![format!("take out {key}, or write kind = \"tank\"")],
        );
    }
}

fn report_needless(section: &Section<'_>, key: &str, what: &str) {
    if section.has(key) {
        section.reader().problem(
            &section.place(key),
            format!("{key} is that of {what}, and no path of this component is {what}"),
            "nothing to move",
            vec![format!("take out {key}, or write the path that is {what}")],
        );
    }
}

fn report_overfull(
    section: &Section<'_>,
    volume: Option<&Placed<Volume>>,
    capacity: Option<Volume>,
) {
    if let (Some(volume), Some(capacity)) = (volume, capacity)
        && volume.value.si() > capacity.si()
    {
        section.reader().problem(
            &volume.span,
            "volume is more than the capacity of the tank",
            "too much",
            vec!["capacity is the volume when brim full".into()],
        );
    }
}

/// What a tank holds; the keys of one are refused in any other component.
pub fn read_tank(section: &Section<'_>, kind: &str, unit_mm: f64) -> Option<Tank> {
    report_foreign(section, kind, shape::TANK_KEYS);
    let capacity = positive::<Volume>(section, "capacity").map(|v| v.value);
    let volume = not_negative::<Volume>(section, "volume");
    let unusable = not_negative::<Volume>(section, "unusable");
    report_overfull(section, volume.as_ref(), capacity);
    if let (Some(unusable), Some(capacity)) = (&unusable, capacity)
        && unusable.value.si() >= capacity.si()
    {
        section.reader().problem(
            &unusable.span,
            "unusable is not less than the capacity of the tank",
            "nothing to draw",
            vec!["capacity is the volume when brim full".into()],
        );
    }
    let inside = tank::read_shape(section, unit_mm);
    let tank = Tank {
        surface_mm: surface(section, unit_mm),
        pressure: section.quantity::<GaugePressure>("pressure").map(|p| p.value),
        cap: positive::<GaugePressure>(section, "cap").map(|p| p.value),
        capacity,
        volume: volume.map(|v| v.value),
        unusable: unusable.map(|v| v.value),
        stick: tank::read_stick(section, inside.as_ref()),
        poured: tank::read_poured(section),
        shape: inside,
    };
    (kind == "tank").then_some(tank)
}

/// What a component uses up.
pub fn read_need(section: &Section<'_>, ports: &Names<'_>) -> Option<Need> {
    let need = section.section("need", &shape::NEED)?;
    let port = port(&need, "port", ports);
    let flow = positive::<Flow>(&need, "flow");
    let pressure = need.quantity::<GaugePressure>("pressure");
    Some(Need { port: port?, flow: flow?.value, pressure: pressure?.value })
}
