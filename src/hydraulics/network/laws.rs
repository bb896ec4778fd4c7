//! The law of every link made ready: arguments checked once, constants worked out once.

use core::f64::consts::FRAC_PI_4;
use std::sync::OnceLock;

use rayon::prelude::*;

use super::Link;
use super::cores::worth_sharing;
use super::curves::{LossCurve, Place, PumpCurve};
use super::element::{Element, LossLaw, LossSlope};
use super::error::NetworkError;
use crate::hydraulics::HydraulicsError;
use crate::hydraulics::argument::within;
use crate::hydraulics::colebrook::{checked_ratio, factor_and_log_slope_unchecked};
use crate::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use crate::hydraulics::friction::{Join, LAMINAR_UP_TO, REYNOLDS_UP_TO, TURBULENT_FROM};

/// Links that a core takes at least at once.
const FEW: usize = 1000;
/// Halvings of a refused flow before the law is taken to hold nowhere.
const MOST_HALVINGS: u32 = 200;

/// A link's law, ready to be asked often.
pub(super) enum Law<'a> {
    Line(&'a dyn LossLaw),
    Run(Bore),
    Loss {
        linear: f64,
        square: f64,
    },
    Curve(&'a LossCurve),
    Pump(&'a PumpCurve),
    PumpSquare {
        rest: f64,
        square: f64,
    },
    Slipping {
        flow: f64,
        slip: f64,
    },
    /// A displacement pump without slip: its flow is given, its pressure is not.
    Source {
        flow: f64,
    },
}

/// A straight run by its constants.
pub(super) struct Bore {
    area: f64,
    pub(super) ratio: f64,
    /// Reynolds number per flow.
    reynolds: f64,
    /// ρ/(2 A²), times L/d for the wall and times the loss coefficients.
    wall: f64,
    local: f64,
    /// Laminar loss per flow.
    laminar: f64,
    /// The friction factor between laminar and turbulent, once it has been asked for.
    join: OnceLock<Box<Join>>,
}

impl Bore {
    fn new(run: &Straight, liquid: &Liquid) -> Result<Self, HydraulicsError> {
        straight_loss(run, liquid, 0.0)?;
        let ratio = checked_ratio(run.roughness_m / run.bore_m)?;
        let area = FRAC_PI_4 * run.bore_m * run.bore_m;
        let head = 0.5 * liquid.density_kg_m3 / (area * area);
        Ok(Self {
            area,
            ratio,
            reynolds: run.bore_m * liquid.density_kg_m3 / (liquid.viscosity_pa_s * area),
            wall: head * run.length_m / run.bore_m,
            local: head * run.loss_sum,
            join: OnceLock::new(),
            laminar: 32.0 * liquid.viscosity_pa_s * run.length_m / (run.bore_m * run.bore_m * area),
        })
    }

    pub(super) fn reynolds_at(&self, flow: f64) -> f64 {
        flow.abs() * self.reynolds
    }

    /// Whether the formula for turbulent flow holds.
    pub(super) fn is_turbulent(reynolds: f64) -> bool {
        (TURBULENT_FROM..=REYNOLDS_UP_TO).contains(&reynolds)
    }

    /// As [`straight_loss`]; beyond its largest Reynolds number the factor stays, for the search only.
    fn at(&self, flow: f64) -> LossSlope {
        let re = self.reynolds_at(flow);
        if re <= LAMINAR_UP_TO {
            let local = self.local * flow.abs();
            return LossSlope {
                loss_pa: (self.laminar + local) * flow,
                slope_pa_s_m3: self.laminar + 2.0 * local,
            };
        }
        if re < TURBULENT_FROM {
            let join = self.join.get_or_init(|| Box::new(Join::new(self.ratio)));
            let (factor, log_slope) = join.factor_and_log_slope(re);
            return self.turbulent(flow, factor, log_slope);
        }
        let (factor, log_slope) =
            factor_and_log_slope_unchecked(re.min(REYNOLDS_UP_TO), self.ratio);
        self.turbulent(flow, factor, if re > REYNOLDS_UP_TO { 0.0 } else { log_slope })
    }

    /// Loss and slope with a known friction factor and its slope in logarithms.
    pub(super) fn turbulent(&self, flow: f64, factor: f64, log_slope: f64) -> LossSlope {
        let size = flow.abs();
        let (wall, local) = (factor * self.wall * size, self.local * size);
        LossSlope {
            loss_pa: (wall + local) * flow,
            slope_pa_s_m3: wall * (2.0 + log_slope) + 2.0 * local,
        }
    }
}

/// The laws of all links.
///
/// # Errors
/// [`NetworkError::BadNumber`] or [`NetworkError::Hydraulics`] for the first element that is refused.
pub(super) fn laws(links: &[Link]) -> Result<Vec<Law<'_>>, NetworkError> {
    if !worth_sharing(links.len()) {
        return links.iter().enumerate().map(Law::new).collect();
    }
    let laws: Vec<_> = links.par_iter().with_min_len(FEW).enumerate().map(Law::new).collect();
    laws.into_iter().collect()
}

impl<'a> Law<'a> {
    /// The law of a link's element.
    fn new((link, ends): (usize, &'a Link)) -> Result<Self, NetworkError> {
        let at_least = |what, given: f64, low: f64| {
            if given.is_finite() && given >= low {
                Ok(given)
            } else {
                Err(NetworkError::BadNumber { what, index: link, given })
            }
        };
        Ok(match &ends.element {
            Element::Line(law) => Self::Line(law.as_ref()),
            Element::Run { run, liquid } => {
                let bore = Bore::new(run, liquid);
                Self::Run(bore.map_err(|error| NetworkError::Hydraulics { link, error })?)
            }
            Element::Loss { linear_pa_s_m3, square_pa_s2_m6 } => Self::Loss {
                linear: at_least("the linear loss", *linear_pa_s_m3, 0.0)?,
                square: at_least("the square loss", *square_pa_s2_m6, 0.0)?,
            },
            Element::Curve(curve) => Self::Curve(curve),
            Element::Pump(curve) => Self::Pump(curve),
            Element::PumpSquare { rest_pa, square_pa_s2_m6 } => Self::PumpSquare {
                rest: at_least("the rise at rest", *rest_pa, f64::MIN_POSITIVE)?,
                square: at_least("the fall of the rise", *square_pa_s2_m6, f64::MIN_POSITIVE)?,
            },
            Element::Displacement { flow_m3_s, slip_m3_s_pa } => {
                let flow = at_least("the flow of the pump", *flow_m3_s, 0.0)?;
                let slip = at_least("the slip of the pump", *slip_m3_s_pa, 0.0)?;
                if slip > 0.0 { Self::Slipping { flow, slip } } else { Self::Source { flow } }
            }
        })
    }

    /// Loss and slope; a line's own law may refuse.
    fn ask(&self, flow: f64) -> Result<LossSlope, HydraulicsError> {
        let falling = |place: Place| LossSlope {
            loss_pa: -place.pressure_pa,
            slope_pa_s_m3: -place.slope_pa_s_m3,
        };
        Ok(match self {
            Self::Line(law) => return law.loss(flow),
            Self::Run(bore) => bore.at(flow),
            Self::Loss { linear, square } => LossSlope {
                loss_pa: (linear + square * flow.abs()) * flow,
                slope_pa_s_m3: linear + 2.0 * square * flow.abs(),
            },
            Self::Curve(curve) => {
                let Place { pressure_pa, slope_pa_s_m3 } = curve.at(flow);
                LossSlope { loss_pa: pressure_pa, slope_pa_s_m3 }
            }
            Self::Pump(curve) => falling(curve.at(flow)),
            Self::PumpSquare { rest, square } => LossSlope {
                loss_pa: square * flow.abs() * flow - rest,
                slope_pa_s_m3: 2.0 * square * flow.abs(),
            },
            Self::Slipping { flow: full, slip } => {
                LossSlope { loss_pa: (flow - full) / slip, slope_pa_s_m3: 1.0 / slip }
            }
            Self::Source { .. } => LossSlope { loss_pa: 0.0, slope_pa_s_m3: 0.0 },
        })
    }

    /// Loss and slope at any flow: where a law refuses, the straight line that leaves its last good point.
    ///
    /// # Errors
    /// A law that refuses next to no flow too, or gives what is no number.
    pub(super) fn at(&self, flow: f64) -> Result<LossSlope, HydraulicsError> {
        let mut asked = flow;
        for _ in 0..MOST_HALVINGS {
            match self.ask(asked) {
                Ok(found) => {
                    let loss = found.loss_pa + found.slope_pa_s_m3 * (flow - asked);
                    let sound = loss.is_finite() && found.slope_pa_s_m3 >= 0.0;
                    if !sound || !found.slope_pa_s_m3.is_finite() {
                        return Err(HydraulicsError::NotRepresentable {
                            what: "the pressure loss",
                        });
                    }
                    return Ok(LossSlope { loss_pa: loss, ..found });
                }
                Err(error) if asked == 0.0 => return Err(error),
                Err(_) => asked *= 0.5,
            }
        }
        self.ask(0.0)
    }

    /// A flow of the usual size, above zero; none for a free passage.
    pub(super) fn usual_flow(&self, pressure: f64) -> Option<f64> {
        let usual = match self {
            Self::Line(law) => law.usual_m3_s(),
            Self::Run(bore) => bore.area,
            Self::Loss { linear, square } if *square > 0.0 => {
                let half = 0.5 * linear / square;
                (half * half + pressure / square).sqrt() - half
            }
            Self::Loss { linear, .. } => pressure / linear,
            Self::Curve(curve) => curve.most_m3_s(),
            Self::Pump(curve) => curve.range_m3_s().1,
            Self::PumpSquare { rest, square } => (rest / square).sqrt(),
            Self::Slipping { flow, slip } => flow + slip * pressure,
            Self::Source { flow } => *flow,
        };
        (usual.is_finite() && usual > 0.0).then_some(usual)
    }

    /// Rise at no flow of a pump, zero otherwise.
    pub(super) fn rest_pa(&self) -> f64 {
        match self {
            Self::Pump(curve) => curve.at(0.0).pressure_pa.abs(),
            Self::PumpSquare { rest, .. } => *rest,
            _ => 0.0,
        }
    }

    /// Whether it can drive a flow by itself.
    pub(super) fn drives(&self) -> bool {
        matches!(self, Self::Pump(_) | Self::PumpSquare { .. } | Self::Slipping { .. })
    }

    /// The true law at the flow of the answer.
    ///
    /// # Errors
    /// [`NetworkError::OutsideCurve`] beyond the points of a curve, [`NetworkError::Hydraulics`] where a law refuses.
    pub(super) fn check(&self, link: usize, flow: f64) -> Result<(), NetworkError> {
        let (low, high) = match self {
            Self::Line(law) => {
                let asked = law.loss(flow).map(|_| ());
                return asked.map_err(|error| NetworkError::Hydraulics { link, error });
            }
            Self::Run(bore) => {
                let what = "the Reynolds number";
                let asked = within(what, bore.reynolds_at(flow), 0.0, REYNOLDS_UP_TO).map(|_| ());
                return asked.map_err(|error| NetworkError::Hydraulics { link, error });
            }
            Self::Curve(curve) => (-curve.most_m3_s(), curve.most_m3_s()),
            Self::Pump(curve) => curve.range_m3_s(),
            Self::PumpSquare { rest, square } => (0.0, (rest / square).sqrt()),
            _ => return Ok(()),
        };
        let slack = 1.0e-9 * high;
        if flow >= low - slack && flow <= high + slack {
            return Ok(());
        }
        Err(NetworkError::OutsideCurve { link, flow_m3_s: flow, low, high })
    }
}
