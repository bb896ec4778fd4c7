//! The pockets of a part in an attitude, what relieves them, and from which attitude on they are there.

use std::collections::{BTreeMap, BTreeSet};

use nalgebra::{Point3, Vector3};

use super::attitude::AttitudeFacts;
use super::siphon::surface_mm;
use super::web::{Leaves, Web};
use super::{At, Measures, NearClip, Place, PocketFacts, geometry};
use crate::geometry::joined::{Level, Pocket, Spot};
use crate::plan::{Clip, Plan, Service};
use crate::solve::CaseFacts;
use crate::solve::network::circuit::LinkKind;

/// A rise that is no more than the last digits of the arithmetic is none, mm.
const LEAST_RISE_MM: f64 = 1e-3;
/// Places nearer to each other than this are one in two attitudes, mm.
const SAME_PLACE_MM: f64 = 100.0;
/// Of a stretch less than this is not worth naming, mm.
const NAMED_MM: f64 = 1.0;
/// Halvings in the search for an attitude: a thousandth of it.
const HALVINGS: u32 = 10;
/// Rounds in which missing bleeds are put in; a line has no more humps than corners.
const MOST_ROUNDS: usize = 64;

/// A search for pockets in one part.
#[derive(Clone, Copy)]
pub(super) struct Search<'s> {
    pub plan: &'s Plan,
    pub cases: &'s [CaseFacts],
    pub web: &'s Web,
    pub part: usize,
    pub air: bool,
    pub measures: Measures,
}

impl Search<'_> {
    /// The pockets in every attitude.
    pub fn all(&self, attitudes: &[AttitudeFacts]) -> Vec<PocketFacts> {
        let each = attitudes.iter().enumerate();
        each.flat_map(|(index, attitude)| self.in_attitude(index, &attitude.direction())).collect()
    }

    /// What stays in spite of all bleeds, then what would stay without them.
    fn in_attitude(&self, attitude: usize, up: &Vector3<f64>) -> Vec<PocketFacts> {
        let out = self.web.out(self.air);
        let reliefs = self.reliefs();
        let with: Vec<Spot> = out.iter().copied().chain(reliefs.iter().map(|r| r.1)).collect();
        let natural = self.pockets(up, &out, self.measures.least_mm);
        let stays: Vec<Pocket> = self.staying(up, &with, self.measures.least_mm);
        let mut wanted: Vec<Vec<Place>> = stays.iter().map(|_| Vec::new()).collect();
        for (wanted, pocket) in wanted.iter_mut().zip(&stays) {
            wanted.push(self.web.place(self.air, &pocket.peak));
        }
        self.want(up, with, &stays, &mut wanted);
        let rest = stays.iter().zip(wanted).map(|(pocket, wanted)| PocketFacts {
            wanted,
            ..self.described((attitude, up), pocket)
        });
        let emptied = natural.iter().filter(|n| !stays.iter().any(|s| covers(n, s)));
        let emptied = emptied.map(|pocket| PocketFacts {
            reliefs: self.relieving(pocket, &reliefs),
            ..self.described((attitude, up), pocket)
        });
        rest.chain(emptied).collect()
    }

    /// The bleeds or drains with their places in the net.
    fn reliefs(&self) -> Vec<(Place, Spot)> {
        let all = self.web.reliefs(self.air).iter();
        all.filter_map(|place| Some((*place, self.web.spot(self.air, place)?))).collect()
    }

    /// Pockets that rise by so much at least. Not those in gauge lines only, which are filled by what they
    /// compress; nor air that goes back to the air over the liquid of a tank, where a line stands empty.
    fn pockets(&self, up: &Vector3<f64>, out: &[Spot], least_mm: f64) -> Vec<Pocket> {
        let along = if self.air { *up } else { -up };
        let mut all = self.web.net(self.air).joined.pockets(&along, out).unwrap_or_default();
        all.retain(|p| p.rise_mm().is_none_or(|rise| rise >= least_mm) && !self.only_gauges(p));
        if self.air {
            let dry = self.dry(up);
            let goes_back = |p: &Pocket| {
                p.pass.is_some_and(|pass| dry.iter().any(|node| pass.spot == Spot::Node(*node)))
            };
            all.retain(|p| !goes_back(p));
        }
        all
    }

    /// Nodes of tanks over the highest surface that the tank can have.
    fn dry(&self, up: &Vector3<f64>) -> Vec<usize> {
        let nodes = self.web.gas.joined.nodes();
        let tanks = self.web.outlets.iter().filter_map(|outlet| match outlet.what {
            Leaves::Tank(tank) => Some((outlet.node, tank)),
            _ => None,
        });
        let over = |node: usize, tank: usize| {
            let surface = surface_mm(self.plan, self.cases, tank, up);
            surface.is_some_and(|s| nodes[node].coords.dot(up) > s + LEAST_RISE_MM)
        };
        tanks.filter(|(node, tank)| over(*node, *tank)).map(|(node, _)| node).collect()
    }

    fn only_gauges(&self, pocket: &Pocket) -> bool {
        let lines = self.lines(pocket);
        let gauge = |l: &usize| self.plan.lines[*l].service == Service::Gauge;
        !lines.is_empty() && lines.iter().all(gauge)
    }

    /// Pockets of which no bleed is near the peak.
    fn staying(&self, up: &Vector3<f64>, out: &[Spot], least_mm: f64) -> Vec<Pocket> {
        let reliefs = self.reliefs();
        let mut all = self.pockets(up, out, least_mm);
        all.retain(|pocket| {
            let relieved = |(place, spot): &(Place, Spot)| {
                self.is_near(place, pocket) || self.is_level(up, (place, *spot), pocket)
            };
            !reliefs.iter().any(relieved)
        });
        all
    }

    /// Whether a bleed at the edge of a pocket is level with its peak: over a level run air comes to it from
    /// further away. A clip is the corner that its bend cuts off.
    fn is_level(&self, up: &Vector3<f64>, (bleed, spot): (&Place, Spot), pocket: &Pocket) -> bool {
        let off = Vector3::from(bleed.point_mm) - pocket.peak.point.coords;
        let at_edge = pocket.pass.is_some_and(|pass| pass.spot == spot);
        at_edge && off.dot(up).abs() < self.measures.least_mm
    }

    /// Whether a bleed on a line or component of a pocket is within reach of its peak.
    fn is_near(&self, bleed: &Place, pocket: &Pocket) -> bool {
        let off = Point3::from(bleed.point_mm) - pocket.peak.point;
        off.norm() <= self.measures.reach_mm
            && match bleed.at {
                At::Line(line, _) => self.lines(pocket).contains(&line),
                At::Path(component, _) => self.components(pocket).contains(&component),
                At::Port(_) | At::Centre(_) => false,
            }
    }

    /// Puts bleeds at the peaks until nothing stays, and notes them with the pocket that each lies in.
    fn want(
        &self,
        up: &Vector3<f64>,
        mut out: Vec<Spot>,
        stays: &[Pocket],
        wanted: &mut [Vec<Place>],
    ) {
        out.extend(stays.iter().map(|pocket| pocket.peak.spot));
        for _ in 0..MOST_ROUNDS {
            let left = self.staying(up, &out, self.measures.least_mm);
            if left.is_empty() {
                return;
            }
            for pocket in &left {
                out.push(pocket.peak.spot);
                if let Some(index) = stays.iter().position(|s| covers(s, pocket)) {
                    wanted[index].push(self.web.place(self.air, &pocket.peak));
                }
            }
        }
    }

    /// The bleeds that lie in a pocket, or near enough to its peak.
    fn relieving(&self, pocket: &Pocket, reliefs: &[(Place, Spot)]) -> Vec<Place> {
        let inside = |spot: &Spot| match spot {
            Spot::Node(node) => pocket.nodes.contains(node),
            Spot::Along { stretch, station_mm } => pocket.parts.iter().any(|part| {
                part.stretch == *stretch && (part.from_mm..=part.to_mm).contains(station_mm)
            }),
        };
        let of = reliefs.iter().filter(|(place, spot)| inside(spot) || self.is_near(place, pocket));
        of.map(|(place, _)| *place).collect()
    }

    fn described(&self, (attitude, up): (usize, &Vector3<f64>), pocket: &Pocket) -> PocketFacts {
        let place = |level: &Level| self.web.place(self.air, level);
        let peak = place(&pocket.peak);
        PocketFacts {
            part: self.part,
            attitude,
            air: self.air,
            peak,
            clip: self.clip(&peak, up),
            pass: pocket.pass.as_ref().map(place),
            rise_mm: pocket.rise_mm(),
            volume_m3: pocket.volume_mm3 * 1e-9,
            lines: self.lines(pocket).into_iter().collect(),
            components: self.components(pocket).into_iter().collect(),
            unmeasured: self.unmeasured(pocket),
            reliefs: Vec::new(),
            wanted: Vec::new(),
            from_share: None,
        }
    }

    /// The clip nearest to a place inside a line.
    fn clip(&self, place: &Place, up: &Vector3<f64>) -> Option<NearClip> {
        let At::Line(line, _) = place.at else { return None };
        let line = &self.plan.lines[line];
        let vector = |p: [f64; 3]| Vector3::from(p);
        let away = |clip: &Clip| (vector(clip.at_mm) - vector(place.point_mm)).norm();
        let clips = line.clips.iter().enumerate();
        let (index, clip) = clips.min_by(|a, b| away(a.1).total_cmp(&away(b.1)))?;
        let end_a = vector(self.plan.port(&line.from).1.at_mm);
        Some(NearClip { number: index + 1, over_a_mm: (vector(clip.at_mm) - end_a).dot(up) })
    }

    /// Lines with more in the pocket than a sliver.
    fn lines(&self, pocket: &Pocket) -> BTreeSet<usize> {
        let kinds = &self.web.net(self.air).kinds;
        let large = pocket.parts.iter().filter(|p| p.to_mm - p.from_mm > NAMED_MM);
        large
            .filter_map(|part| match kinds[part.stretch] {
                LinkKind::Line(line) => Some(line),
                _ => None,
            })
            .collect()
    }

    /// Components with a port or a path in the pocket.
    fn components(&self, pocket: &Pocket) -> BTreeSet<usize> {
        let kinds = &self.web.net(self.air).kinds;
        let paths = pocket.parts.iter().filter_map(|part| match kinds[part.stretch] {
            LinkKind::Path { component, .. } => Some(component),
            _ => None,
        });
        let nodes = pocket.nodes.iter().map(|node| self.web.component(*node));
        nodes.chain(paths).collect()
    }

    /// Lines without a bore, and components that do not say what they hold.
    fn unmeasured(&self, pocket: &Pocket) -> Vec<At> {
        let kinds = &self.web.net(self.air).kinds;
        let of = pocket.unmeasured.iter().filter_map(|stretch| match kinds[*stretch] {
            LinkKind::Line(line) => Some(At::Line(line, 0.0)),
            LinkKind::Path { component, path } => Some(At::Path(component, path)),
            LinkKind::Join | LinkKind::Leg(_) => None,
        });
        of.collect()
    }

    /// The share of an attitude from which on a pocket is there; none where it is there when level. Any rise
    /// counts: the least that is judged is a matter of the tape.
    pub fn since_share(&self, pocket: &PocketFacts, attitude: &AttitudeFacts) -> Option<f64> {
        let out: Vec<Spot> =
            self.web.out(self.air).into_iter().chain(self.reliefs().iter().map(|r| r.1)).collect();
        let is_there = |share: f64| {
            let [nose, roll] = attitude.attitude_rad.map(|a| share * a);
            let Some(up) = geometry::up(&self.plan.axes, nose, roll) else { return false };
            let up = Vector3::from(up);
            let all = self.staying(&up, &out, LEAST_RISE_MM);
            all.iter().any(|p| is_same(&self.described((pocket.attitude, &up), p), pocket))
        };
        if attitude.is_level() || is_there(0.0) {
            return None;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if is_there(middle) { high = middle } else { low = middle }
        }
        Some(high)
    }
}

/// Whether a pocket holds the peak or some part of another one.
fn covers(hill: &Pocket, other: &Pocket) -> bool {
    let nodes = || other.nodes.iter().any(|node| hill.nodes.contains(node));
    let parts = || {
        other.parts.iter().any(|part| {
            let middle = f64::midpoint(part.from_mm, part.to_mm);
            hill.parts.iter().any(|own| {
                own.stretch == part.stretch && (own.from_mm..=own.to_mm).contains(&middle)
            })
        })
    };
    nodes() || parts()
}

/// Of the pockets that nothing relieves, the worst of each place over all attitudes.
pub(super) fn worst(pockets: &[PocketFacts]) -> Vec<usize> {
    let mut worst: Vec<usize> = Vec::new();
    // Places in `worst` of those that may be the same.
    let mut of_part: BTreeMap<(usize, bool), Vec<usize>> = BTreeMap::new();
    let rise = |i: usize| pockets[i].rise_mm.unwrap_or(f64::INFINITY);
    for (index, pocket) in pockets.iter().enumerate().filter(|(_, p)| p.reliefs.is_empty()) {
        let known = of_part.entry((pocket.part, pocket.air)).or_default();
        match known.iter().find(|known| is_same(&pockets[worst[**known]], pocket)) {
            Some(known) if rise(worst[*known]) < rise(index) => worst[*known] = index,
            Some(_) => {}
            None => {
                known.push(worst.len());
                worst.push(index);
            }
        }
    }
    worst
}

/// Whether two pockets of a part are one place in two attitudes: near each other on one line or about one
/// component, or at components with the same extent.
fn is_same(a: &PocketFacts, b: &PocketFacts) -> bool {
    let off = Point3::from(a.peak.point_mm) - Point3::from(b.peak.point_mm);
    let is_near = off.norm() < SAME_PLACE_MM;
    match (a.inside_line(), b.inside_line()) {
        (Some(a), Some(b)) => a == b && is_near,
        (None, None) if a.lines == b.lines && a.components == b.components => true,
        _ => is_near && a.components.iter().any(|c| b.components.contains(c)),
    }
}
