//! Joins plan and tables to the kernels: facts with their sources, no judgement.

pub mod case;
pub mod clearance;
pub mod clocking;
pub mod closed;
pub mod connection;
pub mod dip;
pub mod elbow;
pub mod expansion;
pub mod fill;
pub mod fitting;
pub mod flow_test;
pub mod fluid;
pub mod geometry;
pub mod hydraulics;
pub mod joined;
pub mod joints;
pub mod makeup;
pub mod mass;
pub mod measured;
pub mod network;
pub mod order;
pub mod progress;
pub mod rating;
pub mod reach;
pub mod shape;
pub mod steps;
pub mod strap;
pub mod support;
pub mod tube;

pub use case::CaseFacts;

use rayon::prelude::*;

use crate::plan::{Carrier, Line, Plan};
use crate::source::Sourced;
use crate::table::Tables;
use crate::units::Quantity;
use hydraulics::{Demand, DutyFacts, LineHydraulics, States};
use network::machine::Machine;

/// Standard acceleration of gravity, m/s2 (CGPM 1901, exact).
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// All that was calculated for a plan.
#[derive(Debug)]
pub struct Facts {
    /// Ports and clips that were measured, and where that puts them.
    pub measured: Vec<measured::MeasuredFacts>,
    /// The operating cases: those of the plan in its order, then the combined ones that govern something.
    pub cases: Vec<CaseFacts>,
    /// The lines, in the order of the plan.
    pub lines: Vec<LineFacts>,
    /// The machine as a network.
    pub network: network::facts::NetworkFacts,
    /// What is connected with what.
    pub connection: connection::ConnectionFacts,
    /// What is near to what.
    pub clearance: clearance::ClearanceFacts,
    /// High and low regions over joined lines.
    pub joined: joined::JoinedFacts,
    /// What each liquid gains when it warms.
    pub expansion: Vec<expansion::ExpansionFacts>,
    /// What tanks hold by their measures, where the plan says it too.
    pub capacities: Vec<dip::CapacityFacts>,
    /// The straps, in the order of the plan.
    pub straps: Vec<strap::StrapFacts>,
    /// The cut list.
    pub cutting: Vec<makeup::StockFacts>,
    /// The order list.
    pub order: Vec<order::OrderItem>,
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
    /// How its tube is bent, or why that is not known; none for a hose.
    pub tube: Option<Result<tube::TubeFacts, String>>,
    /// How it lies by itself; only for hoses, and where every detail is calculated.
    pub shape: Option<shape::ShapeFacts>,
    /// Flow and pressure in each case that has a duty.
    pub duties: Vec<DutyFacts>,
    /// Pressure, temperature and materials.
    pub rating: rating::RatingFacts,
    /// How its ends go with their ports.
    pub fitting: [fitting::JointFacts; 2],
}

impl LineFacts {
    /// The longest assembly that keeps the most slack and the least bend radius, mm.
    pub fn longest_mm(&self) -> Option<f64> {
        let by_rule = self.makeup.as_ref().ok().map(|m| m.cut.longest_mm);
        self.shape.as_ref().and_then(|s| s.longest_mm).or(by_rule)
    }
}

/// How much is calculated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// Everything.
    Whole,
    /// What a verdict needs, without what would have to be otherwise: a plan among many that are compared.
    Verdicts,
    /// Routes, flows, ratings and how ends fit: what the size of a line decides.
    Flow,
}

/// Calculates everything that the plan and the tables allow, for the machine as built.
pub fn solve(plan: &Plan, tables: &Tables) -> Facts {
    solve_in(plan, tables, case::named(plan), Depth::Whole)
}

/// Calculates what the plan and the tables allow in these cases and in the combinations of the plan, for
/// the machine as built.
pub fn solve_in(plan: &Plan, tables: &Tables, mut cases: Vec<CaseFacts>, depth: Depth) -> Facts {
    let measured::AsBuilt { plan, measured } = measured::as_built(plan);
    let plan = &*plan;
    let routes: Vec<Routed> =
        plan.lines.par_iter().map(|l| routed(plan, tables, &cases, l)).collect();
    let routed = plan.lines.par_iter().zip(&routes);
    let hydraulics: Vec<LineHydraulics<'_>> =
        routed.map(|(l, r)| hydraulics_of(plan, tables, l, r)).collect();
    let networked = network::solve(plan, tables, &hydraulics, &cases, depth);
    cases.extend(networked.governing);
    let mut states = States::default();
    let duties: Vec<Vec<DutyFacts>> = hydraulics
        .iter()
        .zip(&networked.demands)
        .map(|(line, demands)| duties(line, &cases, demands, &mut states))
        .collect();
    drop(hydraulics);
    let all = plan.lines.par_iter().zip(routes.into_par_iter().zip(duties));
    let lines: Vec<LineFacts> = all
        .map(|(line, (routed, duties))| line_facts(plan, tables, line, (routed, duties), depth))
        .collect();
    let mut facts = Facts {
        clearance: clearance::ClearanceFacts::default(),
        joined: joined::JoinedFacts::default(),
        connection: connection::ConnectionFacts::default(),
        measured,
        cases,
        lines,
        network: networked.facts,
        expansion: Vec::new(),
        capacities: Vec::new(),
        straps: Vec::new(),
        cutting: Vec::new(),
        order: Vec::new(),
    };
    // Sizes are compared by flow and rating, not by the stock and the room they take, nor by what is joined to what.
    if depth != Depth::Flow {
        around(plan, tables, depth, &mut facts);
    }
    facts
}

/// What is found out of the machine around the lines, once these are known.
fn around(plan: &Plan, tables: &Tables, depth: Depth, facts: &mut Facts) {
    let Facts { cases, lines, network, .. } = facts;
    let (cases, lines, network) = (&*cases, &*lines, &*network);
    let whole = depth == Depth::Whole;
    rayon::scope(|scope| {
        scope.spawn(|_| {
            facts.connection = connection::solve(plan, tables, (cases, lines), network, depth);
        });
        scope.spawn(|_| facts.joined = joined::solve(plan, tables, cases, lines));
        if whole {
            scope.spawn(|_| facts.clearance = clearance::solve(plan, tables, lines));
        }
        scope.spawn(|_| {
            if whole {
                facts.cutting = makeup::cutting(plan, lines);
            }
            facts.order = order::order(plan, lines, &facts.cutting);
        });
        scope.spawn(|_| facts.expansion = expansion::solve(plan, cases, network, lines));
        scope.spawn(|_| facts.capacities = dip::capacities(plan));
        scope.spawn(|_| facts.straps = strap::solve(plan, tables));
    });
}

/// The lines of a plan alone, as built: routes, lengths, bends and shapes, all that a card says.
///
/// # Notes
/// The flows are left out, since they enter no word of a card. Only a hose that hangs by its weight needs to know how
/// warm its fluid is; then everything is calculated.
pub fn lines(plan: &Plan, tables: &Tables) -> Vec<LineFacts> {
    let hangs = |line: &Line| matches!(&line.carrier, Carrier::Hose(h) if h.droop_test.is_some());
    if plan.lines.iter().any(hangs) {
        return solve(plan, tables).lines;
    }
    let built = measured::as_built(plan);
    let plan = &*built.plan;
    let cases = case::named(plan);
    let alone = |line: &Line| {
        let routed = routed(plan, tables, &cases, line);
        line_facts(plan, tables, line, (routed, Vec::new()), Depth::Whole)
    };
    plan.lines.par_iter().map(alone).collect()
}

/// Asks the machine of a plan, as built, what it would do, in whatever case.
pub fn ask<A>(plan: &Plan, tables: &Tables, question: impl FnOnce(&Machine<'_>) -> A) -> A {
    let built = measured::as_built(plan);
    let plan = &*built.plan;
    let cases = case::named(plan);
    let routes: Vec<Routed> = plan.lines.iter().map(|l| routed(plan, tables, &cases, l)).collect();
    let hydraulics: Vec<LineHydraulics<'_>> =
        plan.lines.iter().zip(&routes).map(|(l, r)| hydraulics_of(plan, tables, l, r)).collect();
    question(&Machine::new(plan, tables, &hydraulics))
}

/// A line with its route and its lengths.
struct Routed {
    bore: Option<Sourced<f64>>,
    geometry: Result<geometry::GeometryFacts, geometry::NoRoute>,
    makeup: Result<makeup::MakeupFacts, String>,
}

fn routed(plan: &Plan, tables: &Tables, cases: &[CaseFacts], line: &Line) -> Routed {
    let bore = bore_mm(line);
    let geometry = geometry::solve(plan, tables, cases, line);
    let makeup = makeup::solve(plan, tables, line, geometry.as_ref().ok(), bore.as_ref());
    Routed { bore, geometry, makeup }
}

fn hydraulics_of<'l>(
    plan: &'l Plan,
    tables: &'l Tables,
    line: &'l Line,
    routed: &'l Routed,
) -> LineHydraulics<'l> {
    let assembly_mm = routed.makeup.as_ref().ok().map(|m| m.cut.assembly_mm);
    LineHydraulics::new(plan, tables, line, routed.geometry.as_ref().ok(), assembly_mm)
}

/// What goes through a line in each case: what the plan states, else what the network gives.
fn duties(
    line: &LineHydraulics<'_>,
    cases: &[CaseFacts],
    demands: &[(usize, Demand)],
    states: &mut States,
) -> Vec<DutyFacts> {
    let one = |(index, case): (usize, &CaseFacts)| {
        // A flow that holds in every case holds in the named ones; combined ones are only solved.
        let stated = line.stated(index).filter(|_| !case.combined);
        if let Some(duty) = stated {
            return Some(line.by_statement((index, case), duty, states));
        }
        let (_, demand) = demands.iter().find(|(i, _)| *i == index)?;
        Some(line.by_demand((index, case), demand, states))
    };
    cases.iter().enumerate().filter_map(one).collect()
}

fn line_facts(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    (routed, duties): (Routed, Vec<DutyFacts>),
    depth: Depth,
) -> LineFacts {
    let mut facts = LineFacts {
        id: line.id.clone(),
        carrier: line.carrier.label().to_owned(),
        outside: outside_mm(line),
        rating: rating::solve(plan, tables, line, &duties),
        fitting: fitting::solve(plan, tables, line),
        tube: tube::solve(plan, tables, line, routed.geometry.as_ref().ok()),
        bore: routed.bore,
        geometry: routed.geometry,
        makeup: routed.makeup,
        shape: None,
        duties,
    };
    if depth == Depth::Whole {
        facts.shape = shape::solve(plan, line, &facts);
    }
    facts
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
