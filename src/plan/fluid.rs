//! Fluids of the plan: from a table, or with the builder's own figures.

use super::own::cite;
use super::{Given, positive, shape};
use crate::document::{Placed, Section};
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::fluid::{Fluid, FluidLaw, FluidPoint, FluidProblem, from_table};
use crate::units::{
    AbsolutePressure, Density, DynamicViscosity, Quantity, SpecificHeat, Stress, Temperature,
};

/// A fluid with its id and place.
#[derive(Clone, Debug)]
pub struct NamedFluid {
    /// What the lines call it.
    pub id: String,
    /// Its figures.
    pub fluid: Fluid,
}

/// Reads all `[[fluid]]`.
pub fn read(root: &Section<'_>, tables: &Tables) -> Vec<Placed<NamedFluid>> {
    let mut fluids: Vec<Placed<NamedFluid>> = Vec::new();
    let mut given = Given::new("fluid");
    for section in root.sections("fluid", &shape::FLUID) {
        let fluid = if section.has("table") { tabled(&section, tables) } else { own(&section) };
        let Some(id) = section.id("id") else {
            continue;
        };
        given.is_new(&section, &id);
        // A fluid with a fault keeps its name, so that its lines are not reported as well.
        let fluid = fluid.unwrap_or_else(|| nameless(&id.value));
        fluids.push(Placed { value: NamedFluid { id: id.value, fluid }, span: id.span });
    }
    fluids
}

fn nameless(id: &str) -> Fluid {
    Fluid {
        label: id.to_owned(),
        use_: String::new(),
        class: None,
        flammable: None,
        gas: false,
        pressure: None,
        law: FluidLaw::Unknown,
        bulk_modulus: None,
        range: None,
        cite: crate::source::Cite::plan(id),
    }
}

/// Keys of a fluid with own figures.
const OWN_KEYS: [&str; 6] = ["points", "use", "class", "flammable", "gas", "pressure"];

fn tabled(section: &Section<'_>, tables: &Tables) -> Option<Fluid> {
    let name = section.name("table")?;
    for key in OWN_KEYS.iter().filter(|k| section.has(k)) {
        section.reader().problem(
            &section.place(key),
            format!("{key} belongs to a fluid with own figures, but a table is named"),
            "not with a table",
            vec![format!("take out either table or {key}")],
        );
    }
    let grade = section.words("grade");
    let reid = positive::<AbsolutePressure>(section, "reid")
        .map(|r| Sourced::new(r.value, cite(section, "Reid vapour pressure")));
    let own_bulk = positive::<Stress>(section, "bulk_modulus")
        .map(|b| Sourced::new(b.value, cite(section, "bulk modulus")));
    let Some(table) = tables.get("fluid", &name.value) else {
        section.unknown(&name, "fluid table", tables.names("fluid").into_iter());
        return None;
    };
    if section.has("grade") && grade.is_none() {
        return None;
    }
    let read = from_table(table, grade.as_ref().map(|g| g.value.as_str()), reid);
    let place = grade.as_ref().map_or(&name.span, |g| &g.span);
    match read {
        Ok(mut fluid) => {
            fluid.bulk_modulus = own_bulk.or(fluid.bulk_modulus);
            return Some(fluid);
        }
        Err(FluidProblem::GradeMissing(known)) => section.reader().problem(
            place,
            format!("fluid table {} needs a grade", name.value),
            "which grade?",
            vec![format!("grade = one of {}", known.join(", "))],
        ),
        Err(FluidProblem::GradeUnknown(known)) => {
            if let Some(grade) = grade {
                section.unknown(&grade, "grade", known.iter().map(String::as_str));
            }
        }
        Err(FluidProblem::Incomplete(what)) => section.reader().problem(
            place,
            format!("fluid table {} lacks {what}", name.value),
            "incomplete table",
            Vec::new(),
        ),
    }
    None
}

fn own(section: &Section<'_>) -> Option<Fluid> {
    let id = section.id("id")?;
    let points = read_points(section);
    for key in ["use", "source"].iter().filter(|k| !section.has(k)) {
        section.reader().absence(
            &section.header(),
            format!("a fluid without a table needs the key \"{key}\""),
            vec![match *key {
                "use" => "use = \"fuel\", \"coolant\", \"hydraulic oil\" ...".into(),
                _ => "source = \"where the figures come from\"".into(),
            }],
        );
    }
    let range = points.first().zip(points.last()).map(|(a, b)| (a.temperature, b.temperature));
    let law = if points.is_empty() { FluidLaw::Unknown } else { FluidLaw::Points(points) };
    Some(Fluid {
        label: id.value,
        use_: section.words("use").map(|u| u.value).unwrap_or_default(),
        class: section.words("class").map(|c| c.value),
        flammable: section.flag("flammable"),
        gas: section.flag("gas").unwrap_or(false),
        pressure: positive::<AbsolutePressure>(section, "pressure").map(|p| p.value),
        law,
        bulk_modulus: positive::<Stress>(section, "bulk_modulus")
            .map(|b| Sourced::new(b.value, cite(section, "bulk modulus"))),
        range,
        cite: cite(section, "fluid"),
    })
}

/// The points, which must rise in temperature.
fn read_points(section: &Section<'_>) -> Vec<FluidPoint> {
    let mut points: Vec<FluidPoint> = Vec::new();
    for item in section.sections("points", &shape::FLUID_POINT) {
        let Some(point) = read_point(&item) else { continue };
        let before = points.last().map(|p| p.temperature.si());
        if before.is_some_and(|t| point.temperature.si() <= t) {
            section.reader().problem(
                &item.place("temperature"),
                "the points of a fluid must rise in temperature",
                "not above the point before",
                vec!["write the coldest point first".into()],
            );
        }
        points.push(point);
    }
    points
}

fn read_point(section: &Section<'_>) -> Option<FluidPoint> {
    let temperature = section.quantity::<Temperature>("temperature");
    let density = positive::<Density>(section, "density");
    let viscosity = positive::<DynamicViscosity>(section, "viscosity");
    let vapour = positive::<AbsolutePressure>(section, "vapour");
    let specific_heat = positive::<SpecificHeat>(section, "specific_heat");
    Some(FluidPoint {
        temperature: temperature?.value,
        density: density?.value,
        viscosity: viscosity?.value,
        vapour: vapour.map(|v| v.value),
        bulk_modulus: None,
        specific_heat: specific_heat.map(|c| c.value),
    })
}
