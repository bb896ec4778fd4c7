//! Hoses: one row of a hose table, or a hose the builder describes, as typed figures with sources.

use super::SizeRow;
use super::file::{Row, TableFile};
use crate::source::Sourced;
use crate::units::{
    GaugePressure, Length, LinearMass, PressureDifference, Quantity, Ratio, Temperature,
};

/// What a bend radius is measured to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BendDatum {
    /// The inside of the bend, nearest to its centre.
    Inside,
    /// The centre line.
    CentreLine,
    /// The document does not say; the centre line is then the cautious reading for the builder's
    /// radius, the inside the cautious reading for the limit.
    NotSaid,
}

/// How working pressure and temperature go together.
#[derive(Clone, Debug, PartialEq)]
pub enum HeatRule {
    /// The full working pressure holds over the whole temperature range.
    WholeRange,
    /// Highest pressure and highest temperature must not meet; no factor is published.
    NotTogether,
    /// The document does not say.
    NotSaid,
    /// Share of the working pressure against temperature, typed in by the builder.
    Curve(Vec<(Temperature, f64)>),
}

/// How far a piece of empty hose hangs down that is held level at one end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DroopTest {
    /// Length that hangs free.
    pub overhang: Length,
    /// How far its free end hangs below the held one.
    pub droop: Length,
}

/// A hose of one size.
#[derive(Clone, Debug)]
pub struct Hose {
    /// Table and size, or the builder's id: what the order list says.
    pub label: String,
    /// Where it stands in the tables; none for a hose that the builder describes.
    pub row: Option<SizeRow>,
    /// Inside diameter.
    pub bore: Option<Sourced<Length>>,
    /// Outside diameter.
    pub outside: Option<Sourced<Length>>,
    /// Working pressure at room temperature.
    pub working: Option<Sourced<GaugePressure>>,
    /// Proof pressure.
    pub proof: Option<Sourced<GaugePressure>>,
    /// Least burst pressure.
    pub burst: Option<Sourced<GaugePressure>>,
    /// Least bend radius.
    pub bend_radius: Option<Sourced<Length>>,
    /// What the bend radius is measured to.
    pub bend_to: BendDatum,
    /// Pressure below ambient that the hose stands without collapse.
    pub vacuum: Option<Sourced<PressureDifference>>,
    /// Mass per length.
    pub mass: Option<Sourced<LinearMass>>,
    /// How stiff it is, as the builder measured it.
    pub droop_test: Option<DroopTest>,
    /// Least bore of the end fittings made for it.
    pub end_bore: Option<Sourced<Length>>,
    /// Material that touches the fluid.
    pub liner: Option<Sourced<String>>,
    /// Coldest service.
    pub temperature_min: Option<Sourced<Temperature>>,
    /// Hottest service.
    pub temperature_max: Option<Sourced<Temperature>>,
    /// Working pressure against temperature.
    pub heat_rule: Sourced<HeatRule>,
    /// Shortening under pressure, as a negative share of the hose.
    pub length_change_min: Option<Sourced<f64>>,
    /// Lengthening under pressure.
    pub length_change_max: Option<Sourced<f64>>,
    /// Row of the roughness table.
    pub surface: Option<Sourced<String>>,
    /// Fire class in words.
    pub fire: Option<Sourced<String>>,
}

impl Hose {
    /// The hose of a size from a table; `None` when the size is not in it.
    pub fn from_table(table: &TableFile, size: &str) -> Option<Self> {
        let row = table.row(&[("size", size)])?;
        let share = |name: &str| table.fact_quantity::<Ratio>(name).map(|r| r.map(Quantity::si));
        Some(Self {
            label: format!("{} {size}", table.name),
            row: Some(SizeRow { table: table.name.clone(), size: size.to_owned() }),
            bore: table.quantity(row, "bore"),
            outside: table.quantity(row, "outside"),
            working: table.quantity(row, "working"),
            proof: table.quantity(row, "proof"),
            burst: table.quantity(row, "burst"),
            bend_radius: table.quantity(row, "bend_radius"),
            bend_to: bend_datum(table),
            vacuum: table.quantity(row, "vacuum"),
            mass: table.quantity(row, "mass"),
            droop_test: None,
            end_bore: table.quantity(row, "end_bore"),
            liner: table.fact_words("liner"),
            temperature_min: row_or_fact(table, row, "temperature_min"),
            temperature_max: row_or_fact(table, row, "temperature_max"),
            heat_rule: heat_rule(table, row),
            length_change_min: share("length_change_min"),
            length_change_max: share("length_change_max"),
            surface: table.fact_words("roughness"),
            fire: table.fact_words("fire"),
        })
    }
}

fn row_or_fact(table: &TableFile, row: &Row, name: &str) -> Option<Sourced<Temperature>> {
    table.quantity(row, name).or_else(|| table.fact_quantity(name))
}

fn bend_datum(table: &TableFile) -> BendDatum {
    match table.fact_words("bend_to").as_ref().map(|w| w.value.as_str()) {
        Some("inside") => BendDatum::Inside,
        Some("centre-line") => BendDatum::CentreLine,
        _ => BendDatum::NotSaid,
    }
}

fn heat_rule(table: &TableFile, row: &Row) -> Sourced<HeatRule> {
    match table.fact_words("pressure_at_temperature") {
        Some(word) => word.map(|w| match w.as_str() {
            "whole-range" => HeatRule::WholeRange,
            "not-together" => HeatRule::NotTogether,
            _ => HeatRule::NotSaid,
        }),
        None => Sourced::new(HeatRule::NotSaid, table.cite(row)),
    }
}
