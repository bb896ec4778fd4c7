//! The shortest centre line between two poses that nowhere bends tighter than a radius, in space.

mod arc_straight_arc;
mod bound;
mod chain;
mod first_arc;
mod just_reached;
mod net;
mod placed;
mod search;
mod shorter;
mod symmetric;
#[cfg(test)]
mod tests;
mod three_arcs;

use super::direction::{angle_between, any_square};
use super::path::{Path, Piece};
use super::pose::Pose;
use super::{GeometryError, above_zero, within};

use chain::{Goal, Link, closed, length};
use placed::Axes;

/// Beyond this many radii helicoidal arcs and three arcs are no shorter.
const FAR: f64 = 4.0;
/// Distances beyond this many radii leave no digits for the arcs.
const MOST_RADII: f64 = 1e8;
/// A path this little above the bound is the shortest: rounding.
const AT_BOUND: f64 = 1e-9;
/// Poses this little off a plane or a line are solved on it first.
const SNAP: f64 = 1e-6;

/// The family that a shortest path belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ShortestKind {
    /// An arc, a straight and an arc, each in its own plane; any of them may have no length.
    ArcStraightArc,
    /// Three arcs, each bending against the one before it.
    ArcArcArc,
    /// A curve of the one radius that twists all along, drawn as many short arcs.
    HelicoidalArc,
}

/// The shortest path that was found, and what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortest {
    /// Straights and arcs of the radius, tangent to each other.
    pub path: Path,
    /// Length of the path.
    pub length_mm: f64,
    /// The family of the path.
    pub kind: ShortestKind,
    /// How many paths were compared.
    pub candidates: usize,
    /// Whether the path is known to be the shortest there is: it is as short as the bound, or the ends (behind their
    /// straights) are at least four radii apart, where the literature leaves only the family that is searched
    /// throughout. Otherwise it is the shortest of all that were found.
    pub proven: bool,
    /// A length that no path goes below.
    pub least_possible_mm: f64,
}

/// # What it gives
///
/// The shortest path from one pose to another whose radius is nowhere below `radius_mm`: the shortest hose that
/// can exist at that bend radius, without slack.
///
/// # Formula
///
/// A shortest path is an arc, a straight and an arc; three arcs in one plane; a piece of these; or a helicoidal
/// arc. With the straight along the direction `t`, `a` the angle from the first direction to `t` or its
/// complement to a full turn and `b` the same at the goal, the tangents `r tan(a / 2)` and `r tan(b / 2)` leave
/// `t` parallel to the line between the corners; every such `t` is sought. A helicoidal arc has the radius all
/// along. It is stood for by a chain of plane arcs, each turned against the one before: three arcs, from those of a
/// set laid forward that end nearest, and the five into which arc, straight and arc bend while the ends are drawn
/// together. Exact second derivatives give Newton steps that shorten the chain while it stays closed; then twice as
/// many arcs are taken until that gains little.
///
/// # Valid for
///
/// Any two poses up to 1e8 radii apart that are not one and the same.
///
/// # Source
///
/// The families: Sussmann, Shortest 3-dimensional paths with a prescribed curvature bound, 34th Conference on
/// Decision and Control, 1995 (abstract read). In a plane: Dubins, 1957. That ends at least four radii apart
/// leave only arc, straight and arc: Hota and Ghose, IROS 2010 (quoted elsewhere, not read). Equations of the
/// straight and of the helicoidal arc: derived here from the maximum principle.
///
/// # Notes
///
/// Measured, not proven: where both arcs beside a straight are half a turn at most, nothing shorter was found.
/// Closer than four radii, ends whose best straight has a longer arc mostly have a shorter helicoidal arc, drawn
/// as 3 to 257 plane arcs. Every chain is a path; that it is the shortest is measured only. Of 46956 ends of lines laid
/// at random, within four radii and with such a longer arc, 24 had a line shorter than the path by more than a
/// thousandth of its length, and 14 by more than a hundredth. Most of these end where a short curve of the full
/// curvature only just reaches, within a share of 1e-6 of the radius: there the shortest path jumps to one several
/// times as long, and either may be given. `proven` is false for all of these, and only `least_possible_mm` is a limit.
/// A path that is met but for a share of 3e-10 of the distance counts as met.
///
/// The first call for ends so close lays the set of arcs, which takes some milliseconds once.
///
/// Paths may cross themselves and the parts beside them: they measure what is possible and propose no route.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range and directions that have not length 1.
/// [`GeometryError::EmptyPath`] where both poses are one and the same, [`GeometryError::NoWayBetweenEnds`]
/// where no search arrives (none was met in tests).
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Pose, ShortestKind, shortest};
/// use nalgebra::{Point3, Vector3};
///
/// let out = Pose { at: Point3::origin(), direction: Vector3::z() };
/// let back = Pose { at: Point3::new(250.0, 0.0, 0.0), direction: -Vector3::z() };
/// let u = shortest(&out, &back, 60.0)?;
/// assert_eq!(u.kind, ShortestKind::ArcStraightArc);
/// assert!((u.length_mm - (60.0 * std::f64::consts::PI + 130.0)).abs() < 1e-9);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn shortest(from: &Pose, to: &Pose, radius_mm: f64) -> Result<Shortest, GeometryError> {
    shortest_with_straights(from, to, radius_mm, 0.0, 0.0)
}

/// # What it gives
///
/// The same as [`shortest`] for a line that must run straight for a while out of either end; the straights are
/// part of the path, of its length and of the bound.
///
/// # Formula
///
/// [`shortest`] between the poses moved along their directions.
///
/// # Valid for
///
/// As [`shortest`], straights from 0.
///
/// # Source
///
/// As [`shortest`].
///
/// # Errors
///
/// As [`shortest`]; refuses straights below 0.
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Pose, shortest_with_straights};
/// use nalgebra::{Point3, Vector3};
///
/// let out = Pose { at: Point3::origin(), direction: Vector3::z() };
/// let back = Pose { at: Point3::new(250.0, 0.0, 0.0), direction: -Vector3::z() };
/// let u = shortest_with_straights(&out, &back, 60.0, 20.0, 20.0)?;
/// assert!((u.length_mm - (60.0 * std::f64::consts::PI + 170.0)).abs() < 1e-9);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn shortest_with_straights(
    from: &Pose,
    to: &Pose,
    radius_mm: f64,
    straight_from_mm: f64,
    straight_to_mm: f64,
) -> Result<Shortest, GeometryError> {
    above_zero("radius_mm", radius_mm)?;
    within("straight_from_mm", straight_from_mm, 0.0, f64::MAX)?;
    within("straight_to_mm", straight_to_mm, 0.0, f64::MAX)?;
    let begin = from.checked()?;
    let end = to.checked()?;
    let (left, reached) = (begin.moved(straight_from_mm), end.moved(-straight_to_mm));
    let apart = (reached.at - left.at).norm() / radius_mm;
    within("distance of the poses in radii", apart, 0.0, MOST_RADII)?;

    let axes = Axes::new(&left, &reached, radius_mm);
    let goal = axes.goal();
    let found = best(&goal).ok_or(GeometryError::NoWayBetweenEnds)?;
    let mut pieces = axes.pieces(&found.links);
    let straight = |from: Pose, to: Pose| {
        (from.at != to.at).then_some(Piece::Straight { from: from.at, to: to.at })
    };
    pieces.splice(0..0, straight(begin, left));
    pieces.extend(straight(reached, end));
    let path = Path::new(pieces)?;
    let length_mm = path.length_mm();
    let bound = bound::least_possible(&goal);
    let at_bound = length(&found.links) <= bound * (1.0 + AT_BOUND);
    let proven = at_bound || (apart >= FAR && found.kind == ShortestKind::ArcStraightArc);
    let straights_mm = straight_from_mm + straight_to_mm;
    let least_possible_mm = if proven { length_mm } else { bound * radius_mm + straights_mm };
    Ok(Shortest {
        path,
        length_mm,
        kind: found.kind,
        candidates: found.candidates,
        proven,
        least_possible_mm: least_possible_mm.min(length_mm),
    })
}

/// The shortest chain, its family, and how many chains were compared.
#[derive(Debug, Clone)]
struct Best {
    links: Vec<Link>,
    kind: ShortestKind,
    candidates: usize,
}

/// Poses a hair off a plane or a line are solved on it and drawn back: beside it roots fall together.
fn best(goal: &Goal) -> Option<Best> {
    let (snapped, planes) = snapped(goal);
    if planes == 0 {
        return searched(goal);
    }
    let Some(found) = searched(&snapped) else { return searched(goal) };
    if snapped == *goal {
        return Some(found);
    }
    let turned = (0..planes).filter_map(|plane| {
        let mut links = found.links.clone();
        let turn = std::f64::consts::TAU * f64::from(plane) / f64::from(planes);
        if let Some(first) = links.first_mut() {
            first.twist += turn;
        }
        closed(links, goal)
    });
    let links = turned.min_by(|a, b| length(a).total_cmp(&length(b)));
    links.map_or_else(|| searched(goal), |links| Some(Best { links, ..found }))
}

/// The goal on the plane or the line that it nearly stands on, and in how many planes its path is drawn back from
/// there: none where it is on neither, and several off a line, where the plane of the path is not known before.
fn snapped(goal: &Goal) -> (Goal, u32) {
    let Goal { mut at, mut direction } = *goal;
    if direction.z > SNAP {
        return (*goal, 0);
    }
    direction.z = 0.0;
    let mut planes = 1;
    if direction.y.abs() < SNAP && at.y < SNAP * (1.0 + at.x.abs()) {
        (at.y, direction.y) = (0.0, 0.0);
        planes = 8;
    }
    (Goal { at, direction: direction.normalize() }, planes)
}

fn length_of(best: Option<&(Vec<Link>, ShortestKind)>) -> f64 {
    best.map_or(f64::INFINITY, |(links, _)| length(links))
}

fn searched(goal: &Goal) -> Option<Best> {
    let straights = arc_straight_arc::candidates(goal);
    let mut candidates = straights.len();
    let gentle = straights.first().is_some_and(arc_straight_arc::gentle);
    let first = straights.first();
    let mut best = first.map(|links| (links.to_vec(), ShortestKind::ArcStraightArc));
    if !gentle && goal.at.norm() < FAR {
        let plane = if goal.direction.z == 0.0 { three_arcs::candidates(goal) } else { Vec::new() };
        candidates += plane.len();
        for links in plane {
            if length(&links) < length_of(best.as_ref()) * (1.0 - AT_BOUND) {
                best = Some((links, ShortestKind::ArcArcArc));
            }
        }
        let (arcs, compared) = search::chain(goal, length_of(best.as_ref()) * (1.0 - AT_BOUND));
        candidates += compared;
        best = arcs.map(|links| (links, ShortestKind::HelicoidalArc)).or(best);
    }
    best.map(|(links, kind)| Best { links, kind, candidates })
}
