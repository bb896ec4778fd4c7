//! Measured curves of links: the loss of a component and the rise of a pump, over the flow.

use crate::curve::{Curve, CurveError};

/// Why points were refused as the curve of a link.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PointsError {
    /// Fewer than two points, or flows that do not rise.
    #[error(transparent)]
    Points(#[from] CurveError),
    /// The first flow lies below zero, or the curve of a loss does not begin at (0, 0).
    #[error("the curve begins at ({flow}, {pressure}); {wanted}")]
    Start {
        /// First flow in m³/s.
        flow: f64,
        /// First pressure in Pa.
        pressure: f64,
        /// What would be right.
        wanted: &'static str,
    },
    /// The loss falls or stays while the flow rises.
    #[error("the loss does not rise up to the flow of {flow}; a loss must rise with the flow")]
    FallingLoss {
        /// Flow at the end of the falling stretch, in m³/s.
        flow: f64,
    },
    /// The rise grows while the flow grows: such a pump has two flows for one rise.
    #[error("the rise grows up to the flow of {flow}; with such a curve the flow is not decided")]
    DroopingRise {
        /// Flow at the end of the rising stretch, in m³/s.
        flow: f64,
    },
}

/// A pressure and its slope over the flow, at one flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) pressure_pa: f64,
    pub(super) slope_pa_s_m3: f64,
}

/// Loss of a component over the flow, from (0, 0) on; the same backwards.
///
/// Between the points it is the monotone cubic of [`Curve::monotone`].
///
/// ```
/// use hosewright::hydraulics::network::LossCurve;
/// assert!(LossCurve::new(vec![(0.0, 0.0), (1e-4, 2.0e3), (2e-4, 7.0e3)]).is_ok());
/// assert!(LossCurve::new(vec![(0.0, 0.0), (1e-4, 2.0e3), (2e-4, 1.0e3)]).is_err());
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct LossCurve {
    curve: Curve,
    most_m3_s: f64,
}

impl LossCurve {
    /// A curve through points of flow (m³/s) and loss (Pa).
    ///
    /// # Errors
    /// Fewer than two points, a start other than (0, 0), or a loss that does not rise.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, PointsError> {
        let first = points.first().copied().unwrap_or_default();
        let falling = points.windows(2).find(|w| w[1].1 <= w[0].1).map(|w| w[1].0);
        let curve = Curve::new(points)?;
        if first != (0.0, 0.0) {
            let wanted = "it must begin at no flow with no loss";
            return Err(PointsError::Start { flow: first.0, pressure: first.1, wanted });
        }
        if let Some(flow) = falling {
            return Err(PointsError::FallingLoss { flow });
        }
        let most_m3_s = curve.range().1;
        Ok(Self { curve, most_m3_s })
    }

    /// Largest flow of the points, in m³/s.
    pub fn most_m3_s(&self) -> f64 {
        self.most_m3_s
    }

    /// Loss and slope; beyond the last point a straight line, for the search only.
    pub(super) fn at(&self, flow_m3_s: f64) -> Place {
        let size = flow_m3_s.abs();
        let place = extended(&self.curve, size);
        Place { pressure_pa: place.pressure_pa.copysign(flow_m3_s), ..place }
    }
}

/// Rise of a pump over its flow; it must not grow with the flow.
///
/// Between the points it is the monotone cubic of [`Curve::monotone`].
///
/// ```
/// use hosewright::hydraulics::network::PumpCurve;
/// let pump = PumpCurve::new(vec![(0.0, 60e3), (2e-4, 50e3), (4e-4, 0.0)])?;
/// assert_eq!(pump.rise_pa(2e-4)?, 50e3);
/// assert!(PumpCurve::new(vec![(0.0, 50e3), (2e-4, 60e3), (4e-4, 0.0)]).is_err());
/// # Ok::<(), hosewright::hydraulics::network::PointsError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct PumpCurve {
    curve: Curve,
    range: (f64, f64),
}

impl PumpCurve {
    /// A curve through points of flow (m³/s) and rise (Pa).
    ///
    /// # Errors
    /// Fewer than two points, a flow below zero, or a rise that grows with the flow.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, PointsError> {
        let first = points.first().copied().unwrap_or_default();
        let rising = points.windows(2).find(|w| w[1].1 > w[0].1).map(|w| w[1].0);
        let curve = Curve::new(points)?;
        if first.0 < 0.0 {
            let wanted = "a pump's flow must not be negative";
            return Err(PointsError::Start { flow: first.0, pressure: first.1, wanted });
        }
        if let Some(flow) = rising {
            return Err(PointsError::DroopingRise { flow });
        }
        let range = curve.range();
        Ok(Self { curve, range })
    }

    /// First and last flow of the points, in m³/s.
    pub fn range_m3_s(&self) -> (f64, f64) {
        self.range
    }

    /// The rise in Pa at a flow in m³/s.
    ///
    /// # Errors
    /// [`CurveError::Outside`] beyond the first or last point.
    pub fn rise_pa(&self, flow_m3_s: f64) -> Result<f64, CurveError> {
        self.curve.monotone(flow_m3_s)
    }

    /// Rise and slope; beyond the points a straight falling line, for the search only.
    pub(super) fn at(&self, flow_m3_s: f64) -> Place {
        extended(&self.curve, flow_m3_s)
    }
}

/// The curve inside its points; outside the line that leaves its end with the end's slope, or with the mean slope
/// where that is steeper, so that the line is never flat.
fn extended(curve: &Curve, x: f64) -> Place {
    let (low, high) = curve.range();
    let inside = x.clamp(low, high);
    let at = |x: f64| curve.monotone_with_slope(x).unwrap_or_default();
    let (value, slope) = at(inside);
    if (low..=high).contains(&x) {
        return Place { pressure_pa: value, slope_pa_s_m3: slope };
    }
    let mean = (at(high).0 - at(low).0) / (high - low);
    let steeper = if mean.abs() > slope.abs() { mean } else { slope };
    Place { pressure_pa: value + steeper * (x - inside), slope_pa_s_m3: steeper }
}

#[cfg(test)]
mod tests {
    use super::{LossCurve, PumpCurve};

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() <= 1e-9 * expected.abs(), "{found}, {expected}");
    }

    #[test]
    fn beyond_its_points_a_pump_falls_by_the_steeper_of_end_and_mean() {
        let pump = |rises: [f64; 3]| {
            PumpCurve::new((0_i32..).map(f64::from).zip(rises).collect()).unwrap()
        };
        // Flat at its end: the mean slope, 5 Pa s/m3, goes on.
        let flat = pump([100.0, 90.0, 90.0]).at(4.0);
        near(flat.pressure_pa, 80.0);
        near(flat.slope_pa_s_m3, -5.0);
        // Steep at its end: its own slope does, with no step where it leaves the points.
        let steep = pump([100.0, 99.0, 50.0]);
        let (end, beyond) = (steep.at(2.0), steep.at(3.0));
        assert!(end.slope_pa_s_m3 < -25.0, "{end:?}");
        near(beyond.slope_pa_s_m3, end.slope_pa_s_m3);
        near(beyond.pressure_pa, 50.0 + end.slope_pa_s_m3);
        near(steep.at(2.0 + 1e-12).pressure_pa, 50.0);
    }

    #[test]
    fn beyond_its_points_a_loss_rises_on_either_way() {
        let loss = LossCurve::new(vec![(0.0, 0.0), (1.0, 10.0), (2.0, 10.5)]).unwrap();
        // The mean slope, 5.25, is the steeper.
        for (flow, pressure) in [(4.0, 21.0), (-4.0, -21.0)] {
            let place = loss.at(flow);
            near(place.pressure_pa, pressure);
            near(place.slope_pa_s_m3, 5.25);
        }
    }
}
