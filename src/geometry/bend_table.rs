//! The bend table of a rigid tube, straight by straight and bend by bend, from its corners and back.

mod laid_out;

use std::f64::consts::{PI, TAU};

use nalgebra::{Point3, Vector3};

use super::direction::angle_between;
use super::{GeometryError, above_zero, within};
pub use laid_out::BendStart;

/// Beyond this a corner has no place: its tangents meet far away.
const MOST_TURN_RAD: f64 = 179.0 * PI / 180.0;
/// A straight this little below nothing is rounding.
const NOTHING_MM: f64 = 1e-6;
/// A half turn this little off is one: its sign would be rounding.
const HALF_TURN_NOISE_RAD: f64 = 1e-9;

/// One bend with the straight before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeBend {
    /// Straight before the bend, from the end of the tube or of the bend before.
    pub straight_mm: f64,
    /// How far its plane is turned from that of the bend before, right-handed about the direction of
    /// travel: clockwise for who looks along the tube. 0 at the first bend, above -pi and up to pi.
    pub rotation_rad: f64,
    /// Angle bent through, above 0.
    pub angle_rad: f64,
    /// Radius of the centre line.
    pub radius_mm: f64,
}

impl TubeBend {
    /// Distance from where the bend begins to its corner.
    #[must_use]
    pub fn setback_mm(&self) -> f64 {
        self.radius_mm * libm::tan(0.5 * self.angle_rad)
    }

    /// Length of the centre line in the bend.
    #[must_use]
    pub fn arc_mm(&self) -> f64 {
        self.radius_mm * self.angle_rad
    }
}

/// A corner of the points that turns too little to be bent; the tube passes it straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PassedCorner {
    /// The corner, counted from 0 at the first point.
    pub corner: usize,
    /// What it turns through between its neighbours.
    pub angle_rad: f64,
    /// How far it stands off the straight that takes its place.
    pub off_mm: f64,
}

/// A tube as a row of straights and bends.
#[derive(Debug, Clone, PartialEq)]
pub struct BendTable {
    /// The bends in the direction of travel.
    pub bends: Vec<TubeBend>,
    /// Straight behind the last bend, or the whole tube where there is none.
    pub last_straight_mm: f64,
    /// Corners that turn too little to be bent.
    pub passed: Vec<PassedCorner>,
}

/// Whether a tube and its mirror image are one and the same part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MirrorImage {
    /// Every bend lies in one plane: the mirror image is the part.
    Same,
    /// The mirror image is the part turned end for end.
    TurnedRound,
    /// The mirror image is another part and does not fit.
    Another,
}

/// # What it gives
///
/// The bend table of a tube through points: straight, rotation, angle and radius of every bend, and the
/// straight behind the last.
///
/// # Formula
///
/// With the direction `u` of each leg, bend `A = atan2(|u x u'|, u . u')`, setback `R tan(A / 2)`, straight
/// `leg - setback before - setback behind`, axis `N = u x u'`, rotation
/// `B = atan2((N before x N) . u, N before . N)`; a rotation of minus half a turn is written as plus.
///
/// # Valid for
///
/// Two or more points, one radius above 0 for each inner point, corners up to 179 degrees.
/// Corners under `least_angle_rad`, which is above 0, are passed straight, those that turn least first.
///
/// # Source
///
/// Vector geometry, derived here; the usual bending data of straight, rotation and bend.
///
/// # Notes
///
/// Benders count rotation in either sense: this one is right-handed about the direction of travel. Where a
/// corner is passed, the tube runs beside it by [`PassedCorner::off_mm`].
///
/// # Errors
///
/// Refuses numbers that are not finite, neighbouring points that coincide, corners over 179 degrees, and
/// legs that cannot hold the bends at their ends ([`GeometryError::BendsOverlap`]).
///
/// # Example
///
/// ```
/// use hosewright::geometry::bend_table::bend_table;
/// use nalgebra::Point3;
///
/// let corners = [[0.0, 0.0, 0.0], [100.0, 0.0, 0.0], [100.0, 80.0, 0.0], [100.0, 80.0, 60.0]];
/// let table = bend_table(&corners.map(Point3::from), &[20.0, 20.0], 0.01)?;
/// let straights: Vec<f64> = table.bends.iter().map(|b| b.straight_mm.round()).collect();
/// assert_eq!((straights, table.last_straight_mm.round()), (vec![80.0, 40.0], 40.0));
/// assert!((table.bends[1].rotation_rad.to_degrees() - 90.0).abs() < 1e-9);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn bend_table(
    points: &[Point3<f64>],
    radii_mm: &[f64],
    least_angle_rad: f64,
) -> Result<BendTable, GeometryError> {
    above_zero("least_angle_rad", least_angle_rad)?;
    within("points of a tube", count(points), 2.0, f64::MAX)?;
    within("radii of a tube", count(radii_mm), count(points) - 2.0, count(points) - 2.0)?;
    for radius_mm in radii_mm {
        above_zero("radius of a bend", *radius_mm)?;
    }
    let (kept, passed) = kept_corners(points, least_angle_rad)?;
    let legs = kept.windows(2).map(|pair| leg(points, pair)).collect::<Result<Vec<_>, _>>()?;
    let mut bends: Vec<TubeBend> = Vec::new();
    let mut axis_before: Option<Vector3<f64>> = None;
    let mut setback_before_mm = 0.0;
    for (index, pair) in legs.windows(2).enumerate() {
        let [(along, length_mm), (next, _)] = pair else { continue };
        let corner = kept[index + 1];
        let angle_rad = angle_between(along, next);
        if angle_rad > MOST_TURN_RAD {
            let angle_deg = angle_rad.to_degrees();
            return Err(GeometryError::CornerTurnsBack { corner, angle_deg });
        }
        let axis = along.cross(next).normalize();
        let rotation_rad = axis_before.map_or(0.0, |before| rotation_rad(&before, &axis, along));
        let radius_mm = radii_mm[corner - 1];
        let mut bend = TubeBend { straight_mm: 0.0, rotation_rad, angle_rad, radius_mm };
        let taken_mm = setback_before_mm + bend.setback_mm();
        bend.straight_mm = straight_mm(*length_mm, taken_mm, kept[index])?;
        setback_before_mm = bend.setback_mm();
        axis_before = Some(axis);
        bends.push(bend);
    }
    let last = legs.last().map_or(0.0, |(_, length_mm)| *length_mm);
    let from = kept.iter().rev().nth(1).copied().unwrap_or(0);
    let last_straight_mm = straight_mm(last, setback_before_mm, from)?;
    Ok(BendTable { bends, last_straight_mm, passed })
}

/// A number of things, for a refusal.
#[expect(clippy::cast_precision_loss, reason = "a list in memory has far fewer items than 2^53")]
fn count<T>(items: &[T]) -> f64 {
    items.len() as f64
}

fn straight_mm(leg_mm: f64, taken_mm: f64, from: usize) -> Result<f64, GeometryError> {
    let left_mm = leg_mm - taken_mm;
    if left_mm < -NOTHING_MM {
        return Err(GeometryError::BendsOverlap { from, needed_mm: taken_mm, has_mm: leg_mm });
    }
    Ok(left_mm.max(0.0))
}

/// Direction and length of the leg between two corners.
fn leg(points: &[Point3<f64>], pair: &[usize]) -> Result<(Vector3<f64>, f64), GeometryError> {
    let [from, to] = pair else { return Err(GeometryError::EmptyPath) };
    let run = points[*to] - points[*from];
    let length_mm = above_zero("leg between two points of a tube", run.norm())?;
    Ok((run / length_mm, length_mm))
}

fn rotation_rad(before: &Vector3<f64>, axis: &Vector3<f64>, along: &Vector3<f64>) -> f64 {
    whole_half_turn(libm::atan2(before.cross(axis).dot(along), before.dot(axis)))
}

/// A half turn has no sense: it is written as plus.
fn whole_half_turn(rotation_rad: f64) -> f64 {
    if rotation_rad <= HALF_TURN_NOISE_RAD - PI { PI } else { rotation_rad }
}

/// The points that are bent at, with both ends; those that turn too little go, the least first.
fn kept_corners(
    points: &[Point3<f64>],
    least_angle_rad: f64,
) -> Result<(Vec<usize>, Vec<PassedCorner>), GeometryError> {
    let mut kept: Vec<usize> = (0..points.len()).collect();
    let mut passed = Vec::new();
    loop {
        let mut least: Option<(usize, f64)> = None;
        for (index, three) in kept.windows(3).enumerate() {
            let (before, _) = leg(points, &three[..2])?;
            let (behind, _) = leg(points, &three[1..])?;
            let turn_rad = angle_between(&before, &behind);
            if least.is_none_or(|(_, angle)| turn_rad < angle) {
                least = Some((index + 1, turn_rad));
            }
        }
        let Some((index, angle_rad)) = least.filter(|(_, angle)| *angle < least_angle_rad) else {
            passed.sort_by_key(|p: &PassedCorner| p.corner);
            return Ok((kept, passed));
        };
        let (from, corner, to) = (kept[index - 1], kept[index], kept[index + 1]);
        let chord = points[to] - points[from];
        let off_mm = chord.cross(&(points[corner] - points[from])).norm() / chord.norm();
        passed.push(PassedCorner { corner, angle_rad, off_mm });
        kept.remove(index);
    }
}

impl BendTable {
    /// Length of the centre line: what must be cut where the tube does not stretch.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.bends.iter().map(|b| b.straight_mm + b.arc_mm()).sum::<f64>() + self.last_straight_mm
    }

    /// Length of the legs from corner to corner.
    #[must_use]
    pub fn polyline_mm(&self) -> f64 {
        self.length_mm() + self.gain_mm()
    }

    /// What the bends save against the legs: `sum of R (2 tan(A / 2) - A)`.
    #[must_use]
    pub fn gain_mm(&self) -> f64 {
        self.bends.iter().map(|b| 2.0 * b.setback_mm() - b.arc_mm()).sum()
    }

    /// Straight behind a bend, counted from 0.
    #[must_use]
    pub fn straight_behind_mm(&self, bend: usize) -> f64 {
        self.bends.get(bend + 1).map_or(self.last_straight_mm, |next| next.straight_mm)
    }

    /// Where on the circumference the inside of each bend lies: from that of the first bend, clockwise for
    /// who looks along the tube, from 0 to under a whole turn.
    #[must_use]
    pub fn dial_rad(&self) -> Vec<f64> {
        let mut dial_rad = 0.0;
        let mut all = Vec::with_capacity(self.bends.len());
        for bend in &self.bends {
            dial_rad = libm::fmod(dial_rad + bend.rotation_rad + TAU, TAU);
            // Adding up half turns may end a rounding below a whole one.
            all.push(if dial_rad > TAU - HALF_TURN_NOISE_RAD { 0.0 } else { dial_rad });
        }
        all
    }

    /// The same tube from its other end. Rotations keep their sense.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let last = self.bends.len();
        let bends = (0..last).rev().map(|index| {
            let after = self.bends.get(index + 1);
            TubeBend {
                straight_mm: self.straight_behind_mm(index),
                rotation_rad: after.map_or(0.0, |b| b.rotation_rad),
                ..self.bends[index]
            }
        });
        Self {
            bends: bends.collect(),
            last_straight_mm: self.bends.first().map_or(self.last_straight_mm, |b| b.straight_mm),
            passed: self.passed.clone(),
        }
    }

    /// The mirror image: every rotation in the other sense.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let mirror = |bend: &TubeBend| TubeBend {
            rotation_rad: whole_half_turn(0.0 - bend.rotation_rad),
            ..*bend
        };
        Self { bends: self.bends.iter().map(mirror).collect(), ..self.clone() }
    }

    /// Whether the mirror image is the same part, with angles this near and lengths this near taken as equal.
    #[must_use]
    pub fn mirror_image(&self, angle_noise_rad: f64, length_noise_mm: f64) -> MirrorImage {
        let mirrored = self.mirrored();
        if self.is_same(&mirrored, angle_noise_rad, length_noise_mm) {
            MirrorImage::Same
        } else if self.is_same(&mirrored.reversed(), angle_noise_rad, length_noise_mm) {
            MirrorImage::TurnedRound
        } else {
            MirrorImage::Another
        }
    }

    /// Whether another tube is the same part, whichever end it begins at, with angles and lengths this near
    /// taken as equal.
    #[must_use]
    pub fn matches(&self, other: &Self, angle_noise_rad: f64, length_noise_mm: f64) -> bool {
        self.is_same(other, angle_noise_rad, length_noise_mm)
            || self.is_same(&other.reversed(), angle_noise_rad, length_noise_mm)
    }

    fn is_same(&self, other: &Self, angle_noise_rad: f64, length_noise_mm: f64) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= length_noise_mm;
        let turn = |a: f64, b: f64| {
            let apart = libm::fmod((a - b).abs(), TAU);
            apart.min(TAU - apart) <= 2.0 * angle_noise_rad
        };
        let same = |(a, b): (&TubeBend, &TubeBend)| {
            near(a.straight_mm, b.straight_mm)
                && near(a.radius_mm, b.radius_mm)
                && (a.angle_rad - b.angle_rad).abs() <= angle_noise_rad
                && turn(a.rotation_rad, b.rotation_rad)
        };
        self.bends.len() == other.bends.len()
            && near(self.last_straight_mm, other.last_straight_mm)
            && self.bends.iter().zip(&other.bends).all(same)
    }
}
