//! Joins plan and tables to the kernels: facts with their sources, no judgement.

pub mod case;
pub mod fitting;
pub mod fluid;
pub mod geometry;
pub mod hydraulics;
pub mod makeup;
pub mod network;
pub mod rating;

pub use case::CaseFacts;

use crate::plan::{Carrier, Line, Plan};
use crate::source::Sourced;
use crate::table::Tables;
use crate::units::Quantity;

/// Standard acceleration of gravity, m/s2 (CGPM 1901, exact).
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// All that was calculated for a plan.
#[derive(Debug)]
pub struct Facts {
    /// The operating cases, in the order of the plan.
    pub cases: Vec<CaseFacts>,
    /// The lines, in the order of the plan.
    pub lines: Vec<LineFacts>,
    /// The cut list.
    pub cutting: Vec<makeup::StockFacts>,
    /// The order list.
    pub order: Vec<makeup::OrderItem>,
}

/// All that was calculated for one line.
#[derive(Debug)]
pub struct LineFacts {
    /// Short name.
    pub id: String,
    /// What it is cut from.
    pub carrier: String,
    /// Bore, mm.
    pub bore: Option<Sourced<f64>>,
    /// Outside diameter, mm.
    pub outside: Option<Sourced<f64>>,
    /// Its route, or why there is none.
    pub geometry: Result<geometry::GeometryFacts, geometry::NoRoute>,
    /// Cut length, slack and mass, or why there are none.
    pub makeup: Result<makeup::MakeupFacts, String>,
    /// Flow and pressure in each case that has a duty.
    pub duties: Vec<hydraulics::DutyFacts>,
    /// Pressure, temperature and materials.
    pub rating: rating::RatingFacts,
    /// How its ends go with their ports.
    pub fitting: [fitting::JointFacts; 2],
}

/// Calculates everything that the plan and the tables allow.
pub fn solve(plan: &Plan, tables: &Tables) -> Facts {
    let cases = case::named(plan);
    let lines: Vec<LineFacts> = plan.lines.iter().map(|l| line(plan, tables, &cases, l)).collect();
    let cutting = makeup::cutting(plan, &lines);
    let order = makeup::order(plan, &lines, &cutting);
    Facts { cases, lines, cutting, order }
}

fn line(plan: &Plan, tables: &Tables, cases: &[CaseFacts], line: &Line) -> LineFacts {
    let bore = bore_mm(line);
    let outside = outside_mm(line);
    let geometry = geometry::solve(plan, tables, cases, line);
    let makeup = makeup::solve(plan, tables, line, geometry.as_ref().ok(), bore.as_ref());
    let assembly_mm = makeup.as_ref().ok().map(|m| m.cut.assembly_mm);
    let duties = hydraulics::solve(plan, tables, cases, line, geometry.as_ref().ok(), assembly_mm);
    let rating = rating::solve(plan, tables, line, &duties);
    let fitting = fitting::solve(plan, tables, line);
    LineFacts {
        id: line.id.clone(),
        carrier: line.carrier.label().to_owned(),
        bore,
        outside,
        geometry,
        makeup,
        duties,
        rating,
        fitting,
    }
}

/// Bore of a line, mm.
pub fn bore_mm(line: &Line) -> Option<Sourced<f64>> {
    match &line.carrier {
        Carrier::Hose(hose) => hose.bore.clone().map(|b| b.map(|b| b.si() * 1e3)),
        Carrier::Tube(tube) => Some(Sourced::new(
            (tube.outside.value.si() - 2.0 * tube.wall.value.si()) * 1e3,
            tube.outside.cite.and(&tube.wall.cite),
        )),
    }
}

/// Outside diameter of a line, mm.
pub fn outside_mm(line: &Line) -> Option<Sourced<f64>> {
    let outside = match &line.carrier {
        Carrier::Hose(hose) => hose.outside.clone(),
        Carrier::Tube(tube) => Some(tube.outside.clone()),
    };
    outside.map(|o| o.map(|o| o.si() * 1e3))
}
