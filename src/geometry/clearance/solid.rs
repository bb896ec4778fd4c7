//! Signed distance from a point to what is convex: a box, a cylinder, a half-space, a swept straight.

use nalgebra::{Point3, Vector3};

use super::part::{Part, squares};
use super::{Shape, Solid};

/// How far a point is from a convex body.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// Distance to the surface, below 0 inside.
    pub distance_mm: f64,
    /// The way on which it grows fastest: everywhere `distance(p + d) >= distance(p) + away . d`.
    pub away: Vector3<f64>,
    /// Where a straight was met, from its middle; 0 for solids.
    pub at: f64,
}

/// What is convex, so that its distance is a convex function of the point.
pub(super) trait Convex {
    fn reach(&self, point: &Point3<f64>) -> Reach;
}

impl Convex for Shape {
    fn reach(&self, point: &Point3<f64>) -> Reach {
        let (distance_mm, away) = match &self.solid {
            Solid::Box { centre, axes, half_mm } => from_box(&(point - centre), axes, half_mm),
            Solid::Cylinder { from, to, radius_mm } => from_cylinder(point, from, to, *radius_mm),
            Solid::HalfSpace { at, faces } => ((point - at).dot(faces), *faces),
        };
        Reach { distance_mm: distance_mm - self.grow_mm, away, at: 0.0 }
    }
}

fn from_box(
    local: &Vector3<f64>,
    axes: &[Vector3<f64>; 3],
    half_mm: &[f64; 3],
) -> (f64, Vector3<f64>) {
    let along = [0, 1, 2].map(|i| local.dot(&axes[i]));
    let over = [0, 1, 2].map(|i| along[i].abs() - half_mm[i]);
    let out = [0, 1, 2].map(|i| axes[i] * 1.0_f64.copysign(along[i]));
    let beyond = [0, 1, 2].map(|i| out[i] * over[i].max(0.0)).into_iter().sum::<Vector3<f64>>();
    let distance_mm = beyond.norm();
    if distance_mm > 0.0 {
        return (distance_mm, beyond / distance_mm);
    }
    let nearest = (1..3).fold(0, |best, i| if over[i] > over[best] { i } else { best });
    (over[nearest], out[nearest])
}

fn from_cylinder(
    point: &Point3<f64>,
    from: &Point3<f64>,
    to: &Point3<f64>,
    radius_mm: f64,
) -> (f64, Vector3<f64>) {
    let axis = (to - from).normalize();
    let local = point - nalgebra::center(from, to);
    let height = local.dot(&axis);
    let spoke = local - axis * height;
    let rho = spoke.norm();
    let outward = if rho > 0.0 { spoke / rho } else { squares(&axis)[0] };
    let lid = axis * 1.0_f64.copysign(height);
    let (beside, above) = (rho - radius_mm, height.abs() - 0.5 * (to - from).norm());
    if beside > 0.0 && above > 0.0 {
        let distance_mm = (beside * beside + above * above).sqrt();
        return (distance_mm, (outward * beside + lid * above) / distance_mm);
    }
    if beside > above { (beside, outward) } else { (above, lid) }
}

/// A straight part with its tube around it; its growing radius makes it a cone, which is convex as well.
impl Convex for Part {
    fn reach(&self, point: &Point3<f64>) -> Reach {
        let along = self.core.along;
        let local = point - self.core.mid;
        let foot = local.dot(&along);
        let height = (local - along * foot).norm();
        let leans = self.slope * self.slope < 1.0;
        let wish = if leans {
            foot + height * self.slope / (1.0 - self.slope * self.slope).sqrt()
        } else {
            self.half_mm.copysign(self.slope)
        };
        let at = wish.clamp(-self.half_mm, self.half_mm);
        let gap = local - along * at;
        let distance = gap.norm();
        let away = match (distance > 0.0, leans) {
            (true, _) => gap / distance,
            (false, true) => along * -self.slope,
            (false, false) => Vector3::zeros(),
        };
        Reach { distance_mm: distance - self.radius(at), away, at }
    }
}
