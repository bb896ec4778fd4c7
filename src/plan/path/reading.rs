//! Reading the paths of a component.

use super::exchanger::exchangers;
use super::inside::inside;
use super::law::law;
use super::{Holds, Path, PathLaw, Thermostat};
use crate::document::{Placed, Section, shorten};
use crate::plan::{Given, Names, not_negative, positive};
use crate::units::{Flow, GaugePressure, Power, PressureDifference, Quantity, Temperature, Volume};

/// Reads all `[[component.path]]` of a component; what has a fault is made up.
pub fn read(sections: &[Section<'_>], ports: &Names<'_>, unit_mm: f64) -> Vec<Path> {
    let mut given = Given::new("path");
    let mut paths: Vec<Path> =
        sections.iter().map(|section| read_path(section, ports, &mut given, unit_mm)).collect();
    exchangers(sections, &mut paths);
    paths
}

fn read_path(section: &Section<'_>, ports: &Names<'_>, given: &mut Given, unit_mm: f64) -> Path {
    let ends = ["from", "to"].map(|key| port(section, key, ports));
    if let [Some(from), Some(to)] = ends
        && from == to
    {
        section.reader().problem(
            &section.place("to"),
            "a path cannot lead back to the port where it begins",
            "the same port",
            vec!["name the port where the fluid leaves".into()],
        );
    }
    let opens_at = not_negative::<PressureDifference>(section, "opens_at").map(|p| p.value);
    Path {
        name: name(section, given),
        from: ends[0].unwrap_or(0),
        to: ends[1].unwrap_or(0),
        law: law(section).unwrap_or(PathLaw::Free),
        one_way: one_way(section),
        opens_at,
        holds: holds(section),
        thermostat: thermostat(section),
        heat: section.quantity::<Power>("heat").map(|h| h.value),
        exchanger: None,
        flow_least: positive::<Flow>(section, "flow_least").map(|f| f.value),
        volume: not_negative::<Volume>(section, "volume").map(|v| v.value),
        outlet_most: section.quantity::<GaugePressure>("outlet_most").map(|p| p.value),
        inlet_margin: positive::<PressureDifference>(section, "inlet_margin").map(|m| m.value),
        inside: inside(section, unit_mm),
    }
}

/// A port of the component by its name.
pub fn port(section: &Section<'_>, key: &str, ports: &Names<'_>) -> Option<usize> {
    let text = section.words(key)?;
    let found = ports.find(&text.value);
    // Without any port the component has a fault that is reported there.
    if found.is_none() && ports.known().next().is_some() {
        let message = format!("this component has no port \"{}\"", shorten(&text.value));
        section.no_such(&text, message, ports.known(), None);
    }
    found
}

/// The name of a path; empty where it cannot be read.
fn name(section: &Section<'_>, given: &mut Given) -> String {
    let name = if section.has("name") {
        section.id("name")
    } else {
        let ends = section.words("from").zip(section.words("to"));
        ends.map(|(from, to)| Placed {
            value: format!("{}-{}", from.value, to.value),
            span: section.header(),
        })
    };
    let Some(name) = name else { return String::new() };
    given.is_new(section, &name);
    name.value
}

fn one_way(section: &Section<'_>) -> bool {
    let implied = ["opens_at", "holds_before", "holds_after"].into_iter().find(|k| section.has(k));
    let flag = section.flag("one_way");
    if let (Some(false), Some(key)) = (flag, implied) {
        section.reader().problem(
            &section.place("one_way"),
            format!("a path with {key} lets fluid pass one way only"),
            format!("not with {key}"),
            vec![format!("take out one_way or {key}")],
        );
    }
    flag.unwrap_or(false) || implied.is_some()
}

fn holds(section: &Section<'_>) -> Option<Holds> {
    let before = section.quantity::<GaugePressure>("holds_before");
    let after = section.quantity::<GaugePressure>("holds_after");
    if section.has("holds_before") && section.has("holds_after") {
        section.reader().problem(
            &section.place("holds_after"),
            "a regulator holds the pressure before it or the one after it, not both",
            "one too many",
            vec!["take out holds_before or holds_after".into()],
        );
        return None;
    }
    before.map(|p| Holds::Before(p.value)).or_else(|| after.map(|p| Holds::After(p.value)))
}

fn thermostat(section: &Section<'_>) -> Option<Thermostat> {
    let opens = between(section, "opens");
    let shuts = between(section, "shuts");
    if section.has("opens") && section.has("shuts") {
        section.reader().problem(
            &section.place("shuts"),
            "a thermostat opens a path or shuts it, not both",
            "one too many",
            vec!["the path to the radiator opens, the one around it shuts".into()],
        );
        return None;
    }
    let found = |(from, to), opens| Thermostat { from, to, opens };
    opens.map(|p| found(p, true)).or_else(|| shuts.map(|p| found(p, false)))
}

/// Two rising temperatures.
fn between(section: &Section<'_>, key: &str) -> Option<(Temperature, Temperature)> {
    let written = section.array(key);
    let read = section.quantities::<Temperature>(key);
    if !section.has(key) || read.len() != written.len() {
        return None;
    }
    let help = vec![format!("for example {key} = [\"80 degC\", \"95 degC\"]")];
    let reader = section.reader();
    let [from, to] = read.as_slice() else {
        // A value that is no list has been reported.
        if section.value(key).is_some_and(|v| v.get_ref().is_array()) {
            let message = format!("{key} needs two temperatures: where it begins, where it ends");
            reader.problem(&section.place(key), message, "not two", help);
        }
        return None;
    };
    if from.value.si() >= to.value.si() {
        let message = format!("the second temperature of {key} is not above the first");
        reader.problem(&to.span, message, "not above", help);
        return None;
    }
    Some((from.value, to.value))
}
