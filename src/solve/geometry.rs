//! The route of each line: path, bends, straights, high and low points, supports.

use nalgebra::{Point3, Vector3};

use super::CaseFacts;
use super::elbow::{self, ElbowFacts};
use super::support::{self, SupportFacts, corner_station};
use super::tube::bender_of;
use crate::geometry::attitude::Attitude;
use crate::geometry::elevation::ExtremeKind;
use crate::geometry::{Route, RouteEnd, RouteInput, Shortfall, route};
use crate::plan::{Axes, Carrier, Clip, Line, Plan, Port, Tube};
use crate::rating::bend::centre_line_from_inside_mm;
use crate::source::{Cite, Sourced};
use crate::table::end::End;
use crate::table::hose::{BendDatum, Hose};
use crate::table::{Row, Tables, limit};
use crate::units::{Length, Quantity};

/// Least bend radius of a line, to its centre line.
#[derive(Clone, Debug)]
pub struct AllowedRadius {
    /// What must not be gone below, mm.
    pub least_mm: f64,
    /// What is surely enough, mm: larger where the document does not say how the radius is measured,
    /// and not known if the outside diameter is not.
    pub sure_mm: Option<f64>,
    /// Where it comes from.
    pub cite: Cite,
}

impl AllowedRadius {
    /// The radius to draw where the plan names none, mm: the sure one where it is known.
    pub fn drawn_mm(&self) -> f64 {
        self.sure_mm.unwrap_or(self.least_mm)
    }
}

/// One bend.
#[derive(Clone, Debug)]
pub struct BendFacts {
    /// Where, in words.
    pub place: String,
    /// Angle, degrees.
    pub angle_deg: f64,
    /// Radius drawn, mm.
    pub radius_mm: f64,
    /// Largest radius that fits, mm.
    pub fits_mm: f64,
    /// Station from end A, mm.
    pub station_mm: f64,
}

/// A leg that cannot hold what it should.
#[derive(Clone, Debug)]
pub struct ShortLeg {
    /// From where to where, in words.
    pub place: String,
    /// What it would need, mm.
    pub needed_mm: f64,
    /// What there is, mm.
    pub has_mm: f64,
}

/// A high or low point inside a line.
#[derive(Clone, Debug)]
pub struct ExtremeFacts {
    /// Index of the case.
    pub case: usize,
    /// Whether it is a high point.
    pub high: bool,
    /// Station from end A, mm.
    pub station_mm: f64,
    /// Height over the lower of its two sides' turning points, mm.
    pub rise_mm: f64,
    /// Whether a clip with a bleed (high) or a drain (low) is near enough.
    pub relieved: bool,
}

/// What a route is laid from.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The ends A and B.
    pub ends: [RouteEnd; 2],
    /// The corners between them.
    pub clips: Vec<Point3<f64>>,
    /// Wanted radius of the centre line, mm.
    pub bend_radius_mm: f64,
    /// Wanted straight after each end, mm.
    pub straight_after_end_mm: f64,
}

impl Laid {
    /// The same as the kernel takes it.
    pub fn input(&self) -> RouteInput<'_> {
        RouteInput {
            a: self.ends[0],
            b: self.ends[1],
            clips: &self.clips,
            bend_radius_mm: self.bend_radius_mm,
            straight_after_end_mm: self.straight_after_end_mm,
        }
    }
}

/// The route of one line.
#[derive(Debug)]
pub struct GeometryFacts {
    /// What the route was laid from.
    pub laid: Laid,
    /// The route itself.
    pub route: Route,
    /// Least radius allowed.
    pub allowed: Option<AllowedRadius>,
    /// Bends from A to B.
    pub bends: Vec<BendFacts>,
    /// Legs that are too short.
    pub short_legs: Vec<ShortLeg>,
    /// Straight wanted after each end, mm; only for hoses.
    pub straight_wanted: Option<Sourced<f64>>,
    /// Straight there is at A and B, mm.
    pub straight_mm: [f64; 2],
    /// High and low points, in every case.
    pub extremes: Vec<ExtremeFacts>,
    /// Whether an elbow would better point another way.
    pub elbow: Option<ElbowFacts>,
    /// How it is held.
    pub support: SupportFacts,
    /// Ends whose elbow direction nothing decides.
    pub open_directions: Vec<String>,
    /// Lengths of fitting beyond the hose end, mm, where known.
    pub cut_off_mm: [Option<f64>; 2],
}

/// Why a line has no route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoRoute {
    /// Whether something is missing; otherwise the route cannot exist.
    pub missing: bool,
    /// In words.
    pub why: String,
}

impl NoRoute {
    fn missing(why: impl Into<String>) -> Self {
        Self { missing: true, why: why.into() }
    }
}

/// Up in the plan's coordinates for an attitude.
pub fn up(axes: &Axes, nose_up_rad: f64, roll_right_rad: f64) -> Option<[f64; 3]> {
    let vector = |a: [f64; 3]| Vector3::new(a[0], a[1], a[2]);
    let attitude = Attitude::new(vector(axes.forward), vector(axes.right), vector(axes.up)).ok()?;
    let up = attitude.up_when(nose_up_rad, roll_right_rad).ok()?;
    Some([up.x, up.y, up.z])
}

/// The route of a line.
///
/// # Errors
/// In words: what is missing, or where the route cannot exist.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    cases: &[CaseFacts],
    line: &Line,
) -> Result<GeometryFacts, NoRoute> {
    let allowed = allowed_radius(tables, line);
    let by_table = allowed.as_ref().map(AllowedRadius::drawn_mm);
    let by_bender = bender_of(plan, line).map(|b| b.radius_mm);
    let radius_mm = by_bender.or(line.bend_radius_mm).or(by_table).ok_or_else(|| {
        NoRoute::missing("no bend radius is known: neither the table nor the plan gives one")
    })?;
    let straight_wanted = straight_wanted(tables, line);
    let cut_off_mm = [0, 1].map(|i| cut_off_mm(plan, line, i));
    let laid = Laid {
        ends: [route_end(plan, line, 0, cut_off_mm[0])?, route_end(plan, line, 1, cut_off_mm[1])?],
        clips: line.clips.iter().map(|c| point(c.at_mm)).collect(),
        bend_radius_mm: radius_mm,
        straight_after_end_mm: straight_wanted.as_ref().map_or(0.0, |s| s.value),
    };
    let route = route(&laid.input()).map_err(|e| NoRoute { missing: false, why: e.to_string() })?;
    let mut facts = GeometryFacts {
        elbow: None,
        bends: bends(&route),
        short_legs: short_legs(&route),
        straight_mm: [route.straight_a_mm, route.straight_b_mm],
        extremes: extremes(tables, cases, &route, line),
        support: support::solve(plan, tables, &route, line),
        open_directions: open_directions(&route),
        allowed,
        straight_wanted,
        cut_off_mm,
        laid,
        route,
    };
    facts.elbow = elbow::solve(&facts);
    Ok(facts)
}

/// A point of the plan.
pub fn point(p: [f64; 3]) -> Point3<f64> {
    Point3::new(p[0], p[1], p[2])
}

fn allowed_radius(tables: &Tables, line: &Line) -> Option<AllowedRadius> {
    match &line.carrier {
        Carrier::Tube(tube) => {
            let radius = tube.bend_radius.clone().or_else(|| tube_radius(tables, tube))?;
            let mm = radius.value.si() * 1e3;
            Some(AllowedRadius { least_mm: mm, sure_mm: Some(mm), cite: radius.cite })
        }
        Carrier::Hose(hose) => hose_radius(hose),
    }
}

/// Least radius of a tube given by material and size alone, where its very size is tabulated.
fn tube_radius(tables: &Tables, tube: &Tube) -> Option<Sourced<Length>> {
    let column = match tube.strength.wetted.as_ref()?.value.as_str() {
        "aluminium" => "aluminium",
        wetted if wetted.contains("steel") || wetted.contains("stainless") => "steel",
        _ => return None,
    };
    let table = tables.get("limit", "tube-bend")?;
    let same = |row: &&Row| {
        let outside = table.quantity::<Length>(row, "outside");
        outside.is_some_and(|o| (o.value.si() - tube.outside.value.si()).abs() < 1e-6)
    };
    table.quantity(table.rows.iter().find(same)?, column)
}

fn hose_radius(hose: &Hose) -> Option<AllowedRadius> {
    let radius = hose.bend_radius.as_ref()?;
    let printed_mm = radius.value.si() * 1e3;
    let outside_mm = hose.outside.as_ref().map(|o| o.value.si() * 1e3);
    let from_inside = outside_mm.and_then(|o| centre_line_from_inside_mm(printed_mm, o).ok());
    let (least_mm, sure_mm) = match hose.bend_to {
        BendDatum::CentreLine => (printed_mm, Some(printed_mm)),
        // Without the outside diameter an inside radius cannot be held against a centre line.
        BendDatum::Inside => (from_inside?, from_inside),
        BendDatum::NotSaid => (printed_mm, from_inside),
    };
    Some(AllowedRadius { least_mm, sure_mm, cite: radius.cite.clone() })
}

fn straight_wanted(tables: &Tables, line: &Line) -> Option<Sourced<f64>> {
    let Carrier::Hose(hose) = &line.carrier else {
        return None;
    };
    let outside = hose.outside.as_ref()?;
    let rule = limit::installation_number(tables, "straight-after-end")?;
    Some(rule.map(|diameters| diameters * outside.value.si() * 1e3))
}

/// Length of fitting beyond the hose end; negative where the hose is pushed over a spigot.
fn cut_off_mm(plan: &Plan, line: &Line, end: usize) -> Option<f64> {
    let port = port(plan, line, end);
    if port.end.is_spigot() {
        return port.end.insertion.map(|i| -i.si() * 1e3);
    }
    line.ends[end].as_ref()?.cut_off.as_ref().map(|c| c.value.si() * 1e3)
}

/// The port at end A (0) or B (1).
pub fn port<'p>(plan: &'p Plan, line: &Line, end: usize) -> &'p Port {
    plan.port(if end == 0 { &line.from } else { &line.to }).1
}

fn route_end(
    plan: &Plan,
    line: &Line,
    end: usize,
    cut_off_mm: Option<f64>,
) -> Result<RouteEnd, NoRoute> {
    let port = port(plan, line, end);
    let fitting: Option<&End> = line.ends[end].as_ref();
    let angle_rad = fitting.map_or(0.0, |f| f.angle.si());
    let drop = fitting.and_then(|f| f.drop.as_ref());
    if angle_rad > 1e-9 && drop.is_none() {
        let name = fitting.map_or("", |f| f.label.as_str());
        let why = format!("the angled end {name} has no drop, so the route cannot start");
        return Err(NoRoute::missing(why));
    }
    Ok(RouteEnd {
        seat: point(port.at_mm),
        faces: Vector3::new(port.faces[0], port.faces[1], port.faces[2]),
        angle_rad,
        drop_mm: drop.map_or(0.0, |d: &Sourced<Length>| d.value.si() * 1e3),
        cut_off_mm: cut_off_mm.unwrap_or(0.0),
        aim: line.aims[end].map(|a| Vector3::new(a[0], a[1], a[2])),
    })
}

fn bends(route: &Route) -> Vec<BendFacts> {
    route
        .bends
        .iter()
        .map(|b| BendFacts {
            place: b.place.to_string(),
            angle_deg: b.angle_rad.to_degrees(),
            radius_mm: b.radius_mm,
            fits_mm: b.fits_radius_mm,
            station_mm: b.station_mm,
        })
        .collect()
}

fn short_legs(route: &Route) -> Vec<ShortLeg> {
    route
        .shortfalls
        .iter()
        .filter_map(|s| match s {
            Shortfall::LegTooShort { from, to, needed_mm, has_mm, .. } => Some(ShortLeg {
                place: format!("{from} to {to}"),
                needed_mm: *needed_mm,
                has_mm: *has_mm,
            }),
            _ => None,
        })
        .collect()
}

fn open_directions(route: &Route) -> Vec<String> {
    let end = |s: &Shortfall| match s {
        Shortfall::ElbowDirectionOpen { end } => Some(end.to_string()),
        _ => None,
    };
    route.shortfalls.iter().filter_map(end).collect()
}

fn extremes(tables: &Tables, cases: &[CaseFacts], route: &Route, line: &Line) -> Vec<ExtremeFacts> {
    let clips = &line.clips;
    let Some(least) = limit::installation::<Length>(tables, "trap-least-rise") else {
        return Vec::new();
    };
    let least_mm = least.value.si() * 1e3;
    let reach = limit::installation::<Length>(tables, "trap-reach");
    let reach_mm = reach.map_or(0.0, |r| r.value.si() * 1e3);
    let mut facts = Vec::new();
    for (case, c) in cases.iter().enumerate() {
        let up = Vector3::new(c.up[0], c.up[1], c.up[2]);
        let found = route.path.extremes(&up, least_mm).unwrap_or_default();
        for extreme in found {
            let high = extreme.kind == ExtremeKind::High;
            let clip = nearest_clip(&extreme.point, clips);
            let relieves = |i: usize| {
                let off = point(clips[i].at_mm) - extreme.point;
                // On a level stretch air comes to the bleed from further away.
                let level = off.dot(&up).abs() < least_mm;
                let kind = if high { clips[i].bleed } else { clips[i].drain };
                kind && (level || off.norm() <= reach_mm)
            };
            facts.push(ExtremeFacts {
                case,
                high,
                station_mm: extreme.station_mm,
                rise_mm: extreme.rise_before_mm.abs().min(extreme.rise_after_mm.abs()),
                relieved: clip.is_some_and(relieves),
            });
        }
    }
    facts
}

fn nearest_clip(point: &Point3<f64>, clips: &[Clip]) -> Option<usize> {
    let distance = |c: &Clip| (self::point(c.at_mm) - point).norm();
    (0..clips.len()).min_by(|&a, &b| distance(&clips[a]).total_cmp(&distance(&clips[b])))
}

impl GeometryFacts {
    /// The station of a clip of the line: of its bend, or of the point that passes nearest to it.
    pub fn clip_station(&self, index: usize, clip: &Clip) -> f64 {
        corner_station(&self.route, index, clip.at_mm)
    }
}
