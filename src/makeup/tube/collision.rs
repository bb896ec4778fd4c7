//! Whether a tube, bent one bend after the other, has room in its bender.
//!
//! The bender is ours, and simple. Seen along the axis of the former, the tube comes in straight, is held
//! by a clamp just ahead of the bend and by a fixed block just behind it, and is bent round the former.
//! What is bent already leads and swings with the clamp. Former and clamp turn with it, so they are looked
//! at once; the block and the straight tube behind stand still, so the part may swing into them.

use std::f64::consts::{PI, TAU};

use nalgebra::Point3;

use crate::geometry::BendTable;
use crate::geometry::bend_table::BendStart;
use crate::makeup::{MakeupError, above_zero, not_below_zero, within};

/// Points of the tube lie no further apart than this share of its diameter: between them its surface is
/// never off by more than 3 % of the radius.
const STEP_SHARE: f64 = 0.25;
/// Points of a tube beyond which it is a slip of the pen.
const MOST_POINTS: usize = 1_000_000;

/// Which way a bender turns the tube, seen from above the bench and along the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// A bench that the bender stands on, with the axis of the former upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bench {
    /// Height of the centre line of the tube over the bench, mm.
    pub below_mm: f64,
    /// How far the bench goes from the axis of the former, mm.
    pub reach_mm: f64,
    /// Which way the bender turns.
    pub turn: Turn,
}

/// The room that a bender takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Thickness of former, clamp and block along the axis of the former, mm.
    pub thickness_mm: f64,
    /// Length of the clamp ahead of the bend, mm.
    pub clamp_mm: f64,
    /// Length of the fixed block behind the bend, mm.
    pub block_mm: f64,
    /// How far clamp and block reach from the centre line, away from the former, mm.
    pub width_mm: f64,
    /// The bench; none for a bender held free.
    pub bench: Option<Bench>,
}

/// A part of the bender, or what else is in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Obstacle {
    /// The former.
    Former,
    /// The clamp.
    Clamp,
    /// The fixed block behind the bend.
    Block,
    /// The bench.
    Bench,
    /// The straight tube behind the bend.
    Tube,
}

/// Where a tube does not pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// The bend that cannot be made, counted from 0 in the order of the table.
    pub bend: usize,
    /// What is in the way.
    pub by: Obstacle,
    /// The place on the tube that hits it, mm along the centre line from the end that leads.
    pub station_mm: f64,
    /// Angle bent when it hits; 0 where the tube cannot even be laid in.
    pub at_rad: f64,
}

/// # What it gives
///
/// The first bend at which the part bent so far hits the bender, the bench or its own straight tail; none
/// where every bend can be made in the order of the table.
///
/// # Formula
///
/// Points along the centre line, as balls of the tube's diameter, in axes at the start of each bend: `x`
/// the way the tube is fed, `y` to the centre of the bend, `z` square to both. Former: `hypot(x, y - R) < R` within its
/// thickness; clamp and block: boxes; bench: a round plate. A point at distance `p` from the axis swings
/// through an arc, whose part inside a box follows from `asin((R - y) / p)`: no steps of the angle.
///
/// # Valid for
///
/// `set_rad` one angle above 0 and up to a whole turn for each bend; the outside diameter above 0.
///
/// # Source
///
/// Derived here; the bender is a model of ours and of no make.
///
/// # Notes
///
/// The straight that is clamped never counts as hitting. Nuts and sleeves on the tube, the handle and the
/// builder's hands are not seen; a gap of less than 3 % of the tube's radius may be judged either way.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range, and tubes of more than a million points.
///
/// # Example
///
/// ```
/// use hosewright::geometry::{BendTable, TubeBend};
/// use hosewright::makeup::tube::collision::{Obstacle, Room, first_hit};
/// use std::f64::consts::{FRAC_PI_2, PI};
///
/// let bend = |straight_mm| TubeBend { straight_mm, rotation_rad: 0.0, angle_rad: FRAC_PI_2, radius_mm: 20.0 };
/// let ring = |fourth_mm| BendTable {
///     bends: vec![bend(30.0), bend(60.0), bend(60.0), bend(fourth_mm)],
///     last_straight_mm: 100.0,
///     passed: Vec::new(),
/// };
/// let room = Room { thickness_mm: 20.0, clamp_mm: 20.0, block_mm: 30.0, width_mm: 15.0, bench: None };
/// let hit = first_hit(&ring(60.0), &[FRAC_PI_2; 4], 8.0, &room)?;
/// assert!(hit.is_some_and(|h| h.bend == 3 && h.by == Obstacle::Tube));
/// assert_eq!(first_hit(&ring(100.0), &[FRAC_PI_2; 4], 8.0, &room)?, None);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn first_hit(
    table: &BendTable,
    set_rad: &[f64],
    outside_mm: f64,
    room: &Room,
) -> Result<Option<Hit>, MakeupError> {
    checked(room)?;
    let step_mm = STEP_SHARE * above_zero("outside diameter", outside_mm)?;
    if set_rad.len() != table.bends.len() {
        let (has, least) = (set_rad.len(), table.bends.len());
        return Err(MakeupError::TooFew { what: "angles to set", has, least });
    }
    let (start, along, inward) = (Point3::origin(), nalgebra::Vector3::x(), nalgebra::Vector3::y());
    let starts = table.starts(start, along, inward)?;
    let points = points(table, step_mm)?;
    for (index, ((begins, bend), set_rad)) in
        starts.iter().zip(&table.bends).zip(set_rad).enumerate()
    {
        within("angle to set", above_zero("angle to set", *set_rad)?, 0.0, TAU)?;
        let bent_to_mm = begins.station_mm - bend.straight_mm;
        let swing = Swing {
            radius_mm: bend.radius_mm,
            half_mm: 0.5 * outside_mm,
            tail_mm: table.length_mm() - begins.station_mm,
            angle_rad: *set_rad,
            room,
        };
        let lead = points.iter().take_while(|(station_mm, _)| *station_mm < bent_to_mm);
        let hits = lead.filter_map(|(station_mm, point)| {
            let (by, at_rad) = swing.hit(&in_bender(begins, point))?;
            Some(Hit { bend: index, by, station_mm: *station_mm, at_rad })
        });
        let first = hits.min_by(|a, b| a.at_rad.total_cmp(&b.at_rad));
        if first.is_some() {
            return Ok(first);
        }
    }
    Ok(None)
}

fn checked(room: &Room) -> Result<(), MakeupError> {
    above_zero("thickness of the former", room.thickness_mm)?;
    not_below_zero("length of the clamp", room.clamp_mm)?;
    not_below_zero("length of the block", room.block_mm)?;
    not_below_zero("width of the blocks", room.width_mm)?;
    if let Some(bench) = room.bench {
        not_below_zero("height over the bench", bench.below_mm)?;
        not_below_zero("reach of the bench", bench.reach_mm)?;
    }
    Ok(())
}

/// Points along the centre line with their stations.
fn points(table: &BendTable, step_mm: f64) -> Result<Vec<(f64, Point3<f64>)>, MakeupError> {
    let (along, inward) = (nalgebra::Vector3::x(), nalgebra::Vector3::y());
    let path = table.path(Point3::origin(), along, inward)?;
    let wanted = (path.length_mm() / step_mm).ceil();
    #[expect(clippy::cast_precision_loss, reason = "a million is exact")]
    within("points of a tube", wanted, 0.0, MOST_POINTS as f64)?;
    let mut points = Vec::new();
    for (begins_mm, piece) in path.stations() {
        let length_mm = piece.length_mm();
        let steps = (length_mm / step_mm).ceil().max(1.0);
        let mut step = 0.0;
        while step <= steps {
            let along_mm = length_mm * step / steps;
            points.push((begins_mm + along_mm, piece.point_at(along_mm)));
            step += 1.0;
        }
    }
    Ok(points)
}

/// A point in the axes of the bender: the way the tube is fed, to the centre of the bend, and up for a
/// bend to the left. The end that the table begins with is fed first, so the feed runs against the table.
fn in_bender(begins: &BendStart, point: &Point3<f64>) -> [f64; 3] {
    let from = point - begins.at;
    [-from.dot(&begins.along), from.dot(&begins.inward()), -from.dot(&begins.axis)]
}

/// One bend being made.
struct Swing<'r> {
    radius_mm: f64,
    /// Half the outside diameter of the tube.
    half_mm: f64,
    /// Straight tube behind the start of the bend.
    tail_mm: f64,
    angle_rad: f64,
    room: &'r Room,
}

impl Swing<'_> {
    /// What a point of the leading part hits first, and at which angle.
    fn hit(&self, [x, y, z]: &[f64; 3]) -> Option<(Obstacle, f64)> {
        let (radius_mm, half_mm, room) = (self.radius_mm, self.half_mm, self.room);
        let (off_x, off_y) = (*x, y - radius_mm);
        let from_axis_mm = libm::hypot(off_x, off_y);
        let level = z.abs() < 0.5 * room.thickness_mm + half_mm;
        if level && from_axis_mm < radius_mm - 1e-6 {
            return Some((Obstacle::Former, 0.0));
        }
        let beside = (-room.width_mm - half_mm..=half_mm).contains(y);
        if level && beside && (0.0..=room.clamp_mm).contains(x) && room.clamp_mm > 0.0 {
            return Some((Obstacle::Clamp, 0.0));
        }
        if room.bench.is_some_and(|bench| self.under(&bench, *z, from_axis_mm)) {
            return Some((Obstacle::Bench, 0.0));
        }
        let begins_rad = libm::atan2(off_y, off_x);
        let reach = |far_mm: f64, low_mm: f64, high_mm: f64| {
            self.swings_into(from_axis_mm, begins_rad, far_mm, [low_mm, high_mm])
        };
        let block =
            level.then(|| reach(room.block_mm, -room.width_mm - half_mm, half_mm)).flatten();
        // Two tubes touch when their centre lines are a diameter apart.
        let apart_mm = (4.0 * half_mm * half_mm - z * z).max(0.0).sqrt();
        let tail = (apart_mm > 0.0).then(|| reach(self.tail_mm, -apart_mm, apart_mm)).flatten();
        match (tail, block) {
            (Some(tail), Some(block)) if block < tail => Some((Obstacle::Block, block)),
            (Some(tail), _) => Some((Obstacle::Tube, tail)),
            (None, block) => block.map(|at| (Obstacle::Block, at)),
        }
    }

    fn under(&self, bench: &Bench, z: f64, from_axis_mm: f64) -> bool {
        let up_mm = match bench.turn {
            Turn::Left => z,
            Turn::Right => -z,
        };
        up_mm < self.half_mm - bench.below_mm && from_axis_mm < bench.reach_mm
    }

    /// Angle at which a point first comes into the strip behind the bend, `far_mm` long and between two
    /// distances from the line of the tube.
    fn swings_into(
        &self,
        from_axis_mm: f64,
        begins_rad: f64,
        far_mm: f64,
        [low_mm, high_mm]: [f64; 2],
    ) -> Option<f64> {
        // Behind the bend an angle counts from the direction in which the tail points.
        let sine = |y_mm: f64| (self.radius_mm - y_mm) / from_axis_mm;
        if far_mm <= 0.0 || sine(high_mm) > 1.0 || sine(low_mm) < -1.0 {
            return None;
        }
        let (least, most) = (sine(high_mm).max(-1.0), sine(low_mm).min(1.0));
        let (least, most) = (libm::asin(least), libm::asin(most));
        let beyond = libm::acos((far_mm / from_axis_mm).min(1.0));
        let stretches = [(least.max(beyond), most), (least, most.min(-beyond))];
        let reached = stretches.into_iter().filter(|(from, to)| from <= to).map(|(from, to)| {
            let enters = turned(PI + from - begins_rad);
            let leaves = turned(PI + to - begins_rad);
            // Where it leaves before it enters it is inside already.
            if leaves < enters { 0.0 } else { enters }
        });
        reached.filter(|at| *at <= self.angle_rad).min_by(f64::total_cmp)
    }
}

/// An angle from 0 to under a whole turn.
fn turned(angle_rad: f64) -> f64 {
    let rest = libm::fmod(angle_rad, TAU);
    if rest < 0.0 { rest + TAU } else { rest }
}
