//! Energies of a settled shape.

use nalgebra::Vector3;

use super::clamped::Clamped;
use super::shooting::Settled;

/// Energies of a shape in units of stiffness over length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Energy {
    /// Half the integral of the curvature squared.
    pub(super) bending: f64,
    /// What the weight stores above the first end.
    pub(super) weight: f64,
}

impl Energy {
    pub(super) fn whole(&self) -> f64 {
        self.bending + self.weight
    }
}

/// Nodes and weights of Gauss and Legendre's rule of eight points (Abramowitz & Stegun, table 25.4).
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

impl Settled {
    /// The energies, by Gauss and Legendre's rule on every stretch.
    pub(super) fn energy(&self, clamped: &Clamped) -> Energy {
        let weightless = clamped.weight == Vector3::zeros();
        let mut energy = Energy { bending: 0.0, weight: 0.0 };
        for (at, series) in self.stretches.iter().enumerate() {
            for (node, weight) in GAUSS {
                for share in [0.5 * (1.0 - node), 0.5 * (1.0 + node)] {
                    let length = 0.5 * weight * series.length;
                    energy.bending += 0.5 * length * series.rate(share).norm_squared();
                    if !weightless {
                        let lever = 1.0 - self.joints.places[at] - share * series.length;
                        let tangent = series.at(share).tangent;
                        energy.weight += length * lever * clamped.weight.dot(&tangent);
                    }
                }
            }
        }
        energy
    }
}
