//! The place of a point from taped distances to three or more known points, and how well it is known.

mod adjust;
mod principal;
mod spheres;

use nalgebra::{Matrix3, Point3, Vector3};

use super::{GeometryError, above_zero, within};
use adjust::{Adjusted, adjusted, size_mm};
use spheres::{Base, base};

/// Most tapes to one point; their tolerances are tried in every combination.
pub const MOST_TAPES: usize = 12;
/// Coordinates and distances beyond this are refused, mm.
const FARTHEST_MM: f64 = 1e9;
/// Two sides whose distances from the guess differ by a smaller share than this are equally near.
const SAME_SIDE: f64 = 1e-9;
/// What is left over of a distance, as a share of it, where three tapes meet.
const MEETS: f64 = 1e-6;
/// The farthest move may differ from the one in proportion by this share of it.
const MOST_BENT: f64 = 0.5;

/// A distance from a known point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tape {
    /// The known point.
    pub from: Point3<f64>,
    /// The distance that was read.
    pub distance_mm: f64,
    /// How far the reading may be off, to either side.
    pub tolerance_mm: f64,
}

/// The place of a point by its tapes.
#[derive(Debug, Clone, PartialEq)]
pub struct Fix {
    /// The place.
    pub at: Point3<f64>,
    /// The place on the other side of the known points, where the tapes cannot exclude it.
    pub mirror: Option<Point3<f64>>,
    /// What each tape reads more than its distance to the place.
    pub residuals_mm: Vec<f64>,
    /// Steps it took to settle.
    pub steps: u32,
    /// How the place moves when each tape reads one millimetre more.
    pub gains: Vec<Vector3<f64>>,
    /// Covariance of the three coordinates.
    pub covariance_mm2: Matrix3<f64>,
    /// Standard deviation along each axis.
    pub deviation_mm: Vector3<f64>,
    /// Standard deviation in the direction that is known worst.
    pub worst_deviation_mm: f64,
    /// That direction, of length 1.
    pub worst_direction: Vector3<f64>,
    /// Farthest the place can be off while every tape is within its tolerance.
    pub reach_mm: f64,
}

impl Fix {
    /// Farthest the place can be off along a direction of length 1.
    pub fn reach_along_mm(&self, tapes: &[Tape], direction: &Vector3<f64>) -> f64 {
        reach_along_mm(tapes, &self.gains, direction)
    }
}

fn reach_along_mm(tapes: &[Tape], gains: &[Vector3<f64>], direction: &Vector3<f64>) -> f64 {
    let each = gains.iter().zip(tapes);
    each.map(|(gain, tape)| gain.dot(direction).abs() * tape.tolerance_mm).sum()
}

/// Why tapes give no place. Tapes are counted from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TrilaterationError {
    /// A number is not one that can be.
    #[error(transparent)]
    Number(#[from] GeometryError),
    /// Fewer than three tapes.
    #[error("a place needs three tapes or more, but there are {count}")]
    TooFew {
        /// How many there are.
        count: usize,
    },
    /// More tapes than are worked on.
    #[error("a place takes no more than {MOST_TAPES} tapes, but there are {count}")]
    TooMany {
        /// How many there are.
        count: usize,
    },
    /// The known points stand on one line, about which the place may turn.
    #[error(
        "the known points stand in one line, or within {off_mm:.1} mm of one: the place may be anywhere around it"
    )]
    InLine {
        /// How far the third one stands off the line.
        off_mm: f64,
    },
    /// Two tapes cannot both be right: they do not reach each other, or one ends inside the other.
    #[error(
        "tapes {} and {} cannot both be right: {misses_mm:.1} mm are between them", first + 1, second + 1
    )]
    Apart {
        /// The one tape.
        first: usize,
        /// The other.
        second: usize,
        /// By how much they miss each other.
        misses_mm: f64,
    },
    /// Each two of three tapes meet, but not all three.
    #[error("the three tapes do not meet: they would have to be {short_mm:.1} mm longer")]
    DoNotMeet {
        /// How much longer the one that lacks most would have to be.
        short_mm: f64,
    },
    /// The place is so near to the plane of the known points that the tapes cannot tell how far off it is.
    #[error(
        "the place is {off_mm:.1} mm off the plane of the known points, too near for tapes to tell"
    )]
    InPlane {
        /// How far off it came out.
        off_mm: f64,
    },
    /// The tolerances are so coarse that no figure of uncertainty holds.
    #[error("the tolerances are too coarse for the place of these known points")]
    TooCoarse,
    /// The guess lies between the two sides.
    #[error(
        "the guess is as near to the place on the one side of the known points as to that on the other"
    )]
    SideOpen,
    /// The search for the place did not settle.
    #[error("the place did not settle within {steps} steps")]
    NotSettled {
        /// Steps made.
        steps: u32,
    },
}

/// # What it gives
///
/// The place of a point from its distances to three or more known points, each with a tolerance: what
/// each tape reads too much, the place on the other side where that fits as well, and how far the place
/// may be off. The side nearest to `guess` is taken; the other one only if it alone fits every tape
/// within its tolerance.
///
/// # Formula
///
/// Three spheres: with the first known point as origin, the second at `d` on the first axis and the
/// third at `(i, j)`, `x = (r1^2 - r2^2 + d^2) / 2d`, `y = (r1^2 - r3^2 + i^2 + j^2 - 2 i x) / 2j`,
/// `z = +-sqrt(r1^2 - x^2 - y^2)`. More tapes: the least sum of squared residuals, each over its
/// tolerance, by damped Gauss-Newton steps from the two points of the three known points that span the
/// largest triangle. With the unit vectors `u` from the known points and the weights `w = 1/t^2`, a tape
/// moves the place by `g = w N^-1 u` for each millimetre, where `N = sum w u u'`. Covariance
/// `sum (t^2/3) g g'`: a tolerance is the half-width of a rectangular distribution. The reach is the
/// greatest `|sum +-t g|` over all signs, worked out again from tapes that are off by just that.
///
/// # Valid for
///
/// 3 to [`MOST_TAPES`] tapes; coordinates and distances up to 1e9 mm; tolerances above 0. The known
/// points are taken as exact: what is not known of them belongs to the tolerances.
///
/// # Source
///
/// Intersection of three spheres and the linear propagation of its errors: derived here. Weighted least
/// squares and their covariance: common practice of surveying. Rectangular distribution: JCGM 100:2008,
/// 4.3.7 (from-memory).
///
/// # Notes
///
/// A fourth tape shows that one of the four is wrong, but not which: see
/// [`Fix::residuals_mm`]; with five, the one without which the others agree is the wrong one.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range, fewer than three tapes, known points in one
/// line, tapes that cannot meet, a place too near to the plane of the known points, and a guess that
/// does not tell the side. A search that does not settle is [`TrilaterationError::NotSettled`].
///
/// # Example
///
/// ```
/// use hosewright::geometry::trilateration::{Tape, trilaterate};
/// use nalgebra::Point3;
///
/// let tape = |x: f64, y: f64, distance_mm| Tape {
///     from: Point3::new(x, y, 0.0),
///     distance_mm,
///     tolerance_mm: 2.0,
/// };
/// let tapes = [tape(0.0, 0.0, 1300.0), tape(300.0, 0.0, 1300.0), tape(0.0, 800.0, 1300.0)];
/// let fix = trilaterate(&tapes, &Point3::new(150.0, 400.0, 1200.0))?;
/// assert!((fix.at.z - 1_507_500.0_f64.sqrt()).abs() < 1e-9);
/// assert_eq!(fix.mirror.map(|m| m.z), Some(-fix.at.z));
/// # Ok::<(), hosewright::geometry::trilateration::TrilaterationError>(())
/// ```
pub fn trilaterate(tapes: &[Tape], guess: &Point3<f64>) -> Result<Fix, TrilaterationError> {
    check_numbers(tapes, guess)?;
    check_pairs(tapes)?;
    let base = base(tapes)?;
    let (adjusted, mirror) = place(tapes, &base, guess)?;
    let gains = adjusted.gains(tapes);
    let covariance_mm2 = covariance(tapes, &gains);
    let (variance, worst_direction) = principal::largest(&covariance_mm2);
    let reach_mm = reach_mm(tapes, &base, &adjusted, &gains)?;
    Ok(Fix {
        at: adjusted.at,
        mirror,
        residuals_mm: tapes.iter().map(|t| t.residual_mm(&adjusted.at)).collect(),
        steps: adjusted.steps,
        deviation_mm: covariance_mm2.diagonal().map(|v| v.max(0.0).sqrt()),
        worst_deviation_mm: variance.max(0.0).sqrt(),
        worst_direction,
        covariance_mm2,
        gains,
        reach_mm,
    })
}

impl Tape {
    /// What it reads more than its distance to a place.
    fn residual_mm(&self, at: &Point3<f64>) -> f64 {
        self.distance_mm - (at - self.from).norm()
    }

    fn fits(&self, at: &Point3<f64>) -> bool {
        self.residual_mm(at).abs() <= self.tolerance_mm
    }

    /// Whether nothing is left over but rounding.
    fn meets(&self, at: &Point3<f64>) -> bool {
        self.residual_mm(at).abs() <= MEETS * self.distance_mm
    }
}

fn check_numbers(tapes: &[Tape], guess: &Point3<f64>) -> Result<(), TrilaterationError> {
    let count = tapes.len();
    if count < 3 {
        return Err(TrilaterationError::TooFew { count });
    }
    if count > MOST_TAPES {
        return Err(TrilaterationError::TooMany { count });
    }
    let known = tapes.iter().flat_map(|t| t.from.coords.iter());
    for coordinate in known.chain(guess.coords.iter()) {
        within("a coordinate", *coordinate, -FARTHEST_MM, FARTHEST_MM)?;
    }
    for tape in tapes {
        above_zero("a distance", tape.distance_mm)?;
        above_zero("a tolerance", tape.tolerance_mm)?;
        within("a distance", tape.distance_mm, 0.0, FARTHEST_MM)?;
        within("a tolerance", tape.tolerance_mm, 0.0, FARTHEST_MM)?;
    }
    Ok(())
}

/// Two tapes and the way between their known points must make a triangle, within their tolerances.
fn check_pairs(tapes: &[Tape]) -> Result<(), TrilaterationError> {
    for (second, b) in tapes.iter().enumerate() {
        for (first, a) in tapes.iter().take(second).enumerate() {
            let apart_mm = (b.from - a.from).norm();
            let short_mm = apart_mm - (a.distance_mm + b.distance_mm);
            let long_mm = (a.distance_mm - b.distance_mm).abs() - apart_mm;
            let misses_mm = short_mm.max(long_mm);
            if misses_mm > a.tolerance_mm + b.tolerance_mm {
                return Err(TrilaterationError::Apart { first, second, misses_mm });
            }
        }
    }
    Ok(())
}

/// The place, and the one on the other side where the tapes cannot exclude it.
fn place(
    tapes: &[Tape],
    base: &Base,
    guess: &Point3<f64>,
) -> Result<(Adjusted, Option<Point3<f64>>), TrilaterationError> {
    if tapes.len() == 3 {
        base.check_height(tapes)?;
    }
    let starts = base.starts(tapes);
    let [one, other] = starts.map(|start| adjusted(tapes, start));
    let (one, other) = match (one, other) {
        (Ok(one), Ok(other)) => (one, other),
        (Ok(only), Err(_)) | (Err(_), Ok(only)) => return Ok((only, None)),
        (Err(error), Err(_)) => return Err(error),
    };
    let [from_one, from_other] = [&one, &other].map(|a| (a.at - guess).norm());
    let (near, far) = if from_one <= from_other { (one, other) } else { (other, one) };
    let between_mm = (near.at - far.at).norm();
    // Both starts settled in one place: the tapes tell the side by themselves.
    if between_mm <= 1e-6 * size_mm(tapes) {
        return Ok((near, None));
    }
    let fits = |a: &Adjusted| tapes.len() == 3 || tapes.iter().all(|t| t.fits(&a.at));
    let open = (from_one - from_other).abs() <= SAME_SIDE * between_mm;
    match (fits(&near), fits(&far)) {
        (false, true) => Ok((far, None)),
        (true, false) => Ok((near, None)),
        _ if open => Err(TrilaterationError::SideOpen),
        (true, true) => Ok((near, Some(far.at))),
        (false, false) => Ok((near, None)),
    }
}

fn covariance(tapes: &[Tape], gains: &[Vector3<f64>]) -> Matrix3<f64> {
    let each = gains.iter().zip(tapes);
    each.map(|(gain, tape)| gain * gain.transpose() * (tape.tolerance_mm * tape.tolerance_mm / 3.0))
        .sum()
}

/// Farthest the place can be off while every tape is within its tolerance.
fn reach_mm(
    tapes: &[Tape],
    base: &Base,
    adjusted: &Adjusted,
    gains: &[Vector3<f64>],
) -> Result<f64, TrilaterationError> {
    let steps: Vec<Vector3<f64>> =
        gains.iter().zip(tapes).map(|(gain, tape)| gain * tape.tolerance_mm).collect();
    let sum = |signs: usize| -> Vector3<f64> {
        let signed =
            |(i, step): (usize, &Vector3<f64>)| if signs >> i & 1 == 1 { -step } else { *step };
        steps.iter().enumerate().map(signed).sum()
    };
    // All signs turned around give the same length, so the last tape keeps its sign.
    let all = 0..1_usize << (tapes.len() - 1);
    let lengths = all.map(|signs| (signs, sum(signs).norm()));
    let (signs, linear_mm) = lengths.fold((0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
    let mut reach_mm: f64 = linear_mm;
    if base.may_lie_in_plane(tapes, &adjusted.at, gains) {
        return Err(base.weak(tapes, &adjusted.at));
    }
    let weak = || base.weak(tapes, &adjusted.at);
    for turned in [1.0, -1.0] {
        let off = |(i, tape): (usize, &Tape)| {
            let sign = if signs >> i & 1 == 1 { -turned } else { turned };
            Tape { distance_mm: tape.distance_mm + sign * tape.tolerance_mm, ..*tape }
        };
        let moved: Vec<Tape> = tapes.iter().enumerate().map(off).collect();
        let moved_mm = (again(&moved, adjusted).ok_or_else(weak)? - adjusted.at).norm();
        // Where the place does not move in proportion, its covariance says nothing.
        if (moved_mm - linear_mm).abs() > MOST_BENT * linear_mm {
            return Err(weak());
        }
        reach_mm = reach_mm.max(moved_mm);
    }
    Ok(reach_mm)
}

/// The place on the same side from tapes that are a little off; none where they do not reach it.
fn again(moved: &[Tape], adjusted: &Adjusted) -> Option<Point3<f64>> {
    if moved.iter().any(|t| t.distance_mm <= 0.0) {
        return None;
    }
    let again = adjust::adjusted(moved, adjusted.at).ok()?;
    // Three tapes that meet leave nothing over.
    let meets = moved.len() > 3 || moved.iter().all(|t| t.meets(&again.at));
    meets.then_some(again.at)
}
