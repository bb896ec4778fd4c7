//! The ports that a line connects, and whether their ends ask for a fitting.

use super::{Known, PortRef, Used};
use crate::document::{Placed, Section, shorten};

pub fn port_ref(
    section: &Section<'_>,
    key: &str,
    line: &str,
    known: &Known<'_>,
    used: &mut Used,
) -> Option<PortRef> {
    let text = section.words(key)?;
    let Some((component, port)) = split_port(&text.value, known) else {
        section.reader().problem(
            &text.span,
            format!("{key} is not COMPONENT.PORT"),
            "no dot",
            vec![format!("for example {key} = \"TANK.OUT\"")],
        );
        return None;
    };
    let Some(reference) = known.ports.get(&(component, port)).copied() else {
        unknown_port(section, &text, [component, port], known);
        return None;
    };
    let place = section.span.start;
    let taken = used.insert((reference.component, reference.port), (line.to_owned(), place));
    if let Some((other, its_place)) = taken {
        if its_place == place {
            let help = vec!["name the port at the other end".into()];
            let message = "a line cannot end at the port where it begins";
            section.reader().problem(&text.span, message, "the same port", help);
            return Some(reference);
        }
        let other = if other.is_empty() { "another line".into() } else { shorten(&other) };
        section.reader().problem(
            &text.span,
            format!("port {component}.{port} is taken by line {other} already"),
            "taken",
            vec!["one port takes one line; a tee is a component with three ports".into()],
        );
    }
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
