//! One body of a vessel along its own axis, and its volume below a plane.

use std::f64::consts::PI;

use nalgebra::{Point3, Vector3};

use super::quadrature::{Integral, integrate};
use super::section::{Cut, Section, disc_below, disc_below_summed};
use crate::geometry::GeometryError;

/// A plane this near to square to the axis counts as square to it: beyond, rounding decides where it meets the wall.
const SQUARE: f64 = 1e-9;

/// A piece of a body turned about its axis: the radius is `base + sqrt(q0 + q1 u + q2 u²)` over u = x - from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned {
    /// Where it begins on the axis.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Radius without the root.
    pub base: f64,
    /// What stands under the root.
    pub square: [f64; 3],
}

impl Turned {
    /// A piece of one radius.
    pub fn straight(from: f64, to: f64, radius: f64) -> Self {
        Self { from, to, base: 0.0, square: [radius * radius, 0.0, 0.0] }
    }

    fn is_straight(&self) -> bool {
        self.square[1] == 0.0 && self.square[2] == 0.0
    }

    /// Its radius at a place on the axis.
    pub fn radius(&self, x: f64) -> f64 {
        let u = x - self.from;
        let [q0, q1, q2] = self.square;
        self.base + (q0 + u * (q1 + u * q2)).max(0.0).sqrt()
    }

    /// Places where a plane may touch the rim: where (most - along x ∓ steep base)² = steep² square.
    fn touched(&self, along: f64, steep: f64, most: f64) -> Vec<f64> {
        let [q0, q1, q2] = self.square.map(|q| q * steep * steep);
        let mut all = Vec::new();
        for base in [self.base, -self.base] {
            let start = most - along * self.from - steep * base;
            let roots =
                quadratic(along * along - q2, -2.0 * along * start - q1, start * start - q0);
            all.extend(roots.into_iter().flatten().map(|u| self.from + u));
        }
        all
    }
}

/// Real roots of a u² + b u + c = 0.
fn quadratic(a: f64, b: f64, c: f64) -> [Option<f64>; 2] {
    let inside = b * b - 4.0 * a * c;
    if inside < 0.0 {
        return [None, None];
    }
    let q = -0.5 * (b + inside.sqrt().copysign(b));
    let root = |top: f64, bottom: f64| Some(top / bottom).filter(|u| u.is_finite());
    [root(q, a), root(c, q)]
}

/// The form of a body in its own axes, x along it.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Turned about the axis.
    Turned(Vec<Turned>),
    /// One section along a length.
    Prism(Section, f64),
}

/// A body in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Its form.
    pub form: Form,
    /// Where its own origin lies in the vessel.
    pub origin: Point3<f64>,
    /// Its own axes in the vessel: along it, across, up.
    pub axes: [Vector3<f64>; 3],
}

impl Body {
    /// Its volume below `up · p = most`.
    pub fn below(&self, up: &Vector3<f64>, most: f64) -> Result<Integral, GeometryError> {
        let [along, across, up_own] = self.axes.map(|a| a.dot(up));
        let most = most - up.dot(&self.origin.coords);
        match &self.form {
            Form::Turned(pieces) => {
                let scale = self.whole_scale();
                let steep = libm::hypot(across, up_own);
                let one = |p: &Turned| turned_below(p, along, steep, most, scale);
                pieces.iter().try_fold(Integral::default(), |sum, p| Ok(sum.plus(one(p)?)))
            }
            Form::Prism(section, length) => {
                prism_below(section, *length, along, &Cut { across, up: up_own, most })
            }
        }
    }

    /// About its volume.
    fn whole_scale(&self) -> f64 {
        match &self.form {
            Form::Turned(pieces) => {
                let widest = |p: &Turned| p.radius(p.from).max(p.radius(p.to));
                pieces.iter().map(|p| (p.to - p.from) * widest(p) * widest(p)).sum()
            }
            Form::Prism(section, length) => section.area() * length,
        }
    }

    /// Whether a point of the vessel lies inside, or no further out than `slip`.
    pub fn holds(&self, point: &Point3<f64>, slip: f64) -> bool {
        let from = point - self.origin;
        let [x, y, z] = self.axes.map(|a| a.dot(&from));
        match &self.form {
            Form::Turned(pieces) => pieces.iter().any(|p| {
                let inside = x >= p.from - slip && x <= p.to + slip;
                inside && libm::hypot(y, z) <= p.radius(x.clamp(p.from, p.to)) + slip
            }),
            Form::Prism(section, length) => {
                x >= -slip && x <= length + slip && section.holds(y, z, slip)
            }
        }
    }
}

/// A volume in closed form.
#[expect(clippy::unnecessary_wraps, reason = "stands where an integral may fail")]
fn exact(value: f64) -> Result<Integral, GeometryError> {
    Ok(Integral { value, change: 0.0 })
}

/// The part of an axis below a plane that stands square to it.
fn filled(from: f64, to: f64, along: f64, most: f64) -> (f64, f64) {
    let at = (most / along).clamp(from, to);
    if along > 0.0 { (from, at) } else { (at, to) }
}

/// The places of change inside an interval, with its ends, in order.
fn pieces_of(from: f64, to: f64, mut turns: Vec<f64>) -> Vec<f64> {
    turns.retain(|x| *x > from && *x < to);
    turns.sort_by(f64::total_cmp);
    turns.insert(0, from);
    turns.push(to);
    turns
}

fn turned_below(
    piece: &Turned,
    along: f64,
    steep: f64,
    most: f64,
    scale: f64,
) -> Result<Integral, GeometryError> {
    let whole = |x: f64| PI * piece.radius(x) * piece.radius(x);
    if steep <= SQUARE {
        let (from, to) = filled(piece.from, piece.to, along, most);
        return if piece.is_straight() {
            exact(whole(from) * (to - from))
        } else {
            integrate(&whole, from, to, scale)
        };
    }
    let over = |x: f64| (most - along * x) / steep;
    if piece.is_straight() {
        let radius = piece.radius(piece.from);
        let (first, last) = (over(piece.from), over(piece.to));
        if along == 0.0 {
            return exact(disc_below(radius, first) * (piece.to - piece.from));
        }
        // Steep enough along the axis for the difference of the two sums to keep its digits.
        if (last - first).abs() > 0.01 * radius {
            let summed = disc_below_summed(radius, first) - disc_below_summed(radius, last);
            return exact(summed * steep / along);
        }
    }
    let area = |x: f64| disc_below(piece.radius(x), over(x));
    let edges = pieces_of(piece.from, piece.to, piece.touched(along, steep, most));
    edges.windows(2).try_fold(Integral::default(), |sum, edge| {
        Ok(sum.plus(integrate(&area, edge[0], edge[1], scale)?))
    })
}

/// Between two places of change the area of a rectangle is a parabola, for which Simpson's rule is exact.
fn prism_below(
    section: &Section,
    length: f64,
    along: f64,
    cut: &Cut,
) -> Result<Integral, GeometryError> {
    if libm::hypot(cut.across, cut.up) <= SQUARE {
        let (from, to) = filled(0.0, length, along, cut.most);
        return exact(section.area() * (to - from));
    }
    let area = |x: f64| section.below(&Cut { most: cut.most - along * x, ..*cut });
    if along == 0.0 {
        return exact(area(0.0) * length);
    }
    let turns = section.turns(cut.across, cut.up).into_iter().map(|t| (cut.most - t) / along);
    let edges = pieces_of(0.0, length, turns.collect());
    edges.windows(2).try_fold(Integral::default(), |sum, edge| {
        let [from, to] = [edge[0], edge[1]];
        let more = match section {
            Section::Rectangle(..) => {
                let ends = area(from) + area(to);
                exact((to - from) / 6.0 * (ends + 4.0 * area(0.5 * (from + to))))?
            }
            Section::Obround(..) => integrate(&area, from, to, section.area() * length)?,
        };
        Ok(sum.plus(more))
    })
}

#[cfg(test)]
mod tests {
    use super::{Turned, quadratic, turned_below};
    use crate::geometry::tests::drawn;

    #[test]
    fn both_roots_of_a_quadratic_keep_their_digits() {
        for (one, other) in [(2.0, 3.0), (-1e-9, 1e3), (1e8, 1e-8), (-4.0, -4.0)] {
            for scale in [1.0, -3.0, 1e-5] {
                let found = quadratic(scale, -scale * (one + other), scale * one * other);
                for known in [one, other] {
                    let near = |u: &Option<f64>| (u.unwrap() / known - 1.0).abs() < 1e-7;
                    assert!(found.iter().any(near), "{known}: {found:?}");
                }
            }
        }
        assert_eq!(quadratic(1.0, 0.0, 1.0), [None, None]);
        assert_eq!(quadratic(0.0, 2.0, -1.0).iter().flatten().collect::<Vec<_>>(), [&0.5]);
    }

    /// Rims of an ellipsoid, a cone and a knuckle.
    const RIMS: [Turned; 3] = [
        Turned { from: 10.0, to: 40.0, base: 0.0, square: [3600.0, 0.0, -4.0] },
        Turned { from: -5.0, to: 25.0, base: 0.0, square: [3600.0, -240.0, 4.0] },
        Turned { from: 0.0, to: 19.0, base: 40.0, square: [400.0, 0.0, -1.0] },
    ];

    #[test]
    fn a_plane_touches_the_rim_where_it_is_told_to() {
        let mut met = 0;
        for index in 1..200 {
            let (along, steep) = (drawn(index, 0, (-1.0, 1.0)), drawn(index, 1, (0.05, 1.0)));
            let most = drawn(index, 2, (-60.0, 60.0));
            for rim in &RIMS {
                let touched = rim.touched(along, steep, most);
                for x in touched.iter().filter(|x| **x > rim.from && **x < rim.to) {
                    let (over, radius) = ((most - along * x) / steep, rim.radius(*x));
                    // The other root of the square stands for a rim inside the base.
                    let inner = (over.abs() - (2.0 * rim.base - radius)).abs();
                    assert!(
                        (over.abs() - radius).abs().min(inner) < 1e-6,
                        "{index}: {x} in {rim:?}"
                    );
                    met += 1;
                }
                // And nowhere else: between samples where over passes the radius one of them lies.
                let gap = |x: f64| ((most - along * x) / steep).abs() - rim.radius(x);
                for step in 0..300 {
                    let [a, b] = [step, step + 1]
                        .map(|at| rim.from + (rim.to - rim.from) * f64::from(at) / 300.0);
                    if gap(a) * gap(b) < 0.0 {
                        assert!(
                            touched.iter().any(|x| *x >= a && *x <= b),
                            "{index}: {a} {b} {rim:?}"
                        );
                    }
                }
            }
        }
        assert!(met > 100, "{met}");
    }

    #[test]
    fn a_rim_below_a_slanting_plane_is_met_to_its_last_digits() {
        for index in 1..60 {
            let along = drawn(index, 0, (-0.9, 0.9));
            let steep = (1.0 - along * along).sqrt();
            let most = drawn(index, 2, (-40.0, 60.0));
            for rim in &RIMS {
                let found = turned_below(rim, along, steep, most, 1e5).unwrap();
                let over = |x: f64| (most - along * x) / steep;
                let area = |x: f64| super::disc_below(rim.radius(x), over(x));
                let steps = 20_000;
                let width = (rim.to - rim.from) / f64::from(steps);
                let places = (0..steps).map(|at| rim.from + width * (f64::from(at) + 0.5));
                let sum: f64 = places.map(|x| area(x) * width).sum();
                assert!(
                    (found.value - sum).abs() < 2e-6 * (sum + 1e4),
                    "{index}: {} {sum}",
                    found.value
                );
                // Cut where the plane touches, every stretch settles at once.
                assert!(found.change < 1e-9 * (sum + 1e4), "{index}: {}", found.change);
            }
        }
    }
}
