//! A whole line as it resists the flow: wall, bends, narrow ends, elbows, tanks and what else stands in it.

mod prepared;

pub use prepared::{PreparedRun, RunShape};

use super::HydraulicsError;
use super::argument::result;
use super::bend::bend_loss;
use super::darcy_weisbach::{Liquid, Straight, straight_loss};
use super::friction::Friction;
use super::insert::{Insert, insert_loss};
use super::loss::{entrance_k, exit_k_at, loss_pa, two_k};
use super::reynolds::{area_m2, velocity_m_s};
use super::valve::kv_drop_pa;

/// One bend of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunBend {
    /// Angle in rad, above 0 up to π.
    pub angle_rad: f64,
    /// Radius to the centre line in m, at least half the bore.
    pub radius_m: f64,
}

/// An elbow in an end fitting, by the two constants of the 2-K method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elbow {
    /// Constant K1.
    pub k1: f64,
    /// Constant K at infinite Reynolds number.
    pub k_infinity: f64,
    /// Bore it stands on, m.
    pub bore_m: f64,
}

impl Elbow {
    /// Its loss as `linear Q + square Q²`, in Pa with Q in m³/s: K1/Re makes the linear part.
    pub fn polynomial(&self, liquid: &Liquid) -> (f64, f64) {
        let area = core::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m;
        let head = 0.5 * liquid.density_kg_m3 / (area * area);
        let re_per_q = self.bore_m * liquid.density_kg_m3 / (area * liquid.viscosity_pa_s);
        (self.k1 / re_per_q * head, self.k_infinity * (1.0 + 0.0254 / self.bore_m) * head)
    }
}

/// One end of a line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RunEnd {
    /// Bore and length of a narrower passage, both in m.
    pub narrow_m: Option<(f64, f64)>,
    /// Its elbow.
    pub elbow: Option<Elbow>,
    /// Whether the fluid stands still behind it, as in a tank.
    pub still: bool,
}

/// A resistance that stands in the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Extra {
    /// Loss coefficient on a bore in m.
    Coefficient {
        /// The coefficient.
        k: f64,
        /// The bore it stands on.
        bore_m: f64,
    },
    /// Flow coefficient Kv in m³/h.
    Valve {
        /// The coefficient.
        kv_m3_h: f64,
    },
    /// A measured loss at a flow.
    Measured {
        /// The loss, Pa.
        drop_pa: f64,
        /// Its flow, m³/s.
        at_m3_s: f64,
        /// Whether it grows with the flow, or with its square.
        linear: bool,
    },
}

impl Extra {
    /// Loss at a flow of zero or above, Pa.
    ///
    /// # Errors
    /// Those of [`loss_pa`] and [`kv_drop_pa`]; [`HydraulicsError::NotRepresentable`].
    pub fn loss_pa(&self, flow_m3_s: f64, density_kg_m3: f64) -> Result<f64, HydraulicsError> {
        match *self {
            Self::Coefficient { k, bore_m } => {
                loss_pa(k, density_kg_m3, velocity_m_s(flow_m3_s, bore_m)?)
            }
            Self::Valve { kv_m3_h } => kv_drop_pa(kv_m3_h, flow_m3_s, density_kg_m3),
            Self::Measured { drop_pa, at_m3_s, linear } => {
                let ratio = flow_m3_s / at_m3_s;
                result("the pressure loss", drop_pa * if linear { ratio } else { ratio * ratio })
            }
        }
    }
}

/// A line from end A to end B.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    /// Bore in m, above 0.
    pub bore_m: f64,
    /// Length in m, zero or above.
    pub length_m: f64,
    /// Roughness of the wall in m.
    pub roughness_m: f64,
    /// Bends from A to B.
    pub bends: Vec<RunBend>,
    /// Ends A and B.
    pub ends: [RunEnd; 2],
    /// Other resistances, each with whether it sits at end B.
    pub extras: Vec<(Extra, bool)>,
}

/// What an end costs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EndLoss {
    /// Loss of the narrow passage and the elbow, Pa, zero or above.
    pub loss_pa: f64,
    /// Velocity in the narrowest bore, m/s, zero or above.
    pub throat_m_s: f64,
    /// How far the pressure in there lies below that of the line, Pa.
    pub throat_dip_pa: f64,
}

/// What a flow costs in a line; every loss is zero or above, whichever way the fluid runs.
#[derive(Debug, Clone, PartialEq)]
pub struct RunLoss {
    /// Mean velocity in the bore, m/s; its sign is the flow's.
    pub velocity_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Friction factor; none when nothing flows.
    pub friction: Option<Friction>,
    /// Friction along the wall, Pa.
    pub wall_pa: f64,
    /// Each bend over its wall friction, from A to B, Pa.
    pub bends_pa: Vec<f64>,
    /// Ends A and B.
    pub ends: [EndLoss; 2],
    /// Other resistances at A and at B, Pa.
    pub extras_pa: [f64; 2],
    /// Out of a tank and into a tank, Pa.
    pub tank_pa: f64,
    /// Kinetic energy of the stream per volume, Pa: what a still tank must give it.
    pub motion_pa: f64,
}

impl RunLoss {
    /// All that is lost for good, Pa, zero or above.
    pub fn drop_pa(&self) -> f64 {
        let ends = self.ends[0].loss_pa + self.ends[1].loss_pa;
        let extras = self.extras_pa[0] + self.extras_pa[1];
        self.wall_pa + self.bends_pa.iter().sum::<f64>() + ends + extras + self.tank_pa
    }
}

impl Run {
    /// What a flow costs, part by part.
    ///
    /// # What it gives
    /// A [`RunLoss`].
    ///
    /// # Formula
    /// Wall by [`straight_loss`], bends by [`bend_loss`], narrow ends by [`insert_loss`], elbows by
    /// [`two_k`], tanks by [`entrance_k`] with a sharp edge and [`exit_k_at`].
    ///
    /// # Valid for
    /// `flow_m3_s` of either sign; a negative flow runs from B to A.
    ///
    /// # Source
    /// The formulas named.
    ///
    /// # Notes
    /// [`PreparedRun`] gives the sum of the same losses, with its slope, for a solver.
    ///
    /// ```
    /// use hosewright::hydraulics::darcy_weisbach::Liquid;
    /// use hosewright::hydraulics::run::{Run, RunEnd};
    /// let tank = RunEnd { still: true, ..RunEnd::default() };
    /// let line = Run { bore_m: 0.008, length_m: 2.0, ends: [tank, RunEnd::default()], ..Run::default() };
    /// let petrol = Liquid { density_kg_m3: 740.0, viscosity_pa_s: 0.000_444 };
    /// let loss = line.losses(&petrol, 120e-3 / 3600.0)?;
    /// assert!(loss.tank_pa > 0.0 && loss.drop_pa() > loss.wall_pa);
    /// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
    /// ```
    ///
    /// # Errors
    /// Those of the formulas named.
    pub fn losses(&self, liquid: &Liquid, flow_m3_s: f64) -> Result<RunLoss, HydraulicsError> {
        let flow = flow_m3_s.abs();
        let straight = straight_loss(&self.straight(), liquid, flow_m3_s)?;
        let head_pa = 0.5 * liquid.density_kg_m3 * straight.velocity_m_s * straight.velocity_m_s;
        let bends_pa = self.bends_pa(straight.reynolds, straight.friction, head_pa)?;
        let ends = [self.end_loss(0, liquid, flow)?, self.end_loss(1, liquid, flow)?];
        let mut extras_pa = [0.0; 2];
        for (extra, at_b) in &self.extras {
            extras_pa[usize::from(*at_b)] += extra.loss_pa(flow, liquid.density_kg_m3)?;
        }
        let (upstream, downstream) = self.still_ends(flow_m3_s < 0.0);
        let moving = if straight.reynolds > 0.0 { exit_k_at(straight.reynolds)? } else { 0.0 };
        let out_of = if upstream { entrance_k(0.0)? } else { 0.0 };
        let into = if downstream { moving } else { 0.0 };
        Ok(RunLoss {
            velocity_m_s: straight.velocity_m_s,
            reynolds: straight.reynolds,
            friction: straight.friction,
            wall_pa: straight.friction_pa.abs(),
            bends_pa,
            ends,
            extras_pa,
            tank_pa: (out_of + into) * head_pa,
            motion_pa: moving * head_pa,
        })
    }

    fn straight(&self) -> Straight {
        Straight {
            bore_m: self.bore_m,
            length_m: self.length_m,
            roughness_m: self.roughness_m,
            loss_sum: 0.0,
        }
    }

    /// Whether the fluid stands still before the end it enters and behind the end it leaves.
    fn still_ends(&self, backwards: bool) -> (bool, bool) {
        let [a, b] = [self.ends[0].still, self.ends[1].still];
        if backwards { (b, a) } else { (a, b) }
    }

    fn bends_pa(
        &self,
        reynolds: f64,
        friction: Option<Friction>,
        head_pa: f64,
    ) -> Result<Vec<f64>, HydraulicsError> {
        let Some(friction) = friction else { return Ok(vec![0.0; self.bends.len()]) };
        let one = |bend: &RunBend| {
            let k =
                bend_loss(reynolds, friction.factor, bend.angle_rad, bend.radius_m, self.bore_m)?;
            Ok(k * head_pa)
        };
        self.bends.iter().map(one).collect()
    }

    fn end_loss(&self, end: usize, liquid: &Liquid, flow: f64) -> Result<EndLoss, HydraulicsError> {
        let end = &self.ends[end];
        let mut loss = EndLoss { throat_m_s: flow / area_m2(self.bore_m)?, ..EndLoss::default() };
        if let Some((bore_m, length_m)) = end.narrow_m {
            let insert = Insert {
                hose_bore_m: self.bore_m,
                bore_m,
                length_m,
                roughness_m: self.roughness_m,
            };
            let lost = insert_loss(&insert, liquid, flow)?;
            loss.loss_pa = lost.drop_pa;
            loss.throat_m_s = lost.throat_velocity_m_s;
            loss.throat_dip_pa = lost.throat_dip_pa;
        }
        if let Some(elbow) = end.elbow.filter(|_| flow > 0.0) {
            let velocity = flow / area_m2(elbow.bore_m)?;
            let reynolds = velocity * elbow.bore_m * liquid.density_kg_m3 / liquid.viscosity_pa_s;
            let k = two_k(elbow.k1, elbow.k_infinity, reynolds, elbow.bore_m / 0.0254)?;
            loss.loss_pa += loss_pa(k, liquid.density_kg_m3, velocity)?;
        }
        Ok(loss)
    }
}
