//! Rounding the corners of a line of points: the radius each corner can take when legs are shared.

use nalgebra::{Point3, Vector3};

use super::GeometryError;
use super::direction::angle_between;
use super::path::{Path, Piece};
use super::place::Place;

/// Points nearer than this are one point.
const SAME_POINT_MM: f64 = 1e-6;
/// Sharper turns have no room for any radius.
const MOST_TURN_DEG: f64 = 175.0;
/// Flatter turns than this are rounding in a straight line.
pub(super) const NO_TURN_RAD: f64 = 1e-7;
/// A leg overfilled by less than this is exactly full.
const EXACT_FIT_MM: f64 = 1e-6;

/// A point of the line before its corners are rounded.
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner {
    pub(super) place: Place,
    pub(super) at: Point3<f64>,
    /// Radius wanted here; of no meaning at the two ends.
    pub(super) radius_mm: f64,
}

/// The straight between two corners.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leg {
    pub(super) length_mm: f64,
    pub(super) direction: Vector3<f64>,
    /// Part of the leg inside a fitting, which cannot bend.
    pub(super) stiff_mm: f64,
    /// Setbacks wanted on this leg, plus the stiff part.
    pub(super) needed_mm: f64,
}

impl Leg {
    fn free_mm(&self) -> f64 {
        (self.length_mm - self.stiff_mm).max(0.0)
    }

    /// True where the leg cannot hold what is asked of it.
    pub(super) fn overfull(&self) -> bool {
        self.needed_mm > self.length_mm + EXACT_FIT_MM
    }
}

/// A corner with the radius it was given.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rounded {
    pub(super) turn_rad: f64,
    /// Setback for a radius of 1 mm.
    half_tan: f64,
    /// Share of the wanted radius that was given, 1 where all of it.
    share: Option<f64>,
    pub(super) wanted_mm: f64,
    /// Largest radius for which the legs have room beside the neighbouring bends.
    pub(super) fits_mm: f64,
}

impl Rounded {
    pub(super) fn radius_mm(&self) -> f64 {
        self.wanted_mm * self.share.unwrap_or(1.0)
    }

    pub(super) fn setback_mm(&self) -> f64 {
        self.radius_mm() * self.half_tan
    }

    fn wanted_setback_mm(&self) -> f64 {
        self.wanted_mm * self.half_tan
    }
}

/// The legs between the corners, with `stiff_a_mm` and `stiff_b_mm` given up to the fittings.
pub(super) fn legs(
    corners: &[Corner],
    stiff_a_mm: f64,
    stiff_b_mm: f64,
) -> Result<Vec<Leg>, GeometryError> {
    let mut legs = Vec::new();
    for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
        let run = to.at - from.at;
        let length_mm = run.norm();
        if length_mm < SAME_POINT_MM {
            return Err(GeometryError::SamePoint { first: from.place, second: to.place });
        }
        legs.push(Leg { length_mm, direction: run / length_mm, stiff_mm: 0.0, needed_mm: 0.0 });
    }
    if let Some(first) = legs.first_mut() {
        first.stiff_mm += stiff_a_mm;
    }
    if let Some(last) = legs.last_mut() {
        last.stiff_mm += stiff_b_mm;
    }
    Ok(legs)
}

/// Gives every inner corner the largest radius up to the wanted one. Where a leg is too short for its
/// two bends, both give up the same share; room that one corner cannot use goes to its neighbour.
pub(super) fn rounded(corners: &[Corner], legs: &mut [Leg]) -> Result<Vec<Rounded>, GeometryError> {
    let mut bends = Vec::new();
    for (pair, corner) in legs.windows(2).zip(corners.iter().skip(1)) {
        if let [before, after] = pair {
            let turn_rad = angle_between(&before.direction, &after.direction);
            let angle_deg = turn_rad.to_degrees();
            if angle_deg > MOST_TURN_DEG {
                let at = corner.place;
                return Err(GeometryError::TurnsBack { at, angle_deg });
            }
            bends.push(Rounded {
                turn_rad,
                half_tan: libm::tan(0.5 * turn_rad),
                share: None,
                wanted_mm: corner.radius_mm,
                fits_mm: 0.0,
            });
        }
    }
    for (index, leg) in legs.iter_mut().enumerate() {
        let asked: f64 = touching(&bends, index).map(Rounded::wanted_setback_mm).sum();
        leg.needed_mm = leg.stiff_mm + asked;
    }
    share_legs(&mut bends, legs);
    find_room(&mut bends, legs);
    Ok(bends)
}

/// The bends at the two sides of a leg: one at the end legs, none on a line of a single leg.
fn touching(bends: &[Rounded], leg: usize) -> impl Iterator<Item = &Rounded> {
    let before = leg.checked_sub(1).and_then(|index| bends.get(index));
    before.into_iter().chain(bends.get(leg))
}

/// Fixes the shares leg by leg, the leg with the least room first.
fn share_legs(bends: &mut [Rounded], legs: &[Leg]) {
    for _ in 0..legs.len() {
        let tightest = (0..legs.len())
            .filter_map(|leg| Some((leg, open_share(bends, legs, leg)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((leg, share)) = tightest else {
            return;
        };
        for index in leg.saturating_sub(1)..=leg {
            if let Some(bend) = bends.get_mut(index)
                && bend.share.is_none()
                && (index == leg || index + 1 == leg)
            {
                bend.share = Some(share);
            }
        }
    }
}

/// Share of their wanted setback that the undecided bends of an overfull leg can have.
fn open_share(bends: &[Rounded], legs: &[Leg], leg: usize) -> Option<f64> {
    let free_mm = legs.get(leg)?.free_mm();
    let (decided, open): (Vec<&Rounded>, Vec<&Rounded>) =
        touching(bends, leg).partition(|bend| bend.share.is_some());
    let taken_mm: f64 = decided.into_iter().map(Rounded::setback_mm).sum();
    let asked_mm: f64 = open.into_iter().map(Rounded::wanted_setback_mm).sum();
    let left_mm = (free_mm - taken_mm).max(0.0);
    (asked_mm > left_mm + EXACT_FIT_MM).then(|| left_mm / asked_mm)
}

/// Works out the largest radius each corner could have while its neighbours keep theirs.
fn find_room(bends: &mut [Rounded], legs: &[Leg]) {
    let setbacks: Vec<f64> = bends.iter().map(Rounded::setback_mm).collect();
    let setback_of = |index: Option<usize>| index.and_then(|i| setbacks.get(i)).copied();
    for (index, bend) in bends.iter_mut().enumerate() {
        let sides =
            [(index, setback_of(index.checked_sub(1))), (index + 1, setback_of(Some(index + 1)))];
        let room_mm = sides
            .into_iter()
            .filter_map(|(leg, neighbour)| {
                Some(legs.get(leg)?.free_mm() - neighbour.unwrap_or(0.0))
            })
            .fold(f64::MAX, f64::min);
        let fits_mm = if bend.half_tan > 0.0 { room_mm.max(0.0) / bend.half_tan } else { f64::MAX };
        bend.fits_mm =
            if bend.share.is_some() { bend.radius_mm() } else { fits_mm.max(bend.wanted_mm) };
    }
}

/// The centre line through the corners with the radii given to them.
pub(super) fn path_through(
    corners: &[Corner],
    legs: &[Leg],
    bends: &[Rounded],
) -> Result<Path, GeometryError> {
    let mut pieces = Vec::new();
    let mut from = corners.first().map_or_else(Point3::origin, |corner| corner.at);
    let inner = corners.iter().skip(1).zip(legs.windows(2)).zip(bends);
    for ((corner, pair), bend) in inner {
        let [before, after] = pair else {
            continue;
        };
        if bend.turn_rad < NO_TURN_RAD {
            continue;
        }
        let begins = corner.at - before.direction * bend.setback_mm();
        push_straight(&mut pieces, from, begins);
        if bend.setback_mm() > SAME_POINT_MM {
            pieces.push(arc(begins, before, after, bend));
        }
        from = corner.at + after.direction * bend.setback_mm();
    }
    if let Some(end) = corners.last() {
        push_straight(&mut pieces, from, end.at);
    }
    Path::new(pieces)
}

fn push_straight(pieces: &mut Vec<Piece>, from: Point3<f64>, to: Point3<f64>) {
    if (to - from).norm() > SAME_POINT_MM {
        pieces.push(Piece::Straight { from, to });
    }
}

fn arc(start: Point3<f64>, before: &Leg, after: &Leg, bend: &Rounded) -> Piece {
    let normal = before.direction.cross(&after.direction);
    let axis = normal / normal.norm();
    Piece::Arc {
        start,
        centre: start + axis.cross(&before.direction) * bend.radius_mm(),
        axis,
        radius_mm: bend.radius_mm(),
        angle_rad: bend.turn_rad,
    }
}
