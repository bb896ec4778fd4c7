//! The hose or tube of a line and its end fittings, from tables or the plan.

use super::{Carrier, Known, Tube};
use crate::document::{Placed, Section, shorten};
use crate::plan::positive;
use crate::source::Sourced;
use crate::table::SizeRow;
use crate::table::end::End;
use crate::table::hose::Hose;
use crate::table::material::{Material, TubeSize};
use crate::units::{Length, Quantity, Ratio};

pub fn carrier(section: &Section<'_>, known: &Known<'_>) -> Option<Carrier> {
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

/// The bender of a tube, by its index; it must be made for that tube and decides the radius alone.
pub fn bender(
    section: &Section<'_>,
    known: &Known<'_>,
    carrier: Option<&Carrier>,
) -> Option<usize> {
    let name = section.name("bender")?;
    let Some(index) = known.benders.iter().position(|b| b.id == name.value) else {
        if !known.may_name("bender") {
            section.unknown(&name, "bender", known.benders.iter().map(|b| b.id.as_str()));
        }
        return None;
    };
    let bender = &known.benders[index];
    let fault = match carrier {
        Some(Carrier::Hose(_)) => {
            Some((name.span.clone(), "a hose is not bent in a bender".to_owned(), "a hose"))
        }
        Some(Carrier::Tube(tube)) if !bender.takes(tube) => {
            let (outside_mm, takes_mm) = (tube.outside.value.si() * 1e3, bender.outside_mm);
            let message = format!(
                "bender {} bends tube of {takes_mm:.2} mm outside, and this one has {outside_mm:.2} mm",
                shorten(&name.value)
            );
            Some((name.span.clone(), message, "another tube"))
        }
        _ if section.has("bend_radius") => {
            let message = "the bender decides the bend radius of its line".to_owned();
            Some((section.place("bend_radius"), message, "one too many"))
        }
        _ => None,
    };
    if let Some((span, message, label)) = fault {
        let help = "take it out, or name another bender".to_owned();
        section.reader().problem(&span, message, label, vec![help]);
        return None;
    }
    Some(index)
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
    let message = format!("{kind} \"{}\" is not known", shorten(&name.value));
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
        let message = format!("tube or material \"{}\" is not known", shorten(&name.value));
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
        row: Some(SizeRow { table: name.value, size: size.value }),
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
        row: None,
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
pub fn size_is_at_fault(section: &Section<'_>, known: &Known<'_>, carrier_read: bool) -> bool {
    let in_table = |key: &str| {
        let table = section.has(key).then(|| section.name(key)).flatten();
        table.is_some_and(|name| known.tables.get(key, &name.value).is_some())
    };
    let faulty = section.has("size") && section.words("size").is_none();
    faulty || (!carrier_read && (in_table("hose") || in_table("tube")))
}

/// An end by `"table"`, `"table size"` or the id of an own end; `sized` unless the line's own size
/// has a fault already.
pub fn end(section: &Section<'_>, key: &str, known: &Known<'_>, sized: bool) -> Option<End> {
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
