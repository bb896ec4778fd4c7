//! Ends of a cylinder: flat, dished, ellipsoidal, conical and torispherical.

use super::body::Turned;
use crate::geometry::{GeometryError, above_zero, within};

/// How a cylinder is closed, at both ends alike and outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ends {
    /// Flat.
    Flat,
    /// A piece of a sphere.
    Dished {
        /// How far it stands out beyond the seam, at most the radius of the shell.
        depth_mm: f64,
    },
    /// Half an ellipsoid; a depth of half the radius is the usual 2:1 end.
    Ellipsoidal {
        /// How far it stands out beyond the seam.
        depth_mm: f64,
    },
    /// A cone.
    Conical {
        /// How far it stands out beyond the seam.
        depth_mm: f64,
    },
    /// A piece of a sphere with a rounded knuckle at the seam.
    Torispherical {
        /// Inside radius of the crown, at least that of the shell.
        crown_mm: f64,
        /// Inside radius of the knuckle, at most that of the shell.
        knuckle_mm: f64,
    },
}

impl Ends {
    /// The end beyond a shell of this radius, outwards from the seam at zero.
    pub(super) fn outward(&self, radius: f64) -> Result<Vec<Turned>, GeometryError> {
        let square = radius * radius;
        let one = |depth: f64, linear: f64, curved: f64| {
            vec![Turned { from: 0.0, to: depth, base: 0.0, square: [square, linear, curved] }]
        };
        Ok(match *self {
            Self::Flat => Vec::new(),
            Self::Dished { depth_mm } => {
                let depth = above_zero("the depth of the ends", depth_mm)?;
                within("the depth of the ends", depth, 0.0, radius)?;
                one(depth, depth - square / depth, -1.0)
            }
            Self::Ellipsoidal { depth_mm } => {
                let depth = above_zero("the depth of the ends", depth_mm)?;
                one(depth, 0.0, -square / (depth * depth))
            }
            Self::Conical { depth_mm } => {
                let depth = above_zero("the depth of the ends", depth_mm)?;
                one(depth, -2.0 * square / depth, square / (depth * depth))
            }
            Self::Torispherical { crown_mm, knuckle_mm } => {
                torispherical(radius, crown_mm, knuckle_mm)?
            }
        })
    }

    /// Both ends of a shell from 0 to `length` with the shell between them.
    pub(super) fn about(&self, radius: f64, length: f64) -> Result<Vec<Turned>, GeometryError> {
        let far = self.outward(radius)?;
        let mut all: Vec<Turned> = far.iter().rev().map(mirrored).collect();
        all.push(Turned::straight(0.0, length, radius));
        all.extend(far.iter().map(|p| Turned { from: p.from + length, to: p.to + length, ..*p }));
        Ok(all)
    }
}

/// The knuckle is a circle about the shell's edge moved in by its radius; the crown touches it from outside.
fn torispherical(radius: f64, crown: f64, knuckle: f64) -> Result<Vec<Turned>, GeometryError> {
    within("the crown radius", crown, radius, f64::MAX)?;
    above_zero("the knuckle radius", knuckle)?;
    within("the knuckle radius", knuckle, 0.0, radius)?;
    let reach = crown - knuckle;
    if reach <= 0.0 {
        // Crown and knuckle of the shell's own radius: half a sphere.
        return Ends::Dished { depth_mm: radius }.outward(radius);
    }
    let inward = radius - knuckle;
    // The crown's centre lies this far behind the seam.
    let behind = ((reach - inward) * (reach + inward)).sqrt();
    let seam = behind * knuckle / reach;
    let start = seam + behind;
    let square = [(crown - start) * (crown + start), -2.0 * start, -1.0];
    Ok(vec![
        Turned { from: 0.0, to: seam, base: inward, square: [knuckle * knuckle, 0.0, -1.0] },
        Turned { from: seam, to: crown - behind, base: 0.0, square },
    ])
}

/// A piece turned over about zero.
fn mirrored(piece: &Turned) -> Turned {
    let length = piece.to - piece.from;
    let [q0, q1, q2] = piece.square;
    let start = q0 + length * (q1 + length * q2);
    let square = [start.max(0.0), -(q1 + 2.0 * q2 * length), q2];
    Turned { from: -piece.to, to: -piece.from, base: piece.base, square }
}
