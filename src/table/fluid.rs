//! Fluids: the law and the figures of one fluid, as typed by a table or by the builder.

use super::file::{Cell, Row, TableFile};
use crate::source::{Cite, Sourced};
use crate::units::{
    AbsolutePressure, Density, DynamicViscosity, KinematicViscosity, Quantity, SpecificHeat,
    Stress, Temperature,
};

/// One measured state.
#[derive(Clone, Debug)]
pub struct FluidPoint {
    /// Temperature.
    pub temperature: Temperature,
    /// Density.
    pub density: Density,
    /// Dynamic viscosity.
    pub viscosity: DynamicViscosity,
    /// Vapour pressure.
    pub vapour: Option<AbsolutePressure>,
    /// Adiabatic bulk modulus.
    pub bulk_modulus: Option<Stress>,
    /// Specific heat.
    pub specific_heat: Option<SpecificHeat>,
}

/// Vapour pressure of a fuel.
#[derive(Clone, Debug)]
pub enum FuelVapour {
    /// From the Reid pressure and the slope of the distillation curve.
    Reid {
        /// Reid vapour pressure.
        reid: Sourced<AbsolutePressure>,
        /// Slope of the distillation curve at 10 %, degF per volume percent.
        slope: Sourced<f64>,
    },
    /// `exp(a - b/T)` in psi and degrees Rankine.
    TwoConstant {
        /// First constant.
        a: Sourced<f64>,
        /// Second constant.
        b: Sourced<f64>,
    },
    /// Points of vapour pressure against temperature.
    Points(Vec<(Temperature, AbsolutePressure)>),
    /// Not known.
    Unknown,
}

/// How the properties follow from the temperature.
#[derive(Clone, Debug)]
pub enum FluidLaw {
    /// Measured states; monotone curves between them.
    Points(Vec<FluidPoint>),
    /// Two viscosities and the density at 15 degC (ASTM D341, ASTM D1250).
    TwoViscosities {
        /// Kinematic viscosity at 40 degC.
        kv40: KinematicViscosity,
        /// Kinematic viscosity at 100 degC.
        kv100: KinematicViscosity,
        /// Density at 15 degC.
        density15: Density,
    },
    /// A fuel: density at 15 degC with its volume correction group, viscosity points, vapour.
    Fuel {
        /// Density at 15 degC.
        density15: Density,
        /// Volume correction group of ASTM D1250.
        group: String,
        /// Kinematic viscosity against temperature.
        viscosity: Vec<(Temperature, KinematicViscosity)>,
        /// Vapour pressure.
        vapour: FuelVapour,
    },
    /// Nothing is known: hydraulics are not computed.
    Unknown,
}

/// A fluid.
#[derive(Clone, Debug)]
pub struct Fluid {
    /// Name shown to the builder.
    pub label: String,
    /// What it is for: `fuel`, `engine oil`, `hydraulic oil`, `coolant`, `water`, `air`.
    pub use_: String,
    /// Its class in the compatibility table.
    pub class: Option<String>,
    /// Whether it burns; `None` when not said.
    pub flammable: Option<bool>,
    /// Whether it is a gas.
    pub gas: bool,
    /// Pressure at which the densities of a gas hold.
    pub pressure: Option<AbsolutePressure>,
    /// Law of its properties.
    pub law: FluidLaw,
    /// Bulk modulus where the law has none.
    pub bulk_modulus: Option<Sourced<Stress>>,
    /// Lowest and highest temperature of the law.
    pub range: Option<(Temperature, Temperature)>,
    /// Where the figures come from.
    pub cite: Cite,
}

impl Fluid {
    /// Whether it is a fuel and not an oil that burns.
    pub fn is_fuel(&self) -> bool {
        let oil = self.use_.contains("oil") && !self.use_.contains("fuel");
        self.flammable == Some(true) && !oil
    }

    /// What it is used as, for rules that go by that: whatever burns and is no oil is a fuel.
    pub fn used_as(&self) -> &str {
        if self.is_fuel() { "fuel" } else { &self.use_ }
    }
}

/// Why a table cannot give a fluid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FluidProblem {
    /// The table has several grades and none was named.
    GradeMissing(Vec<String>),
    /// No such grade.
    GradeUnknown(Vec<String>),
    /// A figure that the law needs is not in the table.
    Incomplete(&'static str),
}

/// The grades of a fluid table, in its order; empty when it has none.
pub fn grades(table: &TableFile) -> Vec<String> {
    let mut grades: Vec<String> = Vec::new();
    for text in table.rows.iter().filter_map(|r| r.cells.get("grade")).map(Cell::to_text) {
        if !grades.contains(&text) {
            grades.push(text);
        }
    }
    grades
}

/// The fluid of a table and grade; `reid` replaces the table's Reid pressure.
///
/// # Errors
/// A grade that is missing or unknown, or a table without a figure that its law needs.
pub fn from_table(
    table: &TableFile,
    grade: Option<&str>,
    reid: Option<Sourced<AbsolutePressure>>,
) -> Result<Fluid, FluidProblem> {
    let rows = rows_of_grade(table, grade)?;
    let first = rows.first().copied().ok_or(FluidProblem::Incomplete("rows"))?;
    let words = |name: &str| table.fact_words(name).map(|w| w.value);
    let law = match words("law").as_deref() {
        Some("points") => points_law(table, &rows)?,
        Some("d341") => two_viscosities(table, first)?,
        Some("fuel") => fuel(table, first, reid)?,
        _ => return Err(FluidProblem::Incomplete("law")),
    };
    let label = grade.map_or(table.name.clone(), |g| format!("{} {g}", table.name));
    Ok(Fluid {
        label,
        use_: words("use").unwrap_or_default(),
        class: table.words(first, "compat").map(|w| w.value).or_else(|| words("compat")),
        flammable: table.fact_flag("flammable").map(|f| f.value),
        gas: table.fact_flag("gas").is_some_and(|f| f.value),
        pressure: table.fact_quantity("pressure").map(|p| p.value),
        range: range(table, &law),
        law,
        bulk_modulus: table.quantity(first, "bulk"),
        cite: table.cite(first),
    })
}

fn rows_of_grade<'t>(
    table: &'t TableFile,
    grade: Option<&str>,
) -> Result<Vec<&'t Row>, FluidProblem> {
    let known = grades(table);
    let Some(grade) = grade else {
        return if known.is_empty() {
            Ok(table.rows.iter().collect())
        } else {
            Err(FluidProblem::GradeMissing(known))
        };
    };
    let of_grade = |r: &&Row| r.cells.get("grade").is_some_and(|c| c.says(grade));
    let rows: Vec<&Row> = table.rows.iter().filter(of_grade).collect();
    if rows.is_empty() { Err(FluidProblem::GradeUnknown(known)) } else { Ok(rows) }
}

fn points_law(table: &TableFile, rows: &[&Row]) -> Result<FluidLaw, FluidProblem> {
    let point = |row: &&Row| {
        Some(FluidPoint {
            temperature: table.quantity(row, "temperature")?.value,
            density: table.quantity(row, "density")?.value,
            viscosity: table.quantity(row, "viscosity")?.value,
            vapour: table.quantity(row, "vapour").map(|v| v.value),
            bulk_modulus: table.quantity(row, "bulk_modulus").map(|v| v.value),
            specific_heat: table.quantity(row, "specific_heat").map(|v| v.value),
        })
    };
    let points: Option<Vec<FluidPoint>> = rows.iter().map(point).collect();
    points.map(FluidLaw::Points).ok_or(FluidProblem::Incomplete("density or viscosity"))
}

fn two_viscosities(table: &TableFile, row: &Row) -> Result<FluidLaw, FluidProblem> {
    let law = || {
        Some(FluidLaw::TwoViscosities {
            kv40: table.quantity(row, "kv40")?.value,
            kv100: table.quantity(row, "kv100")?.value,
            density15: table.quantity(row, "density15")?.value,
        })
    };
    law().ok_or(FluidProblem::Incomplete("kv40, kv100 or density15"))
}

/// Columns of viscosity points, each with the temperature in its name.
const VISCOSITY_COLUMNS: [(&str, f64); 5] = [
    ("kv_m40", 233.15),
    ("kv_m20", 253.15),
    ("kv_0", 273.15),
    ("kv_20", 293.15),
    ("kv_40", 313.15),
];

fn fuel(
    table: &TableFile,
    row: &Row,
    reid: Option<Sourced<AbsolutePressure>>,
) -> Result<FluidLaw, FluidProblem> {
    let density15 =
        table.quantity(row, "density15").ok_or(FluidProblem::Incomplete("density15"))?.value;
    let group = table
        .words(row, "density_group")
        .or_else(|| table.fact_words("density_group"))
        .ok_or(FluidProblem::Incomplete("density_group"))?
        .value;
    let viscosity = VISCOSITY_COLUMNS
        .iter()
        .filter_map(|(name, kelvin)| {
            let value = table.quantity(row, name)?.value;
            Some((Temperature::from_si(*kelvin), value))
        })
        .collect();
    Ok(FluidLaw::Fuel { density15, group, viscosity, vapour: fuel_vapour(table, row, reid) })
}

fn fuel_vapour(
    table: &TableFile,
    row: &Row,
    reid: Option<Sourced<AbsolutePressure>>,
) -> FuelVapour {
    // The most volatile fuel of the grade is the one that boils first.
    let reid = reid.or_else(|| table.quantity(row, "reid_max"));
    if let Some((reid, slope)) = reid.zip(table.number(row, "slope")) {
        return FuelVapour::Reid { reid, slope };
    }
    if let Some((a, b)) = table.number(row, "vapour_a").zip(table.number(row, "vapour_b")) {
        return FuelVapour::TwoConstant { a, b };
    }
    let points: Vec<(Temperature, AbsolutePressure)> = (40..=100)
        .step_by(10)
        .filter_map(|fahrenheit| {
            let pressure = table.quantity(row, &format!("vapour_{fahrenheit}f"))?.value;
            let kelvin = (f64::from(fahrenheit) + 459.67) / 1.8;
            Some((Temperature::from_si(kelvin), pressure))
        })
        .collect();
    if points.len() < 2 { FuelVapour::Unknown } else { FuelVapour::Points(points) }
}

fn range(table: &TableFile, law: &FluidLaw) -> Option<(Temperature, Temperature)> {
    if let FluidLaw::Points(points) = law {
        return Some((points.first()?.temperature, points.last()?.temperature));
    }
    let low = table.fact_quantity::<Temperature>("temperature_min")?.value;
    let high = table.fact_quantity::<Temperature>("temperature_max")?.value;
    Some((low, high))
}
