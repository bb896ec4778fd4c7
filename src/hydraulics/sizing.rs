//! Pressure loss of a straight run backwards: the flow that a loss drives, and the bore that a loss allows.

use super::HydraulicsError;
use super::argument::{not_negative, positive, result, within};
use super::darcy_weisbach::{Liquid, Straight, StraightLoss, straight_loss};
use super::friction::{LAMINAR_UP_TO, REYNOLDS_UP_TO, ROUGHNESS_RATIO_UP_TO};
use super::reynolds::{area_m2, kinematic_m2_s};
use super::root::rising_root;

/// Width of the closed bracket, relative to the answer.
const CLOSED_TO: f64 = 1.0e-12;
/// Most doublings while a bound is looked for.
const MOST_DOUBLINGS: u32 = 400;

/// A flow found for a given loss, and how well it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowForDrop {
    /// The flow in m³/s.
    pub flow_m3_s: f64,
    /// What that flow does in the run.
    pub loss: StraightLoss,
    /// Loss at that flow less the wanted loss, in Pa: the honest measure of convergence.
    pub residual_pa: f64,
    /// The explicit estimate the search began with, in m³/s.
    pub seed_m3_s: f64,
    /// Steps the search took.
    pub steps: u32,
}

/// A bore found for a given loss, and how well it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreForDrop {
    /// The smallest bore in m whose loss does not exceed the limit.
    pub bore_m: f64,
    /// What the flow does in that bore.
    pub loss: StraightLoss,
    /// Limit less the loss at that bore, in Pa; zero or above.
    pub spare_pa: f64,
    /// Steps the search took.
    pub steps: u32,
}

/// Explicit estimate of the flow that a friction loss drives.
///
/// # What it gives
/// The flow in m³/s: exact for laminar flow and exact (Colebrook) for turbulent flow when the run has
/// no loss coefficients; a start for a search otherwise.
///
/// # Formula
/// With w = √(2 dp d / (ρ L)): turbulent v = -2 w log10( e/(3.7 d) + 2.51 ν/(d w) ),
/// laminar Q = π d⁴ dp / (128 μ L), used when its Reynolds number is at most 2000.
///
/// # Valid for
/// `drop_pa` above 0, a length above 0, the other fields as [`straight_loss`] has them.
///
/// # Source
/// E. Maurer, Hydraulics and Water Resources: Examples Using R, eq. 3.9 (open textbook). Standing: read.
///
/// # Notes
/// It is not continuous: between the regimes only [`flow_for_drop`] has a meaning.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
/// use hosewright::hydraulics::sizing::explicit_flow_m3_s;
/// let run = Straight { bore_m: 0.5, length_m: 100.0, roughness_m: 4.6e-5, loss_sum: 0.0 };
/// let water = Liquid { density_kg_m3: 1000.0, viscosity_pa_s: 1.023e-3 };
/// assert!((explicit_flow_m3_s(&run, &water, 0.6 * 9810.0)? - 0.413).abs() < 5e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn explicit_flow_m3_s(
    run: &Straight,
    liquid: &Liquid,
    drop_pa: f64,
) -> Result<f64, HydraulicsError> {
    let drop = positive("the pressure loss", drop_pa)?;
    let bore = positive("the bore", run.bore_m)?;
    let length = positive("the length", run.length_m)?;
    let ratio = not_negative("the roughness", run.roughness_m)? / bore;
    within("the roughness ratio", ratio, 0.0, ROUGHNESS_RATIO_UP_TO)?;
    let density = positive("the density", liquid.density_kg_m3)?;
    let viscosity = positive("the viscosity", liquid.viscosity_pa_s)?;
    let area = area_m2(bore)?;
    let slow = drop * bore * bore / (32.0 * viscosity * length);
    if slow * bore * density / viscosity <= LAMINAR_UP_TO {
        return result("the flow", slow * area);
    }
    let w = (2.0 * drop * bore / (density * length)).sqrt();
    let inside = ratio / 3.7 + 2.51 * viscosity / (density * bore * w);
    result("the flow", (-2.0 * w * libm::log10(inside) * area).abs())
}

/// Flow that a given loss drives through a straight run with its loss coefficients.
///
/// # What it gives
/// The flow, what it does in the run, the residual and the count of steps.
///
/// # Formula
/// The root Q of [`straight_loss`] = `drop_pa`, enclosed between two bounds to 1e-12 of the flow.
/// The explicit estimate [`explicit_flow_m3_s`] starts the bounds.
///
/// # Valid for
/// `drop_pa` (Pa) zero or above. The run must have a length or a loss coefficient, and the answer a
/// Reynolds number up to 1e8.
///
/// # Source
/// As [`straight_loss`]; one root exists because the loss rises strictly with the flow.
///
/// # Notes
/// Judge the answer by `residual_pa`, not by the count of steps.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
/// use hosewright::hydraulics::sizing::flow_for_drop;
/// let run = Straight { bore_m: 0.008, length_m: 2.0, roughness_m: 1.5e-6, loss_sum: 1.5 };
/// let fuel = Liquid { density_kg_m3: 740.0, viscosity_pa_s: 0.0005 };
/// let found = flow_for_drop(&run, &fuel, 3_000.0)?;
/// assert!(found.residual_pa.abs() < 1e-6);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// The errors of [`straight_loss`]; [`HydraulicsError::NoAnswer`] when even a Reynolds number of 1e8 loses less.
pub fn flow_for_drop(
    run: &Straight,
    liquid: &Liquid,
    drop_pa: f64,
) -> Result<FlowForDrop, HydraulicsError> {
    let wanted = not_negative("the pressure loss", drop_pa)?;
    let still = straight_loss(run, liquid, 0.0)?;
    if wanted == 0.0 {
        return Ok(FlowForDrop {
            flow_m3_s: 0.0,
            loss: still,
            residual_pa: 0.0,
            seed_m3_s: 0.0,
            steps: 0,
        });
    }
    let fastest = largest_flow(run.bore_m, liquid)?;
    let seed = if run.length_m > 0.0 {
        explicit_flow_m3_s(run, liquid, wanted)?.min(fastest)
    } else {
        fastest
    };
    let miss = |flow| Ok(straight_loss(run, liquid, flow)?.drop_pa - wanted);
    let bounds = flow_bounds(seed, fastest, miss)?;
    let root = rising_root("flow", bounds, CLOSED_TO, miss)?;
    let flow = 0.5 * (root.below + root.above);
    let loss = straight_loss(run, liquid, flow)?;
    Ok(FlowForDrop {
        flow_m3_s: flow,
        loss,
        residual_pa: loss.drop_pa - wanted,
        seed_m3_s: seed,
        steps: root.steps,
    })
}

/// Flow at the largest Reynolds number of the friction formulas, a hair inside it.
fn largest_flow(bore_m: f64, liquid: &Liquid) -> Result<f64, HydraulicsError> {
    let viscosity = positive("the viscosity", liquid.viscosity_pa_s)?;
    let nu = kinematic_m2_s(viscosity, liquid.density_kg_m3)?;
    let velocity = REYNOLDS_UP_TO * (1.0 - 1.0e-12) * nu / bore_m;
    result("the flow", velocity * area_m2(bore_m)?)
}

/// Two flows on either side of the wanted loss, stepped outward from the seed.
fn flow_bounds(
    seed: f64,
    fastest: f64,
    miss: impl Fn(f64) -> Result<f64, HydraulicsError>,
) -> Result<(f64, f64), HydraulicsError> {
    let mut high = (seed * 1.001).min(fastest);
    let mut low = high;
    for _ in 0..MOST_DOUBLINGS {
        if miss(high)? >= 0.0 {
            break;
        }
        if high >= fastest {
            return Err(HydraulicsError::NoAnswer { what: "flow", low: 0.0, high: fastest });
        }
        low = high;
        high = (high * 2.0).min(fastest);
    }
    for _ in 0..MOST_DOUBLINGS {
        if miss(low)? <= 0.0 {
            return Ok((low, high));
        }
        high = low;
        low *= 0.5;
    }
    Ok((0.0, high))
}

/// Smallest bore whose loss at a given flow stays within a limit.
///
/// # What it gives
/// The bore in m, what the flow does in it, what is spare of the limit, and the count of steps.
///
/// # Formula
/// The root d of [`straight_loss`] = limit, enclosed to 1e-12 of the bore; the end that keeps the limit is given.
///
/// # Valid for
/// Flow (m³/s) and `limit_pa` (Pa) above 0; `shape.bore_m` is not looked at. The bores looked at have a
/// roughness ratio up to 0.05 and a Reynolds number up to 1e8.
///
/// # Source
/// As [`straight_loss`]; one root exists because the loss falls strictly with a larger bore.
///
/// # Notes
/// `loss_sum` is kept fixed while the bore changes. Step up to a real size and work out that size again.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight};
/// use hosewright::hydraulics::sizing::bore_for_drop;
/// let shape = Straight { bore_m: 0.0, length_m: 3.0, roughness_m: 1.5e-6, loss_sum: 2.0 };
/// let oil = Liquid { density_kg_m3: 870.0, viscosity_pa_s: 0.04 };
/// let found = bore_for_drop(&shape, &oil, 30.0e-3 / 60.0, 50_000.0)?;
/// assert!(found.loss.drop_pa <= 50_000.0 && found.spare_pa < 1e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// The errors of [`straight_loss`]; [`HydraulicsError::NoAnswer`] when the smallest bore the formulas
/// cover already keeps the limit.
pub fn bore_for_drop(
    shape: &Straight,
    liquid: &Liquid,
    flow_m3_s: f64,
    limit_pa: f64,
) -> Result<BoreForDrop, HydraulicsError> {
    let flow = positive("the flow", flow_m3_s)?;
    let limit = positive("the limit of the pressure loss", limit_pa)?;
    let least = least_bore(shape, liquid, flow)?;
    let at = |bore_m: f64| straight_loss(&Straight { bore_m, ..*shape }, liquid, flow);
    let spare = |bore_m: f64| Ok(limit - at(bore_m)?.drop_pa);
    if spare(least)? > 0.0 {
        return Err(HydraulicsError::NoAnswer { what: "bore", low: least, high: f64::INFINITY });
    }
    let mut bounds = (least, least * 2.0);
    for _ in 0..MOST_DOUBLINGS {
        if spare(bounds.1)? >= 0.0 {
            break;
        }
        bounds = (bounds.1, bounds.1 * 2.0);
    }
    let root = rising_root("bore", bounds, CLOSED_TO, spare)?;
    let loss = at(root.above)?;
    Ok(BoreForDrop { bore_m: root.above, loss, spare_pa: limit - loss.drop_pa, steps: root.steps })
}

/// Smallest bore for which the friction formulas hold at a flow.
fn least_bore(shape: &Straight, liquid: &Liquid, flow: f64) -> Result<f64, HydraulicsError> {
    let viscosity = positive("the viscosity", liquid.viscosity_pa_s)?;
    let nu = kinematic_m2_s(viscosity, liquid.density_kg_m3)?;
    let by_reynolds = flow / (core::f64::consts::FRAC_PI_4 * nu * REYNOLDS_UP_TO);
    let by_wall = not_negative("the roughness", shape.roughness_m)? / ROUGHNESS_RATIO_UP_TO;
    let least = by_reynolds.max(by_wall) * (1.0 + 1.0e-12);
    positive("the smallest bore", result("the smallest bore", least)?)
}
