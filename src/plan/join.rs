//! Ports that are screwed together without a line.

use super::line::{Known, PortRef, Taken, Used, port_ref};
use super::path::Join;
use super::shape;
use crate::document::Section;

/// Reads all `[[join]]`; `used` are the ports that have a line.
pub fn read(root: &Section<'_>, known: &Known<'_>, used: &mut Used) -> Vec<Join> {
    let sections = root.sections("join", &shape::JOIN);
    sections.iter().filter_map(|section| read_join(section, known, used)).collect()
}

fn read_join(section: &Section<'_>, known: &Known<'_>, used: &mut Used) -> Option<Join> {
    let ports = section.names("ports");
    let written = section.array("ports").len();
    let is_list = section.value("ports").is_some_and(|v| v.get_ref().is_array());
    if is_list && written != 2 {
        section.reader().problem(
            &section.place("ports"),
            format!("a join has two ports, and this one has {written}"),
            "not two",
            vec!["for example ports = [\"TEE1.OUT1\", \"P1.IN\"]".into()],
        );
        return None;
    }
    let by = Taken { what: "a join".into(), by: section.span.start };
    let found: Vec<Option<PortRef>> =
        ports.iter().map(|text| port_ref(section, text, "ports", &by, known, used)).collect();
    match found.as_slice() {
        [Some(a), Some(b)] => Some(Join { ports: [*a, *b] }),
        _ => None,
    }
}
