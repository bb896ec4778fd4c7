//! Leaving out the points of a taped centre line that lie on the straight between others.

use nalgebra::Point3;

use super::{GeometryError, Place, finite, within};

/// Most points of a line; a taped one has some dozens.
pub const MOST_POINTS: usize = 10_000;

/// What is left of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Simplified {
    /// Indices of the points that are kept, the first and the last among them.
    pub kept: Vec<usize>,
    /// Farthest that a point which was left out lies beside the straight that takes its place.
    pub farthest_mm: f64,
    /// Length of the straights from point to point that are kept.
    pub length_mm: f64,
}

/// # What it gives
///
/// The points of a line that are needed so that no point left out lies farther than `straight_mm` beside
/// the straight between its kept neighbours; the farthest one, and the length along the kept points.
///
/// # Formula
///
/// Of all points between two kept ones the one farthest from their straight is kept as well, until none
/// is farther than `straight_mm`; then the same on both its sides. The distance is that from the stretch
/// between the two, ends included, so that a line that turns back keeps its turn.
///
/// # Valid for
///
/// 2 to [`MOST_POINTS`] points, no two that follow each other the same; `straight_mm` from 0. With 0
/// only points exactly on a straight go.
///
/// # Source
///
/// The halving of a line at its farthest point: Douglas and Peucker, Algorithms for the reduction of the
/// number of points required to represent a digitized line or its caricature, Cartographica 10(2), 1973
/// (from-memory).
///
/// # Notes
///
/// The kept points are some of those given; none is moved, and their number need not be the least.
///
/// # Errors
///
/// Refuses numbers that are not finite, fewer or more points than above, and two equal points in a row.
///
/// # Example
///
/// ```
/// use hosewright::geometry::simplify::simplify;
/// use nalgebra::Point3;
///
/// let line = [[0.0, 0.0, 0.0], [50.0, 1.0, 0.0], [100.0, 0.0, 0.0], [100.0, 80.0, 0.0]];
/// let left = simplify(&line.map(Point3::from), 2.0)?;
/// assert_eq!(left.kept, [0, 2, 3]);
/// assert_eq!((left.farthest_mm, left.length_mm), (1.0, 180.0));
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn simplify(points: &[Point3<f64>], straight_mm: f64) -> Result<Simplified, GeometryError> {
    check(points, straight_mm)?;
    let last = points.len() - 1;
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[last] = true;
    let mut farthest_mm = 0.0_f64;
    let mut stretches = vec![(0, last)];
    while let Some((from, to)) = stretches.pop() {
        let Some((at, beside_mm)) = farthest(points, from, to) else { continue };
        if beside_mm > straight_mm {
            keep[at] = true;
            stretches.extend([(from, at), (at, to)]);
        } else {
            farthest_mm = farthest_mm.max(beside_mm);
        }
    }
    let kept: Vec<usize> = (0..points.len()).filter(|i| keep[*i]).collect();
    let length_mm = kept.windows(2).map(|w| (points[w[1]] - points[w[0]]).norm()).sum();
    Ok(Simplified { kept, farthest_mm, length_mm })
}

fn check(points: &[Point3<f64>], straight_mm: f64) -> Result<(), GeometryError> {
    within("straight_mm", straight_mm, 0.0, f64::MAX)?;
    let count = u32::try_from(points.len()).map_or(f64::MAX, f64::from);
    let most = u32::try_from(MOST_POINTS).map_or(f64::MAX, f64::from);
    within("the number of points", count, 2.0, most)?;
    for point in points {
        finite("a point", point.coords.norm())?;
    }
    let same = points.windows(2).position(|w| w[0] == w[1]);
    same.map_or(Ok(()), |at| {
        Err(GeometryError::SamePoint { first: Place::Clip(at), second: Place::Clip(at + 1) })
    })
}

/// The point between two that lies farthest from their straight, and how far.
fn farthest(points: &[Point3<f64>], from: usize, to: usize) -> Option<(usize, f64)> {
    let between = from + 1..to;
    let beside = between.map(|at| (at, beside_mm(&points[at], &points[from], &points[to])));
    beside.reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// Distance of a point from the stretch between two others.
fn beside_mm(point: &Point3<f64>, from: &Point3<f64>, to: &Point3<f64>) -> f64 {
    let (way, off) = (to - from, point - from);
    let squared = way.norm_squared();
    // A line that comes back to where it began has no straight there.
    let share = if squared > 0.0 { (off.dot(&way) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (off - way * share).norm()
}
