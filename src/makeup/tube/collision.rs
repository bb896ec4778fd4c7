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

#[cfg(test)]
mod tests {
    use super::{Bench, Obstacle, PI, Room, Swing, TAU, Turn, turned};
    use crate::geometry::tests::drawn;

    const ROOM: Room =
        Room { thickness_mm: 20.0, clamp_mm: 25.0, block_mm: 35.0, width_mm: 15.0, bench: None };

    fn swing(room: &Room, angle_rad: f64) -> Swing<'_> {
        Swing { radius_mm: 30.0, half_mm: 4.0, tail_mm: 90.0, angle_rad, room }
    }

    #[test]
    fn a_point_comes_into_the_strip_behind_the_bend_where_small_steps_find_it() {
        let (mut inside, mut later, mut never) = (0, 0, 0);
        for index in 1..600 {
            let swing = swing(&ROOM, drawn(index, 0, (0.5, 5.0)));
            let (from_axis, begins) = (drawn(index, 1, (5.0, 120.0)), drawn(index, 2, (-PI, PI)));
            let (far, low) = (drawn(index, 3, (5.0, 120.0)), drawn(index, 4, (-30.0, 0.0)));
            let high = low + drawn(index, 5, (2.0, 40.0));
            let within = |turned: f64| {
                let (sin, cos) = libm::sincos(begins + turned);
                let (x, y) = (from_axis * cos, swing.radius_mm + from_axis * sin);
                (-far..=0.0).contains(&x) && (low..=high).contains(&y)
            };
            let step = 2e-4;
            let mut steps = 0..;
            let first = steps.find_map(|n| {
                let at = step * f64::from(n);
                if at > swing.angle_rad { Some(None) } else { within(at).then_some(Some(at)) }
            });
            let found = swing.swings_into(from_axis, begins, far, [low, high]);
            match (first.flatten(), found) {
                (Some(at), Some(found)) => {
                    assert!((at - found).abs() <= step * 1.01, "{index}: {at} {found}");
                    inside += u32::from(found == 0.0);
                    later += u32::from(found > 0.0);
                }
                (None, None) => never += 1,
                // Shorter than a step, or at the very end of the swing.
                (None, Some(found)) => assert!(
                    within(found + 1e-9) || within(found - 1e-9) || found > swing.angle_rad - step,
                    "{index}: {found}"
                ),
                (Some(at), None) => panic!("{index}: missed at {at}"),
            }
        }
        assert!(inside > 20 && later > 100 && never > 100, "{inside} {later} {never}");
    }

    #[test]
    fn what_is_hit_first_is_told_with_its_angle() {
        let swing = swing(&ROOM, 3.0);
        // In the former; beside it; over it.
        assert_eq!(swing.hit(&[10.0, 20.0, 0.0]), Some((Obstacle::Former, 0.0)));
        assert_eq!(swing.hit(&[0.0, 30.0, 13.9]).map(|hit| hit.0), Some(Obstacle::Former));
        assert_ne!(swing.hit(&[0.0, 30.0, 14.1]).map(|hit| hit.0), Some(Obstacle::Former));
        // In the clamp, 25 ahead and as wide as the blocks with half a tube.
        assert_eq!(swing.hit(&[24.0, -18.0, 0.0]), Some((Obstacle::Clamp, 0.0)));
        assert_ne!(swing.hit(&[26.0, -18.0, 0.0]).map(|hit| hit.0), Some(Obstacle::Clamp));
        assert_ne!(swing.hit(&[24.0, -19.5, 0.0]).map(|hit| hit.0), Some(Obstacle::Clamp));
        // Ahead of the axis by 60: it comes into the tail, 4 + 4 wide to either side, before the block, which ends at 35.
        let swing = self::swing(&ROOM, 4.2);
        let (by, at) = swing.hit(&[60.0, 30.0, 0.0]).unwrap();
        let known = PI + libm::asin((30.0 - 8.0) / 60.0);
        assert!(by == Obstacle::Tube && (at - known).abs() < 1e-12, "{by:?} {at} {known}");
        // More than a diameter above the tail the block alone is left, its end 35 behind the bend.
        let (by, at) = swing.hit(&[60.0, 30.0, 9.0]).unwrap();
        let known = PI + libm::acos(35.0 / 60.0);
        assert!(by == Obstacle::Block && (at - known).abs() < 1e-12, "{by:?} {at} {known}");
        assert_eq!(swing.hit(&[60.0, 30.0, 14.5]), None);
    }

    #[test]
    fn the_bench_is_below_on_the_side_that_the_bender_turns_from() {
        for (turn, z) in [(Turn::Left, -35.0), (Turn::Right, 35.0)] {
            let bench = Bench { below_mm: 30.0, reach_mm: 200.0, turn };
            let room = Room { bench: Some(bench), ..ROOM };
            let hit = |point: [f64; 3]| swing(&room, 1.0).hit(&point).map(|hit| hit.0);
            assert_eq!(hit([60.0, 60.0, z]), Some(Obstacle::Bench));
            assert_eq!(hit([60.0, 60.0, -z]), None);
            // A tube half its diameter over the bench lies on it; beyond the bench it may hang lower.
            assert_eq!(hit([60.0, 60.0, z * 25.9 / 35.0]), None);
            assert_eq!(hit([60.0, 60.0, z * 26.1 / 35.0]), Some(Obstacle::Bench));
            assert_eq!(hit([150.0, 180.0, z]), None);
        }
    }

    #[test]
    fn angles_are_brought_to_one_turn() {
        for (angle, known) in
            [(1.0, 1.0), (-1.0, TAU - 1.0), (TAU + 1.0, 1.0), (-TAU - 1.0, TAU - 1.0)]
        {
            assert!((turned(angle) - known).abs() < 1e-12, "{angle}");
        }
    }
}
