//! Three spheres: the plane of their centres, and the two points in which they meet.

use nalgebra::{Point3, Vector3};

use super::{Tape, TrilaterationError, reach_along_mm};

/// The three known points that span the largest triangle, and where their spheres meet.
#[derive(Debug, Clone, Copy)]
pub struct Base {
    /// Their tapes.
    tapes: [usize; 3],
    /// One of them.
    origin: Point3<f64>,
    /// Square to their plane, of length 1.
    normal: Vector3<f64>,
    /// The foot of both meeting points on the plane.
    foot: Point3<f64>,
    /// Square of their distance from the plane; below zero where the spheres do not meet.
    height_squared_mm2: f64,
}

/// The best three known points.
///
/// # Errors
/// [`TrilaterationError::InLine`] where all of them stand in a line, as far as the tapes can tell.
pub fn base(tapes: &[Tape]) -> Result<Base, TrilaterationError> {
    let count = tapes.len();
    let mut best = ([0, 1, 2], -1.0);
    for a in 0..count {
        for b in a + 1..count {
            for c in b + 1..count {
                let of = |i: usize| tapes[i].from;
                let area = (of(b) - of(a)).cross(&(of(c) - of(a))).norm();
                if area > best.1 {
                    best = ([a, b, c], area);
                }
            }
        }
    }
    let (three, twice_area) = best;
    let [a, b, c] = three.map(|i| tapes[i].from);
    let longest_mm = (b - a).norm().max((c - a).norm()).max((c - b).norm());
    let coarsest_mm = three.iter().map(|i| tapes[*i].tolerance_mm).fold(0.0, f64::max);
    let off_mm = if longest_mm > 0.0 { twice_area / longest_mm } else { 0.0 };
    // Below its tolerance a tape cannot tell a triangle from a line.
    if off_mm <= coarsest_mm {
        return Err(TrilaterationError::InLine { off_mm });
    }
    Ok(Base::new(three, tapes))
}

impl Base {
    fn new(tapes: [usize; 3], all: &[Tape]) -> Self {
        let [one, two, three] = tapes.map(|i| all[i]);
        let (to_two, to_three) = (two.from - one.from, three.from - one.from);
        // In the plane of the three: the second at (d, 0), the third at (along, aside).
        let d = to_two.norm();
        let first = to_two / d;
        let along = to_three.dot(&first);
        let square = to_three - first * along;
        let aside = square.norm();
        let second = square / aside;
        let squares = |a: f64, b: f64| (a - b) * (a + b);
        let x = 0.5 * (squares(one.distance_mm, two.distance_mm) / d + d);
        let radii = squares(one.distance_mm, three.distance_mm);
        let y = 0.5 * ((radii + along * (along - 2.0 * x)) / aside + aside);
        let out_mm = libm::hypot(x, y);
        Self {
            tapes,
            origin: one.from,
            normal: first.cross(&second),
            foot: one.from + first * x + second * y,
            height_squared_mm2: squares(one.distance_mm, out_mm),
        }
    }

    fn off_plane_mm(&self, at: &Point3<f64>) -> f64 {
        (at - self.origin).dot(&self.normal).abs()
    }

    /// Whether all known points lie in the plane, as far as the tapes can tell.
    fn is_flat(&self, all: &[Tape]) -> bool {
        all.iter().all(|t| self.off_plane_mm(&t.from) <= t.tolerance_mm)
    }

    /// Whether a place may lie in the plane of the known points within the tolerances. Its height `h`
    /// comes from a square, so that the height is lost where `h^2` may be off by all of itself.
    pub fn may_lie_in_plane(&self, all: &[Tape], at: &Point3<f64>, gains: &[Vector3<f64>]) -> bool {
        let reach_mm = reach_along_mm(all, gains, &self.normal);
        self.is_flat(all) && 2.0 * reach_mm >= self.off_plane_mm(at)
    }

    /// Why a place is known too badly.
    pub fn weak(&self, all: &[Tape], at: &Point3<f64>) -> TrilaterationError {
        if self.is_flat(all) {
            TrilaterationError::InPlane { off_mm: self.off_plane_mm(at) }
        } else {
            TrilaterationError::TooCoarse
        }
    }

    /// Refuses three spheres that do not meet.
    ///
    /// # Errors
    /// [`TrilaterationError::InPlane`] where the tolerances could close the gap, else
    /// [`TrilaterationError::DoNotMeet`].
    pub fn check_height(&self, all: &[Tape]) -> Result<(), TrilaterationError> {
        if self.height_squared_mm2 > 0.0 {
            return Ok(());
        }
        let mut short_mm = 0.0_f64;
        let mut closes = true;
        for tape in self.tapes.map(|i| all[i]) {
            let r = tape.distance_mm;
            let lacks_mm = (r * r - self.height_squared_mm2).sqrt() - r;
            short_mm = short_mm.max(lacks_mm);
            closes &= lacks_mm <= tape.tolerance_mm;
        }
        if closes {
            return Err(TrilaterationError::InPlane { off_mm: 0.0 });
        }
        Err(TrilaterationError::DoNotMeet { short_mm })
    }

    /// Where a search may begin, on both sides of the plane.
    pub fn starts(&self, all: &[Tape]) -> [Point3<f64>; 2] {
        // Of spheres that do not meet, a point a little off the plane still tells the sides apart.
        let least: f64 =
            self.tapes.iter().map(|i| all[*i].tolerance_mm * all[*i].distance_mm).sum();
        let least = if all.len() > 3 { least } else { 0.0 };
        let height_mm = self.height_squared_mm2.max(least).sqrt();
        [1.0, -1.0].map(|side| self.foot + self.normal * (side * height_mm))
    }
}
