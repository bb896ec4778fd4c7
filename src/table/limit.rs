//! Limits, factors and rules: looked up by their key word, never written into a check.

use super::Tables;
use crate::source::Sourced;
use crate::units::{Quantity, Ratio, Velocity};

/// Least and greatest velocity recommended for a service.
#[derive(Clone, Debug)]
pub struct VelocityLimit {
    /// Least, where one is given.
    pub min: Option<Sourced<Velocity>>,
    /// Greatest.
    pub max: Option<Sourced<Velocity>>,
}

/// The velocity band of a service such as `fuel-suction`.
pub fn velocity(tables: &Tables, service: &str) -> Option<VelocityLimit> {
    let table = tables.get("limit", "velocity")?;
    let row = table.row(&[("service", service)])?;
    Some(VelocityLimit { min: table.quantity(row, "min"), max: table.quantity(row, "max") })
}

/// A rule of the installation table as a quantity.
pub fn installation<Q: Quantity>(tables: &Tables, rule: &str) -> Option<Sourced<Q>> {
    let table = tables.get("limit", "installation")?;
    table.quantity(table.row(&[("rule", rule)])?, "value")
}

/// A share of the installation table.
pub fn installation_share(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    installation::<Ratio>(tables, rule).map(|r| r.map(Quantity::si))
}

/// A plain number of the installation table, such as diameters of straight hose.
pub fn installation_number(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "installation")?;
    table.number(table.row(&[("rule", rule)])?, "value")
}

/// Proof and burst factor over working pressure.
#[derive(Clone, Debug)]
pub struct DesignFactor {
    /// Proof pressure over working pressure.
    pub proof: Option<Sourced<f64>>,
    /// Burst pressure over working pressure.
    pub burst: Option<Sourced<f64>>,
}

/// The design factors of a kind of part.
pub fn design_factor(tables: &Tables, what: &str) -> Option<DesignFactor> {
    let table = tables.get("limit", "design-factor")?;
    let row = table.row(&[("what", what)])?;
    Some(DesignFactor { proof: table.number(row, "proof"), burst: table.number(row, "burst") })
}

/// A rule of the strap table as a quantity.
pub fn strap<Q: Quantity>(tables: &Tables, rule: &str) -> Option<Sourced<Q>> {
    let table = tables.get("limit", "strap")?;
    table.quantity(table.row(&[("rule", rule)])?, "value")
}

/// A plain number of the strap table, such as hole diameters.
pub fn strap_number(tables: &Tables, rule: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "strap")?;
    table.number(table.row(&[("rule", rule)])?, "value")
}
