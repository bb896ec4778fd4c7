//! Bleeds in the order of filling, and drains with what they empty.

use std::collections::BTreeMap;

use nalgebra::{Point3, Vector3};

use super::web::{Leaves, Web};
use super::{At, BleedFacts, DrainFacts, Place, PocketFacts};
use crate::geometry::joined::Spot;
use crate::plan::Plan;
use crate::solve::network::circuit::LinkKind;

/// Up with the machine level.
fn level_up(plan: &Plan) -> Vector3<f64> {
    Vector3::from(plan.axes.up)
}

/// The bleeds that are there and those that are missing, part by part.
///
/// The liquid rises from the lowest place of what it fills, so the lowest bleed runs free of air first and is
/// shut first: by height; of two at one height the one nearer to a tank that it is filled from (common
/// practice).
pub(super) fn bleeds(plan: &Plan, webs: &[Web], pockets: &[PocketFacts]) -> Vec<BleedFacts> {
    let up = level_up(plan);
    let mut all: Vec<BleedFacts> = Vec::new();
    let mut of_part: BTreeMap<usize, Vec<&PocketFacts>> = BTreeMap::new();
    for pocket in pockets.iter().filter(|p| p.air) {
        of_part.entry(pocket.part).or_default().push(pocket);
    }
    for (part, web) in webs.iter().enumerate() {
        if plan.fluids[web.fluid].fluid.gas {
            continue;
        }
        let fitted = web.bleeds.iter().map(|place| (*place, true));
        let own = of_part.get(&part).into_iter().flatten();
        let missing = own.flat_map(|p| &p.wanted).map(|place| (*place, false));
        let mut bleeds: Vec<BleedFacts> = Vec::new();
        for (place, fitted) in fitted.chain(missing) {
            let height_mm = Vector3::from(place.point_mm).dot(&up);
            if !bleeds.iter().any(|known| is_one(&known.place, &place)) {
                bleeds.push(BleedFacts { part, place, height_mm, fitted });
            }
        }
        let far = |bleed: &BleedFacts| distance_to_tank(web, &bleed.place);
        bleeds.sort_by(|a, b| a.height_mm.total_cmp(&b.height_mm).then(far(a).total_cmp(&far(b))));
        all.extend(bleeds);
    }
    all
}

/// One bleed serves the same place in two attitudes.
fn is_one(a: &Place, b: &Place) -> bool {
    const SAME_MM: f64 = 100.0;
    match (a.at, b.at) {
        (At::Line(a, here), At::Line(b, there)) => a == b && (here - there).abs() < SAME_MM,
        (a, b) => a == b,
    }
}

/// How far the nearest tank of the part is away, mm.
fn distance_to_tank(web: &Web, place: &Place) -> f64 {
    let tanks = web.outlets.iter().filter(|o| matches!(o.what, Leaves::Tank(_)));
    let nodes = web.gas.joined.nodes();
    let away = tanks.map(|o| (nodes[o.node] - Point3::from(place.point_mm)).norm());
    away.fold(f64::INFINITY, f64::min)
}

/// Every drain with what runs out of it while the machine stands level.
pub(super) fn drains(plan: &Plan, webs: &[Web]) -> Vec<DrainFacts> {
    let up = level_up(plan);
    let mut all = Vec::new();
    for (part, web) in webs.iter().enumerate() {
        for place in &web.drains {
            let Some(spot) = web.spot(false, place) else { continue };
            let emptied = emptied(web, &up, spot);
            let lines = web.lines.iter().copied().filter(|l| emptied.lines.contains(l)).collect();
            all.push(DrainFacts { part, place: *place, lines, volume_m3: emptied.volume_m3 });
        }
    }
    all
}

struct Emptied {
    lines: Vec<usize>,
    volume_m3: f64,
}

/// What stands over a drain with a way down to it.
fn emptied(web: &Web, up: &Vector3<f64>, drain: Spot) -> Emptied {
    let joined = &web.liquid.joined;
    let left = joined.pockets(&-up, &[drain]).unwrap_or_default();
    let mut found = Emptied { lines: Vec::new(), volume_m3: 0.0 };
    for (index, (stretch, kind)) in joined.stretches().iter().zip(&web.liquid.kinds).enumerate() {
        let Some(way) = &stretch.way else { continue };
        let parts = left.iter().flat_map(|p| &p.parts).filter(|part| part.stretch == index);
        let stays_mm: f64 = parts.map(|part| part.to_mm - part.from_mm).sum();
        let runs_mm = way.length_mm() - stays_mm;
        if runs_mm < 1.0 {
            continue;
        }
        found.volume_m3 += 1e-9 * runs_mm * stretch.area_mm2.unwrap_or(0.0);
        if let LinkKind::Line(line) = kind {
            found.lines.push(*line);
        }
    }
    found
}

impl At {
    /// In words, by the names of the plan.
    pub fn words(&self, plan: &Plan) -> String {
        let id = |component: usize| plan.components[component].id.as_str();
        match self {
            Self::Line(line, station_mm) => {
                format!("{}, {station_mm:.1} mm from end A", plan.lines[*line].id)
            }
            Self::Port(port) => plan.port_name(port),
            Self::Path(component, path) => {
                format!(
                    "{}, path {}",
                    id(*component),
                    plan.components[*component].paths[*path].name
                )
            }
            Self::Centre(component) => id(*component).to_owned(),
        }
    }
}
