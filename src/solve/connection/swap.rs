//! Ends of lines that can be exchanged by mistake, and what the machine would be then.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::trial::{NeedTrial, Trials};
use super::vent::surface_mm;
use super::{WiringFacts, wired};
use crate::plan::{Carrier, Plan, Port, PortRef, Service};
use crate::rating::mating::SpigotFit;
use crate::solve::fitting;
use crate::solve::network::region::{Region, Regions};
use crate::solve::network::setup::height_m;
use crate::solve::network::wiring::{End, Wiring};
use crate::solve::{CaseFacts, LineFacts};
use crate::source::{Cite, Sourced};
use crate::table::end::Gender;
use crate::table::{Cell, Tables, limit};
use crate::units::{Length, Quantity};

/// Pairs that are looked at, those with the nearest ports first.
const MOST_PAIRS: usize = 300;
/// Combinations of states that are looked at in each.
const MOST_STATES: usize = 64;
/// Exchanges times named cases that are solved.
const MOST_SOLVED: usize = 120;

/// Ends that can be exchanged.
#[derive(Debug, Default)]
pub struct SwapsFacts {
    /// Pairs of ends that fit each other's ports and reach them.
    pub there_are: usize,
    /// Of these, the ones that were looked at.
    pub looked_at: usize,
    /// Of these, the ones that were solved in the named cases as well.
    pub solved: usize,
    /// How far apart ports may be to be mistaken for each other; none if no table says.
    pub reach: Option<Cite>,
    /// Exchanges that change what the connections give.
    pub changes: Vec<SwapFacts>,
}

/// Two ends on each other's ports.
#[derive(Clone, Debug, PartialEq)]
pub struct SwapFacts {
    /// The ends.
    pub ends: [End; 2],
    /// The ports that they belong on.
    pub ports: [PortRef; 2],
    /// Distance between the ports, mm.
    pub apart_mm: f64,
    /// What the connections would give around these ends; elsewhere nothing changes.
    pub wired: WiringFacts,
    /// The fluids that would meet, by index, where they differ.
    pub fluids: Option<[usize; 2]>,
    /// A line that would draw from over the liquid: line, port, index of the case.
    pub dry: Option<(usize, PortRef, usize)>,
    /// What would come at the needs where less would, if the machine was solved.
    pub needs: Option<Vec<NeedTrial>>,
    /// An end that could have another size, so that the two no longer fit.
    pub other_size: Option<OtherSize>,
}

/// A size that would keep an end off the wrong port.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherSize {
    /// The line.
    pub line: usize,
    /// The port that would change with it.
    pub port: PortRef,
    /// The end table.
    pub table: String,
    /// The size.
    pub size: String,
}

/// Looks for ends that can be exchanged and finds out what that would do.
pub fn swaps(plan: &Plan, tables: &Tables, cases: &[CaseFacts], lines: &[LineFacts]) -> SwapsFacts {
    let rule = |name: &str| limit::installation::<Length>(tables, name);
    let (Some(hose), Some(tube)) = (rule("swap-reach"), rule("swap-reach-tube")) else {
        return SwapsFacts::default();
    };
    let reach = Some(hose.cite.and(&tube.cite));
    let wiring = Wiring::planned(plan);
    let bench = Bench { plan, tables, lines, wiring: &wiring, reach: [hose, tube] };
    let mut pairs = bench.pairs();
    pairs.sort_by(|a, b| a.2.total_cmp(&b.2));
    let there_are = pairs.len();
    pairs.truncate(MOST_PAIRS);
    let trials = Trials::new(plan, tables, cases, lines);
    let mut planned = Planned {
        plan,
        wiring: &wiring,
        regions: Regions::new(plan, &wiring),
        known: BTreeMap::new(),
    };
    let mut solved = 0;
    let mut needs = Vec::with_capacity(pairs.len());
    for (a, b, _) in &pairs {
        planned.learn([*a, *b]);
        // Fluids that meet are harm enough.
        let solve = bench.fluids(*a, *b).is_none() && (solved + 1) * trials.cases() <= MOST_SOLVED;
        let found = if solve { trials.with(&wiring.exchanged(*a, *b)) } else { None };
        solved += usize::from(found.is_some());
        needs.push(found);
    }
    let swap = |((a, b, apart_mm), needs): (&(End, End, f64), Option<Vec<NeedTrial>>)| {
        let ends = [*a, *b];
        let exchanged = wiring.exchanged(*a, *b);
        let (region, before) = planned.around(ends)?;
        let swap = SwapFacts {
            ends,
            ports: ends.map(|end| wiring.port(end)),
            apart_mm: *apart_mm,
            wired: wired(plan, &exchanged, region, MOST_STATES),
            fluids: bench.fluids(*a, *b),
            dry: dry(plan, cases, &wiring, &exchanged, ends),
            needs,
            other_size: bench.other_size(*a).or_else(|| bench.other_size(*b)),
        };
        swap.changes(before).then_some(swap)
    };
    let changes = pairs.par_iter().zip(needs).filter_map(swap).collect();
    SwapsFacts { there_are, looked_at: pairs.len(), solved, reach, changes }
}

impl SwapFacts {
    /// Whether anything is other than planned.
    fn changes(&self, planned: &WiringFacts) -> bool {
        let needs = self.needs.as_ref().is_some_and(|n| !n.is_empty());
        self.wired != *planned || self.fluids.is_some() || self.dry.is_some() || needs
    }
}

/// What the connections give as planned, region by region, as far as it was asked for.
struct Planned<'p> {
    plan: &'p Plan,
    wiring: &'p Wiring,
    regions: Regions,
    known: BTreeMap<BTreeSet<usize>, (Region, WiringFacts)>,
}

impl Planned<'_> {
    /// The numbers of the regions that an exchange of two ends can change.
    fn numbers(&self, ends: [End; 2]) -> BTreeSet<usize> {
        let ports = ends.map(|end| self.wiring.port(end));
        ports.iter().filter_map(|port| self.regions.number(*port)).collect()
    }

    /// Finds out what the region around two ends gives as planned.
    fn learn(&mut self, ends: [End; 2]) {
        let numbers = self.numbers(ends);
        self.known.entry(numbers).or_insert_with_key(|numbers| {
            let region = self.regions.together(numbers);
            let facts = wired(self.plan, self.wiring, &region, MOST_STATES);
            (region, facts)
        });
    }

    /// The region that an exchange of two ends can change, and what it gives as planned; none where that was not learnt.
    fn around(&self, ends: [End; 2]) -> Option<&(Region, WiringFacts)> {
        self.known.get(&self.numbers(ends))
    }
}

/// What the search for pairs looks at.
struct Bench<'b> {
    plan: &'b Plan,
    tables: &'b Tables,
    lines: &'b [LineFacts],
    wiring: &'b Wiring,
    /// How far apart ports of hoses, and how far apart those of tubes may be.
    reach: [Sourced<Length>; 2],
}

impl Bench<'_> {
    /// Pairs of ends that fit and reach each other's ports, with the distance of these in mm.
    fn pairs(&self) -> Vec<(End, End, f64)> {
        let mut alike: BTreeMap<(String, String, &str), Vec<End>> = BTreeMap::new();
        for end in self.wiring.ends() {
            let port = self.port(end);
            let size = port.end.size.as_deref().unwrap_or_default().trim().to_lowercase();
            let gender = port.end.gender.map_or("", Gender::word);
            let family = port.end.family.trim().to_lowercase();
            alike.entry((family, size, gender)).or_default().push(end);
        }
        let mut pairs = Vec::new();
        for ends in alike.values() {
            for [a, b] in self.near(ends) {
                let apart = apart_mm(self.port(a), self.port(b));
                let possible = !of_one(a, b) && self.can_be_mistaken(a, b);
                if possible && self.reaches(a, b, apart) && self.fits(a, b) {
                    pairs.push((a, b, apart));
                }
            }
        }
        pairs
    }

    /// Pairs out of a list whose ports are within anyone's reach of each other, in the order of the list.
    fn near(&self, ends: &[End]) -> Vec<[End; 2]> {
        let at = |end: &End| self.port(*end).at_mm;
        let numbered = ends.iter().enumerate();
        let tree = RTree::bulk_load(
            numbered.map(|(index, end)| GeomWithData::new(at(end), index)).collect(),
        );
        let [hose, tube] = &self.reach;
        // A little more, so that rounding leaves out nothing that the exact comparison would keep.
        let reach_mm = hose.value.si().max(tube.value.si()) * 1e3 * (1.0 + 1e-9);
        let mut pairs = Vec::new();
        for (index, end) in ends.iter().enumerate() {
            let found = tree.locate_within_distance(at(end), reach_mm * reach_mm);
            let mut later: Vec<usize> =
                found.map(|near| near.data).filter(|n| *n > index).collect();
            later.sort_unstable();
            pairs.extend(later.into_iter().map(|other| [*end, ends[other]]));
        }
        pairs
    }

    /// Parts that are screwed together can be turned round or put on another port of the same part, but
    /// hang on no line that could be led elsewhere.
    fn can_be_mistaken(&self, a: End, b: End) -> bool {
        let joined = [a, b].iter().any(|end| matches!(end, End::Join(..)));
        !joined || self.wiring.port(a).component == self.wiring.port(b).component
    }

    fn port(&self, end: End) -> &Port {
        self.plan.port(&self.wiring.port(end)).1
    }

    /// Whether both ends can be brought to each other's ports.
    fn reaches(&self, a: End, b: End, apart_mm: f64) -> bool {
        let [hose, tube] = &self.reach;
        let limit_mm = |end: End| match end {
            End::Line(line, _) if self.is_tube(line) => tube.value.si() * 1e3,
            _ => hose.value.si() * 1e3,
        };
        let near = apart_mm <= limit_mm(a) && apart_mm <= limit_mm(b);
        near && self.long_enough(a, b) && self.long_enough(b, a)
    }

    fn is_tube(&self, line: usize) -> bool {
        matches!(self.plan.lines[line].carrier, Carrier::Tube(_))
    }

    /// Whether a hose reaches from its other end to the port of `to` in a straight line; one whose length
    /// is not known may.
    fn long_enough(&self, end: End, to: End) -> bool {
        let End::Line(line, side) = end else { return true };
        let makeup = self.lines.get(line).and_then(|l| l.makeup.as_ref().ok());
        let stays = self.port(End::Line(line, 1 - side));
        self.is_tube(line)
            || makeup.is_none_or(|m| apart_mm(stays, self.port(to)) <= m.cut.assembly_mm)
    }

    /// Whether each end goes on the other's port; threaded ports are alike by now.
    fn fits(&self, a: End, b: End) -> bool {
        let spigot = |end: End, to: End| {
            let port = &self.port(to).end;
            if !port.is_spigot() {
                return true;
            }
            let End::Line(line, _) = end else { return false };
            let fit = fitting::hose_on_spigot(self.tables, &self.plan.lines[line], port);
            matches!(fit, Some(SpigotFit::Fits { .. }))
        };
        spigot(a, b) && spigot(b, a)
    }

    /// The fluids of two ends, where they differ.
    fn fluids(&self, a: End, b: End) -> Option<[usize; 2]> {
        let fluid = |end: End| match end {
            End::Line(line, _) => Some(self.plan.lines[line].fluid),
            End::Join(..) => None,
        };
        let both = [fluid(a)?, fluid(b)?];
        (both[0] != both[1]).then_some(both)
    }

    /// Another size of the table that an end comes from: the next larger one, else the next smaller.
    fn other_size(&self, end: End) -> Option<OtherSize> {
        let End::Line(line, side) = end else { return None };
        let fitting = self.plan.lines[line].ends[side].as_ref()?;
        let name = fitting.label.strip_suffix(&fitting.size)?.trim_end();
        let table = self.tables.get("end", name)?;
        let sizes: Vec<String> =
            table.rows.iter().filter_map(|r| r.cells.get("size")).map(Cell::to_text).collect();
        let here = sizes.iter().position(|s| *s == fitting.size)?;
        let larger = sizes.get(here + 1);
        let size = larger.or_else(|| sizes.get(here.checked_sub(1)?))?.clone();
        let port = self.wiring.port(end);
        Some(OtherSize { line, port, table: name.to_owned(), size })
    }
}

/// Whether two ends belong to one line or one join: exchanged, they only turn it round.
fn of_one(a: End, b: End) -> bool {
    match (a, b) {
        (End::Line(a, _), End::Line(b, _)) | (End::Join(a, _), End::Join(b, _)) => a == b,
        _ => false,
    }
}

fn apart_mm(a: &Port, b: &Port) -> f64 {
    let squares = a.at_mm.iter().zip(b.at_mm).map(|(a, b)| (a - b) * (a - b));
    squares.sum::<f64>().sqrt()
}

/// A line that would draw from a port over the liquid, and did not before.
fn dry(
    plan: &Plan,
    cases: &[CaseFacts],
    planned: &Wiring,
    exchanged: &Wiring,
    ends: [End; 2],
) -> Option<(usize, PortRef, usize)> {
    let bare = |port: PortRef| {
        let named = cases.iter().enumerate().filter(|(_, c)| !c.combined);
        let mut bare = named.filter(|(_, case)| {
            let surface = surface_mm(plan, port.component, case);
            let at = plan.port(&port).1.at_mm;
            surface.is_some_and(|s| height_m(case, at) > height_m(case, s))
        });
        bare.next().map(|(index, _)| index)
    };
    ends.into_iter().find_map(|end| {
        let End::Line(line, 0) = end else { return None };
        let draws = [Service::Suction, Service::Gravity, Service::Pressure, Service::Drain];
        let port = exchanged.port(end);
        let tank = plan.components[port.component].kind == "tank";
        if !tank || !draws.contains(&plan.lines[line].service) || bare(planned.port(end)).is_some()
        {
            return None;
        }
        bare(port).map(|case| (line, port, case))
    })
}
