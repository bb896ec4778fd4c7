//! Components and their ports.

use std::collections::BTreeMap;

use super::measured::{self, Datums, Tape};
use super::path::{self, Need, Owner, Path, State, Tank};
use super::{Given, Names, not_negative, positive, shape};
use crate::document::{Placed, Section, shorten};
use crate::table::end::Gender;
use crate::units::{Length, Mass, Quantity, Volume};

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
    /// How far it moves at most in any direction, mm.
    pub moves_mm: f64,
    /// What the fluid meets between its ports.
    pub paths: Vec<Path>,
    /// States it can be in, the usual one first; none where it has only one.
    pub states: Vec<State>,
    /// What it holds, if it is a tank.
    pub tank: Option<Tank>,
    /// What it uses up.
    pub need: Option<Need>,
    /// What it weighs empty.
    pub mass: Option<Mass>,
    /// Where its mass is, and of a tank the middle of its inside, mm; none where the plan does not say.
    pub centre_mm: Option<[f64; 3]>,
    /// Liquid in it, in all its paths together; none of a tank, and where paths say it or nothing does.
    pub holds: Option<Volume>,
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
    /// Distances that were taped to it; none where it is as drawn.
    pub measured: Vec<Tape>,
}

/// What a line must mate with.
#[derive(Clone, Debug, Default)]
pub struct PortEnd {
    /// Thread and seat family, or `spigot`; empty where the plan has a fault.
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

impl Component {
    /// The mean of its ports, mm; none where it has none.
    pub fn middle_of_ports_mm(&self) -> Option<[f64; 3]> {
        let count = u32::try_from(self.ports.len()).ok().filter(|c| *c > 0)?;
        let share = 1.0 / f64::from(count);
        Some([0, 1, 2].map(|axis| self.ports.iter().map(|p| share * p.at_mm[axis]).sum()))
    }
}

impl PortEnd {
    /// Whether a hose is pushed over it.
    pub fn is_spigot(&self) -> bool {
        self.family == "spigot"
    }
}

/// Reads all `[[component]]`.
pub fn read(root: &Section<'_>, datums: &Datums<'_>, unit_mm: f64) -> Vec<Component> {
    let mut components: Vec<Component> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    let mut given = Given::new("component");
    for section in root.sections("component", &shape::COMPONENT) {
        let component = read_component(&section, datums, unit_mm);
        let Some(id) = section.id("id") else { continue };
        report_dot(&section, &id);
        if given.is_new(&section, &id) {
            places.insert(id.value.clone(), components.len());
            components.push(Component { id: id.value, ..component });
        } else if let Some(first) = places.get(&id.value).and_then(|i| components.get_mut(*i)) {
            // A second component of the name keeps its ports and states, so that what refers to
            // them is not reported.
            first.ports.extend(component.ports);
            first.states.extend(component.states);
        }
    }
    components
}

fn read_component(section: &Section<'_>, datums: &Datums<'_>, unit_mm: f64) -> Component {
    let kinds: Vec<(&str, &str)> = shape::COMPONENTS.iter().map(|k| (*k, *k)).collect();
    let kind = section.choice("kind", &kinds);
    let kind = kind.map_or_else(String::new, |k| k.value.to_owned());
    let ports: Vec<Port> = section
        .map("ports", &shape::PORT)
        .iter()
        .map(|(name, port)| read_port(name, port, datums, unit_mm))
        .collect();
    let sections = section.sections("path", &shape::PATH);
    let named = Names::new(ports.iter().map(|p| p.name.as_str()));
    let paths = path::read(&sections, &named, unit_mm);
    let need = path::read_need(section, &named);
    let tank = path::read_tank(section, &kind, unit_mm);
    let owner = Owner {
        kind: &kind,
        paths: Names::new(paths.iter().map(|p| p.name.as_str())),
        hides: section.may_hide("path"),
        has_pump: sections.iter().any(|s| s.has("pump")),
        has_thermostat: sections.iter().any(|s| s.has("opens") || s.has("shuts")),
        tank: tank.as_ref(),
        unit_mm,
    };
    let states = path::read_states(section, &owner);
    Component {
        id: String::new(),
        name: section.words("name").map(|n| n.value),
        wetted: section.names("wetted").into_iter().map(|w| w.value).collect(),
        ports,
        moves_mm: not_negative::<Length>(section, "moves").map_or(0.0, |m| m.value.si() * 1e3),
        states,
        tank,
        need,
        mass: positive::<Mass>(section, "mass").map(|m| m.value),
        centre_mm: section.point("centre").map(|c| c.value.map(|c| c * unit_mm)),
        holds: read_holds(section, &kind, &paths),
        kind,
        paths,
    }
}

/// What a component holds as a whole: a tank and paths have their own words for it.
fn read_holds(section: &Section<'_>, kind: &str, paths: &[Path]) -> Option<Volume> {
    let holds = not_negative::<Volume>(section, "holds")?;
    let other = if kind == "tank" {
        Some("what a tank holds are its capacity and volume")
    } else {
        let said = paths.iter().any(|p| p.volume.is_some());
        said.then_some("its paths say what they hold as well, which would be counted twice")
    };
    if let Some(why) = other {
        let help = vec!["take out holds, or the other".into()];
        section.reader().problem(&holds.span, why, "said twice", help);
    }
    Some(holds.value)
}

fn report_dot(section: &Section<'_>, id: &Placed<String>) {
    if id.value.contains('.') {
        section.reader().problem(
            &id.span,
            format!(
                "component \"{}\" holds a dot, which parts component and port",
                shorten(&id.value)
            ),
            "dot",
            vec![format!("for example id = \"{}\"", shorten(&id.value.replace('.', "_")))],
        );
    }
}

/// A port; what has a fault is made up, so that its line is not reported as well.
fn read_port(
    name: &Placed<String>,
    section: &Section<'_>,
    datums: &Datums<'_>,
    unit_mm: f64,
) -> Port {
    let at = section.point("at");
    let faces = section.point("faces").and_then(|f| unit_direction(section, "faces", &f));
    let end = section.section("end", &shape::PORT_END).map(|e| read_end(&e));
    let tolerance = not_negative::<Length>(section, "tolerance").map(|t| t.value);
    Port {
        name: name.value.clone(),
        at_mm: at.map_or([0.0; 3], |a| a.value.map(|c| c * unit_mm)),
        faces: faces.unwrap_or([0.0, 0.0, 1.0]),
        end: end.unwrap_or_default(),
        tolerance,
        measured: measured::read(section, datums),
    }
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

fn read_end(section: &Section<'_>) -> PortEnd {
    let length = |key: &str| positive::<Length>(section, key).map(|l| l.value);
    let end = PortEnd {
        family: section.name("family").map(|f| f.value).unwrap_or_default(),
        size: section.words("size").map(|s| s.value),
        gender: section.choice("gender", &Gender::WORDS).map(|g| g.value),
        outside: length("outside"),
        insertion: length("insertion"),
        bead: section.flag("bead"),
        bore: length("bore"),
    };
    if !end.family.is_empty() {
        report_missing(section, &end);
    }
    if let (Some(bore), Some(outside)) = (end.bore, end.outside)
        && bore.si() >= outside.si()
    {
        section.reader().problem(
            &section.place("bore"),
            "the bore of the port is not smaller than its outside",
            "no wall",
            vec!["the bore must be less than the outside diameter".into()],
        );
    }
    end
}

fn report_missing(section: &Section<'_>, end: &PortEnd) {
    let needed: &[&str] =
        if end.is_spigot() { &["outside", "insertion"] } else { &["size", "gender"] };
    for key in needed.iter().filter(|k| !section.has(k)) {
        let help = match *key {
            "outside" => "outside = \"25 mm\": the diameter the hose is pushed over",
            "insertion" => "insertion = \"30 mm\": how far the hose is pushed on",
            "size" => "size = \"-8\"",
            _ => "gender = \"male\" for a cone, \"female\" for a nut",
        };
        section.reader().absence(
            &section.header(),
            format!("a {} end needs the key \"{key}\"", end.family),
            vec![help.to_owned()],
        );
    }
}
