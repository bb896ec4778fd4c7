//! Fluids: published figures and an independent library against the tables and the laws that read them.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod oracle;

use std::collections::BTreeMap;

use hosewright::curve::Curve;
use hosewright::hydraulics::viscosity::Walther;
use hosewright::hydraulics::volume_correction::{PetroleumGroup, volume_correction};
use hosewright::hydraulics::{atmosphere, npsh, vapour};
use hosewright::solve::fluid::{State, state};
use hosewright::table::fluid::{Fluid, FluidLaw, FuelVapour, from_table, grades};
use hosewright::table::{TableFile, Tables};
use hosewright::units::{Conductivity, Quantity, SpecificHeat, Temperature};
use serde::Deserialize;

use crate::reference::compared::Compared;

/// What each file is about, and what it holds.
const FILES: [(&str, &str); 8] = [
    ("air", include_str!("reference/fluids/air.toml")),
    ("atmosphere", include_str!("reference/fluids/atmosphere.toml")),
    ("glycol", include_str!("reference/fluids/glycol.toml")),
    ("suction", include_str!("reference/fluids/suction.toml")),
    ("vapour", include_str!("reference/fluids/vapour.toml")),
    ("viscosity", include_str!("reference/fluids/viscosity.toml")),
    ("volume-correction", include_str!("reference/fluids/volume-correction.toml")),
    ("water", include_str!("reference/fluids/water.toml")),
];

/// Exact by definition: pound, standard gravity, inch.
const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
const FOOT_M: f64 = 0.3048;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CaseFile {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    source: BTreeMap<String, String>,
    call: String,
    given: BTreeMap<String, toml::Value>,
    expect: Expected,
    because: String,
    differs: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    quantity: String,
    value: f64,
    within: f64,
}

type Answer = Result<f64, String>;

impl Case {
    fn number(&self, name: &str) -> Answer {
        let value = self.given.get(name).ok_or(format!("{name} is not given"))?;
        let whole = || value.as_integer().and_then(|i| i32::try_from(i).ok()).map(f64::from);
        value.as_float().or_else(whole).ok_or(format!("{name} is no number"))
    }

    fn words(&self, name: &str) -> Option<&str> {
        self.given.get(name)?.as_str()
    }

    fn kelvin(&self, name: &str) -> Answer {
        Ok(self.number(name)? + 273.15)
    }
}

fn cases_of(text: &str) -> Vec<Case> {
    toml::from_str::<CaseFile>(text).unwrap_or_else(|e| panic!("{e}")).case
}

fn cases() -> Vec<Case> {
    FILES.iter().flat_map(|(_, text)| cases_of(text)).collect()
}

/// Every figure beside what is printed.
pub fn compared() -> Vec<Compared> {
    let tables = Tables::builtin();
    let one = |about: &str, case: Case| {
        let said = |key: &str| case.source.get(key).cloned();
        Compared {
            subject: format!("fluids/{about}"),
            ours: answer(&case, &tables).unwrap_or(f64::NAN),
            document: said("document").unwrap_or_default(),
            place: said("place").unwrap_or_default(),
            url: said("url"),
            standing: said("standing").unwrap_or_default(),
            what: case.expect.quantity,
            unit: String::new(),
            printed: case.expect.value,
            within: case.expect.within,
            name: case.name,
            because: case.because,
            differs: case.differs,
        }
    };
    let of = |(about, text): &(&str, &str)| {
        cases_of(text).into_iter().map(|case| one(about, case)).collect::<Vec<_>>()
    };
    FILES.iter().flat_map(of).collect()
}

fn answer(case: &Case, tables: &Tables) -> Answer {
    let text = |e: hosewright::hydraulics::HydraulicsError| e.to_string();
    match case.call.as_str() {
        "fluid table" => {
            let name = case.words("fluid").ok_or("no fluid is given")?;
            let at = Temperature::from_si(case.kelvin("temperature_degc")?);
            tabled(tables, name, case.words("grade"), at, &case.expect.quantity)
        }
        "atmosphere::pressure" => {
            atmosphere::pressure_pa(case.number("geopotential_m")?).map_err(text)
        }
        "atmosphere::pressure_at_geometric" => {
            let height = atmosphere::geopotential_m(case.number("geometric_m")?).map_err(text)?;
            Ok(atmosphere::pressure_pa(height).map_err(text)? / PSI_PA)
        }
        "atmosphere::height_of_pressure" => {
            atmosphere::height_of_pressure_m(case.number("pressure_pa")?).map_err(text)
        }
        "atmosphere::geometric_of_pressure" => {
            let pressure = case.number("pressure_psi")? * PSI_PA;
            let height = atmosphere::height_of_pressure_m(pressure).map_err(text)?;
            atmosphere::geometric_m(height).map_err(text)
        }
        "atmosphere::geometric" => {
            atmosphere::geometric_m(case.number("geopotential_m")?).map_err(text)
        }
        "atmosphere::geopotential" => {
            atmosphere::geopotential_m(case.number("geometric_m")?).map_err(text)
        }
        "npsh::available" => suction_head_ft(case),
        "vapour::gasoline" | "vapour::gasoline_constants" | "vapour::two_constant" => petrol(case),
        "viscosity::two_point" => two_point(case),
        "viscosity::volume_correction" | "viscosity::expansion_coefficient" => correction(case),
        other => Err(format!("no such call: {other}")),
    }
}

/// Heads of the case turned into pressures of a liquid that weighs 1 N per litre and metre.
fn suction_head_ft(case: &Case) -> Answer {
    let pa = |name: &str| Ok::<f64, String>(case.number(name)? * FOOT_M * 9806.65);
    let loss = pa("friction_head_ft")? + pa("inlet_head_ft")?;
    let level = case.number("static_head_ft")? * FOOT_M;
    let (surface, vapour) = (pa("surface_head_ft")?, pa("vapour_head_ft")?);
    let head = npsh::npsh_available_m(surface, vapour, 1000.0, level, loss, 9.806_65);
    Ok(head.map_err(|e| e.to_string())? / FOOT_M)
}

fn petrol(case: &Case) -> Answer {
    let line = if case.call == "vapour::two_constant" {
        vapour::VapourLine { a: case.number("constant_a")?, b: case.number("constant_b")? }
    } else {
        vapour::gasoline_line(case.number("reid_psi")?, case.number("slope")?)
            .map_err(|e| e.to_string())?
    };
    match case.expect.quantity.as_str() {
        "constant_a" => Ok(line.a),
        "constant_b" => Ok(line.b),
        _ => {
            let kelvin = (case.number("temperature_degf")? + 459.67) / 1.8;
            Ok(line.pressure_pa(kelvin).map_err(|e| e.to_string())? / PSI_PA)
        }
    }
}

fn two_point(case: &Case) -> Answer {
    let one = (case.kelvin("t1_degc")?, case.number("v1_mm2_s")?);
    let two = (case.kelvin("t2_degc")?, case.number("v2_mm2_s")?);
    let law = Walther::through(one, two).map_err(|e| e.to_string())?;
    if case.expect.quantity == "slope" {
        return Ok(law.b);
    }
    law.viscosity_mm2_s(case.kelvin("temperature_degc")?).map_err(|e| e.to_string())
}

fn correction(case: &Case) -> Answer {
    let group = match case.words("group").unwrap_or_default() {
        "gasoline" => PetroleumGroup::Gasoline,
        "transition" => PetroleumGroup::Transition,
        "jet" => PetroleumGroup::Jet,
        "fuel-oil" => PetroleumGroup::FuelOil,
        "crude" => PetroleumGroup::Crude,
        "lubricating" => PetroleumGroup::Lubricating,
        other => return Err(format!("no such group: {other}")),
    };
    let density = case.number("density15_kg_m3")?;
    let factor = |kelvin: f64| volume_correction(group, density, kelvin).map_err(|e| e.to_string());
    if case.call == "viscosity::volume_correction" {
        return factor(case.kelvin("temperature_degc")?);
    }
    // ln f = -s (1 + 0.8 s) with s = alpha dT; the root gives alpha back from the factor.
    let warmer = 10.0;
    let log = -libm::log(factor(288.15 + warmer)?);
    Ok(((1.0 + 3.2 * log).sqrt() - 1.0) / 1.6 / warmer)
}

/// A property of a fluid table as the program reads it.
fn tabled(
    tables: &Tables,
    name: &str,
    grade: Option<&str>,
    at: Temperature,
    quantity: &str,
) -> Answer {
    let table = tables.get("fluid", name).ok_or(format!("no fluid table {name}"))?;
    // What no line needs yet stands in the table only, to be read straight between its rows.
    match quantity {
        "specific_heat_j_kg_k" => {
            return straight::<SpecificHeat>(table, grade, at, "specific_heat");
        }
        "conductivity_w_m_k" => return straight::<Conductivity>(table, grade, at, "conductivity"),
        _ => {}
    }
    let state = state_of(table, grade, at)?;
    let unknown = || format!("{quantity} is not known");
    match quantity {
        "density_kg_m3" => Ok(state.density_kg_m3),
        "viscosity_pa_s" => Ok(state.viscosity_pa_s),
        "vapour_pa" => state.vapour_pa.ok_or_else(unknown),
        "bulk_modulus_pa" => state.bulk_modulus_pa.ok_or_else(unknown),
        _ => Err(unknown()),
    }
}

fn fluid(table: &TableFile, grade: Option<&str>) -> Result<Fluid, String> {
    from_table(table, grade, None).map_err(|p| format!("{p:?}"))
}

fn state_of(table: &TableFile, grade: Option<&str>, at: Temperature) -> Result<State, String> {
    state(&fluid(table, grade)?, at)
}

fn straight<Q: Quantity>(
    table: &TableFile,
    grade: Option<&str>,
    at: Temperature,
    column: &str,
) -> Answer {
    let of_grade = |text: Option<String>| grade.is_none() || text.as_deref() == grade;
    let point = |row: &hosewright::table::Row| {
        let kelvin = table.quantity::<Temperature>(row, "temperature")?.value.si();
        Some((kelvin, table.quantity::<Q>(row, column)?.value.si()))
    };
    let rows = table
        .rows
        .iter()
        .filter(|r| of_grade(r.cells.get("grade").map(hosewright::table::Cell::to_text)));
    let curve = Curve::new(rows.filter_map(point).collect()).map_err(|e| e.to_string())?;
    curve.linear(at.si()).map_err(|e| e.to_string())
}

#[test]
fn every_published_figure_is_met_within_its_stated_reason() {
    let tables = Tables::builtin();
    let mut wrong = Vec::new();
    for case in cases() {
        let Expected { quantity, value, within } = &case.expect;
        match answer(&case, &tables) {
            Ok(found) if (found - value).abs() <= *within => {}
            Ok(found) => wrong.push(format!(
                "{}: {quantity} {found} against {value} within {within} ({}); {:?}",
                case.name, case.because, case.source
            )),
            Err(why) => wrong.push(format!("{}: {why}", case.name)),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_case_has_a_name_of_its_own_a_source_a_standing_and_a_reason() {
    let cases = cases();
    assert!(cases.len() >= 160, "only {} cases", cases.len());
    let names: std::collections::BTreeSet<&str> = cases.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names.len(), cases.len(), "a name stands twice");
    for case in &cases {
        let standing = case.source.get("standing").map(String::as_str);
        let known = standing.and_then(hosewright::source::Standing::from_word);
        assert!(known.is_some(), "{}: standing {standing:?}", case.name);
        assert!(case.source.contains_key("document"), "{}", case.name);
        assert!(case.because.len() > 5 && case.expect.within > 0.0, "{}", case.name);
        assert!(case.differs.as_ref().is_none_or(|d| d.len() > 5), "{}", case.name);
    }
}

/// Every fluid table with each of its grades.
fn all_fluids(tables: &Tables) -> Vec<(String, Fluid)> {
    let mut all = Vec::new();
    for name in tables.names("fluid") {
        let Some(table) = tables.get("fluid", name) else { continue };
        let known = grades(table);
        let grades: Vec<Option<&str>> = if known.is_empty() {
            vec![None]
        } else {
            known.iter().map(|g| Some(g.as_str())).collect()
        };
        for grade in grades {
            let fluid = fluid(table, grade).unwrap_or_else(|e| panic!("{name} {grade:?}: {e}"));
            all.push((format!("{name} {}", grade.unwrap_or_default()), fluid));
        }
    }
    all
}

#[test]
fn every_grade_has_a_state_all_over_its_range_and_none_beyond_it() {
    let tables = Tables::builtin();
    for (name, fluid) in all_fluids(&tables) {
        let (low, high) = fluid.range.map(|(l, h)| (l.si(), h.si())).unwrap_or_default();
        assert!(low > 200.0 && high > low + 30.0, "{name}: {low} to {high} K");
        for step in 0..=20 {
            let kelvin = low + (high - low) * f64::from(step) / 20.0;
            let found = state(&fluid, Temperature::from_si(kelvin));
            let found = found.unwrap_or_else(|e| panic!("{name} at {kelvin} K: {e}"));
            let all = [Some(found.density_kg_m3), Some(found.viscosity_pa_s), found.vapour_pa];
            assert!(all.iter().flatten().all(|v| v.is_finite() && *v > 0.0), "{name}: {found:?}");
        }
        for kelvin in [low - 1.0, high + 1.0] {
            assert!(state(&fluid, Temperature::from_si(kelvin)).is_err(), "{name} at {kelvin} K");
        }
    }
}

#[test]
fn liquids_thin_and_gases_thicken_as_they_get_warmer_and_vapour_only_rises() {
    let tables = Tables::builtin();
    for (name, fluid) in all_fluids(&tables) {
        let (low, high) = fluid.range.map(|(l, h)| (l.si(), h.si())).unwrap_or_default();
        let states: Vec<State> = (0..=40)
            .map(|step| low + (high - low) * f64::from(step) / 40.0)
            .filter_map(|kelvin| state(&fluid, Temperature::from_si(kelvin)).ok())
            .collect();
        assert_eq!(states.len(), 41, "{name}");
        for pair in states.windows(2) {
            let thicker = pair[1].viscosity_pa_s > pair[0].viscosity_pa_s;
            assert_eq!(thicker, fluid.gas, "{name}: {pair:?}");
            if let (Some(cold), Some(warm)) = (pair[0].vapour_pa, pair[1].vapour_pa) {
                assert!(warm > cold, "{name}: {pair:?}");
            }
        }
    }
}

#[test]
fn an_oil_and_a_fuel_give_back_the_figures_they_were_typed_with() {
    let tables = Tables::builtin();
    for (name, fluid) in all_fluids(&tables) {
        let at = |celsius: f64| state(&fluid, Temperature::from_si(celsius + 273.15));
        let near = |found: f64, known: f64, share: f64, what: &str| {
            assert!((found - known).abs() <= share * known, "{name}: {what} {found}, not {known}");
        };
        let kinematic = |s: &State| s.viscosity_pa_s / s.density_kg_m3;
        match &fluid.law {
            FluidLaw::TwoViscosities { kv40, kv100, density15 } => {
                // Above 2 mm2/s the law's closed inverse returns its points to a millionth.
                near(kinematic(&at(40.0).unwrap()), kv40.si(), 1e-6, "viscosity at 40 degC");
                near(kinematic(&at(100.0).unwrap()), kv100.si(), 1e-6, "viscosity at 100 degC");
                near(at(15.0).unwrap().density_kg_m3, density15.si(), 1e-12, "density");
            }
            FluidLaw::Fuel { density15, viscosity, .. } => {
                near(at(15.0).unwrap().density_kg_m3, density15.si(), 1e-12, "density");
                for (t, nu) in viscosity {
                    if let Ok(found) = state(&fluid, *t) {
                        // Below 2 mm2/s the standard's inverse strays; at these fuels by less than 0.05 %.
                        near(kinematic(&found), nu.si(), 5e-4, "viscosity");
                    }
                }
            }
            _ => {}
        }
    }
}

#[test]
fn petrol_at_the_temperature_of_its_reid_test_has_nearly_its_reid_pressure() {
    let tables = Tables::builtin();
    let mut seen = 0;
    for (name, fluid) in all_fluids(&tables) {
        let FluidLaw::Fuel { vapour: FuelVapour::Reid { reid, .. }, .. } = &fluid.law else {
            continue;
        };
        let found = state(&fluid, Temperature::from_si(310.928)).unwrap();
        let ratio = found.vapour_pa.unwrap_or(0.0) / reid.value.si();
        // The bomb of the test holds four parts of air to one of fuel, so the true vapour
        // pressure is a little above the Reid pressure: by about 5 to 10 %.
        assert!((0.98..1.15).contains(&ratio), "{name}: {ratio}");
        seen += 1;
    }
    assert!(seen >= 2, "no petrol was looked at");
}
