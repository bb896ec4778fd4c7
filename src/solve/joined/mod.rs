//! High and low regions over joined lines in every attitude: where air and liquid stay, bleeds and drains,
//! ways that siphon.

pub mod attitude;
pub mod drain_back;
mod order;
mod region;
pub mod siphon;
mod web;

use super::{CaseFacts, LineFacts, geometry};
use crate::plan::{Plan, PortRef};
use crate::table::{Tables, limit};
use crate::units::{Length, Quantity};
use attitude::AttitudeFacts;
use siphon::SiphonFacts;
use web::Web;

/// All that the joined lines tell.
#[derive(Debug, Default)]
pub struct JoinedFacts {
    /// The attitudes that were looked at: those of the cases, those of the matrix, and level.
    pub attitudes: Vec<AttitudeFacts>,
    /// What hangs together.
    pub parts: Vec<PartFacts>,
    /// Every pocket in every attitude.
    pub pockets: Vec<PocketFacts>,
    /// Of the pockets that nothing relieves, the worst one of each place, by index.
    pub worst: Vec<usize>,
    /// Of each line of the plan, what there is of it in the lists above.
    pub of_line: Vec<OfLine>,
    /// The order in which to bleed while filling.
    pub bleed_order: Vec<BleedFacts>,
    /// The drains and what each of them empties.
    pub drains: Vec<DrainFacts>,
    /// Ways by which liquid can run out or water can come in.
    pub siphons: Vec<SiphonFacts>,
}

/// Where a line stands in [`JoinedFacts`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OfLine {
    /// The part it belongs to, by index.
    pub part: Option<usize>,
    /// The pockets it has a share of, by index.
    pub pockets: Vec<usize>,
    /// Those of them that are the worst of their places.
    pub worst: Vec<usize>,
}

impl JoinedFacts {
    /// The pockets that a line has a share of.
    pub fn pockets_of(&self, line: usize) -> impl Iterator<Item = &PocketFacts> {
        let own = self.of_line.get(line);
        own.into_iter().flat_map(|own| &own.pockets).map(|index| &self.pockets[*index])
    }

    /// Of the pockets that a line has a share of, the worst of each place that nothing relieves.
    pub fn worst_of(&self, line: usize) -> impl Iterator<Item = &PocketFacts> {
        let own = self.of_line.get(line);
        own.into_iter().flat_map(|own| &own.worst).map(|index| &self.pockets[*index])
    }
}

/// Lines that hang together through components and joins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartFacts {
    /// Its system, and its first line where the system has several parts.
    pub name: String,
    /// Its lines.
    pub lines: Vec<usize>,
    /// Index of its fluid.
    pub fluid: usize,
    /// Whether it carries a gas.
    pub gas: bool,
    /// Why a low point matters in it; none where it does not.
    pub low_matters: Option<LowMatters>,
    /// Lines without a route, beyond which nothing is known.
    pub unrouted: Vec<usize>,
}

/// Why a low point matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LowMatters {
    /// Water settles out of fuel.
    Fuel,
    /// Liquid closes the way of a gas.
    Gas,
    /// Water freezes: the coldest air of the plan is below 0 degC.
    Freezes,
}

/// Where something is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum At {
    /// Along a line, from end A, mm.
    Line(usize, f64),
    /// At a port.
    Port(PortRef),
    /// On a path of a component, both by index.
    Path(usize, usize),
    /// In the middle of a tee, by its component.
    Centre(usize),
}

/// A place with its point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Where.
    pub at: At,
    /// The point, mm.
    pub point_mm: [f64; 3],
}

/// A region in which air stays, or liquid.
#[derive(Clone, Debug, PartialEq)]
pub struct PocketFacts {
    /// Its part, by index.
    pub part: usize,
    /// Index of the attitude.
    pub attitude: usize,
    /// Whether it holds air; liquid otherwise.
    pub air: bool,
    /// Its highest place, or its lowest one for liquid.
    pub peak: Place,
    /// The place over which it runs out when full; none where no way leads out.
    pub pass: Option<Place>,
    /// Height of the peak over the pass, or depth under it, mm.
    pub rise_mm: Option<f64>,
    /// What its lines and measured components hold of it, m3.
    pub volume_m3: f64,
    /// Its lines.
    pub lines: Vec<usize>,
    /// Its components.
    pub components: Vec<usize>,
    /// Components and lines in it of which nothing is known that they hold.
    pub unmeasured: Vec<At>,
    /// The bleeds or drains that empty it; none where some of it stays.
    pub reliefs: Vec<Place>,
    /// Where a bleed or drain is missing, the peak first.
    pub wanted: Vec<Place>,
    /// The clip nearest to the peak, where that lies inside a line.
    pub clip: Option<NearClip>,
    /// Where the attitude is not level and the place is none when level: the share of the attitude from
    /// which on it is one. Only of the worst of each place.
    pub from_share: Option<f64>,
}

/// A clip near a place of its line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NearClip {
    /// Its number, counted from 1.
    pub number: usize,
    /// Height of its corner over end A in the attitude, mm.
    pub over_a_mm: f64,
}

impl PocketFacts {
    /// The line that the peak lies inside of.
    pub fn inside_line(&self) -> Option<usize> {
        match self.peak.at {
            At::Line(line, _) => Some(line),
            _ => None,
        }
    }
}

/// A bleed, or a place that needs one.
#[derive(Clone, Debug, PartialEq)]
pub struct BleedFacts {
    /// Its part, by index.
    pub part: usize,
    /// The place.
    pub place: Place,
    /// Height with the machine level, mm.
    pub height_mm: f64,
    /// Whether there is a bleed.
    pub fitted: bool,
}

/// A drain and what it empties with the machine level.
#[derive(Clone, Debug, PartialEq)]
pub struct DrainFacts {
    /// Its part, by index.
    pub part: usize,
    /// The place.
    pub place: Place,
    /// Lines that run empty through it, as far as they stand over it.
    pub lines: Vec<usize>,
    /// What they hold, m3.
    pub volume_m3: f64,
}

/// Figures of judgement, mm.
#[derive(Clone, Copy, Debug)]
struct Measures {
    /// Least rise that counts.
    least_mm: f64,
    /// Distance within which a bleed still empties a place.
    reach_mm: f64,
}

/// Finds out what the joined lines tell.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    cases: &[CaseFacts],
    lines: &[LineFacts],
) -> JoinedFacts {
    let of = |rule: &str| limit::installation::<Length>(tables, rule).map(|l| l.value.si() * 1e3);
    let (Some(least_mm), Some(reach_mm)) = (of("trap-least-rise"), of("trap-reach")) else {
        return JoinedFacts::default();
    };
    let measures = Measures { least_mm, reach_mm };
    let attitudes = attitude::attitudes(plan, cases);
    let webs = web::webs(plan, lines);
    let coldest_k = coldest_k(plan, cases);
    let parts: Vec<PartFacts> = webs.iter().map(|w| part(plan, w, coldest_k)).collect();
    let mut pockets = Vec::new();
    for (index, (web, part)) in webs.iter().zip(&parts).enumerate() {
        for air in [true, false] {
            if if air { !part.gas } else { part.low_matters.is_some() } {
                let search = region::Search { plan, cases, web, part: index, air, measures };
                pockets.extend(search.all(&attitudes));
            }
        }
    }
    let worst = region::worst(&pockets);
    for index in &worst {
        let pocket = &pockets[*index];
        let web = &webs[pocket.part];
        let (part, air) = (pocket.part, pocket.air);
        let search = region::Search { plan, cases, web, part, air, measures };
        let share = search.since_share(pocket, &attitudes[pocket.attitude]);
        pockets[*index].from_share = share;
    }
    JoinedFacts {
        of_line: of_lines(plan.lines.len(), &parts, &pockets, &worst),
        bleed_order: order::bleeds(plan, &webs, &pockets),
        drains: order::drains(plan, &webs),
        siphons: siphon::siphons(plan, &webs, cases, &attitudes),
        attitudes,
        parts,
        pockets,
        worst,
    }
}

fn of_lines(
    lines: usize,
    parts: &[PartFacts],
    pockets: &[PocketFacts],
    worst: &[usize],
) -> Vec<OfLine> {
    let mut of_line = vec![OfLine::default(); lines];
    for (index, part) in parts.iter().enumerate() {
        for line in &part.lines {
            of_line[*line].part.get_or_insert(index);
        }
    }
    for (index, pocket) in pockets.iter().enumerate() {
        for line in &pocket.lines {
            of_line[*line].pockets.push(index);
        }
    }
    for index in worst {
        for line in &pockets[*index].lines {
            of_line[*line].worst.push(*index);
        }
    }
    of_line
}

fn part(plan: &Plan, web: &Web, coldest_k: Option<f64>) -> PartFacts {
    let fluid = &plan.fluids[web.fluid].fluid;
    let freezes = fluid.use_ == "water" && coldest_k.is_some_and(|k| k < ICE_K);
    let low_matters = if fluid.gas {
        Some(LowMatters::Gas)
    } else if fluid.is_fuel() {
        Some(LowMatters::Fuel)
    } else {
        freezes.then_some(LowMatters::Freezes)
    };
    PartFacts {
        name: web.name.clone(),
        lines: web.lines.clone(),
        fluid: web.fluid,
        gas: fluid.gas,
        low_matters,
        unrouted: web.unrouted.clone(),
    }
}

/// Water freezes below this, K: 0 degC.
const ICE_K: f64 = 273.15;

/// The coldest air of the plan, K.
fn coldest_k(plan: &Plan, cases: &[CaseFacts]) -> Option<f64> {
    let weather = plan.matrix.iter().flat_map(|m| &m.weather).filter_map(|w| w.air);
    let all = cases.iter().filter_map(|c| c.air_k).chain(weather.map(Quantity::si));
    all.reduce(f64::min)
}
