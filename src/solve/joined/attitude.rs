//! The attitudes that the machine can be in, each once.

use nalgebra::Vector3;

use super::geometry;
use crate::plan::Plan;
use crate::solve::CaseFacts;
use crate::solve::network::matrix::angle_words;

/// Attitudes whose ups are closer than this are one.
const SAME: f64 = 1e-9;

/// An attitude of the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct AttitudeFacts {
    /// The case that it is the first of, or the attitude in words.
    pub name: String,
    /// Unit direction against the pull that the fluid feels, in the plan's coordinates.
    pub up: [f64; 3],
    /// Pitch and roll, nose up and right side down positive, rad.
    pub attitude_rad: [f64; 2],
}

impl AttitudeFacts {
    /// The upward direction.
    pub(super) fn direction(&self) -> Vector3<f64> {
        Vector3::from(self.up)
    }

    /// Whether the machine stands level.
    pub fn is_level(&self) -> bool {
        self.attitude_rad.iter().all(|a| a.abs() < SAME)
    }
}

/// The attitudes of the named cases, then those of the matrix, then the level one.
pub(super) fn attitudes(plan: &Plan, cases: &[CaseFacts]) -> Vec<AttitudeFacts> {
    let mut all: Vec<AttitudeFacts> = Vec::new();
    let named = cases.iter().filter(|c| !c.combined).map(|c| AttitudeFacts {
        name: c.name.clone(),
        up: c.up,
        attitude_rad: c.attitude_rad,
    });
    let matrix = plan.matrix.iter().flat_map(|m| {
        let rolls = move |nose: &f64| {
            let nose = *nose;
            m.roll_right_rad.iter().map(move |roll| [nose, *roll])
        };
        m.nose_up_rad.iter().flat_map(rolls)
    });
    let made = matrix.chain([[0.0, 0.0]]).filter_map(|attitude_rad| {
        let up = geometry::up(&plan.axes, attitude_rad[0], attitude_rad[1])?;
        Some(AttitudeFacts { name: words(attitude_rad), up, attitude_rad })
    });
    for attitude in named.chain(made) {
        let same = |known: &AttitudeFacts| {
            known.up.iter().zip(attitude.up).all(|(a, b)| (a - b).abs() < SAME)
        };
        if !all.iter().any(same) {
            all.push(attitude);
        }
    }
    all
}

fn words([nose, roll]: [f64; 2]) -> String {
    let nose = angle_words(nose, ["nose up", "nose down"]);
    let roll = angle_words(roll, ["right side down", "left side down"]);
    let words: Vec<String> = nose.into_iter().chain(roll).collect();
    if words.is_empty() { "level".to_owned() } else { words.join(", ") }
}
