//! A centre line made of straights and arcs, and what can be read off it: length, points, tangents.

use nalgebra::{Point3, Vector3};

use super::direction::{angle_between, unit};
use super::{GeometryError, above_zero, finite};

/// The ends of neighbouring pieces may be this far apart: rounding of the tangent points.
const JOINT_TOLERANCE_MM: f64 = 1e-5;
/// A corner sharper than this between two pieces is a kink, not rounding.
const KINK_RAD: f64 = 1e-5;
/// A step finer than this many points serves no drawing and no check.
const MOST_SAMPLES: usize = 1_000_000;

/// A straight or an arc of a centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// A straight between two points.
    Straight {
        /// Where it begins.
        from: Point3<f64>,
        /// Where it ends.
        to: Point3<f64>,
    },
    /// Part of a circle, turned through right-handed about `axis`.
    Arc {
        /// Where it begins.
        start: Point3<f64>,
        /// Centre of the circle.
        centre: Point3<f64>,
        /// Direction of length 1, square to the plane of the circle.
        axis: Vector3<f64>,
        /// Radius of the centre line.
        radius_mm: f64,
        /// Angle turned through, above 0.
        angle_rad: f64,
    },
}

impl Piece {
    /// Length along the centre line.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        match self {
            Self::Straight { from, to } => (to - from).norm(),
            Self::Arc { radius_mm, angle_rad, .. } => radius_mm * angle_rad,
        }
    }

    /// The point `along_mm` from the beginning of the piece.
    #[must_use]
    pub fn point_at(&self, along_mm: f64) -> Point3<f64> {
        match self {
            Self::Straight { from, .. } => from + self.tangent_at(0.0) * along_mm,
            Self::Arc { start, centre, axis, radius_mm, .. } => {
                let spoke = start - centre;
                let turned = along_mm / radius_mm;
                centre + spoke * libm::cos(turned) + axis.cross(&spoke) * libm::sin(turned)
            }
        }
    }

    /// The direction of travel, of length 1, `along_mm` from the beginning of the piece.
    #[must_use]
    pub fn tangent_at(&self, along_mm: f64) -> Vector3<f64> {
        match self {
            Self::Straight { from, to } => {
                let run = to - from;
                let length = run.norm();
                if length > 0.0 { run / length } else { run }
            }
            Self::Arc { start, centre, axis, radius_mm, .. } => {
                let spoke = (start - centre) / *radius_mm;
                let turned = along_mm / radius_mm;
                axis.cross(&spoke) * libm::cos(turned) - spoke * libm::sin(turned)
            }
        }
    }

    /// Where the piece begins.
    #[must_use]
    pub fn start(&self) -> Point3<f64> {
        match self {
            Self::Straight { from, .. } => *from,
            Self::Arc { start, .. } => *start,
        }
    }

    /// Where the piece ends.
    #[must_use]
    pub fn end(&self) -> Point3<f64> {
        match self {
            Self::Straight { to, .. } => *to,
            Self::Arc { .. } => self.point_at(self.length_mm()),
        }
    }

    fn checked(&self) -> Result<(), GeometryError> {
        match self {
            Self::Straight { from, to } => {
                above_zero("length of a straight", (to - from).norm())?;
                finite("beginning of a straight", from.coords.norm())?;
            }
            Self::Arc { start, centre, axis, radius_mm, angle_rad } => {
                above_zero("radius of an arc", *radius_mm)?;
                above_zero("angle of an arc", *angle_rad)?;
                finite("beginning of an arc", start.coords.norm())?;
                unit("axis of an arc", axis)?;
                let miss_mm = ((start - centre).norm() - radius_mm).abs();
                super::within("arc start off its circle, mm", miss_mm, 0.0, JOINT_TOLERANCE_MM)?;
            }
        }
        Ok(())
    }
}

/// A centre line: pieces that follow each other without a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    pieces: Vec<Piece>,
}

impl Path {
    /// Joins pieces to a centre line.
    ///
    /// # Errors
    ///
    /// [`GeometryError::EmptyPath`], [`GeometryError::BrokenPath`] where two pieces do not meet, and
    /// the refusals of a piece with no length or with numbers that are not finite.
    pub fn new(pieces: Vec<Piece>) -> Result<Self, GeometryError> {
        checked_pieces(&pieces)?;
        Ok(Self { pieces })
    }

    /// The pieces in order.
    #[must_use]
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The pieces in order, each with the station at which it begins.
    pub fn stations(&self) -> impl Iterator<Item = (f64, &Piece)> {
        self.pieces.iter().scan(0.0, |station_mm, piece| {
            let begins_mm = *station_mm;
            *station_mm += piece.length_mm();
            Some((begins_mm, piece))
        })
    }

    /// Length along the centre line.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.pieces.iter().map(Piece::length_mm).sum()
    }

    /// The smallest radius of the centre line: 0 where two pieces meet in a kink, `None` where the
    /// whole path is straight.
    #[must_use]
    pub fn tightest_radius_mm(&self) -> Option<f64> {
        let kinked = self.pieces.iter().zip(self.pieces.iter().skip(1)).any(|(before, after)| {
            angle_between(&before.tangent_at(before.length_mm()), &after.tangent_at(0.0)) > KINK_RAD
        });
        if kinked {
            return Some(0.0);
        }
        let radii = self.pieces.iter().filter_map(|piece| match piece {
            Piece::Straight { .. } => None,
            Piece::Arc { radius_mm, .. } => Some(*radius_mm),
        });
        radii.min_by(f64::total_cmp)
    }

    /// The point `station_mm` along the path.
    ///
    /// # Errors
    ///
    /// [`GeometryError::OffThePath`] outside `0 ..= length`, [`GeometryError::NotFinite`].
    pub fn point_at(&self, station_mm: f64) -> Result<Point3<f64>, GeometryError> {
        let (piece, along_mm) = self.piece_at(station_mm)?;
        Ok(piece.point_at(along_mm))
    }

    /// The direction of travel, of length 1, `station_mm` along the path.
    ///
    /// # Errors
    ///
    /// [`GeometryError::OffThePath`] outside `0 ..= length`, [`GeometryError::NotFinite`].
    pub fn tangent_at(&self, station_mm: f64) -> Result<Vector3<f64>, GeometryError> {
        let (piece, along_mm) = self.piece_at(station_mm)?;
        Ok(piece.tangent_at(along_mm))
    }

    fn piece_at(&self, station_mm: f64) -> Result<(&Piece, f64), GeometryError> {
        finite("station_mm", station_mm)?;
        let length_mm = self.length_mm();
        let off = GeometryError::OffThePath { station_mm, length_mm };
        if station_mm < 0.0 || station_mm > length_mm + JOINT_TOLERANCE_MM {
            return Err(off);
        }
        let found = self.stations().take_while(|(begins_mm, _)| *begins_mm <= station_mm);
        let (begins_mm, piece) = found.last().ok_or(off)?;
        Ok((piece, (station_mm - begins_mm).min(piece.length_mm())))
    }

    /// Points along the path, no further apart than `max_step_mm`, both ends of every piece included.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotAboveZero`] or [`GeometryError::NotFinite`] for the step,
    /// [`GeometryError::StepTooFine`] where the list would grow past a million points.
    pub fn sample(&self, max_step_mm: f64) -> Result<Vec<Point3<f64>>, GeometryError> {
        above_zero("max_step_mm", max_step_mm)?;
        let mut points = Vec::new();
        for piece in &self.pieces {
            let length_mm = piece.length_mm();
            let steps =
                step_count(length_mm, max_step_mm, MOST_SAMPLES - points.len().min(MOST_SAMPLES))?;
            let share_mm = length_mm / f64::from(steps);
            points.extend((0..steps).map(|step| piece.point_at(share_mm * f64::from(step))));
        }
        points.extend(self.pieces.last().map(Piece::end));
        Ok(points)
    }
}

/// Refuses pieces that are none or do not follow each other.
pub(super) fn checked_pieces(pieces: &[Piece]) -> Result<(), GeometryError> {
    if pieces.is_empty() {
        return Err(GeometryError::EmptyPath);
    }
    pieces.iter().try_for_each(Piece::checked)?;
    for (index, (before, after)) in pieces.iter().zip(pieces.iter().skip(1)).enumerate() {
        let gap_mm = (after.start() - before.end()).norm();
        if gap_mm > JOINT_TOLERANCE_MM {
            let piece = index + 1;
            return Err(GeometryError::BrokenPath { piece, gap_mm });
        }
    }
    Ok(())
}

fn step_count(length_mm: f64, step_mm: f64, room: usize) -> Result<u32, GeometryError> {
    let steps = (length_mm / step_mm).ceil().max(1.0);
    let most = u32::try_from(room).unwrap_or(u32::MAX);
    if steps > f64::from(most) {
        return Err(GeometryError::StepTooFine { step_mm, most: MOST_SAMPLES });
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, at least 1 and no more than a u32 holds, checked above"
    )]
    Ok(steps as u32)
}
