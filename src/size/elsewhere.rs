//! The smallest change elsewhere with which a size passes: less resistance on the way, a lower height, a cooler fluid.

use core::ops::Range;
use std::collections::BTreeSet;

use rayon::prelude::*;

use super::judgement::{Always, Judged, distance};
use crate::finding::Finding;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::search::falling_zero;
use crate::plan::{Ambient, LossLaw, PathLaw, Plan};
use crate::solve::network::circuit::{LinkKind, circuits};
use crate::solve::solve;
use crate::table::Tables;
use crate::units::{FlowCoefficient, Length, PressureDifference, Quantity, Temperature};

/// Shares of a resistance between which the one is looked for that suffices.
const SHARES: Range<f64> = 1e-3..1.0;
/// Width at which a search ends, as a share of where it looks.
const WIDTH: f64 = 1e-4;

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
    pub id: &'t str,
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

/// The smallest change of each kind that makes a plan pass, the smallest first.
pub fn changes(plan: &Plan, target: &Target<'_>) -> Vec<Change> {
    let found: Vec<Option<Change>> =
        knobs(plan).par_iter().map(|knob| search(plan, knob, target)).collect();
    let mut found: Vec<Change> = found.into_iter().flatten().collect();
    taken(plan, target, &mut found);
    found.sort_by(|a, b| a.relative.total_cmp(&b.relative));
    found
}

/// Adds what the changed paths take as planned in the case that governs.
fn taken(plan: &Plan, target: &Target<'_>, changes: &mut [Change]) {
    let Some(case) = target.rejected.first().and_then(|f| f.case.as_deref()) else { return };
    let facts = solve(plan, target.tables);
    let Some(index) = facts.cases.iter().position(|c| c.name == case) else { return };
    let answers = facts.network.circuits.iter().flat_map(|c| &c.answers);
    let answers = answers.filter(|a| a.0 == index).filter_map(|a| a.1.as_ref().ok());
    let paths: Vec<_> = answers.flat_map(|a| &a.paths).collect();
    for change in changes {
        if let Elsewhere::Path { component, path, .. } = change.what {
            let own = paths.iter().find(|p| (p.component, p.path) == (component, path));
            change.takes_pa = own.and_then(|p| p.drop_pa);
        }
    }
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

fn search(plan: &Plan, knob: &Knob, target: &Target<'_>) -> Option<Change> {
    let bounds = match knob {
        Knob::Path(..) | Knob::Loss(..) => SHARES,
        Knob::Height(range) | Knob::Warmth(_, range) => range.clone(),
    };
    let at = |place: f64| -> Result<f64, HydraulicsError> {
        let turned = turned(plan, knob, place)
            .ok_or(HydraulicsError::NotRepresentable { what: "the change" })?;
        Ok(distance(&Judged::of(turned, target.tables, target.id), target.rejected, target.always))
    };
    // The lower end of the bracket passes; its middle may not.
    let low = falling_zero("the change", (bounds.start, bounds.end), WIDTH, at).ok()?.low;
    let relative = (bounds.end - low) / (bounds.end - bounds.start);
    Some(Change { what: what(plan, knob, low, bounds.end)?, relative, takes_pa: None })
}

fn what(plan: &Plan, knob: &Knob, at: f64, planned: f64) -> Option<Elsewhere> {
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
                if let Ambient::Altitude(height) = &mut case.ambient {
                    *height = Length::from_si(height.si().min(at));
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
