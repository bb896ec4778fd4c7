//! A line made ready: its loss and the slope of its loss, in one pass and without refusals.

use core::f64::consts::{FRAC_PI_4, LN_2, PI};
use std::sync::Arc;

use super::super::HydraulicsError;
use super::super::bend::laminar_excess_k;
use super::super::darcy_weisbach::Liquid;
use super::super::friction::{LAMINAR_UP_TO, REYNOLDS_UP_TO, TURBULENT_FROM, factor_and_log_slope};
use super::super::loss::{
    entrance_k, laminar_contraction_k, laminar_expansion_k, sudden_contraction_k,
    sudden_expansion_k,
};
use super::super::network::{LossLaw, LossSlope};
use super::super::valve::k_from_kv;
use super::{Extra, Run, RunBend, RunEnd};

/// Reynolds number that stands for rest: there every loss is linear in the flow.
const AT_REST: f64 = 1e-3;

/// A loss coefficient and its change with ln Re.
#[derive(Debug, Clone, Copy, Default)]
struct Coefficient {
    k: f64,
    per_ln_re: f64,
}

/// A bore without a liquid: Re = `re` Q ρ/μ, velocity head = `head` ρ Q².
#[derive(Debug, Clone, Copy)]
struct Bore {
    re: f64,
    head: f64,
}

impl Bore {
    fn new(bore_m: f64) -> Self {
        let area = FRAC_PI_4 * bore_m * bore_m;
        Self { re: bore_m / area, head: 0.5 / (area * area) }
    }
}

/// A bend made ready.
#[derive(Debug, Clone, Copy)]
struct Bend {
    /// Angle times radius over bore.
    arc: f64,
    half_sine: f64,
    eased: f64,
    /// White's (11.6/De)^0.45 times Re^0.45.
    white: f64,
    /// Laminar coefficient at the beginning of the transition.
    slow: f64,
}

/// A narrow end made ready: a narrowing, a short tube and a widening.
#[derive(Debug, Clone, Copy)]
struct Narrow {
    bore: Bore,
    length_over_bore: f64,
    roughness_ratio: f64,
    ratio: f64,
    /// Laminar narrowing: `fixed + per_re / Re` on the narrow bore, Re that of the wide one.
    narrowing_fixed: f64,
    narrowing_per_re: f64,
    narrowing_turbulent: f64,
    widening_laminar: f64,
    widening_turbulent: f64,
}

/// A line made ready for any liquid.
#[derive(Debug, Clone)]
pub struct RunShape {
    bore: Bore,
    roughness_ratio: f64,
    length_over_bore: f64,
    bends: Vec<Bend>,
    narrow: [Option<Narrow>; 2],
    /// Losses `(linear + linear_per_viscosity μ) Q + (square + square_per_density ρ) Q²`.
    linear: f64,
    linear_per_viscosity: f64,
    square: f64,
    square_per_density: f64,
    /// Whether A and B are tanks.
    still: [bool; 2],
    entrance_k: f64,
}

impl RunShape {
    /// Makes a line ready.
    ///
    /// # Errors
    /// The refusals of [`Run::losses`] for the same line.
    pub fn new(run: &Run) -> Result<Self, HydraulicsError> {
        // Whatever the full calculation would refuse is refused here, once: at Re 1.
        let bore = Bore::new(run.bore_m);
        let thin = Liquid { density_kg_m3: 1.0, viscosity_pa_s: 1.0 };
        run.losses(&thin, 1.0 / bore.re)?;
        let mut shape = Self {
            bore,
            roughness_ratio: run.roughness_m / run.bore_m,
            length_over_bore: run.length_m / run.bore_m,
            bends: run.bends.iter().map(|b| Bend::new(b, run.bore_m)).collect::<Result<_, _>>()?,
            narrow: [Narrow::new(&run.ends[0], run)?, Narrow::new(&run.ends[1], run)?],
            linear: 0.0,
            linear_per_viscosity: 0.0,
            square: 0.0,
            square_per_density: 0.0,
            still: [run.ends[0].still, run.ends[1].still],
            entrance_k: entrance_k(0.0)?,
        };
        for elbow in run.ends.iter().filter_map(|e| e.elbow) {
            let (linear, square) = elbow.polynomial(&thin);
            shape.linear_per_viscosity += linear;
            shape.square_per_density += square;
        }
        for (extra, _) in &run.extras {
            shape.add(extra, run.bore_m)?;
        }
        Ok(shape)
    }

    fn add(&mut self, extra: &Extra, line_bore_m: f64) -> Result<(), HydraulicsError> {
        match *extra {
            Extra::Coefficient { k, bore_m } => {
                self.square_per_density += k * Bore::new(bore_m).head;
            }
            Extra::Valve { kv_m3_h } => {
                self.square_per_density += k_from_kv(kv_m3_h, line_bore_m)? * self.bore.head;
            }
            Extra::Measured { drop_pa, at_m3_s, linear: true } => self.linear += drop_pa / at_m3_s,
            Extra::Measured { drop_pa, at_m3_s, linear: false } => {
                self.square += drop_pa / (at_m3_s * at_m3_s);
            }
        }
        Ok(())
    }

    fn tanks(&self, reynolds: f64, backwards: bool) -> Coefficient {
        let [a, b] = self.still;
        let (upstream, downstream) = if backwards { (b, a) } else { (a, b) };
        let mut sum = Coefficient::default();
        if upstream {
            sum.k += self.entrance_k;
        }
        if downstream {
            sum.add(exit(reynolds));
        }
        sum
    }

    /// Coefficients of all bends together.
    fn bends(&self, reynolds: f64, f: f64, n: f64) -> Coefficient {
        let mut sum = Coefficient::default();
        if reynolds <= LAMINAR_UP_TO {
            let slowed = libm::pow(reynolds, -0.45);
            for bend in &self.bends {
                sum.add(bend.laminar(reynolds, bend.white * slowed));
            }
        } else {
            for bend in &self.bends {
                sum.add(bend.beyond_laminar(reynolds, f, n));
            }
        }
        sum
    }
}

/// The loss of a line with a liquid in it, as the network solver wants it.
#[derive(Debug, Clone)]
pub struct PreparedRun {
    shape: Arc<RunShape>,
    liquid: Liquid,
    re_per_q: f64,
}

impl PreparedRun {
    /// A line with a liquid in it, of positive density and viscosity.
    pub fn new(shape: &Arc<RunShape>, liquid: &Liquid) -> Self {
        let re_per_q = shape.bore.re * liquid.density_kg_m3 / liquid.viscosity_pa_s;
        Self { shape: Arc::clone(shape), liquid: *liquid, re_per_q }
    }

    /// Loss and slope at a flow above zero.
    fn at(&self, flow: f64, backwards: bool) -> (f64, f64) {
        let shape = &*self.shape;
        let density = self.liquid.density_kg_m3;
        let reynolds = self.re_per_q * flow;
        let (f, n) = friction(reynolds, shape.roughness_ratio);
        let wall = f * shape.length_over_bore;
        let mut sum = Coefficient { k: wall, per_ln_re: wall * n };
        sum.add(shape.bends(reynolds, f, n));
        sum.add(shape.tanks(reynolds, backwards));
        let (mut loss, mut slope) = sum.loss(shape.bore.head * density, flow);
        for narrow in shape.narrow.iter().flatten() {
            let reynolds = reynolds / narrow.ratio;
            let (l, s) = narrow.coefficient(reynolds).loss(narrow.bore.head * density, flow);
            loss += l;
            slope += s;
        }
        let linear = shape.linear + shape.linear_per_viscosity * self.liquid.viscosity_pa_s;
        let square = shape.square + shape.square_per_density * density;
        loss += flow * (linear + square * flow);
        slope += linear + 2.0 * square * flow;
        (loss, slope)
    }
}

impl LossLaw for PreparedRun {
    fn loss(&self, flow_m3_s: f64) -> Result<LossSlope, HydraulicsError> {
        let rest = AT_REST / self.re_per_q;
        let flow = flow_m3_s.abs();
        if flow <= rest {
            let (loss, _) = self.at(rest, flow_m3_s < 0.0);
            let slope = loss / rest;
            return Ok(LossSlope { loss_pa: slope * flow_m3_s, slope_pa_s_m3: slope });
        }
        let (loss, slope) = self.at(flow, flow_m3_s < 0.0);
        if !(loss.is_finite() && slope.is_finite()) {
            return Err(HydraulicsError::NotRepresentable { what: "the pressure loss" });
        }
        Ok(LossSlope { loss_pa: loss.copysign(flow_m3_s), slope_pa_s_m3: slope })
    }
}

impl Coefficient {
    fn add(&mut self, other: Self) {
        self.k += other.k;
        self.per_ln_re += other.per_ln_re;
    }

    /// Loss and slope: K h Q², and since Re grows with Q, (2 K + dK/d ln Re) h Q.
    fn loss(self, head_per_q2: f64, flow: f64) -> (f64, f64) {
        let head = head_per_q2 * flow;
        (self.k * head * flow, (2.0 * self.k + self.per_ln_re) * head)
    }
}

/// Friction factor and its slope in logarithms; beyond the range of the formula, where a solver may
/// stray on its way, the wall counts as fully rough.
fn friction(reynolds: f64, roughness_ratio: f64) -> (f64, f64) {
    if reynolds > REYNOLDS_UP_TO {
        return (factor_and_log_slope(REYNOLDS_UP_TO, roughness_ratio).0, 0.0);
    }
    factor_and_log_slope(reynolds, roughness_ratio)
}

/// Kinetic energy of the stream over its mean velocity head, as `exit_k_at` gives it.
fn exit(reynolds: f64) -> Coefficient {
    if reynolds <= LAMINAR_UP_TO {
        Coefficient { k: 2.0, per_ln_re: 0.0 }
    } else if reynolds >= TURBULENT_FROM {
        Coefficient { k: 1.0, per_ln_re: 0.0 }
    } else {
        Coefficient { k: 2.0 - libm::log(reynolds / LAMINAR_UP_TO) / LN_2, per_ln_re: -1.0 / LN_2 }
    }
}

impl Bend {
    fn new(shape: &RunBend, bore_m: f64) -> Result<Self, HydraulicsError> {
        let ratio = shape.radius_m / bore_m;
        let half_sine = libm::sin(0.5 * shape.angle_rad);
        let easing = libm::pow(ratio, 4.0 * shape.angle_rad / PI);
        Ok(Self {
            arc: shape.angle_rad * ratio,
            half_sine,
            eased: (half_sine.sqrt() + half_sine) / easing,
            white: libm::pow(11.6 * (2.0 * ratio).sqrt(), 0.45),
            slow: laminar_excess_k(LAMINAR_UP_TO, shape.angle_rad, ratio)?,
        })
    }

    fn beyond_laminar(&self, reynolds: f64, f: f64, n: f64) -> Coefficient {
        let k = (0.10 + 2.4 * f) * self.half_sine + 6.6 * f * self.eased;
        let per_ln_re = (2.4 * self.half_sine + 6.6 * self.eased) * f * n;
        if reynolds >= TURBULENT_FROM {
            return Coefficient { k, per_ln_re };
        }
        let share = libm::log(reynolds / LAMINAR_UP_TO) / LN_2;
        Coefficient {
            k: self.slow + share * (k - self.slow),
            per_ln_re: (k - self.slow) / LN_2 + share * per_ln_re,
        }
    }

    /// White's curved friction over the arc, and its derivative; `power` is (11.6/De)^0.45.
    fn laminar(&self, reynolds: f64, power: f64) -> Coefficient {
        if power >= 1.0 {
            return Coefficient::default();
        }
        let inner = 1.0 - power;
        let outer = libm::pow(inner, 1.0 / 0.45);
        let white = 1.0 / (1.0 - outer);
        // d white / d ln Re, by the chain rule.
        let rise = white * white * outer / inner * power;
        let arc = 64.0 / reynolds * self.arc;
        let k = arc * (white - 1.0);
        Coefficient { k, per_ln_re: arc * rise - k }
    }
}

impl Narrow {
    fn new(end: &RunEnd, run: &Run) -> Result<Option<Self>, HydraulicsError> {
        let Some((bore_m, length_m)) = end.narrow_m else { return Ok(None) };
        let ratio = bore_m / run.bore_m;
        let fourth = ratio * ratio * ratio * ratio;
        // Hooper's laminar narrowing is linear in 1/Re: two points give it whole.
        let at = |re: f64| laminar_contraction_k(re, bore_m, run.bore_m).map(|k| k * fourth);
        let (one, two) = (at(1000.0)?, at(2000.0)?);
        let per_re = (one - two) * 2000.0;
        Ok(Some(Self {
            bore: Bore::new(bore_m),
            length_over_bore: length_m / bore_m,
            roughness_ratio: run.roughness_m / bore_m,
            ratio,
            narrowing_fixed: two - per_re / 2000.0,
            narrowing_per_re: per_re,
            narrowing_turbulent: sudden_contraction_k(bore_m, run.bore_m)?,
            widening_laminar: laminar_expansion_k(bore_m, run.bore_m)?,
            widening_turbulent: sudden_expansion_k(bore_m, run.bore_m)?,
        }))
    }

    fn coefficient(&self, reynolds: f64) -> Coefficient {
        let (f, n) = friction(reynolds, self.roughness_ratio);
        let wall = f * self.length_over_bore;
        let mut sum = Coefficient { k: wall, per_ln_re: wall * n };
        sum.add(self.narrowing(reynolds * self.ratio));
        let laminar = Coefficient { k: self.widening_laminar, per_ln_re: 0.0 };
        sum.add(if reynolds <= LAMINAR_UP_TO {
            laminar
        } else {
            held(reynolds, laminar.k, self.widening_turbulent)
        });
        sum
    }

    fn narrowing(&self, wide_reynolds: f64) -> Coefficient {
        if wide_reynolds <= LAMINAR_UP_TO {
            let falling = self.narrowing_per_re / wide_reynolds;
            return Coefficient { k: self.narrowing_fixed + falling, per_ln_re: -falling };
        }
        let laminar = self.narrowing_fixed + self.narrowing_per_re / LAMINAR_UP_TO;
        held(wide_reynolds, laminar, self.narrowing_turbulent)
    }
}

/// The loss at Re 2000 kept until the turbulent formula overtakes it.
fn held(reynolds: f64, laminar_at_end: f64, turbulent: f64) -> Coefficient {
    let back = LAMINAR_UP_TO / reynolds;
    let kept = laminar_at_end * back * back;
    if turbulent >= kept {
        Coefficient { k: turbulent, per_ln_re: 0.0 }
    } else {
        Coefficient { k: kept, per_ln_re: -2.0 * kept }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Elbow, Extra, Run, RunBend, RunEnd};
    use super::{Arc, Liquid, LossLaw, PreparedRun, RunShape};

    fn shape(run: &Run) -> Arc<RunShape> {
        Arc::new(RunShape::new(run).unwrap())
    }

    fn line() -> Run {
        let elbow = Some(Elbow { k1: 800.0, k_infinity: 0.4, bore_m: 0.0065 });
        let valve = Extra::Valve { kv_m3_h: 0.6 };
        let filter = Extra::Measured { drop_pa: 2500.0, at_m3_s: 1.0 / 60e3, linear: true };
        Run {
            bore_m: 0.008,
            length_m: 1.7,
            roughness_m: 1.5e-6,
            bends: vec![
                RunBend { angle_rad: 1.2, radius_m: 0.045 },
                RunBend { angle_rad: 0.4, radius_m: 0.030 },
            ],
            ends: [
                RunEnd { narrow_m: Some((0.0065, 0.03)), elbow, still: false },
                RunEnd { narrow_m: Some((0.007, 0.02)), elbow: None, still: true },
            ],
            extras: vec![(valve, false), (filter, true)],
        }
    }

    /// Flows from rest to Re 3e5, both ways, and across every join.
    fn flows(bore_m: f64, liquid: &Liquid) -> Vec<f64> {
        let per_re =
            core::f64::consts::FRAC_PI_4 * bore_m * liquid.viscosity_pa_s / liquid.density_kg_m3;
        let steps = (0..240).map(|i| 10.0 * libm::pow(10.0, f64::from(i) / 53.0));
        steps.flat_map(|re| [re * per_re, -re * per_re]).collect()
    }

    #[test]
    fn the_quick_loss_is_the_sum_of_the_parts_and_always_rises() {
        let (run, petrol) = (line(), Liquid { density_kg_m3: 740.0, viscosity_pa_s: 4.4e-4 });
        let quick = PreparedRun::new(&shape(&run), &petrol);
        for flow in flows(run.bore_m, &petrol) {
            let whole = run.losses(&petrol, flow).unwrap().drop_pa();
            let fast = quick.loss(flow).unwrap();
            assert!((fast.loss_pa.abs() / whole - 1.0).abs() < 1e-12, "{flow}: {whole}");
            assert!(fast.loss_pa * flow > 0.0 && fast.slope_pa_s_m3 > 0.0, "{flow}");
        }
    }

    #[test]
    fn the_slope_is_the_derivative_of_the_loss() {
        let (run, oil) = (line(), Liquid { density_kg_m3: 850.0, viscosity_pa_s: 9.0e-3 });
        let quick = PreparedRun::new(&shape(&run), &oil);
        for flow in flows(run.bore_m, &oil) {
            let step = 1e-6 * flow;
            let [low, high] = [flow - step, flow + step].map(|q| quick.loss(q).unwrap().loss_pa);
            let slope = (high - low) / (2.0 * step);
            let given = quick.loss(flow).unwrap().slope_pa_s_m3;
            // The difference quotient of a loss that is kept constant over a stretch is no better.
            assert!((given / slope - 1.0).abs() < 2e-5, "{flow}: {given} against {slope}");
        }
    }
}
