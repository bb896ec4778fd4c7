//! The parts of the plan as joined lines: what leads where, what lets gas and liquid go, bleeds, drains.

use std::collections::BTreeSet;

use nalgebra::Point3;

use super::{At, Place};
use crate::geometry::joined::{Joined, Level, Spot, Stretch};
use crate::geometry::{Path, Piece};
use crate::plan::{self, Plan, PortRef};
use crate::solve::LineFacts;
use crate::solve::connection::walk::{States, is_open};
use crate::solve::network::circuit::{Circuit, CircuitLink, LinkKind, Spot as Joint, circuits_of};
use crate::solve::network::wiring::Wiring;
use crate::units::Quantity;

/// A part of the plan.
#[derive(Debug)]
pub(super) struct Web {
    pub name: String,
    pub lines: Vec<usize>,
    pub fluid: usize,
    pub joints: Vec<Joint>,
    /// Gas rises in it, one way only where a component says so.
    pub gas: Net,
    /// Liquid sinks in it.
    pub liquid: Net,
    /// Lines without a route.
    pub unrouted: Vec<usize>,
    /// Nodes at which what comes is let go.
    pub outlets: Vec<Outlet>,
    /// Bleeds.
    pub bleeds: Vec<Place>,
    /// Drains.
    pub drains: Vec<Place>,
}

/// Joined lines with what each stretch is.
#[derive(Debug)]
pub(super) struct Net {
    pub joined: Joined,
    pub kinds: Vec<LinkKind>,
}

/// A node at which gas and liquid leave the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Outlet {
    pub node: usize,
    pub what: Leaves,
}

/// Where gas and liquid go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaves {
    /// Into a tank, by component.
    Tank(usize),
    /// Out of a mouth, by component.
    Mouth(usize),
    /// To where it is used up, or of which the plan does not tell more, by component.
    On(usize),
    /// Gas only: into a pump that displaces, which takes it along, by component.
    Pumped(usize),
}

impl Leaves {
    /// The component where it leaves.
    pub fn component(self) -> usize {
        match self {
            Self::Tank(component)
            | Self::Mouth(component)
            | Self::On(component)
            | Self::Pumped(component) => component,
        }
    }
}

/// All parts, those that carry liquid first.
pub(super) fn webs(plan: &Plan, lines: &[LineFacts]) -> Vec<Web> {
    let wiring = Wiring::planned(plan);
    let circuits = [false, true].into_iter().flat_map(|gas| circuits_of(plan, &wiring, gas));
    let open = wiring.open_ports(plan);
    circuits.filter_map(|circuit| web(plan, lines, &open, circuit)).collect()
}

/// One part; `open` holds the ports of each component that nothing is on.
fn web(plan: &Plan, lines: &[LineFacts], open: &[Vec<usize>], circuit: Circuit) -> Option<Web> {
    let nodes: Vec<Point3<f64>> = circuit.spots.iter().map(|s| node(plan, &circuit, s)).collect();
    let net = |air: bool| -> Option<Net> {
        let mut stretches = Vec::new();
        let mut kinds = Vec::new();
        for link in &circuit.links {
            if let Some(stretch) = stretch(plan, lines, link, &nodes, air) {
                stretches.push(stretch);
                kinds.push(link.kind);
            }
        }
        Some(Net { joined: Joined::new(nodes.clone(), stretches).ok()?, kinds })
    };
    let all: Vec<usize> = circuit.lines().collect();
    let unrouted = all.iter().copied().filter(|l| lines[*l].geometry.is_err()).collect();
    let (gas, liquid) = (net(true)?, net(false)?);
    let outlets = outlets(plan, lines, open, &circuit);
    Some(Web {
        bleeds: reliefs(plan, lines, &circuit, true),
        drains: reliefs(plan, lines, &circuit, false),
        name: circuit.name,
        lines: all,
        fluid: circuit.fluid,
        joints: circuit.spots,
        gas,
        liquid,
        unrouted,
        outlets,
    })
}

fn node(plan: &Plan, circuit: &Circuit, joint: &Joint) -> Point3<f64> {
    match joint {
        Joint::Port(port) => Point3::from(plan.port(port).1.at_mm),
        Joint::Centre(component) => {
            let ports = circuit.spots.iter().filter_map(|s| match s {
                Joint::Port(port) if port.component == *component => Some(plan.port(port).1.at_mm),
                _ => None,
            });
            let all: Vec<[f64; 3]> = ports.collect();
            let share = 1.0 / f64::from(u32::try_from(all.len().max(1)).unwrap_or(u32::MAX));
            Point3::from([0, 1, 2].map(|axis| all.iter().map(|p| share * p[axis]).sum()))
        }
    }
}

/// A link as a stretch; none where nothing passes, or a line has no route.
fn stretch(
    plan: &Plan,
    lines: &[LineFacts],
    link: &CircuitLink,
    nodes: &[Point3<f64>],
    air: bool,
) -> Option<Stretch> {
    let ends = [link.from, link.to];
    let [from, to] = ends.map(|end| nodes[end]);
    let both = [true, true];
    match link.kind {
        LinkKind::Line(line) => {
            let facts = &lines[line];
            let way = facts.geometry.as_ref().ok()?.route.path.clone();
            let area =
                facts.bore.as_ref().map(|b| 0.25 * core::f64::consts::PI * b.value * b.value);
            Some(Stretch { ends, way: Some(way), area_mm2: area, passes: both })
        }
        LinkKind::Path { component, path } => {
            let passes = passes(plan, component, path, air)?;
            let inside = &plan.components[component].paths[path];
            let way = way(&corners(&inside.inside, from, to, air));
            let length_mm = way.as_ref().map(Path::length_mm);
            let volume_mm3 = inside.volume.map(|v| v.si() * 1e9).filter(|v| *v > 0.0);
            let area_mm2 = volume_mm3.zip(length_mm).map(|(v, l)| v / l);
            Some(Stretch { ends, way, area_mm2, passes })
        }
        LinkKind::Join | LinkKind::Leg(_) => {
            Some(Stretch { ends, way: way(&[from, to]), area_mm2: None, passes: both })
        }
    }
}

/// The corners of the way through a component. It is a housing: air crosses it at its top, liquid at its
/// bottom.
fn corners(
    inside: &plan::Inside,
    from: Point3<f64>,
    to: Point3<f64>,
    air: bool,
) -> Vec<Point3<f64>> {
    let middle = if air { inside.top_mm } else { inside.bottom_mm };
    core::iter::once(from).chain(middle.map(Point3::from)).chain([to]).collect()
}

/// Straights from corner to corner; none where all stand on one point.
fn way(corners: &[Point3<f64>]) -> Option<Path> {
    let legs = corners.windows(2).filter(|pair| (pair[1] - pair[0]).norm() > 0.0);
    let pieces: Vec<Piece> =
        legs.map(|pair| Piece::Straight { from: pair[0], to: pair[1] }).collect();
    Path::new(pieces).ok()
}

/// Which ways a path lets pass what rises or sinks by itself; none where every state shuts it.
///
/// Some state opens it: what rises does so whenever that state is set. Liquid sinks both ways: a valve that
/// lets pass one way stands open while fluid flows, and the region about it is one low region. Gas goes
/// through a check valve its way only. What rises to a pump that displaces is taken along, and comes out on its
/// other side; it does not lift the spring of a relief
/// valve or a bypass: a path with a spring beside another at the port where it begins.
fn passes(plan: &Plan, component: usize, path: usize, air: bool) -> Option<[bool; 2]> {
    if !is_open(plan, component, path, States::Any) {
        return None;
    }
    let paths = &plan.components[component].paths;
    let own = &paths[path];
    if !air {
        return Some([true, true]);
    }
    let beside =
        |other: &plan::Path| other.opens_at.is_none() && [other.from, other.to].contains(&own.from);
    if displaces(own) || (own.opens_at.is_some() && paths.iter().any(beside)) {
        return None;
    }
    Some([true, !own.one_way])
}

/// Whether a pump takes along the gas that comes to its inlet, as one that displaces does.
fn displaces(path: &plan::Path) -> bool {
    matches!(path.law, plan::PathLaw::Displacement { .. }) || (path.law.is_pump() && path.one_way)
}

/// The nodes at which gas and liquid leave.
fn outlets(
    plan: &Plan,
    lines: &[LineFacts],
    open: &[Vec<usize>],
    circuit: &Circuit,
) -> Vec<Outlet> {
    let inside = links_at(lines, circuit, true);
    let outside = links_at(lines, circuit, false);
    let spots = circuit.spots.iter().enumerate();
    spots
        .filter_map(|(node, spot)| {
            let Joint::Port(port) = *spot else { return None };
            let (component, _) = plan.port(&port);
            let taken = !open[port.component].contains(&port.port);
            let needs = component.need.as_ref().is_some_and(|n| n.port == port.port);
            // A port that a line of another part is on, one whose line has no route, and one behind which
            // the plan says nothing: what comes there goes on.
            let displaced = component.paths.iter().any(|p| p.from == port.port && displaces(p));
            let goes_on = (taken && !outside.contains(&node)) || !inside.contains(&node);
            let what = match component.kind.as_str() {
                "tank" => Leaves::Tank(port.component),
                "vent" => Leaves::Mouth(port.component),
                "gauge" => return None,
                _ if needs || goes_on => Leaves::On(port.component),
                _ if displaced => Leaves::Pumped(port.component),
                _ => return None,
            };
            Some(Outlet { node, what })
        })
        .collect()
}

/// Nodes at the ends of what is inside components, open or shut, or of what is between them and has a route.
fn links_at(lines: &[LineFacts], circuit: &Circuit, inside: bool) -> BTreeSet<usize> {
    let of = |link: &&CircuitLink| match link.kind {
        LinkKind::Path { .. } | LinkKind::Leg(_) => inside,
        LinkKind::Line(line) => !inside && lines[line].geometry.is_ok(),
        LinkKind::Join => !inside,
    };
    circuit.links.iter().filter(of).flat_map(|link| [link.from, link.to]).collect()
}

/// The bleeds or drains of a part: clips and tops or bottoms of paths that are marked.
fn reliefs(plan: &Plan, lines: &[LineFacts], circuit: &Circuit, air: bool) -> Vec<Place> {
    let clips = circuit.lines().flat_map(|line| {
        let geometry = lines[line].geometry.as_ref().ok();
        let clips = plan.lines[line].clips.iter().enumerate();
        clips.filter_map(move |(index, clip)| {
            let marked = if air { clip.bleed } else { clip.drain };
            let station_mm = geometry.filter(|_| marked)?.clip_station(index, clip);
            Some(Place { at: At::Line(line, station_mm), point_mm: clip.at_mm })
        })
    });
    let paths = circuit.paths().filter_map(|(component, path)| {
        let inside = &plan.components[component].paths[path].inside;
        let (marked, point) =
            if air { (inside.bleed, inside.top_mm) } else { (inside.drain, inside.bottom_mm) };
        let point_mm = point.filter(|_| marked)?;
        Some(Place { at: At::Path(component, path), point_mm })
    });
    clips.chain(paths).collect()
}

impl Web {
    /// The net in which air rises, or the one in which liquid sinks.
    pub fn net(&self, air: bool) -> &Net {
        if air { &self.gas } else { &self.liquid }
    }

    /// The bleeds, or the drains.
    pub fn reliefs(&self, air: bool) -> &[Place] {
        if air { &self.bleeds } else { &self.drains }
    }

    /// A place of the kernel in the words of the plan.
    pub fn place(&self, air: bool, level: &Level) -> Place {
        let at = match level.spot {
            Spot::Node(node) => self.at_node(node),
            Spot::Along { stretch, station_mm } => {
                let net = self.net(air);
                match net.kinds[stretch] {
                    LinkKind::Line(line) => At::Line(line, station_mm),
                    LinkKind::Path { component, path } => At::Path(component, path),
                    LinkKind::Join | LinkKind::Leg(_) => {
                        self.at_node(net.joined.stretches()[stretch].ends[0])
                    }
                }
            }
        };
        Place { at, point_mm: level.point.coords.into() }
    }

    /// A node in the words of the plan.
    pub fn at_node(&self, node: usize) -> At {
        match self.joints[node] {
            Joint::Port(port) => At::Port(port),
            Joint::Centre(component) => At::Centre(component),
        }
    }

    /// A place of the plan as one of the kernel; none where its stretch is not in the net.
    pub fn spot(&self, air: bool, place: &Place) -> Option<Spot> {
        let net = self.net(air);
        let of = |wanted: LinkKind| net.kinds.iter().position(|kind| *kind == wanted);
        match place.at {
            At::Line(line, station_mm) => {
                Some(Spot::Along { stretch: of(LinkKind::Line(line))?, station_mm })
            }
            At::Path(component, path) => {
                let stretch = of(LinkKind::Path { component, path })?;
                let way = net.joined.stretches()[stretch].way.as_ref()?;
                let station_mm = nearest_corner(way, &Point3::from(place.point_mm));
                Some(Spot::Along { stretch, station_mm })
            }
            At::Port(port) => self.joint(Joint::Port(port)),
            At::Centre(component) => self.joint(Joint::Centre(component)),
        }
    }

    fn joint(&self, joint: Joint) -> Option<Spot> {
        self.joints.iter().position(|j| *j == joint).map(Spot::Node)
    }

    /// The places at which gas or liquid leaves by itself.
    pub fn out(&self, air: bool) -> Vec<Spot> {
        let leaves = self.outlets.iter().filter(|o| air || !matches!(o.what, Leaves::Pumped(_)));
        leaves.map(|o| Spot::Node(o.node)).collect()
    }

    /// The component of a node.
    pub fn component(&self, node: usize) -> usize {
        match self.joints[node] {
            Joint::Port(PortRef { component, .. }) | Joint::Centre(component) => component,
        }
    }
}

/// The corner of a way of straights that is nearest to a point.
fn nearest_corner(way: &Path, point: &Point3<f64>) -> f64 {
    let ends = way.stations().map(|(begins_mm, piece)| (begins_mm, piece.start()));
    let last = way.pieces().last().map(|piece| (way.length_mm(), piece.end()));
    let distance = |corner: &(f64, Point3<f64>)| (corner.1 - point).norm();
    let nearest = ends.chain(last).min_by(|a, b| distance(a).total_cmp(&distance(b)));
    nearest.map_or(0.0, |(station_mm, _)| station_mm)
}
