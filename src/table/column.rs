//! Which quantity a column of a table holds, by the unit written over it.

use crate::units::{
    self, AbsolutePressure, Angle, Conductivity, Density, DynamicViscosity, GaugePressure,
    KinematicViscosity, Length, LinearMass, Quantity, Ratio, ReadError, SpecificHeat, Stress,
    Temperature, Torque, Velocity, Volume,
};

use super::file::Cell;

/// A unit of a column, whether it stands for a pressure above ambient or an absolute one.
///
/// Table units are the plan's units, and `kPa-abs` for absolute pressures.
pub fn is_known(unit: &str) -> bool {
    unit == "text" || unit == "-" || unit == "1/K" || unit.ends_with("-abs") || has_quantity(unit)
}

fn has_quantity(unit: &str) -> bool {
    fn knows<Q: Quantity>(unit: &str) -> bool {
        // The plain comparison first: nearly every table writes its units as this program does.
        Q::units().iter().any(|known| known.spellings().any(|s| s == unit))
    }
    let checks: [fn(&str) -> bool; 15] = [
        knows::<Length>,
        knows::<GaugePressure>,
        knows::<Stress>,
        knows::<Temperature>,
        knows::<Density>,
        knows::<LinearMass>,
        knows::<KinematicViscosity>,
        knows::<DynamicViscosity>,
        knows::<Velocity>,
        knows::<Torque>,
        knows::<Angle>,
        knows::<Ratio>,
        knows::<SpecificHeat>,
        knows::<Conductivity>,
        knows::<Volume>,
    ];
    checks.iter().any(|check| check(unit)) || other_spelling(unit)
}

/// Whether a unit is one of those in another spelling, such as `N·m`.
fn other_spelling(unit: &str) -> bool {
    fn reads<Q: Quantity>(unit: &str) -> bool {
        units::read_in::<Q>(1.0, unit).is_ok()
    }
    let checks: [fn(&str) -> bool; 7] = [
        reads::<Length>,
        reads::<Temperature>,
        reads::<Density>,
        reads::<KinematicViscosity>,
        reads::<Torque>,
        reads::<SpecificHeat>,
        reads::<Conductivity>,
    ];
    checks.iter().any(|check| check(unit))
}

/// A cell as a quantity: a number or fraction in the column's unit, or text with its own unit.
///
/// # Errors
/// Text that is neither, or a unit of another quantity.
pub fn quantity<Q: Quantity>(cell: &Cell, unit: &str) -> Result<Q, ReadError> {
    match cell {
        Cell::Number(number) => in_unit(*number, unit),
        // A bare number or fraction ends in a digit; everything else names its own unit.
        Cell::Text(text) if text.ends_with(|c: char| c.is_ascii_digit()) => {
            units::read_number(text).and_then(|number| in_unit(number, unit))
        }
        Cell::Text(text) => units::read(text),
        Cell::Flag(_) | Cell::List(_) => Err(ReadError {
            span: 0..0,
            message: format!("a {} is needed here", Q::NAME),
            help: Vec::new(),
        }),
    }
}

fn in_unit<Q: Quantity>(number: f64, unit: &str) -> Result<Q, ReadError> {
    match unit.strip_suffix("-abs") {
        // The word "abs" belongs to the text of a pressure, not to the unit of a number.
        Some(pressure) if Q::NAME == AbsolutePressure::NAME => {
            units::read::<Q>(&format!("{number} {pressure} abs"))
        }
        _ => units::read_in(number, unit),
    }
}
