//! The nearest place of every pair that comes near, found with a tree of boxes.

use rayon::prelude::*;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::meet::{least_possible, of_parts, to_convex};
use super::part::{Cut, Part};
use super::solid::Convex;
use super::{Body, Near, Shape, Spot, Swept};
use crate::geometry::{GeometryError, within};

/// The box of a part, with the line and the part that it is of.
type Boxed = GeomWithData<Rectangle<[f64; 3]>, (usize, usize)>;

/// # What it gives
///
/// The nearest place of every two lines, and of every line and shape, that come within `within_mm` of each other,
/// surface to surface: by the number of the first line, then lines before shapes, then by the number of the second.
///
/// # Formula
///
/// A tube is the room of a ball moving along the centre line. So the distance of two tubes is
/// `min |A(s) - B(t)| - r_A(s) - r_B(t)` over all stations, that of a tube and a solid `min d(A(s)) - r_A(s)` with `d`
/// the signed distance from the surface. Two straights of even radius have a closed form; everything else is
/// searched by branch and bound with second-order bounds, until no place can be nearer by more than 1e-7 mm.
///
/// # Valid for
///
/// Coordinates up to 1e8 mm. Arcs up to a full turn. A negative distance is an overlap by the rule of the centre
/// lines: how far the radii together exceed the distance of the centre lines, so at most their sum; inside a solid,
/// the depth of the centre line under the nearest face and the radius. It says that and roughly how much two bodies
/// overlap, not how far one of them has to be moved.
///
/// # Source
///
/// Segments: derivatives set to zero and brought back to the ends, as in any text on computational geometry. Circles
/// in space: D. Vranek, "Fast and accurate circle-circle and circle-line 3D distance computation", Journal of
/// Graphics Tools 7 (1), 2002 (abstract read), for working with the distance as a function of one variable. The
/// bounds are worked out here.
///
/// # Notes
///
/// Ends are round: the tube reaches its radius beyond the last point. A line is not held against itself. Of places
/// that are equally near one is given, always the same.
///
/// # Errors
///
/// What a path refuses; [`GeometryError::NotAscending`] for stations of an allowance;
/// [`GeometryError::OutOfRange`]; [`GeometryError::NotSettled`] if a search does not come to its end.
///
/// # Example
///
/// ```
/// use hosewright::geometry::{Swept, clearances};
/// use nalgebra::Point3;
///
/// let level = Swept::through(&[Point3::origin(), Point3::new(100.0, 0.0, 0.0)], 5.0);
/// let over = [Point3::new(40.0, -50.0, 30.0), Point3::new(40.0, 50.0, 30.0)];
/// let near = clearances(&[level, Swept::through(&over, 8.0)], &[], 25.0)?;
/// assert_eq!(near.len(), 1);
/// assert!((near[0].distance_mm - 17.0).abs() < 1e-12);
/// assert_eq!(near[0].on_a.station_mm, Some(40.0));
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn clearances(
    lines: &[Swept],
    shapes: &[Shape],
    within_mm: f64,
) -> Result<Vec<Near>, GeometryError> {
    within("the distance looked for", within_mm, 0.0, super::FARTHEST_MM)?;
    lines.iter().try_for_each(Swept::checked)?;
    shapes.iter().try_for_each(Shape::checked)?;
    let cuts: Vec<Cut<'_>> = lines.iter().map(Cut::new).collect();
    let tree = RTree::bulk_load(boxes(&cuts));
    let of_line = |a: usize| {
        let mut found = beside_lines(&cuts, a, &tree, within_mm)?;
        for (index, shape) in shapes.iter().enumerate() {
            found.extend(beside_shape(&cuts[a], a, shape, index, within_mm)?);
        }
        Ok(found)
    };
    let found: Result<Vec<Vec<Near>>, GeometryError> =
        (0..cuts.len()).into_par_iter().map(of_line).collect();
    Ok(found?.into_iter().flatten().collect())
}

fn boxes(cuts: &[Cut<'_>]) -> Vec<Boxed> {
    let of_line = |(line, cut): (usize, &Cut<'_>)| {
        let boxed = |(place, part): (usize, &Part)| {
            let [low, high] = part.bounds();
            GeomWithData::new(Rectangle::from_corners(low, high), (line, place))
        };
        cut.parts.iter().enumerate().map(boxed).collect::<Vec<Boxed>>()
    };
    cuts.iter().enumerate().flat_map(of_line).collect()
}

/// Two parts that may be near, with what their distance cannot be below.
struct Candidate {
    other: usize,
    bound: f64,
    own_part: usize,
    other_part: usize,
}

/// The nearest places of line `a` and the lines behind it in the list.
fn beside_lines(
    cuts: &[Cut<'_>],
    a: usize,
    tree: &RTree<Boxed>,
    within_mm: f64,
) -> Result<Vec<Near>, GeometryError> {
    let mut candidates = Vec::new();
    for (own_part, part) in cuts[a].parts.iter().enumerate() {
        let [low, high] = part.bounds();
        let reach = AABB::from_corners(low.map(|x| x - within_mm), high.map(|x| x + within_mm));
        for boxed in tree.locate_in_envelope_intersecting(reach) {
            let (other, other_part) = boxed.data;
            if other <= a {
                continue;
            }
            let bound = least_possible(part, &cuts[other].parts[other_part]);
            if bound <= within_mm {
                candidates.push(Candidate { other, bound, own_part, other_part });
            }
        }
    }
    candidates.sort_unstable_by(|x, y| {
        let key = |c: &Candidate| (c.other, c.own_part, c.other_part);
        x.other.cmp(&y.other).then(x.bound.total_cmp(&y.bound)).then(key(x).cmp(&key(y)))
    });
    let of_pair = |group: &[Candidate]| nearest(cuts, a, group, within_mm).transpose();
    candidates.chunk_by(|x, y| x.other == y.other).filter_map(of_pair).collect()
}

/// The nearest place of one pair of lines, the most likely parts first.
fn nearest(
    cuts: &[Cut<'_>],
    a: usize,
    group: &[Candidate],
    within_mm: f64,
) -> Result<Option<Near>, GeometryError> {
    let Some(b) = group.first().map(|c| c.other) else { return Ok(None) };
    let windows = (cuts[a].window(&cuts[b].places()), cuts[b].window(&cuts[a].places()));
    let (Some(of_a), Some(of_b)) = windows else { return Ok(None) };
    let mut best: Option<Near> = None;
    // The distance asked for is itself within.
    let mut below = within_mm.next_up();
    for candidate in group {
        if candidate.bound >= below {
            break;
        }
        let own = cuts[a].parts[candidate.own_part].clipped(of_a);
        let other = cuts[b].parts[candidate.other_part].clipped(of_b);
        let (Some(own), Some(other)) = (own, other) else { continue };
        let Some(met) = of_parts(&own, &other, below)? else { continue };
        below = met.distance_mm;
        let (on_a, on_b) = (spot(&own, met.on_a), spot(&other, met.on_b));
        let b = Body::Line(b);
        best = Some(Near { a, b, distance_mm: met.distance_mm, on_a, on_b });
    }
    Ok(best)
}

fn spot(part: &Part, u: f64) -> Spot {
    // A hair before the beginning of a line is its beginning.
    Spot { station_mm: Some((part.station_mm + u).max(0.0)), point: part.point(u) }
}

/// The nearest place of a line and a shape.
fn beside_shape(
    cut: &Cut<'_>,
    a: usize,
    shape: &Shape,
    index: usize,
    within_mm: f64,
) -> Result<Option<Near>, GeometryError> {
    let places: Vec<usize> = shape.place.into_iter().collect();
    let Some(window) = cut.window(&places) else { return Ok(None) };
    let mut best: Option<Near> = None;
    let mut below = within_mm.next_up();
    for part in &cut.parts {
        // No point of a part is further from its middle than half its length.
        let bound =
            shape.reach(&part.point(0.0)).distance_mm - part.half_mm - part.largest_radius();
        let Some(part) = part.clipped(window).filter(|_| bound < below) else { continue };
        let Some(found) = to_convex(&part, shape, below)? else { continue };
        below = found.value;
        let on_a = spot(&part, found.at[0]);
        let reach = shape.reach(&on_a.point);
        let on_b = Spot { station_mm: None, point: on_a.point - reach.away * reach.distance_mm };
        best = Some(Near { a, b: Body::Shape(index), distance_mm: below, on_a, on_b });
    }
    Ok(best)
}
