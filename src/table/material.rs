//! Rigid tube: standard sizes and the strength of what it is made of.

use super::Tables;
use super::file::TableFile;
use crate::source::Sourced;
use crate::units::{Density, Length, Quantity, Ratio, Stress};

/// Strength and weight of a tube material.
#[derive(Clone, Debug)]
pub struct Material {
    /// Least yield strength.
    pub yield_strength: Option<Sourced<Stress>>,
    /// Least ultimate strength.
    pub ultimate: Option<Sourced<Stress>>,
    /// Young's modulus.
    pub modulus: Option<Sourced<Stress>>,
    /// Density.
    pub density: Option<Sourced<Density>>,
    /// Growth of a length for each kelvin, 1/K.
    pub expansion_per_k: Option<Sourced<f64>>,
    /// Share of the wall that may be missing.
    pub wall_tolerance: Option<Sourced<f64>>,
    /// Its name in the compatibility table.
    pub wetted: Option<Sourced<String>>,
}

impl Material {
    /// The material of a name.
    pub fn from_tables(tables: &Tables, name: &str) -> Option<Self> {
        let table = tables.get("material", "tube-strength")?;
        let row = table.row(&[("material", name)])?;
        Some(Self {
            yield_strength: table.quantity(row, "yield"),
            ultimate: table.quantity(row, "ultimate"),
            modulus: table.quantity(row, "modulus"),
            density: table.quantity(row, "density"),
            expansion_per_k: table.number(row, "expansion"),
            wall_tolerance: table
                .quantity::<Ratio>(row, "wall_tolerance")
                .map(|r| r.map(Quantity::si)),
            wetted: table.words(row, "wetted"),
        })
    }

    /// The names there are.
    pub fn names(tables: &Tables) -> Vec<String> {
        let rows = tables.get("material", "tube-strength").map(|t| t.rows.as_slice());
        let cells = rows.unwrap_or_default().iter().filter_map(|r| r.cells.get("material"));
        cells.map(super::Cell::to_text).collect()
    }
}

/// A standard tube size.
#[derive(Clone, Debug)]
pub struct TubeSize {
    /// Outside diameter.
    pub outside: Sourced<Length>,
    /// Wall.
    pub wall: Sourced<Length>,
    /// Least bend radius to the centre line.
    pub bend_radius: Option<Sourced<Length>>,
    /// Least bore after an end has been formed.
    pub end_bore: Option<Sourced<Length>>,
}

impl TubeSize {
    /// The size of a name from a table.
    pub fn from_table(table: &TableFile, size: &str) -> Option<Self> {
        let row = table.row(&[("size", size)])?;
        Some(Self {
            outside: table.quantity(row, "outside")?,
            wall: table.quantity(row, "wall")?,
            bend_radius: table.quantity(row, "bend_radius"),
            end_bore: table.quantity(row, "end_bore"),
        })
    }
}
