//! Operating cases: those that the plan names, and those that come of combining what can vary.

use super::{GRAVITY_M_S2, geometry};
use crate::hydraulics::atmosphere;
use crate::plan::{Ambient, Plan};
use crate::units::Quantity;

/// One operating case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseFacts {
    /// Its name.
    pub name: String,
    /// Pressure of the air, Pa absolute.
    pub ambient_pa: f64,
    /// Unit direction against the pull that the fluid feels, in the plan's coordinates.
    pub up: [f64; 3],
    /// Size of that pull, m/s2: gravity, and the acceleration of the machine.
    pub gravity_m_s2: f64,
    /// Pitch and roll, nose up and right side down positive, rad.
    pub attitude_rad: [f64; 2],
    /// Temperature of the air, K.
    pub air_k: Option<f64>,
    /// Temperature of each fluid of the plan where it starts from, K.
    pub fluids_k: Vec<Option<f64>>,
    /// State of each component, by index.
    pub states: Vec<usize>,
    /// Whether the machine has run long enough for heat to have settled; else every fluid still has its
    /// starting temperature.
    pub warm: bool,
    /// Whether it was made by combination.
    pub combined: bool,
}

/// The cases that the plan names, in its order.
pub fn named(plan: &Plan) -> Vec<CaseFacts> {
    plan.cases
        .iter()
        .filter_map(|case| {
            let ambient_pa = match case.ambient {
                Ambient::Pressure(p) => p.si(),
                // The plan lets only heights pass that the standard atmosphere covers.
                Ambient::Altitude(h) => air_pa(h.si())?,
            };
            let still = geometry::up(&plan.axes, case.nose_up_rad, case.roll_right_rad)?;
            let (up, gravity_m_s2) = felt(still, case.acceleration_g);
            let mut facts = CaseFacts {
                name: case.name.clone(),
                ambient_pa,
                up,
                gravity_m_s2,
                attitude_rad: [case.nose_up_rad, case.roll_right_rad],
                air_k: case.air.map(Quantity::si),
                fluids_k: vec![None; plan.fluids.len()],
                states: vec![0; plan.components.len()],
                warm: case.warm,
                combined: false,
            };
            for (fluid, temperature) in &case.fluids {
                facts.fluids_k[*fluid] = Some(temperature.si());
            }
            for (component, state) in &case.states {
                facts.states[*component] = *state;
            }
            Some(facts)
        })
        .collect()
}

/// Pressure of the standard atmosphere at a geometric height, Pa absolute; none outside it.
pub fn air_pa(height_m: f64) -> Option<f64> {
    atmosphere::geopotential_m(height_m).and_then(atmosphere::pressure_pa).ok()
}

/// Up and pull as the fluid feels them in a machine that is accelerated: a machine that speeds up
/// leaves its fluid behind, as if up leant forward. Where nothing pulls, up is that of the machine at rest.
fn felt(up: [f64; 3], acceleration_g: [f64; 3]) -> ([f64; 3], f64) {
    let sum: [f64; 3] = core::array::from_fn(|i| up[i] + acceleration_g[i]);
    let size = sum.iter().map(|c| c * c).sum::<f64>().sqrt();
    if size > 1e-6 { (sum.map(|c| c / size), size * GRAVITY_M_S2) } else { (up, 0.0) }
}

#[cfg(test)]
mod tests {
    use super::{GRAVITY_M_S2, felt};

    #[test]
    fn a_machine_that_speeds_up_leaves_its_fluid_behind_and_one_that_falls_has_no_pull() {
        // X points aft: speeding up pushes the fluid aft, as if up leant forward.
        let (up, pull) = felt([0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]);
        assert!(up[0] < -0.7 && (pull / GRAVITY_M_S2 - 2.0_f64.sqrt()).abs() < 1e-12);
        let (up, pull) = felt([0.0, 0.0, 1.0], [0.0, 0.0, -1.0]);
        assert!(up[2] > 0.9 && pull.abs() < 1e-12);
    }
}
