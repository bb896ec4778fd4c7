//! The first bend out of an end that does not face its next point: straight out, then one arc.

use nalgebra::{Point3, Vector3};

/// Corners stay under 174.9 degrees, clear of the 175 that are refused, so that a search for a radius
/// never ends on that limit.
const MOST_HALF_TAN: f64 = 22.4;
/// Setbacks are settled when they no longer move by more than this.
const SETTLED_MM: f64 = 1e-10;
/// Newton steps settle in about ten; the rest is room for the slow steps before them.
const MOST_STEPS: u32 = 120;
/// Rounding allowed when two setbacks share a leg that they fill exactly.
const EXACT_FIT_MM: f64 = 1e-7;

/// The stiff and straight part out of an end: where the arc may begin, and its direction.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lead {
    pub(super) start: Point3<f64>,
    pub(super) direction: Vector3<f64>,
}

impl Lead {
    /// Where the tangents of the arc meet, for a given setback.
    pub(super) fn corner(&self, setback_mm: f64) -> Point3<f64> {
        self.start + self.direction * setback_mm
    }
}

/// Setback of the arc that leaves `lead` tangentially and then runs straight at `target`; `None` where
/// no arc of that radius under 175 degrees does.
///
/// With the arc starting at the origin along x and the target at (x, y), the tangent from the target to
/// the circle has length `run = sqrt(x^2 + y^2 - 2 y r)`, and the two tangents of the corner being equal
/// gives `setback = y r / (x + run)`.
pub(super) fn setback_to(lead: &Lead, target: &Point3<f64>, radius_mm: f64) -> Option<f64> {
    let to = target - lead.start;
    let x = to.dot(&lead.direction);
    let y = (to - lead.direction * x).norm();
    let run_squared = x * x + y * y - 2.0 * y * radius_mm;
    if run_squared < 0.0 {
        return None;
    }
    let reach = x + run_squared.sqrt();
    if reach <= 0.0 {
        return None;
    }
    let setback_mm = y * radius_mm / reach;
    (setback_mm <= MOST_HALF_TAN * radius_mm).then_some(setback_mm)
}

/// Setbacks of the arcs out of two ends that look at each other's corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) a_mm: f64,
    pub(super) b_mm: f64,
    /// Steps it took to settle.
    pub(super) steps: u32,
}

/// Finds the two setbacks that agree with each other; `None` where none were found or the leg between
/// the corners cannot hold both.
pub(super) fn pair_of_setbacks(a: &Lead, b: &Lead, radius_mm: f64) -> Option<Pair> {
    // A quarter turn is the likeliest; the others catch flat S shapes and bends beyond a quarter.
    [1.0, 0.414, 0.1, 2.414, 6.0]
        .into_iter()
        .filter_map(|share| settle(a, b, radius_mm, share * radius_mm))
        .find(|pair| {
            let leg_mm = (b.corner(pair.b_mm) - a.corner(pair.a_mm)).norm();
            pair.a_mm + pair.b_mm <= leg_mm + EXACT_FIT_MM
        })
}

fn settle(a: &Lead, b: &Lead, radius_mm: f64, first_guess_mm: f64) -> Option<Pair> {
    let answer = |mine: &Lead, other: &Lead, other_mm: f64| {
        setback_to(mine, &other.corner(other_mm), radius_mm)
    };
    let (mut a_mm, mut b_mm) = (first_guess_mm, first_guess_mm);
    for steps in 1..=MOST_STEPS {
        let (to_a, to_b) = (answer(a, b, b_mm)?, answer(b, a, a_mm)?);
        let (miss_a, miss_b) = (to_a - a_mm, to_b - b_mm);
        if miss_a.abs() <= SETTLED_MM && miss_b.abs() <= SETTLED_MM {
            return Some(Pair { a_mm, b_mm, steps });
        }
        let nudge_mm = 1e-6 * (1.0 + radius_mm);
        let slope_a = answer(a, b, b_mm + nudge_mm).map(|moved| (moved - to_a) / nudge_mm);
        let slope_b = answer(b, a, a_mm + nudge_mm).map(|moved| (moved - to_b) / nudge_mm);
        let newton = slope_a.zip(slope_b).and_then(|slopes| newton_step(slopes, miss_a, miss_b));
        let (step_a, step_b) = newton
            .filter(|(by_a, by_b)| {
                let (next_a, next_b) = (a_mm + by_a, b_mm + by_b);
                let near_mm = 0.5 * (radius_mm + a_mm + b_mm);
                next_a >= 0.0
                    && next_b >= 0.0
                    && by_a.abs().max(by_b.abs()) <= near_mm
                    && answer(a, b, next_b).is_some()
                    && answer(b, a, next_a).is_some()
            })
            .unwrap_or((0.5 * miss_a, 0.5 * miss_b));
        a_mm += step_a;
        b_mm += step_b;
    }
    None
}

/// Solves `da - slope_a db = miss_a` and `db - slope_b da = miss_b`.
fn newton_step(slopes: (f64, f64), miss_a: f64, miss_b: f64) -> Option<(f64, f64)> {
    let (slope_a, slope_b) = slopes;
    let divisor = 1.0 - slope_a * slope_b;
    // Near zero the two ends trade length freely (an exact half circle); slow steps keep them even.
    (divisor.abs() > 1e-3)
        .then(|| ((miss_a + slope_a * miss_b) / divisor, (miss_b + slope_b * miss_a) / divisor))
}

/// The largest value up to `most` for which `fits` holds, to the last digits; 0 where none does.
pub(super) fn largest(most: f64, fits: impl Fn(f64) -> bool) -> f64 {
    if fits(most) {
        return most;
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}
