//! A line closed at both ends: its room, how it gives under pressure, what it stands, and the test fluids for it.

use super::fluid::{State, state};
use super::{LineFacts, bore_mm};
use crate::hydraulics::leak::hole::Gas;
use crate::hydraulics::leak::liquid::{SwellingTube, swelling_per_pa};
use crate::plan::{Carrier, Line, Plan, Tube};
use crate::rating::tube::{TubeSection, lame_yield_pa};
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::fluid::{Fluid, FluidProblem, from_table};
use crate::table::limit;
use crate::units::{Quantity, Temperature};

/// A line as a closed room.
#[derive(Clone, Debug)]
pub struct ClosedFacts {
    /// Room in it, m3.
    pub volume_m3: f64,
    /// By how much of itself the room grows for each pascal; none for a hose, which nobody has measured.
    pub swelling_per_pa: Option<f64>,
    /// By how much of itself the room grows for each kelvin; none for a hose.
    pub growth_per_k: Option<f64>,
    /// Pressure at which the wall begins to yield, Pa gauge; none for a hose.
    pub yield_pa: Option<Sourced<f64>>,
    /// Wall of hose or tube, m.
    pub wall_m: Option<f64>,
}

/// A line as a closed room.
///
/// # Errors
/// In words: bore or length is not known.
pub fn closed(tables: &Tables, line: &Line, facts: &LineFacts) -> Result<ClosedFacts, String> {
    let bore = bore_mm(line).ok_or("its bore is not known")?.value / 1e3;
    let length = match (&facts.makeup, &facts.geometry) {
        (Ok(makeup), _) => makeup.cut.assembly_mm,
        (Err(_), Ok(geometry)) => geometry.route.length_mm,
        (Err(why), Err(_)) => return Err(format!("its length is not known: {why}")),
    };
    let mut closed = ClosedFacts {
        volume_m3: core::f64::consts::FRAC_PI_4 * bore * bore * length / 1e3,
        swelling_per_pa: None,
        growth_per_k: None,
        yield_pa: None,
        wall_m: facts.outside.as_ref().map(|o| 0.5 * (o.value / 1e3 - bore)),
    };
    if let Carrier::Tube(tube) = &line.carrier {
        closed.yield_pa = yield_pa(tube);
        closed.growth_per_k = tube.strength.expansion_per_k.as_ref().map(|e| 3.0 * e.value);
        closed.swelling_per_pa = swelling(tables, tube, bore);
    }
    Ok(closed)
}

fn swelling(tables: &Tables, tube: &Tube, bore_m: f64) -> Option<f64> {
    let section = SwellingTube {
        bore_m,
        wall_m: tube.wall.value.si(),
        modulus_pa: tube.strength.modulus.as_ref()?.value.si(),
        poisson: limit::test_number(tables, "poisson")?.value,
    };
    swelling_per_pa(&section).ok()
}

fn yield_pa(tube: &Tube) -> Option<Sourced<f64>> {
    let section = TubeSection {
        outside_mm: tube.outside.value.si() * 1e3,
        wall_mm: tube.wall.value.si() * 1e3,
        outside_over_mm: 0.0,
        wall_under_fraction: tube.wall_tolerance.as_ref()?.value,
    };
    let strength = tube.strength.yield_strength.as_ref()?;
    let pressure = lame_yield_pa(&section, strength.value.si()).ok()?;
    Some(Sourced::new(pressure, strength.cite.clone()))
}

/// The liquid that a line is tested with: the one that is named, else its own; water where its own burns easily or is a
/// gas.
///
/// # Errors
/// In words: no such fluid or grade.
pub fn test_liquid(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    named: Option<&str>,
) -> Result<Fluid, String> {
    let own = &plan.fluids[line.fluid].fluid;
    let name = match named {
        None if !own.is_fuel() && !own.gas => return Ok(own.clone()),
        None => "water",
        Some(name) => name,
    };
    let (table, grade) = name.split_once(' ').map_or((name, None), |(t, g)| (t, Some(g.trim())));
    let all = || tables.names("fluid").join(", ");
    let found = tables
        .get("fluid", table)
        .ok_or_else(|| format!("there is no fluid \"{table}\"; there are: {}", all()))?;
    let fluid = from_table(found, grade, None).map_err(|problem| match problem {
        FluidProblem::GradeMissing(known) | FluidProblem::GradeUnknown(known) => {
            format!("\"{name}\": grades of {table} are: {}", known.join(", "))
        }
        FluidProblem::Incomplete(what) => format!("the table of {table} has no {what}"),
    })?;
    if fluid.gas {
        return Err(format!("{name} is a gas: a proof test is made with liquid"));
    }
    Ok(fluid)
}

/// Growth of a liquid at one pressure, as a share of its volume, from one temperature to another.
///
/// # Errors
/// In words: outside the range of its figures.
pub fn growth(fluid: &Fluid, from_k: f64, to_k: f64) -> Result<f64, String> {
    let density = |k: f64| state(fluid, Temperature::from_si(k)).map(|s| s.density_kg_m3);
    Ok(density(from_k)? / density(to_k)? - 1.0)
}

/// Air at a temperature, by its table.
///
/// # Errors
/// In words: no table of air, or outside its range.
pub fn air(tables: &Tables, kelvin: f64) -> Result<Gas, String> {
    let table = tables.get("fluid", "air").ok_or("there is no table fluid/air")?;
    let fluid = from_table(table, None, None).map_err(|_| "the table of air is not complete")?;
    let pressure = fluid.pressure.as_ref().ok_or("the table of air has no pressure")?.si();
    let State { density_kg_m3, viscosity_pa_s, specific_heat_j_kg_k, .. } =
        state(&fluid, Temperature::from_si(kelvin))?;
    let heat = specific_heat_j_kg_k.ok_or("the table of air has no specific heat")?;
    let constant_j_kg_k = pressure / (density_kg_m3 * kelvin);
    Ok(Gas { constant_j_kg_k, heat_ratio: heat / (heat - constant_j_kg_k), viscosity_pa_s })
}
