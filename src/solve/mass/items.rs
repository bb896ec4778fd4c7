//! Every line, fitting, component and filling as a mass at a place.

use super::{Item, Known, Missing, What};
use crate::geometry::Path;
use crate::plan::{Component, Plan};
use crate::solve::fill::{SystemFacts, line_m3};
use crate::solve::geometry::GeometryFacts;
use crate::solve::{Facts, LineFacts, fluid};
use crate::units::{Quantity, Temperature};

/// What was found.
pub(super) struct Found {
    pub items: Vec<Item>,
    pub missing: Vec<Missing>,
    pub temperatures_k: Vec<Option<f64>>,
}

/// Everything that weighs, dry first.
pub(super) fn all(plan: &Plan, facts: &Facts, systems: &[SystemFacts]) -> Found {
    let first = |f: usize| facts.cases.iter().filter(|c| !c.combined).find_map(|c| c.fluids_k[f]);
    let temperatures_k = (0..plan.fluids.len()).map(first).collect();
    let mut found = Found { items: Vec::new(), missing: Vec::new(), temperatures_k };
    for (index, line) in facts.lines.iter().enumerate() {
        found.line(plan, index, line);
    }
    for (index, component) in plan.components.iter().enumerate() {
        let system = system_of(plan, facts, index);
        let what = What::Component(index);
        let mass = component.mass.map(Quantity::si).ok_or_else(|| "its mass is not given".into());
        found.add(what, &system, None, mass, place(component));
    }
    for system in systems {
        found.filling(plan, facts, system);
    }
    found
}

/// The system of a component: that of its lines, or of what it is screwed to.
fn system_of(plan: &Plan, facts: &Facts, component: usize) -> String {
    let on = plan.lines.iter().filter(|l| [l.from, l.to].iter().any(|p| p.component == component));
    let mut names: Vec<&str> = on.map(|l| l.system.as_str()).collect();
    if names.is_empty() {
        let circuits = facts.network.circuits.iter().filter(|c| c.components.contains(&component));
        names.extend(circuits.filter_map(|c| Some(plan.lines[*c.lines.first()?].system.as_str())));
    }
    names.sort_unstable();
    names.dedup();
    match names[..] {
        [] => "on no line".into(),
        [one] => one.into(),
        _ => "several systems".into(),
    }
}

/// Where a component balances, mm.
pub(super) fn place(component: &Component) -> Option<([f64; 3], Known)> {
    let given = component.centre_mm.map(|at| (at, Known::Given));
    given.or_else(|| Some((component.middle_of_ports_mm()?, Known::Ports)))
}

/// Where the liquid of a tank balances, mm.
pub(super) fn place_in_tank(plan: &Plan, component: &Component) -> Option<([f64; 3], Known)> {
    if component.centre_mm.is_some() {
        return place(component);
    }
    let Some(surface) = component.tank.as_ref().and_then(|t| t.surface_mm) else {
        return place(component);
    };
    let up = plan.axes.up;
    let height = |at: [f64; 3]| at.iter().zip(up).map(|(a, u)| a * u).sum::<f64>();
    let ports = component.ports.iter().map(|p| height(p.at_mm));
    let low = ports.fold(height(surface), f64::min);
    let down = 0.5 * (height(surface) - low);
    Some(([0, 1, 2].map(|axis| surface[axis] - down * up[axis]), Known::Surface))
}

/// The middle of a part of a line, mm.
fn middle(path: &Path, from_mm: f64, to_mm: f64) -> Option<([f64; 3], Known)> {
    let at = path.centroid(from_mm.max(0.0), to_mm.min(path.length_mm())).ok()?;
    Some((at.coords.into(), Known::Given))
}

impl Found {
    fn add(
        &mut self,
        what: What,
        system: &str,
        fluid: Option<usize>,
        mass_kg: Result<f64, String>,
        at: Option<([f64; 3], Known)>,
    ) {
        let at = at.ok_or_else(|| "where it is is not known".to_owned());
        let both = mass_kg.and_then(|mass| Ok((mass, at?)));
        let system = system.to_owned();
        match both {
            // Nothing weighs nothing anywhere.
            Ok((mass_kg, _)) if mass_kg <= 0.0 => {}
            Ok((mass_kg, (at_mm, known))) => {
                self.items.push(Item { what, system, fluid, mass_kg, at_mm, known });
            }
            Err(why) => self.missing.push(Missing { what, system, why }),
        }
    }

    fn line(&mut self, plan: &Plan, index: usize, facts: &LineFacts) {
        let line = &plan.lines[index];
        let geometry = facts.geometry.as_ref().ok();
        let mass_kg = match &facts.makeup {
            Ok(makeup) => makeup
                .mass_g
                .map(|g| g / 1e3)
                .ok_or_else(|| "the mass of its hose or tube per length is not known".to_owned()),
            Err(why) => Err(why.clone()),
        };
        let bare = |g: &GeometryFacts| {
            let [a, b] = g.cut_off_mm.map(|c| c.unwrap_or(0.0));
            middle(&g.route.path, a, g.route.length_mm - b)
        };
        self.add(What::Line(index), &line.system, None, mass_kg, geometry.and_then(bare));
        for end in [0, 1] {
            let Some(fitting) = &line.ends[end] else { continue };
            let mass = fitting.mass.as_ref().map(|m| m.value.si());
            let mass = mass.ok_or_else(|| format!("mass of {} is not known", fitting.label));
            let at = geometry.and_then(|g| place_of_fitting(g, end));
            self.add(What::Fitting(index, end), &line.system, None, mass, at);
        }
    }

    fn filling(&mut self, plan: &Plan, facts: &Facts, system: &SystemFacts) {
        let fluid = Some(system.fluid);
        let density = density(plan, system.fluid, self.temperatures_k[system.fluid]);
        let weigh = |volume_m3: Result<f64, String>| Ok(volume_m3? * density.clone()?);
        for (line, volume) in &system.lines {
            let path = facts.lines[*line].geometry.as_ref().ok().map(|g| &g.route.path);
            let at = path.and_then(|p| middle(p, 0.0, p.length_mm()));
            let volume = line_m3(&facts.lines[*line]).or(*volume);
            let mass = weigh(volume.ok_or_else(|| "what it holds is not known".to_owned()));
            self.add(What::InLine(*line), &plan.lines[*line].system, fluid, mass, at);
        }
        for held in &system.components {
            let at = place(&plan.components[held.component]);
            let mass = weigh(held.volume_m3.clone());
            self.add(What::InComponent(held.component), &system.name, fluid, mass, at);
        }
        for tank in &system.tanks {
            let at = place_in_tank(plan, &plan.components[tank.component]);
            let volume = tank.volume_m3.ok_or_else(|| "its volume is not given".to_owned());
            self.add(What::InTank(tank.component), &system.name, fluid, weigh(volume), at);
        }
    }
}

/// Half way along the fitting.
fn place_of_fitting(geometry: &GeometryFacts, end: usize) -> Option<([f64; 3], Known)> {
    let path = &geometry.route.path;
    let length_mm = path.length_mm();
    let cut_off_mm = geometry.cut_off_mm[end].filter(|c| *c > 0.0);
    let (from_mm, to_mm) = match (end, cut_off_mm) {
        (0, Some(cut_off)) => (0.0, cut_off),
        (_, Some(cut_off)) => (length_mm - cut_off, length_mm),
        (_, None) => {
            let at = if end == 0 { path.point_at(0.0) } else { path.point_at(length_mm) };
            return at.ok().map(|p| (p.coords.into(), Known::Given));
        }
    };
    middle(path, from_mm, to_mm)
}

/// Density of a fluid, kg/m3.
pub(super) fn density(plan: &Plan, index: usize, kelvin: Option<f64>) -> Result<f64, String> {
    let kelvin = kelvin.ok_or("its density is not known: no case gives its temperature")?;
    Ok(fluid::liquid(&plan.fluids[index].fluid, Temperature::from_si(kelvin))?.density_kg_m3)
}
