//! Pressure loss of a straight round bore, forward: from the flow to the loss.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result};
use super::friction::{self, Friction};
use super::reynolds::{area_m2, kinematic_m2_s, reynolds, velocity_m_s};

/// A straight run of one bore, with the loss coefficients that stand on that bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straight {
    /// Bore in m, above 0.
    pub bore_m: f64,
    /// Length in m, zero or above.
    pub length_m: f64,
    /// Wall roughness height in m, zero or above, at most 0.05 of the bore.
    pub roughness_m: f64,
    /// Sum of the loss coefficients K on this bore, zero or above.
    pub loss_sum: f64,
}

/// The two properties of a liquid that the loss depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid {
    /// Density in kg/m³, above 0.
    pub density_kg_m3: f64,
    /// Dynamic viscosity in Pa s, above 0.
    pub viscosity_pa_s: f64,
}

/// What a flow does in a straight run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StraightLoss {
    /// Mean velocity in m/s; its sign is the flow's.
    pub velocity_m_s: f64,
    /// Reynolds number, zero or above.
    pub reynolds: f64,
    /// Friction factor; none when nothing flows.
    pub friction: Option<Friction>,
    /// Loss along the wall in Pa; its sign is the flow's.
    pub friction_pa: f64,
    /// Loss of the coefficients in Pa; its sign is the flow's.
    pub local_pa: f64,
    /// Both losses together in Pa; its sign is the flow's.
    pub drop_pa: f64,
}

/// Friction loss of a straight bore by Darcy and Weisbach.
///
/// # What it gives
/// The pressure loss in Pa; its sign is the velocity's.
///
/// # Formula
/// dp = f (L/d) ρ v |v| / 2, f Darcy's factor.
///
/// # Valid for
/// `friction_factor` and `length_m` (m) zero or above, `bore_m` (m) and `density_kg_m3` (kg/m³) above 0,
/// `velocity_m_s` in m/s of either sign.
///
/// # Source
/// Darcy-Weisbach; e.g. Cengel and Cimbala, Fluid Mechanics, ch. 8. Standing: quoted-elsewhere.
///
/// # Notes
/// Books of chemical engineering print Fanning's factor, a quarter of Darcy's.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::drop_pa;
/// assert!((drop_pa(0.02, 10.0, 0.01, 1000.0, 1.0)? - 10_000.0).abs() < 1e-9);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn drop_pa(
    friction_factor: f64,
    length_m: f64,
    bore_m: f64,
    density_kg_m3: f64,
    velocity_m_s: f64,
) -> Result<f64, HydraulicsError> {
    let factor = not_negative("the friction factor", friction_factor)?;
    let length = not_negative("the length", length_m)?;
    let bore = positive("the bore", bore_m)?;
    let velocity = finite("the velocity", velocity_m_s)?;
    let head = 0.5 * positive("the density", density_kg_m3)? * velocity * velocity.abs();
    result("the pressure loss", factor * (length / bore) * head)
}

/// Laminar loss of a straight bore by Hagen and Poiseuille.
///
/// # What it gives
/// The pressure loss in Pa; its sign is the flow's.
///
/// # Formula
/// dp = 128 μ L Q / (π d⁴)
///
/// # Valid for
/// Laminar flow (Re up to 2000), fully developed. `viscosity_pa_s` above 0 (Pa s), `length_m` zero or
/// above (m), `flow_m3_s` of either sign (m³/s), `bore_m` above 0 (m).
///
/// # Source
/// Hagen-Poiseuille; e.g. Douglas, Gasiorek and Swaffield, Fluid Mechanics, ch. 10. Standing: quoted-elsewhere.
///
/// # Notes
/// The density does not enter: thick oil costs by its viscosity alone. The caller checks the regime.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::hagen_poiseuille_pa;
/// // 1.8 L/min of glycerol, 6.5 m of 10 mm bore
/// assert!((hagen_poiseuille_pa(0.9, 6.5, 0.0018 / 60.0, 0.01)? - 715_051.3).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn hagen_poiseuille_pa(
    viscosity_pa_s: f64,
    length_m: f64,
    flow_m3_s: f64,
    bore_m: f64,
) -> Result<f64, HydraulicsError> {
    let viscosity = positive("the viscosity", viscosity_pa_s)?;
    let length = not_negative("the length", length_m)?;
    let velocity = velocity_m_s(finite("the flow", flow_m3_s)?, bore_m)?;
    result("the pressure loss", 32.0 * viscosity * length * velocity / (bore_m * bore_m))
}

/// Everything a given flow does in a straight run: velocity, Reynolds number, friction, losses.
///
/// # What it gives
/// A [`StraightLoss`]; no flow gives no loss and no friction factor.
///
/// # Formula
/// [`friction::darcy`], then dp = (f L/d + ΣK) ρ v |v| / 2.
///
/// # Valid for
/// Flow in m³/s of either sign, up to a Reynolds number of 1e8; the fields of [`Straight`] and [`Liquid`]
/// as stated there.
///
/// # Source
/// As [`drop_pa`] and [`friction::darcy`].
///
/// # Notes
/// The loss rises strictly with the flow, through the transition too.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
/// let run = Straight { bore_m: 0.003, length_m: 9.0, roughness_m: 0.0, loss_sum: 0.0 };
/// let water = Liquid { density_kg_m3: 1000.0, viscosity_pa_s: 0.001_519 };
/// let loss = straight_loss(&run, &water, 6.361_725e-6)?;
/// assert!((loss.drop_pa - 43_747.2).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// Every error of [`friction::darcy`] and of the argument checks.
pub fn straight_loss(
    run: &Straight,
    liquid: &Liquid,
    flow_m3_s: f64,
) -> Result<StraightLoss, HydraulicsError> {
    let ratio = not_negative("the roughness", run.roughness_m)? / positive("the bore", run.bore_m)?;
    let loss_sum = not_negative("the sum of loss coefficients", run.loss_sum)?;
    let viscosity = positive("the viscosity", liquid.viscosity_pa_s)?;
    let velocity = velocity_m_s(flow_m3_s, run.bore_m)?;
    let re = reynolds(velocity, run.bore_m, kinematic_m2_s(viscosity, liquid.density_kg_m3)?)?;
    let friction = if re > 0.0 { Some(friction::darcy(re, ratio)?) } else { None };
    let factor = friction.map_or(0.0, |f| f.factor);
    let density = liquid.density_kg_m3;
    let friction_pa = drop_pa(factor, run.length_m, run.bore_m, density, velocity)?;
    let local_pa =
        result("the pressure loss", loss_sum * 0.5 * density * velocity * velocity.abs())?;
    Ok(StraightLoss {
        velocity_m_s: velocity,
        reynolds: re,
        friction,
        friction_pa,
        local_pa,
        drop_pa: result("the pressure loss", friction_pa + local_pa)?,
    })
}

/// Velocity that a pressure difference drives when the whole loss is known as one sum.
///
/// # What it gives
/// The velocity in m/s.
///
/// # Formula
/// v = √( 2 dp / (ρ S) ), S = f L/d + ΣK, with 1 added when the velocity head is lost at a free outlet.
///
/// # Valid for
/// `pressure_pa` (Pa) zero or above, `density_kg_m3` (kg/m³) and `sum` above 0.
///
/// # Source
/// Energy balance along one line; e.g. Daugherty and Franzini, Fluid Mechanics, ch. 8. Standing: quoted-elsewhere.
///
/// # Notes
/// Good only for a factor that does not change with the flow; [`super::sizing::flow_for_drop`] needs no such guess.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::velocity_for_drop_m_s;
/// assert!((velocity_for_drop_m_s(1000.0, 1000.0, 2.0)? - 1.0).abs() < 1e-15);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn velocity_for_drop_m_s(
    pressure_pa: f64,
    density_kg_m3: f64,
    sum: f64,
) -> Result<f64, HydraulicsError> {
    let pressure = not_negative("the pressure difference", pressure_pa)?;
    let density = positive("the density", density_kg_m3)?;
    let squared = 2.0 * pressure / density / positive("the sum of losses", sum)?;
    result("the velocity", squared.sqrt())
}

/// Bore whose mean velocity is a given one.
///
/// # What it gives
/// The bore in m at which `flow_m3_s` runs at `velocity_m_s`.
///
/// # Formula
/// d = √( 4 Q / (π v) )
///
/// # Valid for
/// Flow (m³/s) and velocity (m/s) above 0.
///
/// # Source
/// Continuity; e.g. Esposito, Fluid Power with Applications, ch. 10. Standing: quoted-elsewhere.
///
/// # Notes
/// A velocity limit is a habit of the trade, not a law; look at the pressure loss as well.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::bore_for_velocity_m;
/// use hosewright::hydraulics::reynolds::velocity_m_s;
/// let bore = bore_for_velocity_m(0.001, 2.0)?;
/// assert!((velocity_m_s(0.001, bore)? - 2.0).abs() < 1e-14);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn bore_for_velocity_m(flow_m3_s: f64, velocity_m_s: f64) -> Result<f64, HydraulicsError> {
    let flow = positive("the flow", flow_m3_s)?;
    let velocity = positive("the velocity", velocity_m_s)?;
    let bore = (flow / velocity / core::f64::consts::FRAC_PI_4).sqrt();
    area_m2(result("the bore", bore)?)?;
    Ok(bore)
}

/// Hydraulic diameter of a passage that is not round.
///
/// # What it gives
/// The bore in m to use in the turbulent formulas.
///
/// # Formula
/// d = 4 A / P
///
/// # Valid for
/// Turbulent flow in annuli and near-square passages; `area_m2` (m²) and `wetted_perimeter_m` (m) above 0.
///
/// # Source
/// E.g. Schaschke, Fluid Mechanics: Worked Examples for Engineers, Example 8.14. Standing: quoted-elsewhere.
///
/// # Notes
/// Laminar flow in such passages does not follow 64/Re. The velocity comes from the true area.
///
/// ```
/// use hosewright::hydraulics::darcy_weisbach::hydraulic_diameter_m;
/// assert_eq!(hydraulic_diameter_m(1.0, 4.0)?, 1.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn hydraulic_diameter_m(area_m2: f64, wetted_perimeter_m: f64) -> Result<f64, HydraulicsError> {
    let area = positive("the area", area_m2)?;
    let perimeter = positive("the wetted perimeter", wetted_perimeter_m)?;
    result("the hydraulic diameter", 4.0 * area / perimeter)
}
