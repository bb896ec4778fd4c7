//! Where two parts, or a part and a solid, come nearest.

#[cfg(test)]
mod tests;

use nalgebra::{Point3, Vector3};

use super::bound;
use super::part::{Bar, Circle, Part};
use super::search::{Floor, Lowest, least};
use super::solid::Convex;
use crate::geometry::GeometryError;

/// Below this square of the sine of their angle two bars are looked at from their ends as well.
const NEAR_PARALLEL: f64 = 1e-9;

/// The nearest place of two parts: surface to surface, and how far from the middle of each.
#[derive(Debug, Clone, Copy)]
pub(super) struct Meeting {
    pub distance_mm: f64,
    pub on_a: f64,
    pub on_b: f64,
}

/// No two places of the parts are nearer than this; exact for straights that do not grow.
pub(super) fn least_possible(a: &Part, b: &Part) -> f64 {
    let cores = of_bars(&a.core, &b.core).distance_mm;
    cores - a.bow_mm - b.bow_mm - a.largest_radius() - b.largest_radius()
}

/// Where two parts come nearest, if that is nearer than `below`.
pub(super) fn of_parts(a: &Part, b: &Part, below: f64) -> Result<Option<Meeting>, GeometryError> {
    let even = a.slope.abs() + b.slope.abs() <= 0.0;
    match (&a.circle, &b.circle) {
        (None, None) if even => {
            let met = of_bars(&a.core, &b.core);
            let distance_mm = met.distance_mm - a.radius_mm - b.radius_mm;
            Ok((distance_mm < below).then_some(Meeting { distance_mm, ..met }))
        }
        (_, None) => {
            let found = to_convex(a, b, below)?;
            Ok(found.map(|Lowest { at: [on_a], value }| Meeting {
                distance_mm: value,
                on_a,
                on_b: b.reach(&a.point(on_a)).at,
            }))
        }
        (None, Some(_)) => Ok(of_parts(b, a, below)?.map(turned)),
        (Some(ring), Some(circle)) if b.slope.abs() <= 0.0 => of_arcs(a, ring, b, circle, below),
        (Some(_), Some(_)) if a.slope.abs() <= 0.0 => Ok(of_parts(b, a, below)?.map(turned)),
        (Some(_), Some(_)) => of_growing_arcs(a, b, below),
    }
}

fn turned(met: Meeting) -> Meeting {
    Meeting { on_a: met.on_b, on_b: met.on_a, ..met }
}

/// Two bars: the place where both derivatives vanish, brought back to the bars.
fn of_bars(a: &Bar, b: &Bar) -> Meeting {
    let between = a.mid - b.mid;
    let (on_a, on_b) = (between.dot(&a.along), between.dot(&b.along));
    let parallel = a.along.dot(&b.along);
    let square = 1.0 - parallel * parallel;
    let from_a = |u: f64| {
        let v = (on_b + u * parallel).clamp(-b.half_mm, b.half_mm);
        let u = (v * parallel - on_a).clamp(-a.half_mm, a.half_mm);
        let distance_mm = (between + a.along * u - b.along * v).norm();
        Meeting { distance_mm, on_a: u, on_b: v }
    };
    if square > NEAR_PARALLEL {
        return from_a(((on_b * parallel - on_a) / square).clamp(-a.half_mm, a.half_mm));
    }
    let from_b = |v: f64| from_a((v * parallel - on_a).clamp(-a.half_mm, a.half_mm));
    let ends = [from_a(-a.half_mm), from_a(a.half_mm), from_b(-b.half_mm), from_b(b.half_mm)];
    ends.into_iter().fold(
        from_a(0.0),
        |best, met| {
            if met.distance_mm < best.distance_mm { met } else { best }
        },
    )
}

/// Where a part comes nearest to something convex, if that is nearer than `below`.
///
/// A convex distance never falls below its tangent plane, so `distance + away . (p - middle)` along the part is
/// a bound: a straight line on a straight, a wave on an arc.
pub(super) fn to_convex(
    part: &Part,
    body: &impl Convex,
    below: f64,
) -> Result<Option<Lowest<1>>, GeometryError> {
    let value = |[u]: [f64; 1]| body.reach(&part.point(u)).distance_mm - part.radius(u);
    least([part.half_mm], below, value, |[u], [half], value| {
        let away = body.reach(&part.point(u)).away;
        let floor = along_way(part, u, half, &away);
        Floor { value: value + floor.value, at: [floor.at] }
    })
}

/// The least of `away . (p - middle)` along a part, less the growth of its radius.
fn along_way(part: &Part, u: f64, half: f64, away: &Vector3<f64>) -> bound::Floor {
    let (travel, turn) = part.turning(u);
    let (first, second) = (away.dot(&travel), away.dot(&turn));
    let third = part.circle.map_or(0.0, |c| {
        let across = second * c.radius_mm;
        (first * first + across * across).sqrt() / (c.radius_mm * c.radius_mm)
    });
    bound::quadratic(first - part.slope, second - third * half, half)
}

/// Two arcs, the second of an even radius: a search along the first, with the nearest point of the second closed.
fn of_arcs(
    a: &Part,
    ring: &Circle,
    b: &Part,
    circle: &Circle,
    below: f64,
) -> Result<Option<Meeting>, GeometryError> {
    let value = |[u]: [f64; 1]| {
        let on_b = nearest_on(b, circle, a, u).on_b;
        (a.point(u) - b.point(on_b)).norm() - a.radius(u) - b.radius_mm
    };
    let found = least([a.half_mm], below, value, |[u], [half], value| {
        let floor = along_arc(a, ring, b, circle, u, half);
        let radii = a.radius(u) + b.radius_mm;
        let steady = value - half * (1.0 + a.slope.abs());
        Floor { value: steady.max(floor.value - radii), at: [floor.at] }
    })?;
    Ok(found.map(|Lowest { at: [on_a], value }| {
        let on_b = nearest_on(b, circle, a, on_a).on_b;
        Meeting { distance_mm: value, on_a, on_b }
    }))
}

/// A point of one arc beside the circle of another.
struct Beside {
    /// Distance from the axis of the circle.
    rho: f64,
    /// Height over its plane.
    height: f64,
    /// Angle from the middle of the arc.
    angle: f64,
    /// Nearest place of the arc, from its middle.
    on_b: f64,
}

fn nearest_on(b: &Part, circle: &Circle, a: &Part, u: f64) -> Beside {
    let local = a.point(u) - circle.centre;
    let (out, on, height) =
        (local.dot(&circle.out), local.dot(&circle.on), local.dot(&circle.axis));
    let angle = libm::atan2(on, out);
    let on_b = (angle * circle.radius_mm).clamp(-b.half_mm, b.half_mm);
    Beside { rho: (out * out + on * on).sqrt(), height, angle, on_b }
}

/// Floor of the distance from an arc to an arc, less the growth of the first.
fn along_arc(
    a: &Part,
    ring: &Circle,
    b: &Part,
    circle: &Circle,
    u: f64,
    half: f64,
) -> bound::Floor {
    let beside = nearest_on(b, circle, a, u);
    let spread = if half < beside.rho { libm::asin(half / beside.rho) } else { f64::INFINITY };
    if beside.angle.abs() - spread < b.half_mm / circle.radius_mm {
        return to_circle(a, ring, circle, &beside, u, half);
    }
    let [first, last] =
        [-b.half_mm, b.half_mm].map(|end| to_point(a, ring, &b.point(end), u, half));
    if first.value < last.value { first } else { last }
}

/// Floor of the distance from an arc to a point, less the growth of the arc.
fn to_point(a: &Part, ring: &Circle, point: &Point3<f64>, u: f64, half: f64) -> bound::Floor {
    let gap = a.point(u) - point;
    let (travel, turn) = a.turning(u);
    let aside = (ring.centre - point).cross(&ring.axis).norm();
    let third = 2.0 * aside / (ring.radius_mm * ring.radius_mm);
    let second = 2.0 + 2.0 * gap.dot(&turn) - third * half;
    bound::root(gap.norm_squared(), 2.0 * gap.dot(&travel), second, a.slope, half)
}

/// Floor of the distance from an arc to a full circle, less the growth of the arc.
///
/// The square of the distance is `g + R^2 - 2 R sqrt(p)` with `g` the square of the distance from the centre and
/// `p` that from the axis. A root never rises above its tangent, so the square is never below
/// `g + R^2 - 2 R (rho + (p - rho^2) / (2 rho))`: a sum of two waves, which Taylor's series with a bound on the third
/// derivative keeps. On arcs that share an axis it is exact.
fn to_circle(
    a: &Part,
    ring: &Circle,
    circle: &Circle,
    beside: &Beside,
    u: f64,
    half: f64,
) -> bound::Floor {
    let Beside { rho, height, .. } = *beside;
    let over = circle.radius_mm / rho;
    if !over.is_finite() {
        return bound::Floor { value: f64::NEG_INFINITY, at: 0.0 };
    }
    let gap = a.point(u) - circle.centre;
    let (travel, turn) = a.turning(u);
    let (rise, bend) = (travel.dot(&circle.axis), turn.dot(&circle.axis));
    let first = (1.0 - over) * 2.0 * gap.dot(&travel) + over * 2.0 * height * rise;
    let second =
        (1.0 - over) * (2.0 + 2.0 * gap.dot(&turn)) + over * 2.0 * (rise * rise + height * bend);
    let centres = ring.centre - circle.centre;
    let (tilt, radius) = (ring.axis.cross(&circle.axis).norm(), ring.radius_mm);
    let third = ((1.0 - over).abs() * 2.0 * centres.cross(&ring.axis).norm()
        + over * tilt * (8.0 * tilt * radius + 2.0 * centres.dot(&circle.axis).abs()))
        / (radius * radius);
    let from_ring = rho - circle.radius_mm;
    let start = from_ring * from_ring + height * height;
    bound::root(start, first, second - third * half, a.slope, half)
}

/// Two arcs that both grow: the distance is never below its part along the line between the two middles, in which
/// the two parameters come apart.
fn of_growing_arcs(a: &Part, b: &Part, below: f64) -> Result<Option<Meeting>, GeometryError> {
    let gap = |[u, v]: [f64; 2]| a.point(u) - b.point(v);
    let value = |at: [f64; 2]| gap(at).norm() - a.radius(at[0]) - b.radius(at[1]);
    let found = least([a.half_mm, b.half_mm], below, value, |at, half, value| {
        let gap = gap(at);
        let distance = gap.norm();
        if distance <= 0.0 {
            let steady = half[0] * (1.0 + a.slope.abs()) + half[1] * (1.0 + b.slope.abs());
            return Floor { value: value - steady, at: [0.0; 2] };
        }
        let away = gap / distance;
        let of_a = along_way(a, at[0], half[0], &away);
        let of_b = along_way(b, at[1], half[1], &-away);
        Floor { value: value + of_a.value + of_b.value, at: [of_a.at, of_b.at] }
    })?;
    Ok(found.map(|Lowest { at: [on_a, on_b], value }| Meeting { distance_mm: value, on_a, on_b }))
}
