//! Components and their ports.

use super::{not_negative, positive, report_twice, shape};
use crate::document::{Placed, Section};
use crate::table::end::Gender;
use crate::units::{Length, Quantity};

/// Something the lines connect.
#[derive(Clone, Debug)]
pub struct Component {
    /// Short name.
    pub id: String,
    /// Full name.
    pub name: Option<String>,
    /// What it is.
    pub kind: String,
    /// Materials that touch the fluid.
    pub wetted: Vec<String>,
    /// Where lines connect.
    pub ports: Vec<Port>,
}

/// A place where a line connects.
#[derive(Clone, Debug)]
pub struct Port {
    /// Its name.
    pub name: String,
    /// The seat, mm.
    pub at_mm: [f64; 3],
    /// Unit direction out of the port.
    pub faces: [f64; 3],
    /// What a line must mate with.
    pub end: PortEnd,
    /// How well the place is known.
    pub tolerance: Option<Length>,
}

/// What a line must mate with.
#[derive(Clone, Debug)]
pub struct PortEnd {
    /// Thread and seat family, or `spigot`.
    pub family: String,
    /// Size as the family counts it.
    pub size: Option<String>,
    /// Nut or cone.
    pub gender: Option<Gender>,
    /// Spigot: outside diameter.
    pub outside: Option<Length>,
    /// Spigot: how far the hose goes over it.
    pub insertion: Option<Length>,
    /// Spigot: whether it has a bead.
    pub bead: Option<bool>,
    /// Least bore.
    pub bore: Option<Length>,
}

impl PortEnd {
    /// Whether a hose is pushed over it.
    pub fn is_spigot(&self) -> bool {
        self.family == "spigot"
    }
}

/// Reads all `[[component]]`.
pub fn read(root: &Section<'_>, unit_mm: f64) -> Vec<Component> {
    let mut components: Vec<Component> = Vec::new();
    for section in root.sections("component", &shape::COMPONENT) {
        let kinds: Vec<(&str, &str)> = shape::COMPONENTS.iter().map(|k| (*k, *k)).collect();
        let kind = section.choice("kind", &kinds);
        let ports = section
            .map("ports", &shape::PORT)
            .into_iter()
            .filter_map(|(name, port)| read_port(&name, &port, unit_mm))
            .collect();
        let wetted = section.names("wetted").into_iter().map(|w| w.value).collect();
        let name = section.words("name").map(|n| n.value);
        let Some(id) = section.name("id") else {
            continue;
        };
        if id.value.contains('.') {
            section.reader().problem(
                &id.span,
                format!("component \"{}\" holds a dot, which parts component and port", id.value),
                "dot",
                vec![format!("for example id = \"{}\"", id.value.replace('.', "_"))],
            );
        }
        if components.iter().any(|c| c.id == id.value) {
            report_twice(&section, "component", &id);
            continue;
        }
        let kind = kind.map_or(String::new(), |k| k.value.to_owned());
        components.push(Component { id: id.value, name, kind, wetted, ports });
    }
    components
}

fn read_port(name: &Placed<String>, section: &Section<'_>, unit_mm: f64) -> Option<Port> {
    let at = section.point("at");
    let faces = section.point("faces").and_then(|f| unit_direction(section, "faces", &f));
    let end = section.section("end", &shape::PORT_END).and_then(|e| read_end(&e));
    let tolerance = not_negative::<Length>(section, "tolerance").map(|t| t.value);
    Some(Port {
        name: name.value.clone(),
        at_mm: at?.value.map(|c| c * unit_mm),
        faces: faces?,
        end: end?,
        tolerance,
    })
}

/// A direction of any length as a unit direction.
pub fn unit_direction(
    section: &Section<'_>,
    key: &str,
    written: &Placed<[f64; 3]>,
) -> Option<[f64; 3]> {
    let [x, y, z] = written.value;
    let length = (x * x + y * y + z * z).sqrt();
    if length > 1e-9 {
        return Some([x / length, y / length, z / length]);
    }
    section.reader().problem(
        &written.span,
        format!("{key} has no direction"),
        "all zero",
        vec![format!("for example {key} = [0, 0, 1]")],
    );
    None
}

fn read_end(section: &Section<'_>) -> Option<PortEnd> {
    let family = section.name("family")?;
    let length = |key: &str| positive::<Length>(section, key).map(|l| l.value);
    let end = PortEnd {
        size: section.words("size").map(|s| s.value),
        gender: section.choice("gender", &Gender::WORDS).map(|g| g.value),
        outside: length("outside"),
        insertion: length("insertion"),
        bead: section.flag("bead"),
        bore: length("bore"),
        family: family.value,
    };
    let needed: &[&str] =
        if end.is_spigot() { &["outside", "insertion"] } else { &["size", "gender"] };
    for key in needed.iter().filter(|k| !section.has(k)) {
        section.reader().absence(
            &section.span,
            format!("a {} end needs the key \"{key}\"", end.family),
            vec![match *key {
                "outside" => "outside = \"25 mm\": the diameter the hose is pushed over".into(),
                "insertion" => "insertion = \"30 mm\": how far the hose is pushed on".into(),
                "size" => "size = \"-8\"".into(),
                _ => "gender = \"male\" for a cone, \"female\" for a nut".into(),
            }],
        );
    }
    if let (Some(bore), Some(outside)) = (end.bore, end.outside)
        && bore.si() >= outside.si()
    {
        section.reader().problem(
            &section.span,
            "the bore of the port is not smaller than its outside",
            "no wall",
            Vec::new(),
        );
    }
    Some(end)
}
