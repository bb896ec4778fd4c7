//! Lines: hose or tube, its ends, its route and what it must do.

use std::collections::{BTreeMap, BTreeSet};

use super::component::{Component, unit_direction};
use super::fluid::NamedFluid;
use super::{Case, Given, not_negative, positive, shape};
use crate::document::{self, Placed, Section, shorten};
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::end::End;
use crate::table::hose::Hose;
use crate::table::material::{Material, TubeSize};
use toml::Spanned;
use toml::de::DeValue;

use crate::units::{
    Flow, FlowCoefficient, GaugePressure, Length, PressureDifference, Quantity, Ratio, Temperature,
    Time, Velocity,
};

/// What a line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Service {
    /// To the inlet of a pump.
    Suction,
    /// From a pump.
    Pressure,
    /// Back to a tank.
    Return,
    /// By height alone.
    Gravity,
    /// Air or vapour.
    Vent,
    /// Filling a tank.
    Fill,
    /// Emptying.
    Drain,
    /// Overflow.
    Overflow,
    /// To a gauge: no flow.
    Gauge,
}

impl Service {
    const WORDS: [(&'static str, Self); 9] = [
        ("suction", Self::Suction),
        ("pressure", Self::Pressure),
        ("return", Self::Return),
        ("gravity", Self::Gravity),
        ("vent", Self::Vent),
        ("fill", Self::Fill),
        ("drain", Self::Drain),
        ("overflow", Self::Overflow),
        ("gauge", Self::Gauge),
    ];

    /// The word of the plan.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, s)| *s == self).map_or("", |(w, _)| w)
    }
}

/// Where a line runs, for the fire rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// Engine space.
    Engine,
    /// With people.
    Cabin,
    /// Neither.
    Open,
}

/// A port by its place in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PortRef {
    /// Index of the component.
    pub component: usize,
    /// Index of its port.
    pub port: usize,
}

/// A rigid tube.
#[derive(Clone, Debug)]
pub struct Tube {
    /// What the order list says.
    pub label: String,
    /// Name of the material.
    pub material: String,
    /// Its strength and weight.
    pub strength: Material,
    /// Outside diameter.
    pub outside: Sourced<Length>,
    /// Wall.
    pub wall: Sourced<Length>,
    /// Share of the wall that may be missing.
    pub wall_tolerance: Option<Sourced<f64>>,
    /// Least bend radius to the centre line.
    pub bend_radius: Option<Sourced<Length>>,
    /// Least bore after an end has been formed.
    pub end_bore: Option<Sourced<Length>>,
    /// Row of the roughness table.
    pub surface: Option<Sourced<String>>,
}

/// Hose or tube.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "a plan has few lines, and hoses are the usual case")]
pub enum Carrier {
    /// A flexible hose.
    Hose(Hose),
    /// A rigid tube.
    Tube(Tube),
}

impl Carrier {
    /// What the cut list and the order list call it.
    pub fn label(&self) -> &str {
        match self {
            Self::Hose(hose) => &hose.label,
            Self::Tube(tube) => &tube.label,
        }
    }
}

/// A corner of the route.
#[derive(Clone, Debug)]
pub struct Clip {
    /// Where, mm.
    pub at_mm: [f64; 3],
    /// Whether a clip holds the line there.
    pub held: bool,
    /// Whether air can be let out there.
    pub bleed: bool,
    /// Whether fluid can be let out there.
    pub drain: bool,
}

/// A sleeve, from end A along the line.
#[derive(Clone, Debug)]
pub struct Sleeve {
    /// What it protects from: chafe, heat or fire.
    pub kind: &'static str,
    /// Start, mm.
    pub start_mm: f64,
    /// End, mm.
    pub end_mm: f64,
}

/// How an extra resistance acts.
#[derive(Clone, Copy, Debug)]
pub enum LossLaw {
    /// Loss coefficient on a bore.
    Coefficient {
        /// The coefficient.
        k: f64,
        /// The bore it belongs to.
        bore: Length,
    },
    /// Flow coefficient.
    Valve(FlowCoefficient),
    /// A measured drop at a flow.
    Measured {
        /// The drop.
        drop: PressureDifference,
        /// Its flow.
        at: Flow,
        /// Whether it grows with the flow, or with its square.
        linear: bool,
    },
}

/// An extra resistance.
#[derive(Clone, Debug)]
pub struct Loss {
    /// What it is.
    pub what: String,
    /// How it acts.
    pub law: LossLaw,
    /// Whether it sits at end B; at end A otherwise, where it lowers the whole line.
    pub at_b: bool,
}

/// Where a pressure is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Anchor {
    /// At end A.
    From(GaugePressure),
    /// At end B.
    To(GaugePressure),
    /// Nowhere.
    None,
}

/// What a line must do in a case.
#[derive(Clone, Debug)]
pub struct Duty {
    /// Index of the case; every case when absent.
    pub case: Option<usize>,
    /// Flow from A to B.
    pub flow: Flow,
    /// Temperature of the fluid.
    pub temperature: Temperature,
    /// The stated pressure.
    pub anchor: Anchor,
    /// Highest pressure it can see.
    pub pressure_max: Option<GaugePressure>,
}

/// A line of the plan.
#[derive(Clone, Debug)]
pub struct Line {
    /// Short name.
    pub id: String,
    /// Full name.
    pub name: Option<String>,
    /// System it belongs to.
    pub system: String,
    /// Index of its fluid.
    pub fluid: usize,
    /// What it is for.
    pub service: Service,
    /// Port at end A.
    pub from: PortRef,
    /// Port at end B.
    pub to: PortRef,
    /// Hose or tube.
    pub carrier: Carrier,
    /// End fittings at A and B; none where a hose is pushed over a spigot.
    pub ends: [Option<End>; 2],
    /// Wished directions of angled ends.
    pub aims: [Option<[f64; 3]>; 2],
    /// Bend radius to the centre line, mm.
    pub bend_radius_mm: Option<f64>,
    /// Corners of the route.
    pub clips: Vec<Clip>,
    /// Slack as a share of the assembly.
    pub slack: Option<f64>,
    /// Where it runs.
    pub zone: Option<Zone>,
    /// Sleeves.
    pub sleeves: Vec<Sleeve>,
    /// Extra resistances.
    pub losses: Vec<Loss>,
    /// Duties.
    pub duties: Vec<Duty>,
    /// The builder's limit of velocity.
    pub velocity_limit: Option<Velocity>,
    /// Greatest pressure drop allowed.
    pub drop_limit: Option<PressureDifference>,
    /// A valve can stop the flow within this time.
    pub closing_time: Option<Time>,
    /// Whether a gauge line has a restrictor.
    pub snubber: Option<bool>,
    /// Whether no spare needs to be ordered.
    pub lead_time_short: bool,
    /// Anything worth telling.
    pub note: Option<String>,
}

/// What the plan names besides components and cases.
pub struct Named<'k> {
    /// Fluids of the plan.
    pub fluids: &'k [Placed<NamedFluid>],
    /// Own hoses.
    pub hoses: &'k [Hose],
    /// Own ends.
    pub ends: &'k [(String, End)],
}

/// What the lines may refer to.
pub struct Known<'k> {
    tables: &'k Tables,
    components: &'k [Component],
    fluids: BTreeMap<&'k str, usize>,
    hoses: BTreeMap<&'k str, &'k Hose>,
    ends: BTreeMap<&'k str, &'k End>,
    ids: BTreeSet<&'k str>,
    ports: BTreeMap<(&'k str, &'k str), PortRef>,
    cases: BTreeMap<&'k str, usize>,
    /// Kinds of section of which one has no name that can be read.
    nameless: Vec<&'static str>,
    unit_mm: f64,
}

impl<'k> Known<'k> {
    /// Gathers the names; with `unit_mm` millimetres in the plan's length unit.
    pub fn new(
        root: &Section<'_>,
        tables: &'k Tables,
        named: Named<'k>,
        components: &'k [Component],
        cases: &'k [Case],
        unit_mm: f64,
    ) -> Self {
        let fluids = named.fluids.iter().map(|f| f.value.id.as_str());
        let lists =
            [("fluid", "id"), ("hose", "id"), ("end", "id"), ("component", "id"), ("case", "name")];
        Self {
            tables,
            components,
            fluids: fluids.enumerate().map(|(i, id)| (id, i)).collect(),
            hoses: named.hoses.iter().map(|h| (h.label.as_str(), h)).collect(),
            ends: named.ends.iter().map(|(id, end)| (id.as_str(), end)).collect(),
            ids: components.iter().map(|c| c.id.as_str()).collect(),
            ports: all_ports(components),
            cases: cases.iter().enumerate().map(|(i, c)| (c.name.as_str(), i)).collect(),
            nameless: lists
                .into_iter()
                .filter(|(list, key)| root.has_nameless(list, key))
                .map(|(list, _)| list)
                .collect(),
            unit_mm,
        }
    }

    /// Whether an unknown name may be that of a section whose own name cannot be read.
    fn may_name(&self, list: &str) -> bool {
        self.nameless.contains(&list)
    }
}

fn all_ports(components: &[Component]) -> BTreeMap<(&str, &str), PortRef> {
    let mut all = BTreeMap::new();
    for (component, c) in components.iter().enumerate() {
        for (port, p) in c.ports.iter().enumerate() {
            all.insert((c.id.as_str(), p.name.as_str()), PortRef { component, port });
        }
    }
    all
}

/// Ports that have a line, with its name and place.
type Used = BTreeMap<(usize, usize), (String, usize)>;

/// Reads all `[[line]]`.
pub fn read(root: &Section<'_>, known: &Known<'_>) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut used: Used = BTreeMap::new();
    let mut given = Given::new("line");
    for section in root.sections("line", &shape::LINE) {
        if let Some(id) = section.id("id") {
            given.is_new(&section, &id);
        }
        let line = read_line(&section, known, &mut used);
        lines.extend(line);
    }
    lines
}

fn read_line(section: &Section<'_>, known: &Known<'_>, used: &mut Used) -> Option<Line> {
    // Everything is read before the first `?`, so that one fault does not hide the next.
    let id = section.id("id");
    let name = section.words("name");
    let system = section.words("system");
    let fluid = fluid_index(section, known);
    let service = section.choice("service", &Service::WORDS);
    let label = id.as_ref().map_or("", |i| i.value.as_str());
    let from = port_ref(section, "from", label, known, used);
    let to = port_ref(section, "to", label, known, used);
    let carrier = carrier(section, known);
    let sized = !size_is_at_fault(section, known, carrier.is_some());
    let ends = ["end_a", "end_b"].map(|key| end(section, key, known, sized));
    report_missing_ends(section, known, [from, to]);
    let aims = [aim(section, "aim_a"), aim(section, "aim_b")];
    let zones = [("engine", Zone::Engine), ("cabin", Zone::Cabin), ("open", Zone::Open)];
    let optional = Line {
        id: String::new(),
        name: name.map(|n| n.value),
        system: String::new(),
        fluid: 0,
        service: Service::Pressure,
        from: PortRef { component: 0, port: 0 },
        to: PortRef { component: 0, port: 0 },
        ends,
        aims,
        bend_radius_mm: positive::<Length>(section, "bend_radius").map(|r| r.value.si() * 1e3),
        clips: clips(section, known.unit_mm),
        slack: slack(section),
        zone: section.choice("zone", &zones).map(|z| z.value),
        sleeves: sleeves(section),
        losses: section.sections("losses", &shape::LOSS).iter().filter_map(loss).collect(),
        duties: duties(section, known),
        velocity_limit: positive::<Velocity>(section, "velocity_limit").map(|v| v.value),
        drop_limit: positive::<PressureDifference>(section, "drop_limit").map(|d| d.value),
        closing_time: positive::<Time>(section, "closing_time").map(|t| t.value),
        snubber: section.flag("snubber"),
        lead_time_short: section.flag("lead_time_short").unwrap_or(false),
        note: section.words("note").map(|n| n.value),
        // Last, since the values are read in the order they stand in here.
        carrier: carrier?,
    };
    Some(Line {
        id: id?.value,
        system: system?.value,
        fluid: fluid?,
        service: service?.value,
        from: from?,
        to: to?,
        ..optional
    })
}

fn fluid_index(section: &Section<'_>, known: &Known<'_>) -> Option<usize> {
    let name = section.name("fluid")?;
    let index = known.fluids.get(name.value.as_str()).copied();
    if index.is_none() && !known.may_name("fluid") {
        section.unknown(&name, "fluid", known.fluids.keys().copied());
    }
    index
}

fn port_ref(
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
            let message = format!("there is no component \"{}\"", shorten(component));
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

fn carrier(section: &Section<'_>, known: &Known<'_>) -> Option<Carrier> {
    match (section.has("hose"), section.has("tube")) {
        (true, false) => hose(section, known).map(Carrier::Hose),
        (false, true) => tube(section, known).map(Carrier::Tube),
        (true, true) => {
            section.reader().problem(
                &section.place("tube"),
                "a line is a hose or a tube, not both",
                "one too many",
                vec!["take out hose or tube".into()],
            );
            None
        }
        (false, false) => {
            section.reader().absence(
                &section.header(),
                "[[line]] needs the key \"hose\" or \"tube\"",
                vec!["hose = \"mil-h-8794\" and size = \"-8\", for example".into()],
            );
            None
        }
    }
}

fn hose(section: &Section<'_>, known: &Known<'_>) -> Option<Hose> {
    let name = section.name("hose")?;
    if let Some(own) = known.hoses.get(name.value.as_str()) {
        return Some((*own).clone());
    }
    let Some(table) = known.tables.get("hose", &name.value) else {
        let own = known.hoses.keys().copied();
        let names: Vec<&str> = own.chain(known.tables.names("hose")).collect();
        if !known.may_name("hose") {
            unknown_table(section, &name, "hose", &names);
        }
        return None;
    };
    let size = size_of(section, &name.value)?;
    let hose = Hose::from_table(table, &size.value);
    if hose.is_none() {
        unknown_size(section, &size, &format!("hose {}", name.value), table);
    }
    hose
}

/// A hose, tube or end that neither the plan nor a table knows.
fn unknown_table(section: &Section<'_>, name: &Placed<String>, kind: &str, names: &[&str]) {
    let message = format!("there is no {kind} \"{}\"", shorten(&name.value));
    let list = format!(
        "`hosewright tables {kind}` lists the tables; what is in none is described in the plan"
    );
    section.no_such(name, message, names.iter().copied(), Some(&list));
}

fn unknown_size(
    section: &Section<'_>,
    size: &Placed<String>,
    what: &str,
    table: &crate::table::TableFile,
) {
    let message = format!("{what} has no size \"{}\"", shorten(&size.value));
    let known = sizes(table);
    section.no_such(size, message, known.iter().map(String::as_str), None);
}

fn size_of(section: &Section<'_>, table: &str) -> Option<Placed<String>> {
    let size = section.words("size");
    if !section.has("size") {
        section.reader().absence(
            &section.header(),
            format!("{table} is a table with several sizes; the line needs the key \"size\""),
            vec!["for example size = \"-8\"".into()],
        );
    }
    size
}

fn sizes(table: &crate::table::TableFile) -> Vec<String> {
    table.rows.iter().filter_map(|r| r.cells.get("size")).map(crate::table::Cell::to_text).collect()
}

fn tube(section: &Section<'_>, known: &Known<'_>) -> Option<Tube> {
    let name = section.name("tube")?;
    let materials = Material::names(known.tables);
    if materials.contains(&name.value) {
        return tube_by_material(section, known, &name.value);
    }
    let Some(table) = known.tables.get("tube", &name.value) else {
        let tables = known.tables.names("tube");
        let names: Vec<&str> = materials.iter().map(String::as_str).chain(tables).collect();
        let message = format!("there is no tube or material \"{}\"", shorten(&name.value));
        let list = "`hosewright tables tube` and `hosewright tables material` list them";
        section.no_such(&name, message, names.into_iter(), Some(list));
        return None;
    };
    let size = size_of(section, &name.value)?;
    let Some(row) = TubeSize::from_table(table, &size.value) else {
        unknown_size(section, &size, &format!("tube {}", name.value), table);
        return None;
    };
    let said = table.fact_words("material").map(|m| m.value);
    let written = section.name("material");
    let place = written.clone().unwrap_or_else(|| name.clone());
    let Some(material) = written.map(|m| m.value).or(said) else {
        section.reader().absence(
            &section.header(),
            format!("tube table {} does not say the material", name.value),
            vec![format!("material = one of {}", materials.join(", "))],
        );
        return None;
    };
    let strength = strength(section, known, &material, &place)?;
    Some(Tube {
        label: format!("{} {}", name.value, size.value),
        material,
        outside: row.outside,
        wall: row.wall,
        bend_radius: row.bend_radius,
        end_bore: row.end_bore,
        wall_tolerance: table
            .fact_quantity::<Ratio>("wall_tolerance")
            .map(|r| r.map(Quantity::si))
            .or_else(|| strength.wall_tolerance.clone()),
        surface: table.fact_words("roughness"),
        strength,
    })
}

fn strength(
    section: &Section<'_>,
    known: &Known<'_>,
    material: &str,
    place: &Placed<String>,
) -> Option<Material> {
    let strength = Material::from_tables(known.tables, material);
    if strength.is_none() {
        let named = Placed { value: material.to_owned(), span: place.span.clone() };
        let materials = Material::names(known.tables);
        section.unknown(&named, "tube material", materials.iter().map(String::as_str));
    }
    strength
}

fn tube_by_material(section: &Section<'_>, known: &Known<'_>, material: &str) -> Option<Tube> {
    for key in ["outside", "wall"].iter().filter(|k| !section.has(k)) {
        section.reader().absence(
            &section.header(),
            format!("a tube by material needs the key \"{key}\""),
            vec![format!(
                "for example {key} = \"{}\"",
                if *key == "wall" { "1 mm" } else { "10 mm" }
            )],
        );
    }
    let outside = positive::<Length>(section, "outside");
    let wall = positive::<Length>(section, "wall");
    let strength = Material::from_tables(known.tables, material)?;
    let (outside, wall) = (outside?, wall?);
    if 2.0 * wall.value.si() >= outside.value.si() {
        section.reader().problem(
            &wall.span,
            "the wall leaves no bore",
            "too thick",
            vec!["the wall must be less than half the outside diameter".into()],
        );
        return None;
    }
    let cite = crate::source::Cite::plan("tube dimensions");
    let raw = |key: &str| section.words(key).map(|w| w.value).unwrap_or_default();
    Some(Tube {
        label: format!("{material} {} x {}", raw("outside"), raw("wall")),
        material: material.to_owned(),
        outside: Sourced::new(outside.value, cite.clone()),
        wall: Sourced::new(wall.value, cite.clone()),
        bend_radius: None,
        end_bore: None,
        wall_tolerance: strength.wall_tolerance.clone(),
        // The strengths of the material table are those of drawn tube.
        surface: Some(Sourced::new("drawn tube".to_owned(), cite)),
        strength,
    })
}

/// Whether the size of the line is missing or in no table, which is reported for the hose or tube.
fn size_is_at_fault(section: &Section<'_>, known: &Known<'_>, carrier_read: bool) -> bool {
    let in_table = |key: &str| {
        let table = section.has(key).then(|| section.name(key)).flatten();
        table.is_some_and(|name| known.tables.get(key, &name.value).is_some())
    };
    let faulty = section.has("size") && section.words("size").is_none();
    faulty || (!carrier_read && (in_table("hose") || in_table("tube")))
}

/// An end by `"table"`, `"table size"` or the id of an own end; `sized` unless the line's own size
/// has a fault already.
fn end(section: &Section<'_>, key: &str, known: &Known<'_>, sized: bool) -> Option<End> {
    let text = section.words(key)?;
    if let Some(own) = known.ends.get(text.value.as_str()) {
        return Some((*own).clone());
    }
    let (name, written) = match text.value.trim().split_once(' ') {
        Some((name, size)) => (name.to_owned(), Some(size.trim().to_owned())),
        None => (text.value.trim().to_owned(), None),
    };
    let place = |value: &str| Placed { value: value.to_owned(), span: text.span.clone() };
    let Some(table) = known.tables.get("end", &name) else {
        let own = known.ends.keys().copied();
        let names: Vec<&str> = own.chain(known.tables.names("end")).collect();
        if !known.may_name("end") {
            unknown_table(section, &place(&name), "end", &names);
        }
        return None;
    };
    let inherited = written.is_none();
    let Some(size) = written.or_else(|| section.words("size").map(|s| s.value)) else {
        if sized {
            let message = format!("end {name} needs a size, and the line has none");
            let help = vec![format!("for example {key} = \"{name} -8\"")];
            section.reader().problem(&text.span, message, "which size?", help);
        }
        return None;
    };
    let end = End::from_table(table, &size);
    if end.is_none() && (sized || !inherited) {
        unknown_size(section, &place(&size), &format!("end {name}"), table);
    }
    end
}

/// A threaded port needs an end fitting; a spigot takes the bare hose.
fn report_missing_ends(section: &Section<'_>, known: &Known<'_>, ports: [Option<PortRef>; 2]) {
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

fn aim(section: &Section<'_>, key: &str) -> Option<[f64; 3]> {
    let written = section.point(key)?;
    unit_direction(section, key, &written)
}

fn clips(section: &Section<'_>, unit_mm: f64) -> Vec<Clip> {
    let items = section.array("clips");
    if !items.is_empty() && items.iter().all(|i| document::number(i.get_ref()).is_some()) {
        section.reader().problem(
            &section.place("clips"),
            "clips is a list of points, and this is a single point",
            "one point",
            vec![
                "each point has its own brackets: clips = [[330, 0, 380], [650, -80, 320]]".into(),
            ],
        );
        return Vec::new();
    }
    items.into_iter().filter_map(|item| clip(section, item, unit_mm)).collect()
}

fn clip(section: &Section<'_>, item: &Spanned<DeValue<'_>>, unit_mm: f64) -> Option<Clip> {
    let Some(table) = item.get_ref().as_table() else {
        let at = document::point(section.reader(), "a clip", item)?;
        let at_mm = at.value.map(|c| c * unit_mm);
        return Some(Clip { at_mm, held: true, bleed: false, drain: false });
    };
    let clip = Section::new(section.reader(), &shape::CLIP, table, item.span());
    let flag = |key: &str, absent: bool| clip.flag(key).unwrap_or(absent);
    let (held, bleed, drain) = (flag("held", true), flag("bleed", false), flag("drain", false));
    let at_mm = clip.point("at")?.value.map(|c| c * unit_mm);
    Some(Clip { at_mm, held, bleed, drain })
}

fn slack(section: &Section<'_>) -> Option<f64> {
    let slack = not_negative::<Ratio>(section, "slack")?;
    if slack.value.si() > 0.5 {
        let message = "slack is more than half of the assembly";
        section.reader().problem(&slack.span, message, "too much", vec!["slack = \"5 %\"".into()]);
        return None;
    }
    Some(slack.value.si())
}

fn sleeves(section: &Section<'_>) -> Vec<Sleeve> {
    let kinds = [("chafe", "chafe"), ("heat", "heat"), ("fire", "fire")];
    let mut sleeves = Vec::new();
    for sleeve in section.sections("sleeves", &shape::SLEEVE) {
        let kind = sleeve.choice("kind", &kinds);
        let start = not_negative::<Length>(&sleeve, "start");
        let end = positive::<Length>(&sleeve, "end");
        let (Some(kind), Some(start), Some(end)) = (kind, start, end) else {
            continue;
        };
        let (start_mm, end_mm) = (start.value.si() * 1e3, end.value.si() * 1e3);
        if end_mm <= start_mm {
            let message = "the sleeve ends before it starts";
            section.reader().problem(
                &end.span,
                message,
                "not after start",
                vec!["both count from end A".into()],
            );
        }
        sleeves.push(Sleeve { kind: kind.value, start_mm, end_mm });
    }
    sleeves
}

fn loss(section: &Section<'_>) -> Option<Loss> {
    let what = section.words("what");
    let at_b = section.choice("at", &[("A", false), ("B", true)]).is_some_and(|e| e.value);
    Some(Loss { law: loss_law(section)?, what: what?.value, at_b })
}

fn loss_law(section: &Section<'_>) -> Option<LossLaw> {
    let k = section.number("k");
    let bore = positive::<Length>(section, "bore");
    let kv = positive::<FlowCoefficient>(section, "kv");
    let drop = positive::<PressureDifference>(section, "drop");
    let at = positive::<Flow>(section, "at_flow");
    let linear = section.choice("law", &[("linear", true), ("square", false)]);
    let keys = ["k", "bore", "kv", "drop", "at_flow", "law"];
    let written: Vec<&str> = keys.into_iter().filter(|key| section.has(key)).collect();
    match written.as_slice() {
        ["k", "bore"] => {
            Some(LossLaw::Coefficient { k: coefficient(section, &k?)?, bore: bore?.value })
        }
        ["kv"] => Some(LossLaw::Valve(kv?.value)),
        ["drop", "at_flow", "law"] => {
            Some(LossLaw::Measured { drop: drop?.value, at: at?.value, linear: linear?.value })
        }
        _ => {
            section.reader().absence(
                &section.header(),
                "a loss has k and bore, or kv, or drop with at_flow and law",
                vec!["for example { what = \"filter\", drop = \"2.5 kPa\", at_flow = \"1 L/min\", law = \"linear\" }".into()],
            );
            None
        }
    }
}

fn coefficient(section: &Section<'_>, k: &Placed<f64>) -> Option<f64> {
    if k.value < 0.0 {
        let help = vec!["a resistance takes pressure away: k is 0 or more".into()];
        section.reader().problem(&k.span, "k must not be negative", "negative", help);
        return None;
    }
    Some(k.value)
}

fn duties(section: &Section<'_>, known: &Known<'_>) -> Vec<Duty> {
    let mut given: BTreeSet<Option<usize>> = BTreeSet::new();
    let mut duties: Vec<Duty> = Vec::new();
    for duty in section.sections("duty", &shape::DUTY) {
        let (case, known_case) = case_index(&duty, known);
        let flow = not_negative::<Flow>(&duty, "flow");
        let temperature = positive::<Temperature>(&duty, "temperature");
        let from = duty.quantity::<GaugePressure>("pressure_from");
        let to = duty.quantity::<GaugePressure>("pressure_to");
        let max = duty.quantity::<GaugePressure>("pressure_max").map(|p| p.value);
        let anchor = match (from, to) {
            (Some(from), None) => Anchor::From(from.value),
            (None, Some(to)) => Anchor::To(to.value),
            (None, None) => Anchor::None,
            (Some(_), Some(to)) => {
                duty.reader().problem(
                    &to.span,
                    "a duty states the pressure at one end; the other follows from the loss",
                    "one too many",
                    vec!["take out pressure_from or pressure_to".into()],
                );
                Anchor::None
            }
        };
        if known_case && !given.insert(case) {
            let message = "this line has a duty for this case already";
            let help = vec!["name the case of each duty, or take one out".into()];
            duty.reader().problem(&duty.header(), message, "again", help);
        }
        let (Some(flow), Some(temperature)) = (flow, temperature) else {
            continue;
        };
        duties.push(Duty {
            case,
            flow: flow.value,
            temperature: temperature.value,
            anchor,
            pressure_max: max,
        });
    }
    duties
}

/// The case a duty names, and whether that name could be resolved.
fn case_index(duty: &Section<'_>, known: &Known<'_>) -> (Option<usize>, bool) {
    if !duty.has("case") {
        return (None, true);
    }
    let Some(name) = duty.words("case") else { return (None, false) };
    let index = known.cases.get(name.value.as_str()).copied();
    if index.is_none() && !known.may_name("case") {
        duty.unknown(&name, "case", known.cases.keys().copied());
    }
    (index, index.is_some())
}
