//! High points, where air stays, and low points, where liquid stays, along a centre line.

use nalgebra::{Point3, Vector3};

use super::direction::unit;
use super::path::{Path, Piece};
use super::{GeometryError, within};

/// Heights closer than this are level: rounding of coordinates, far below any spirit level.
pub(super) const LEVEL_MM: f64 = 1e-6;

/// Whether a place is higher or lower than the line on both sides of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExtremeKind {
    /// The line falls away on both sides: gas collects here.
    High,
    /// The line rises on both sides: liquid collects here.
    Low,
}

/// A high or low point between the ends of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// High or low.
    pub kind: ExtremeKind,
    /// Distance along the path; the middle of a level run.
    pub station_mm: f64,
    /// The point itself.
    pub point: Point3<f64>,
    /// Height above the lower of the two ends; below zero where it hangs under both.
    pub above_lower_end_mm: f64,
    /// Difference in height to the extreme (or end) before it, never below zero.
    pub rise_before_mm: f64,
    /// Difference in height to the extreme (or end) after it, never below zero.
    pub rise_after_mm: f64,
    /// Length of the level run it is the middle of; 0 for a single point.
    pub level_mm: f64,
}

/// A stretch of the path at one height.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "the unit belongs in every name")]
struct Level {
    from_mm: f64,
    to_mm: f64,
    height_mm: f64,
}

impl Path {
    /// # What it gives
    ///
    /// The high and low points between the ends, in order along the path, alternately high and low.
    ///
    /// # Formula
    ///
    /// A straight has its extremes at its ends. An arc has height `h0 + p cos(t) + q sin(t)` with `p`
    /// and `q` the heights of the spoke and of the spoke turned by a quarter; it turns where
    /// `t = atan2(q, p)` and half a turn later. A level run with a drop on both sides counts once, at
    /// its middle.
    ///
    /// # Valid for
    ///
    /// `up` of length 1; `least_rise_mm` from 0: extremes that stand out by less are smoothed away,
    /// smallest first.
    ///
    /// # Source
    ///
    /// Derived here.
    ///
    /// # Notes
    ///
    /// The ends themselves are not listed; whether gas can leave through an end is for the joined
    /// lines to tell.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`], [`GeometryError::NotFinite`] or [`GeometryError::OutOfRange`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::{ExtremeKind, Path, Piece};
    /// use nalgebra::{Point3, Vector3};
    ///
    /// let half_hoop = Path::new(vec![Piece::Arc {
    ///     start: Point3::new(-50.0, 0.0, 0.0),
    ///     centre: Point3::origin(),
    ///     axis: Vector3::y(),
    ///     radius_mm: 50.0,
    ///     angle_rad: std::f64::consts::PI,
    /// }])?;
    /// let found = half_hoop.extremes(&Vector3::z(), 1.0)?;
    /// assert_eq!(found.len(), 1);
    /// assert_eq!(found[0].kind, ExtremeKind::High);
    /// assert!((found[0].above_lower_end_mm - 50.0).abs() < 1e-9);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn extremes(
        &self,
        up: &Vector3<f64>,
        least_rise_mm: f64,
    ) -> Result<Vec<Extreme>, GeometryError> {
        let up = unit("up", up)?;
        within("least_rise_mm", least_rise_mm, 0.0, f64::MAX)?;
        let mut turns = turning_levels(&self.levels(&up));
        smooth(&mut turns, least_rise_mm);
        self.described(&turns)
    }

    /// Heights at the ends of all pieces and at the turning points of arcs, level neighbours joined.
    fn levels(&self, up: &Vector3<f64>) -> Vec<Level> {
        let mut levels: Vec<Level> = Vec::new();
        for (begins_mm, piece) in self.stations() {
            for along_mm in height_marks(piece, up) {
                let station_mm = begins_mm + along_mm;
                let height_mm = piece.point_at(along_mm).coords.dot(up);
                match levels.last_mut() {
                    Some(last) if (last.height_mm - height_mm).abs() <= LEVEL_MM => {
                        last.to_mm = station_mm;
                    }
                    _ => levels.push(Level { from_mm: station_mm, to_mm: station_mm, height_mm }),
                }
            }
        }
        levels
    }

    fn described(&self, turns: &[Level]) -> Result<Vec<Extreme>, GeometryError> {
        let ends = turns.first().zip(turns.last());
        let lower_mm = ends.map_or(0.0, |(a, b)| a.height_mm.min(b.height_mm));
        let length_mm = self.length_mm();
        let mut found = Vec::new();
        for trio in turns.windows(3) {
            let [before, here, after] = trio else {
                continue;
            };
            let station_mm = f64::midpoint(here.from_mm, here.to_mm).min(length_mm);
            found.push(Extreme {
                kind: if here.height_mm > before.height_mm {
                    ExtremeKind::High
                } else {
                    ExtremeKind::Low
                },
                station_mm,
                point: self.point_at(station_mm)?,
                above_lower_end_mm: here.height_mm - lower_mm,
                rise_before_mm: (here.height_mm - before.height_mm).abs(),
                rise_after_mm: (here.height_mm - after.height_mm).abs(),
                level_mm: here.to_mm - here.from_mm,
            });
        }
        Ok(found)
    }
}

/// Distances along a piece at which its height can begin, turn or end.
pub(super) fn height_marks(piece: &Piece, up: &Vector3<f64>) -> Vec<f64> {
    let mut marks = vec![0.0];
    if let Piece::Arc { start, centre, axis, radius_mm, angle_rad } = piece {
        let spoke = start - centre;
        let (p, q) = (spoke.dot(up), axis.cross(&spoke).dot(up));
        let first = libm::atan2(q, p);
        let turn = std::f64::consts::PI;
        let inside = (-1..=4)
            .map(|half| first + turn * f64::from(half))
            .filter(|at| *at > 0.0 && at < angle_rad);
        marks.extend(inside.map(|at| at * radius_mm));
    }
    marks.push(piece.length_mm());
    marks
}

/// The two ends and every level from which both neighbours lie on the same side.
fn turning_levels(levels: &[Level]) -> Vec<Level> {
    let mut turns: Vec<Level> = levels.first().copied().into_iter().collect();
    for trio in levels.windows(3) {
        if let [before, here, after] = trio
            && (here.height_mm > before.height_mm) == (here.height_mm > after.height_mm)
        {
            turns.push(*here);
        }
    }
    if levels.len() > 1 {
        turns.extend(levels.last());
    }
    turns
}

/// Takes out, smallest first, the swings in height below `least_rise_mm`; the ends always stay.
fn smooth(turns: &mut Vec<Level>, least_rise_mm: f64) {
    while turns.len() > 2 {
        let swings = turns.iter().zip(turns.iter().skip(1));
        let swing = swings
            .map(|(a, b)| (a.height_mm - b.height_mm).abs())
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((index, _)) = swing.filter(|(_, rise_mm)| *rise_mm < least_rise_mm) else {
            return;
        };
        let last = turns.len() - 1;
        let first_out = index.max(1);
        let past_out = (index + 2).min(last);
        turns.drain(first_out..past_out);
    }
}
