//! What runs back into each tank while nothing pumps.

use nalgebra::Vector3;

use super::web::{Leaves, Web, webs};
use super::{At, geometry};
use crate::geometry::joined::{Joined, Part, Spot};
use crate::plan::{Plan, Tank};
use crate::solve::LineFacts;
use crate::solve::connection::walk::{States, is_one_way, is_open};
use crate::solve::network::circuit::LinkKind;

/// What runs back into a tank with the machine level and its components in their usual states.
#[derive(Clone, Debug, PartialEq)]
pub struct DrainBack {
    /// The tank, by component.
    pub tank: usize,
    /// What runs back at most, m3, or why that is not known.
    pub runs: Result<f64, String>,
    /// What stands over the surface as well and stays: behind valves, in dips, without a way to the tank; m3.
    pub stays_m3: f64,
    /// Lines that run back, as far as they stand over the surface.
    pub lines: Vec<usize>,
    /// Components and lines over the surface of which nothing is known that they hold.
    pub not_known: Vec<At>,
}

/// What runs back into each tank that liquid is in, by component; one with several circuits adds them up.
pub fn solve(plan: &Plan, lines: &[LineFacts]) -> Vec<DrainBack> {
    let mut all: Vec<DrainBack> = Vec::new();
    let Some(up) = geometry::up(&plan.axes, 0.0, 0.0).map(Vector3::from) else { return all };
    let liquid = |web: &Web| !plan.fluids[web.fluid].fluid.gas;
    for web in webs(plan, lines).iter().filter(|w| liquid(w)) {
        for (tank, nodes) in tanks(web) {
            let found = one(plan, web, tank, &nodes, &up);
            match all.iter_mut().find(|known| known.tank == tank) {
                Some(known) => add(known, found),
                None => all.push(found),
            }
        }
    }
    all
}

fn tanks(web: &Web) -> Vec<(usize, Vec<Spot>)> {
    let mut all: Vec<(usize, Vec<Spot>)> = Vec::new();
    for outlet in &web.outlets {
        let Leaves::Tank(tank) = outlet.what else { continue };
        match all.iter_mut().find(|(known, _)| *known == tank) {
            Some((_, nodes)) => nodes.push(Spot::Node(outlet.node)),
            None => all.push((tank, vec![Spot::Node(outlet.node)])),
        }
    }
    all
}

fn add(known: &mut DrainBack, more: DrainBack) {
    known.runs = match (known.runs.clone(), more.runs) {
        (Ok(a), Ok(b)) => Ok(a + b),
        (Err(why), _) | (_, Err(why)) => Err(why),
    };
    known.stays_m3 += more.stays_m3;
    known.lines.extend(more.lines);
    known.not_known.extend(more.not_known);
}

fn one(plan: &Plan, web: &Web, tank: usize, outlets: &[Spot], up: &Vector3<f64>) -> DrainBack {
    let mut found = DrainBack {
        tank,
        runs: Err("the surface of the tank is not given".into()),
        stays_m3: 0.0,
        lines: Vec::new(),
        not_known: Vec::new(),
    };
    let component = &plan.components[tank];
    let usual = component.states.first().and_then(|s| s.surface_mm);
    let surface = usual.or_else(|| component.tank.as_ref().and_then(|t: &Tank| t.surface_mm));
    let (Some(surface), Some(joined)) = (surface, standing(plan, web)) else { return found };
    let surface_mm = Vector3::from(surface).dot(up);
    let run_off = match joined.run_off(up, surface_mm, outlets) {
        Ok(run_off) => run_off,
        Err(error) => {
            found.runs = Err(error.to_string());
            return found;
        }
    };
    let held = |part: &Part| {
        joined.stretches()[part.stretch].area_mm2.map(|a| 1e-9 * a * (part.to_mm - part.from_mm))
    };
    found.stays_m3 = run_off.stays.iter().filter_map(held).sum();
    found.runs = Ok(run_off.runs.iter().filter_map(held).sum());
    for part in &run_off.runs {
        let unknown = held(part).is_none();
        match web.liquid.kinds[part.stretch] {
            LinkKind::Line(line) if unknown => once(&mut found.not_known, At::Line(line, 0.0)),
            LinkKind::Line(line) => once(&mut found.lines, line),
            LinkKind::Path { component, path } if unknown => {
                once(&mut found.not_known, At::Path(component, path));
            }
            _ => {}
        }
    }
    found.lines.sort_unstable();
    found
}

fn once<T: PartialEq>(list: &mut Vec<T>, item: T) {
    if !list.contains(&item) {
        list.push(item);
    }
}

/// The liquid at rest: paths that the usual states shut let nothing pass; check valves, springs and regulators
/// their way only. What may give way in time is thought to: pumps, thermostats, the springs themselves.
fn standing(plan: &Plan, web: &Web) -> Option<Joined> {
    let net = &web.liquid;
    let mut stretches = net.joined.stretches().to_vec();
    for (stretch, kind) in stretches.iter_mut().zip(&net.kinds) {
        if let LinkKind::Path { component, path } = *kind {
            let open = is_open(plan, component, path, States::USUAL);
            let one_way = is_one_way(&plan.components[component].paths[path]);
            stretch.passes = [open, open && !one_way];
        }
    }
    Joined::new(net.joined.nodes().to_vec(), stretches).ok()
}
