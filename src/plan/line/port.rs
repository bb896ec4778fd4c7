//! The ports that a line connects, and whether their ends ask for a fitting.

use std::collections::BTreeMap;

use super::{Known, PortRef};
use crate::document::{Placed, Section, shorten};

/// What takes a port.
#[derive(Clone)]
pub struct Taken {
    /// In words: `line F1`.
    pub what: String,
    /// First byte of its section.
    pub by: usize,
}

/// Ports that are taken, with what takes them.
pub type Used = BTreeMap<(usize, usize), Taken>;

/// The port that a text names, which is then taken.
pub fn port_ref(
    section: &Section<'_>,
    text: &Placed<String>,
    key: &str,
    by: &Taken,
    known: &Known<'_>,
    used: &mut Used,
) -> Option<PortRef> {
    let Some((component, port)) = split_port(&text.value, known) else {
        let example = if key == "ports" {
            "ports = [\"TEE1.OUT1\", \"P1.IN\"]".to_owned()
        } else {
            format!("{key} = \"TANK.OUT\"")
        };
        section.reader().problem(
            &text.span,
            format!("{key} is not COMPONENT.PORT"),
            "no dot",
            vec![format!("for example {example}")],
        );
        return None;
    };
    let Some(reference) = known.ports.get(&(component, port)).copied() else {
        unknown_port(section, text, [component, port], known);
        return None;
    };
    let place = (reference.component, reference.port);
    if let Some(other) = used.get(&place) {
        let (message, label, help) = if other.by == by.by {
            let message = if key == "ports" {
                "a port cannot be joined with itself"
            } else {
                "a line cannot end at the port where it begins"
            };
            (message.to_owned(), "the same port", "name the port at the other end")
        } else {
            let message = format!("port {component}.{port} is taken by {} already", other.what);
            let help = "one port takes one line; a tee is a component with three ports";
            (message, "taken", help)
        };
        section.reader().problem(&text.span, message, label, vec![help.into()]);
    }
    used.insert(place, by.clone());
    Some(reference)
}

/// Component and port; the ids of components hold no dot, unless the plan has that fault.
fn split_port<'t>(text: &'t str, known: &Known<'_>) -> Option<(&'t str, &'t str)> {
    let dots = text.match_indices('.').map(|(at, _)| at);
    let parts = |at: usize| Some((text.get(..at)?, text.get(at + 1..)?));
    let found = dots.clone().filter_map(parts).find(|(id, _)| known.ids.contains(id));
    found.or_else(|| text.split_once('.'))
}

fn unknown_port(
    section: &Section<'_>,
    text: &Placed<String>,
    [component, port]: [&str; 2],
    known: &Known<'_>,
) {
    if !known.ids.contains(component) {
        if !known.may_name("component") {
            let message = format!("component \"{}\" is not known", shorten(component));
            let wanted = Placed { value: component.to_owned(), span: text.span.clone() };
            section.no_such(&wanted, message, known.ids.iter().copied(), None);
        }
        return;
    }
    let owner = known.components.iter().find(|c| c.id == component);
    let ports = owner.map(|c| c.ports.as_slice()).unwrap_or_default();
    // Without any port the component has a fault that is reported there.
    if !ports.is_empty() {
        let message = format!("component {} has no port \"{}\"", shorten(component), shorten(port));
        let wanted = Placed { value: port.to_owned(), span: text.span.clone() };
        section.no_such(&wanted, message, ports.iter().map(|p| p.name.as_str()), None);
    }
}

/// A threaded port needs an end fitting; a spigot takes the bare hose.
pub fn report_missing_ends(section: &Section<'_>, known: &Known<'_>, ports: [Option<PortRef>; 2]) {
    for (key, port) in ["end_a", "end_b"].into_iter().zip(ports) {
        let Some(reference) = port else { continue };
        let component = &known.components[reference.component];
        let port = &component.ports[reference.port];
        let name = format!("{}.{}", component.id, port.name);
        // A port whose own end has a fault says nothing about the line.
        if port.end.family.is_empty() {
            continue;
        }
        if !port.end.is_spigot() && !section.has(key) {
            section.reader().absence(
                &section.header(),
                format!(
                    "port {name} has a {} end, so the line needs the key \"{key}\"",
                    port.end.family
                ),
                vec!["name an end table or an [[end]] of the plan".into()],
            );
        }
        if port.end.is_spigot() && section.has(key) {
            section.reader().problem(
                &section.place(key),
                format!(
                    "port {name} is a spigot: the bare hose is pushed on, but {key} names a fitting"
                ),
                "no fitting here",
                vec![format!("take out {key}")],
            );
        }
    }
}
