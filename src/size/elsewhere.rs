//! The smallest change elsewhere with which a size passes: less resistance on the way, a lower height, a cooler fluid.

use core::ops::Range;
use std::collections::BTreeSet;

use rayon::prelude::*;

use super::judgement::{Always, Judged, Own, distance};
use crate::finding::Finding;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::search::falling_zero;
use crate::plan::{Ambient, LossLaw, PathLaw, Plan};
use crate::solve::case::{air_pa, named};
use crate::solve::network::circuit::{LinkKind, circuits};
use crate::solve::{CaseFacts, Depth, Facts, solve_in};
use crate::table::Tables;
use crate::units::{
    AbsolutePressure, FlowCoefficient, Length, PressureDifference, Quantity, Temperature,
};

/// Least share of a resistance that is looked at.
const LEAST_SHARE: f64 = 1e-3;
/// A resistance is brought down by this factor till it suffices.
const SHARE_STEP: f64 = 0.7;
/// Heights and temperatures are brought down by this share of what they span.
const SPAN_STEP: f64 = 0.125;
/// A first step that brings the goal nearer by less than this leads nowhere.
const NEARER: f64 = 1e-4;
/// Width at which a search ends, as a share of the last step.
const WIDTH: f64 = 1e-3;

/// Rounds of a search after which it is given up: each takes in the cases that then govern.
const MOST_ROUNDS: usize = 6;

/// What is changed.
#[derive(Clone, Debug)]
pub enum Elsewhere {
    /// A path inside a component has this share of its resistance.
    Path {
        /// The component.
        component: usize,
        /// Its path.
        path: usize,
        /// The share.
        share: f64,
        /// The law it then has.
        law: PathLaw,
    },
    /// Something else that the plan puts into a line has this share of its resistance.
    Loss {
        /// Short name of the line.
        line: String,
        /// What it is.
        what: String,
        /// The share.
        share: f64,
    },
    /// The machine goes no higher.
    Height {
        /// Limit, m.
        most_m: f64,
        /// Highest of the plan, m.
        planned_m: f64,
    },
    /// A fluid is no warmer where it starts from.
    Warmth {
        /// The fluid.
        fluid: usize,
        /// Limit, K.
        most_k: f64,
        /// Warmest of the plan, K.
        planned_k: f64,
    },
}

/// A change elsewhere that makes a size pass.
#[derive(Clone, Debug)]
pub struct Change {
    /// What is changed.
    pub what: Elsewhere,
    /// By how much, as a share of what is planned; of heights and temperatures as a share of what the plan spans.
    pub relative: f64,
    /// What a path takes as planned in the case that governs, Pa; where that is known.
    pub takes_pa: Option<f64>,
}

/// What a change is looked for.
pub struct Target<'t> {
    /// Limits.
    pub tables: &'t Tables,
    /// The line.
    pub own: &'t Own,
    /// What rejects it.
    pub rejected: &'t [Finding],
    /// What fails at every size.
    pub always: &'t [Always],
}

/// What can be changed, with where the search looks.
enum Knob {
    Path(usize, usize),
    Loss(usize, usize),
    Height(Range<f64>),
    Warmth(usize, Range<f64>),
}

impl Knob {
    /// Where it stands in the plan.
    fn planned(&self) -> f64 {
        match self {
            Self::Path(..) | Self::Loss(..) => 1.0,
            Self::Height(range) | Self::Warmth(_, range) => range.end,
        }
    }

    /// The next place below one.
    fn next(&self, at: f64) -> Option<f64> {
        match self {
            Self::Path(..) | Self::Loss(..) => {
                Some(at * SHARE_STEP).filter(|next| *next >= LEAST_SHARE)
            }
            Self::Height(range) | Self::Warmth(_, range) => {
                let next = at - SPAN_STEP * (range.end - range.start);
                (at > range.start).then(|| next.max(range.start))
            }
        }
    }

    /// How far a place is from the planned one.
    fn relative(&self, at: f64) -> f64 {
        match self {
            Self::Path(..) | Self::Loss(..) => 1.0 - at,
            Self::Height(range) | Self::Warmth(_, range) => {
                (range.end - at) / (range.end - range.start)
            }
        }
    }
}

/// The smallest change of each kind that makes a plan pass, the smallest first.
pub fn changes(plan: &Plan, target: &Target<'_>) -> Vec<Change> {
    let facts = solve_in(plan, target.tables, named(plan), Depth::Flow);
    let found: Vec<Option<Change>> =
        knobs(plan).par_iter().map(|knob| search(plan, &facts, knob, target)).collect();
    let mut found: Vec<Change> = found.into_iter().flatten().collect();
    found.sort_by(|a, b| a.relative.total_cmp(&b.relative));
    found
}

fn knobs(plan: &Plan) -> Vec<Knob> {
    let mut knobs = Vec::new();
    let circuits = circuits(plan);
    for link in circuits.iter().flat_map(|c| &c.links) {
        match link.kind {
            LinkKind::Path { component, path } => {
                let law = &plan.components[component].paths[path].law;
                knobs.extend(eased(law, 0.5).map(|_| Knob::Path(component, path)));
            }
            LinkKind::Line(line) => {
                knobs.extend((0..plan.lines[line].losses.len()).map(|l| Knob::Loss(line, l)));
            }
            LinkKind::Join | LinkKind::Leg(_) => {}
        }
    }
    knobs.extend(span(&heights(plan)).map(Knob::Height));
    let fluids: BTreeSet<usize> = circuits.iter().map(|c| c.fluid).collect();
    for fluid in fluids {
        let lowest = plan.fluids[fluid].fluid.range.map(|r| r.0.si());
        let highest = warmths(plan, fluid).into_iter().reduce(f64::max);
        if let Some((low, high)) = lowest.zip(highest).filter(|(low, high)| low < high) {
            knobs.push(Knob::Warmth(fluid, low..high));
        }
    }
    knobs
}

fn span(values: &[f64]) -> Option<Range<f64>> {
    let least = values.iter().copied().reduce(f64::min)?;
    let most = values.iter().copied().reduce(f64::max)?;
    (least < most).then_some(least..most)
}

/// Heights of all cases, m.
fn heights(plan: &Plan) -> Vec<f64> {
    let named = plan.cases.iter().filter_map(|c| match c.ambient {
        Ambient::Altitude(h) => Some(h.si()),
        Ambient::Pressure(_) => None,
    });
    named.chain(plan.matrix.iter().flat_map(|m| m.altitudes_m.iter().copied())).collect()
}

/// Temperatures a fluid starts from, K.
fn warmths(plan: &Plan, fluid: usize) -> Vec<f64> {
    let named = plan.cases.iter().flat_map(|c| &c.fluids);
    let weather = plan.matrix.iter().flat_map(|m| &m.weather).flat_map(|w| &w.fluids);
    named.chain(weather).filter(|f| f.0 == fluid).map(|f| f.1.si()).collect()
}

/// Looks in the cases that reject, and takes in those that reject what was found, till every case passes.
fn search(plan: &Plan, facts: &Facts, knob: &Knob, target: &Target<'_>) -> Option<Change> {
    // Stated duties belong to the named cases by their places, so where there are any all of those stay.
    let placed = plan.lines.iter().flat_map(|l| &l.duties).any(|d| d.case.is_some());
    let mut cases = if placed { named(plan) } else { Vec::new() };
    cases.extend(governing(facts, target.rejected, placed));
    for _ in 0..MOST_ROUNDS {
        let at = within(plan, &cases, knob, target)?;
        let judged = Judged::all(&turned(plan, knob, at)?, target.tables).of(target.own);
        let rejected = judged.rejected(None, target.always);
        if rejected.is_empty() {
            return Some(Change {
                what: what(plan, knob, at)?,
                relative: knob.relative(at),
                takes_pa: takes_pa(facts, knob, target),
            });
        }
        let before = cases.len();
        for case in governing(facts, &rejected, placed) {
            if cases.iter().all(|c| c.name != case.name) {
                cases.push(case);
            }
        }
        if cases.len() == before {
            return None;
        }
    }
    None
}

/// Cases that findings name, as planned; only the combined ones where the named ones are there already.
fn governing(facts: &Facts, findings: &[Finding], placed: bool) -> Vec<CaseFacts> {
    let names: BTreeSet<&str> = findings.iter().filter_map(|f| f.case.as_deref()).collect();
    let known = facts.cases.iter().chain(worst_cases(facts));
    let mut cases: Vec<CaseFacts> = Vec::new();
    for case in known.filter(|c| (c.combined || !placed) && names.contains(c.name.as_str())) {
        if cases.iter().all(|c| c.name != case.name) {
            cases.push(case.clone());
        }
    }
    cases
}

/// Cases that govern something of the machine.
fn worst_cases(facts: &Facts) -> impl Iterator<Item = &CaseFacts> {
    let network = &facts.network;
    let inlets = network.inlets.iter().flat_map(|i| [i.margin.as_ref(), i.pressure.as_ref()]);
    let flows = network.least_flows.iter().map(|f| f.least.as_ref());
    let needs = network.needs.iter().map(|n| n.available.as_ref());
    let outlets = network.outlets.iter().map(|o| o.most.as_ref());
    inlets.chain(flows).chain(needs).chain(outlets).flatten().map(|w| &*w.case)
}

/// The least change that passes in these cases: the first step down that does, then the place within it.
fn within(plan: &Plan, cases: &[CaseFacts], knob: &Knob, target: &Target<'_>) -> Option<f64> {
    let at = |place: f64| -> Result<f64, HydraulicsError> {
        let turned = turned(plan, knob, place)
            .ok_or(HydraulicsError::NotRepresentable { what: "the change" })?;
        let alone = Plan { matrix: None, cases: Vec::new(), ..turned };
        let cases = cases.iter().map(|c| turned_case(c, knob, place)).collect();
        let judged = Judged::within(&alone, target.tables, cases).of(target.own);
        Ok(distance(&judged, target.rejected, target.always))
    };
    let mut above = knob.planned();
    let mut first = true;
    let mut distance = at(above).ok()?;
    while distance < 0.0 {
        let below = knob.next(above)?;
        let nearer = at(below).ok()?;
        if nearer >= 0.0 {
            // The lower end of the bracket passes; its middle may not.
            return Some(falling_zero("the change", (below, above), WIDTH, at).ok()?.low);
        }
        if first && nearer - distance < NEARER * distance.abs() {
            return None;
        }
        (above, distance, first) = (below, nearer, false);
    }
    Some(above)
}

/// A case with what a knob changes in it.
fn turned_case(case: &CaseFacts, knob: &Knob, at: f64) -> CaseFacts {
    let mut case = case.clone();
    match knob {
        Knob::Height(_) => {
            case.ambient_pa = air_pa(at).map_or(case.ambient_pa, |p| p.max(case.ambient_pa));
        }
        Knob::Warmth(fluid, _) => {
            if let Some(warmth) = &mut case.fluids_k[*fluid] {
                *warmth = warmth.min(at);
            }
        }
        Knob::Path(..) | Knob::Loss(..) => {}
    }
    case
}

/// What a path takes as planned in the case that governs.
fn takes_pa(facts: &Facts, knob: &Knob, target: &Target<'_>) -> Option<f64> {
    let Knob::Path(component, path) = knob else { return None };
    let case = target.rejected.first()?.case.as_deref()?;
    let index = facts.cases.iter().position(|c| c.name == case)?;
    let answers = facts.network.circuits.iter().flat_map(|c| &c.answers);
    let answers = answers.filter(|a| a.0 == index).filter_map(|a| a.1.as_ref().ok());
    let mut paths = answers.flat_map(|a| &a.paths);
    paths.find(|p| (p.component, p.path) == (*component, *path))?.drop_pa
}

fn what(plan: &Plan, knob: &Knob, at: f64) -> Option<Elsewhere> {
    let planned = knob.planned();
    Some(match knob {
        Knob::Path(component, path) => Elsewhere::Path {
            component: *component,
            path: *path,
            share: at,
            law: eased(&plan.components[*component].paths[*path].law, at)?,
        },
        Knob::Loss(line, loss) => Elsewhere::Loss {
            line: plan.lines[*line].id.clone(),
            what: plan.lines[*line].losses[*loss].what.clone(),
            share: at,
        },
        Knob::Height(_) => Elsewhere::Height { most_m: at, planned_m: planned },
        Knob::Warmth(fluid, _) => {
            Elsewhere::Warmth { fluid: *fluid, most_k: at, planned_k: planned }
        }
    })
}

/// The plan with one thing changed.
fn turned(plan: &Plan, knob: &Knob, at: f64) -> Option<Plan> {
    let mut plan = plan.clone();
    match knob {
        Knob::Path(component, path) => {
            let path = &mut plan.components[*component].paths[*path];
            path.law = eased(&path.law, at)?;
        }
        Knob::Loss(line, loss) => {
            let loss = &mut plan.lines[*line].losses[*loss];
            loss.law = eased_loss(loss.law, at);
        }
        Knob::Height(_) => {
            for case in &mut plan.cases {
                match &mut case.ambient {
                    Ambient::Altitude(height) => *height = Length::from_si(height.si().min(at)),
                    Ambient::Pressure(pressure) => {
                        let least = air_pa(at)?;
                        *pressure = AbsolutePressure::from_si(pressure.si().max(least));
                    }
                }
            }
            for height in plan.matrix.iter_mut().flat_map(|m| &mut m.altitudes_m) {
                *height = height.min(at);
            }
        }
        Knob::Warmth(fluid, _) => {
            let weather = plan.matrix.iter_mut().flat_map(|m| &mut m.weather);
            let weather = weather.flat_map(|w| &mut w.fluids);
            for (index, warmth) in plan.cases.iter_mut().flat_map(|c| &mut c.fluids).chain(weather)
            {
                if index == fluid {
                    *warmth = Temperature::from_si(warmth.si().min(at));
                }
            }
        }
    }
    Some(plan)
}

/// A law with a share of its resistance; none for what has none, and for a pump.
fn eased(law: &PathLaw, share: f64) -> Option<PathLaw> {
    let drop = |p: &PressureDifference| PressureDifference::from_si(p.si() * share);
    Some(match law {
        PathLaw::Coefficient { k, bore } => PathLaw::Coefficient { k: k * share, bore: *bore },
        PathLaw::Valve(kv) => PathLaw::Valve(wider(*kv, share)),
        PathLaw::Measured { drop: p, at, linear } => {
            PathLaw::Measured { drop: drop(p), at: *at, linear: *linear }
        }
        // The pressure goes with the inverse square of the discharge.
        PathLaw::Orifice { hole, bore, discharge } => {
            PathLaw::Orifice { hole: *hole, bore: *bore, discharge: discharge / share.sqrt() }
        }
        PathLaw::Curve(points) => {
            PathLaw::Curve(points.iter().map(|(q, p)| (*q, drop(p))).collect())
        }
        PathLaw::Free
        | PathLaw::PumpCurve(_)
        | PathLaw::PumpSquare { .. }
        | PathLaw::Displacement { .. } => return None,
    })
}

fn eased_loss(law: LossLaw, share: f64) -> LossLaw {
    match law {
        LossLaw::Coefficient { k, bore } => LossLaw::Coefficient { k: k * share, bore },
        LossLaw::Valve(kv) => LossLaw::Valve(wider(kv, share)),
        LossLaw::Measured { drop, at, linear } => {
            let drop = PressureDifference::from_si(drop.si() * share);
            LossLaw::Measured { drop, at, linear }
        }
    }
}

/// The flow coefficient of a valve with a share of the resistance.
fn wider(kv: FlowCoefficient, share: f64) -> FlowCoefficient {
    FlowCoefficient::from_si(kv.si() / share.sqrt())
}
