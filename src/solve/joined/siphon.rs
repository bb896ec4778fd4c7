//! Ways by which a tank can run out, and by which the water outside can come in.

use std::collections::BTreeSet;

use nalgebra::Vector3;

use super::Place;
use super::attitude::AttitudeFacts;
use super::web::{Leaves, Outlet, Web};
use crate::geometry::joined::{Level, Spot};
use crate::plan::{Plan, PortRef, Service};
use crate::solve::CaseFacts;
use crate::solve::connection::vent;
use crate::solve::network::circuit::{LinkKind, Spot as Joint};

/// A surface that is closer to the water outside than this is that water, mm.
const SAME_SURFACE_MM: f64 = 1.0;

/// What stands behind a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Behind {
    /// A tank.
    Tank,
    /// The water outside.
    Water,
}

/// A way by which liquid can run, at its worst over all attitudes.
#[derive(Clone, Debug, PartialEq)]
pub struct SiphonFacts {
    /// What stands behind it.
    pub behind: Behind,
    /// The port at which it leaves the tank, or comes in from outside.
    pub from: PortRef,
    /// The port to which it leads.
    pub to: PortRef,
    /// The line that is an overflow or a filler; none for water that comes in.
    pub line: Option<usize>,
    /// The highest place that the liquid cannot avoid.
    pub crest: Place,
    /// Its height over the liquid, mm: over the surface, or over the port where that stands higher.
    pub over_mm: f64,
    /// Height of the far end over the liquid, mm.
    pub end_over_mm: f64,
    /// Whether the port lies below the surface of its tank.
    pub covered: bool,
    /// A component on the way that a spring or a valve keeps shut.
    pub held_by: Option<usize>,
    /// Index of the attitude.
    pub attitude: usize,
}

/// The ways of all parts.
pub(super) fn siphons(
    plan: &Plan,
    webs: &[Web],
    cases: &[CaseFacts],
    attitudes: &[AttitudeFacts],
) -> Vec<SiphonFacts> {
    let mut all = Vec::new();
    for web in webs {
        let ground = Ground { plan, web, cases, attitudes };
        for line in &web.lines {
            all.extend(ground.of_line(*line));
        }
        all.extend(ground.ways_in());
    }
    all
}

struct Ground<'g> {
    plan: &'g Plan,
    web: &'g Web,
    cases: &'g [CaseFacts],
    attitudes: &'g [AttitudeFacts],
}

/// From where a way leads to where, as nodes.
#[derive(Clone, Copy)]
struct Way {
    from: Outlet,
    to: Outlet,
}

impl Ground<'_> {
    /// The ways out of tanks that an overflow or a filler is the only one for.
    fn of_line(&self, line: usize) -> Vec<SiphonFacts> {
        let reversed = match self.plan.lines[line].service {
            Service::Overflow => false,
            Service::Fill => true,
            _ => return Vec::new(),
        };
        let mut sides = self.sides(line);
        if reversed {
            sides.reverse();
        }
        let [near, far] = sides.as_slice() else { return Vec::new() };
        let mut ways = Vec::new();
        for from in near.iter().filter(|o| matches!(o.what, Leaves::Tank(_))) {
            for to in far.iter().filter(|o| o.what != from.what && !is_pumped(o)) {
                let way = Way { from: *from, to: *to };
                let tank = from.what.component();
                let surface = |attitude: &AttitudeFacts| {
                    surface_mm(self.plan, self.cases, tank, &attitude.direction())
                };
                let found = self.worst((way, Some(line)), Behind::Tank, surface);
                ways.extend(found);
            }
        }
        ways
    }

    /// Outlets on the side of end A and of end B of a line; nothing where they hang together without it.
    fn sides(&self, line: usize) -> Vec<Vec<Outlet>> {
        let net = &self.web.liquid;
        let Some(own) = net.kinds.iter().position(|k| *k == LinkKind::Line(line)) else {
            return Vec::new();
        };
        let ends = net.joined.stretches()[own].ends;
        let reached = ends.map(|end| {
            let mut seen = BTreeSet::from([end]);
            let mut next = vec![end];
            while let Some(at) = next.pop() {
                for (index, stretch) in net.joined.stretches().iter().enumerate() {
                    let [a, b] = stretch.ends;
                    let other = if a == at { b } else { a };
                    if index != own && stretch.ends.contains(&at) && seen.insert(other) {
                        next.push(other);
                    }
                }
            }
            seen
        });
        if reached[0].contains(&ends[1]) {
            return Vec::new();
        }
        let of = |side: &BTreeSet<usize>| {
            let outlets = self.web.outlets.iter().copied();
            outlets.filter(|o| side.contains(&o.node)).collect()
        };
        reached.iter().map(of).collect()
    }

    /// The ways by which the water outside can come in: from mouths that dip into it, and from seacocks.
    fn ways_in(&self) -> Vec<SiphonFacts> {
        let Some(water_mm) = self.plan.waterline_mm else { return Vec::new() };
        let height = |attitude: &AttitudeFacts| dot(attitude, &Vector3::from(water_mm));
        let outside: Vec<Outlet> =
            self.web.outlets.iter().copied().filter(|o| self.is_outside(o, water_mm)).collect();
        let mut ways = Vec::new();
        for from in &outside {
            for to in self.web.outlets.iter().filter(|to| !outside.contains(to) && !is_pumped(to)) {
                let way = Way { from: *from, to: *to };
                let water = |attitude: &AttitudeFacts| Some(height(attitude));
                ways.extend(self.worst((way, None), Behind::Water, water));
            }
        }
        ways
    }

    /// Whether an outlet is a mouth that lies under water in some attitude, or the water itself.
    fn is_outside(&self, outlet: &Outlet, water_mm: [f64; 3]) -> bool {
        let water = Vector3::from(water_mm);
        match outlet.what {
            Leaves::Mouth(_) => {
                let point = self.web.liquid.joined.nodes()[outlet.node].coords;
                self.attitudes.iter().any(|a| dot(a, &point) < dot(a, &water))
            }
            Leaves::Tank(tank) => {
                let tank = self.plan.components[tank].tank.as_ref();
                let surface = tank.and_then(|t| t.surface_mm);
                let level = Vector3::from(self.plan.axes.up);
                surface
                    .is_some_and(|s| (Vector3::from(s) - water).dot(&level).abs() < SAME_SURFACE_MM)
            }
            Leaves::On(_) | Leaves::Pumped(_) => false,
        }
    }

    /// A way in the attitude in which its crest stands least over the liquid.
    fn worst(
        &self,
        (way, line): (Way, Option<usize>),
        behind: Behind,
        liquid_mm: impl Fn(&AttitudeFacts) -> Option<f64>,
    ) -> Option<SiphonFacts> {
        let (from, to) = (self.port(way.from.node)?, self.port(way.to.node)?);
        let nodes = self.web.liquid.joined.nodes();
        let mut worst: Option<SiphonFacts> = None;
        for (index, attitude) in self.attitudes.iter().enumerate() {
            let [port_mm, end_mm] =
                [way.from.node, way.to.node].map(|n| dot(attitude, &nodes[n].coords));
            let surface = liquid_mm(attitude);
            let covered = surface.is_some_and(|s| s > port_mm);
            let level = match (behind, surface) {
                // A mouth over the water lets none in.
                (Behind::Water, Some(surface)) => surface,
                (Behind::Water, None) => continue,
                (Behind::Tank, surface) => surface.map_or(port_mm, |s| s.max(port_mm)),
            };
            let Some(crest) = self.crest(way, line, attitude) else { continue };
            let over_mm = crest.height_mm - level;
            if worst.as_ref().is_none_or(|w| over_mm < w.over_mm) {
                worst = Some(SiphonFacts {
                    behind,
                    from,
                    to,
                    line,
                    crest: self.web.place(false, &crest),
                    over_mm,
                    end_over_mm: end_mm - level,
                    covered,
                    held_by: self.held_by(way),
                    attitude: index,
                });
            }
        }
        worst
    }

    /// The crest of a way; where that is its very beginning, the top of the line that it leads through.
    fn crest(&self, way: Way, line: Option<usize>, attitude: &AttitudeFacts) -> Option<Level> {
        let net = &self.web.liquid;
        let up = attitude.direction();
        let between =
            |from: usize, to: usize| net.joined.crest(&up, from, &[Spot::Node(to)]).ok().flatten();
        let crest = between(way.from.node, way.to.node)?;
        let own = line.and_then(|l| net.kinds.iter().position(|k| *k == LinkKind::Line(l)));
        let start_mm = dot(attitude, &net.joined.nodes()[way.from.node].coords);
        match own {
            Some(stretch) if crest.height_mm <= start_mm + SAME_SURFACE_MM => {
                let [a, b] = net.joined.stretches()[stretch].ends;
                between(a, b)
            }
            _ => Some(crest),
        }
    }

    fn port(&self, node: usize) -> Option<PortRef> {
        match self.web.joints[node] {
            Joint::Port(port) => Some(port),
            Joint::Centre(_) => None,
        }
    }

    /// A component with a spring or a one-way path, without which nothing leads from one end to the other.
    fn held_by(&self, way: Way) -> Option<usize> {
        let net = &self.web.liquid;
        let shut = |kind: &LinkKind| match kind {
            LinkKind::Path { component, path } => {
                let own = &self.plan.components[*component].paths[*path];
                (own.opens_at.is_some() || own.one_way).then_some(*component)
            }
            _ => None,
        };
        let mut seen = BTreeSet::from([way.from.node]);
        let mut next = vec![way.from.node];
        let mut met = None;
        while let Some(at) = next.pop() {
            for (stretch, kind) in net.joined.stretches().iter().zip(&net.kinds) {
                if !stretch.ends.contains(&at) {
                    continue;
                }
                if let Some(component) = shut(kind) {
                    met = met.or(Some(component));
                    continue;
                }
                let other = if stretch.ends[0] == at { stretch.ends[1] } else { stretch.ends[0] };
                if seen.insert(other) {
                    next.push(other);
                }
            }
        }
        if seen.contains(&way.to.node) { None } else { met }
    }
}

/// The highest surface that a tank can have, along an up.
pub(super) fn surface_mm(
    plan: &Plan,
    cases: &[CaseFacts],
    tank: usize,
    up: &Vector3<f64>,
) -> Option<f64> {
    let component = &plan.components[tank];
    let named = cases.iter().filter_map(|c| vent::surface_mm(plan, tank, c));
    let stated = component.states.iter().filter_map(|s| s.surface_mm);
    let usual = component.tank.iter().filter_map(|t| t.surface_mm);
    let all = named.chain(stated).chain(usual);
    all.map(|s| Vector3::from(s).dot(up)).reduce(f64::max)
}

fn is_pumped(outlet: &Outlet) -> bool {
    matches!(outlet.what, Leaves::Pumped(_))
}

fn dot(attitude: &AttitudeFacts, point: &Vector3<f64>) -> f64 {
    attitude.direction().dot(point)
}
