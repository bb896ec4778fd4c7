//! What comes at a need when all that can is let through at the pressure it must have.

use super::machine::{Group, Machine};
use super::settle::{CircuitSolution, GroupSolution, Scratch};
use super::setup::Tweaks;
use super::tally::flow_out;
use crate::hydraulics::{HydraulicsError, search};
use crate::plan::PortRef;
use crate::solve::CaseFacts;
use crate::units::Quantity;

/// A flow that leaves a need for somewhere else counts from here on, m3/s: a drop a minute.
const LEAVES_M3_S: f64 = 1e-9;
/// A pressure that a regulator holds is met when it is met within this, Pa.
const HELD_PA: f64 = 1.0;
/// Width at which the search for the flow ends, as a share of its bounds.
const WIDTH: f64 = 1e-7;
/// How often the flow is doubled in the search for one that is too much.
const DOUBLINGS: u32 = 40;

/// What comes at a need.
#[derive(Clone, Debug)]
pub struct Available {
    /// The flow, m3/s.
    pub flow_m3_s: f64,
    /// Flows and pressures with it.
    pub solved: GroupSolution,
}

impl Machine<'_> {
    /// What comes at the need of a component when all that can is let through at the pressure it must have.
    ///
    /// # Errors
    /// In the builder's words: why there is no answer.
    pub fn available(
        &self,
        group: &Group,
        case: &CaseFacts,
        component: usize,
        tweaks: &Tweaks,
        scratch: &mut Scratch,
    ) -> Result<Available, String> {
        let opened = Tweaks { opened: Some(component), ..tweaks.clone() };
        if let Ok(solved) = self.solve(group, case, &opened, scratch)
            && let Some((circuit, spot)) = self.need_in(&solved, component)
            && !self.leaves(circuit, spot)
        {
            let flow_m3_s = -flow_out(&self.circuits[circuit.circuit], circuit, spot);
            return Ok(Available { flow_m3_s, solved });
        }
        // Held at its pressure, the need would feed the rest of the machine: what it can take is looked for.
        self.most_taken(group, case, component, tweaks, scratch)
    }

    /// The circuit and the spot of a need in a solution.
    pub fn need_in<'s>(
        &self,
        solved: &'s GroupSolution,
        component: usize,
    ) -> Option<(&'s CircuitSolution, usize)> {
        let port = self.plan.components[component].need.as_ref()?.port;
        let port = PortRef { component, port };
        let spot = |c: &'s CircuitSolution| Some((c, self.circuits[c.circuit].spot_of(port)?));
        solved.circuits.iter().find_map(spot)
    }

    /// Whether any link carries fluid away from a spot.
    fn leaves(&self, solved: &CircuitSolution, spot: usize) -> bool {
        let links = self.circuits[solved.circuit].links.iter().enumerate();
        links.into_iter().any(|(index, link)| {
            let flow = solved.flow_m3_s(index);
            (link.from == spot && flow > LEAVES_M3_S) || (link.to == spot && flow < -LEAVES_M3_S)
        })
    }

    /// Pressure at a need while it takes a flow, over the one it must have, Pa; and the solution.
    ///
    /// # Errors
    /// In words: why there is no answer.
    pub fn left_over(
        &self,
        group: &Group,
        case: &CaseFacts,
        (component, flow_m3_s): (usize, f64),
        tweaks: &Tweaks,
        scratch: &mut Scratch,
    ) -> Result<(f64, GroupSolution), String> {
        let tweaks = Tweaks { taken: Some((component, flow_m3_s)), ..tweaks.clone() };
        let solved = self.solve(group, case, &tweaks, scratch)?;
        let need = self.plan.components[component].need.as_ref();
        let pressure = self.need_in(&solved, component).and_then(|(circuit, spot)| {
            Some(circuit.solution.pressures_pa[spot]? - case.ambient_pa - need?.pressure.si())
        });
        let pressure = pressure.ok_or("nothing decides the pressure at the need")?;
        Ok((pressure, solved))
    }

    fn most_taken(
        &self,
        group: &Group,
        case: &CaseFacts,
        component: usize,
        tweaks: &Tweaks,
        scratch: &mut Scratch,
    ) -> Result<Available, String> {
        let need = self.plan.components[component].need.as_ref().ok_or("there is no need")?;
        let (nothing, solved) = self.left_over(group, case, (component, 0.0), tweaks, scratch)?;
        if nothing + HELD_PA < 0.0 {
            return Ok(Available { flow_m3_s: 0.0, solved });
        }
        // Without an answer the flow is more than can come.
        let mut over = |flow: f64| -> Result<f64, HydraulicsError> {
            let left = self.left_over(group, case, (component, flow), tweaks, scratch);
            Ok(left.map_or(-1e6, |(pressure, _)| pressure + HELD_PA))
        };
        let mut high = need.flow.si();
        for _ in 0..DOUBLINGS {
            if over(high).is_ok_and(|p| p < 0.0) {
                break;
            }
            high *= 2.0;
        }
        let zero = search::falling_zero("the flow that can be taken", (0.0, high), WIDTH, over);
        let flow_m3_s = zero.map_err(|e| e.to_string())?.low;
        let (_, solved) = self.left_over(group, case, (component, flow_m3_s), tweaks, scratch)?;
        Ok(Available { flow_m3_s, solved })
    }
}
