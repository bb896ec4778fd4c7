//! Joined lines as heights: places, and monotone edges between them.

use nalgebra::Vector3;

use super::{Joined, Level, Spot};
use crate::geometry::elevation::{LEVEL_MM, height_marks};
use crate::geometry::path::{Path, Piece};
use crate::geometry::{GeometryError, finite};

/// A place and its height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub spot: Spot,
    pub height_mm: f64,
}

/// A run between two places along which the height never turns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub ends: [usize; 2],
    pub stretch: usize,
    /// Stations of its ends; the same where it only leads from a node to the end of a way.
    pub from_mm: f64,
    pub to_mm: f64,
    pub passes: [bool; 2],
}

/// Joined lines seen along an up.
#[derive(Debug)]
pub(super) struct Profile<'j> {
    pub joined: &'j Joined,
    pub up: Vector3<f64>,
    /// The nodes, then the marks along the stretches.
    pub vertices: Vec<Vertex>,
    pub edges: Vec<Edge>,
    /// Edges at each vertex.
    pub at: Vec<Vec<usize>>,
}

impl<'j> Profile<'j> {
    /// The profile, and the vertices of some places, which all become vertices.
    pub fn new(
        joined: &'j Joined,
        up: &Vector3<f64>,
        places: &[Spot],
    ) -> Result<(Self, Vec<usize>), GeometryError> {
        for place in places {
            joined.point(*place)?;
        }
        let nodes = joined.nodes.iter().enumerate().map(|(index, node)| Vertex {
            spot: Spot::Node(index),
            height_mm: node.coords.dot(up),
        });
        let vertices = nodes.collect();
        let mut profile = Self { joined, up: *up, vertices, edges: Vec::new(), at: Vec::new() };
        let mut found = vec![0; places.len()];
        for (slot, place) in found.iter_mut().zip(places) {
            if let Spot::Node(node) = place {
                *slot = *node;
            }
        }
        for stretch in 0..joined.stretches.len() {
            profile.add_stretch(stretch, places, &mut found)?;
        }
        profile.at = vec![Vec::new(); profile.vertices.len()];
        for (index, edge) in profile.edges.iter().enumerate() {
            for end in edge.ends {
                profile.at[end].push(index);
            }
        }
        Ok((profile, found))
    }

    fn add_stretch(
        &mut self,
        stretch: usize,
        places: &[Spot],
        found: &mut [usize],
    ) -> Result<(), GeometryError> {
        let of = &self.joined.stretches[stretch];
        let here = places.iter().enumerate().filter_map(|(index, place)| match place {
            Spot::Along { stretch: on, station_mm } if *on == stretch => Some((index, *station_mm)),
            _ => None,
        });
        let wanted: Vec<(usize, f64)> = here.collect();
        // A valve sits at the end that it lets pass to: what is before it can go back.
        let (first, behind) = ([of.passes[0], true], [true, of.passes[1]]);
        let mut last = (of.ends[0], 0.0);
        if let Some(way) = &of.way {
            for station_mm in marks(way, &self.up, &wanted) {
                let point = way.point_at(station_mm)?;
                let height_mm = finite("a height", point.coords.dot(&self.up))?;
                let vertex = self.vertices.len();
                self.vertices.push(Vertex { spot: Spot::Along { stretch, station_mm }, height_mm });
                let from_mm = if last.0 == of.ends[0] { station_mm } else { last.1 };
                let passes = if last.0 == of.ends[0] { first } else { [true, true] };
                self.add_edge(stretch, [last.0, vertex], [from_mm, station_mm], passes);
                last = (vertex, station_mm);
                let is_here =
                    |at: f64| at.clamp(0.0, way.length_mm()).total_cmp(&station_mm).is_eq();
                for (index, _) in wanted.iter().filter(|(_, at)| is_here(*at)) {
                    found[*index] = vertex;
                }
            }
        }
        let passes = if of.way.is_some() { behind } else { of.passes };
        self.add_edge(stretch, [last.0, of.ends[1]], [last.1, last.1], passes);
        Ok(())
    }

    fn add_edge(
        &mut self,
        stretch: usize,
        ends: [usize; 2],
        [from_mm, to_mm]: [f64; 2],
        passes: [bool; 2],
    ) {
        self.edges.push(Edge { ends, stretch, from_mm, to_mm, passes });
    }

    /// A vertex as a place at a height.
    pub fn level(&self, vertex: usize) -> Level {
        let Vertex { spot, height_mm } = self.vertices[vertex];
        self.level_at(self.node_at(spot, height_mm).unwrap_or(spot), height_mm)
    }

    /// The node that a place at the end of a way is level with.
    fn node_at(&self, spot: Spot, height_mm: f64) -> Option<Spot> {
        let Spot::Along { stretch, station_mm } = spot else { return None };
        let of = &self.joined.stretches[stretch];
        let last_mm = of.way.as_ref()?.length_mm();
        let node = match station_mm {
            at if at <= 0.0 => of.ends[0],
            at if at >= last_mm => of.ends[1],
            _ => return None,
        };
        let is_level = (self.vertices[node].height_mm - height_mm).abs() <= LEVEL_MM;
        is_level.then_some(Spot::Node(node))
    }

    /// A place at its height; every place of a profile exists.
    pub fn level_at(&self, spot: Spot, height_mm: f64) -> Level {
        let point = self.joined.point(spot).unwrap_or_default();
        Level { spot, point, height_mm }
    }

    /// The part of an edge over a height, by its stations.
    pub fn over(&self, edge: &Edge, height_mm: f64) -> Option<[f64; 2]> {
        let [a_mm, b_mm] = edge.ends.map(|end| self.vertices[end].height_mm);
        let ends = [edge.from_mm, edge.to_mm];
        if a_mm.max(b_mm) <= height_mm || edge.from_mm >= edge.to_mm {
            return None;
        }
        if a_mm.min(b_mm) >= height_mm {
            return Some(ends);
        }
        let way = self.joined.stretches[edge.stretch].way.as_ref()?;
        let crossing = crossing(way, &self.up, ends, height_mm);
        Some(if a_mm > height_mm { [ends[0], crossing] } else { [crossing, ends[1]] })
    }
}

/// Stations at which the height of a way can begin, turn or end, and those that are wanted.
fn marks(way: &Path, up: &Vector3<f64>, wanted: &[(usize, f64)]) -> Vec<f64> {
    let length_mm = way.length_mm();
    let own = way.stations().flat_map(|(begins_mm, piece)| {
        height_marks(piece, up).into_iter().map(move |along_mm| begins_mm + along_mm)
    });
    let all = own.chain(wanted.iter().map(|(_, at)| *at));
    let mut marks: Vec<f64> = all.map(|mark| mark.clamp(0.0, length_mm)).collect();
    marks.sort_by(f64::total_cmp);
    marks.dedup();
    marks
}

/// The station between two at which a way crosses a height that lies between theirs.
fn crossing(way: &Path, up: &Vector3<f64>, [from_mm, to_mm]: [f64; 2], height_mm: f64) -> f64 {
    let middle_mm = f64::midpoint(from_mm, to_mm);
    let pieces = way.stations().take_while(|(begins_mm, _)| *begins_mm <= middle_mm);
    let Some((begins_mm, piece)) = pieces.last() else { return middle_mm };
    let heights = [from_mm, to_mm].map(|at| piece.point_at(at - begins_mm).coords.dot(up));
    match piece {
        Piece::Straight { .. } => {
            let share = (height_mm - heights[0]) / (heights[1] - heights[0]);
            from_mm + share.clamp(0.0, 1.0) * (to_mm - from_mm)
        }
        Piece::Arc { start, centre, axis, radius_mm, .. } => {
            let spoke = start - centre;
            let (p, q) = (spoke.dot(up), axis.cross(&spoke).dot(up));
            let swing_mm = libm::hypot(p, q);
            let away = ((height_mm - centre.coords.dot(up)) / swing_mm).clamp(-1.0, 1.0);
            // Measured from the top of the circle the arc is falling on one side and rising on the other.
            let top = libm::atan2(q, p);
            let side = if heights[0] > heights[1] { 1.0 } else { -1.0 };
            let turn = 2.0 * core::f64::consts::PI;
            let at = top + side * libm::acos(away);
            let middle = (middle_mm - begins_mm) / radius_mm;
            let nearest = at + turn * ((middle - at) / turn).round();
            (begins_mm + nearest * radius_mm).clamp(from_mm, to_mm)
        }
    }
}
