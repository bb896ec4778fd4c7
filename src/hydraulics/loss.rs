//! Local losses: what a coefficient K costs, on which bore it stands, and the coefficients of entrances, exits and fittings.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result, within};
use super::friction::{LAMINAR_UP_TO, Regime, TURBULENT_FROM};
use super::sudden::fourth;

pub use super::sudden::{
    contraction_k, expansion_k, laminar_contraction_k, laminar_expansion_k, sudden_contraction_k,
    sudden_expansion_k,
};

/// Pressure that a loss coefficient costs.
///
/// # What it gives
/// The pressure loss in Pa; its sign is the velocity's, or opposite where K is negative.
///
/// # Formula
/// dp = K ρ v |v| / 2
///
/// # Valid for
/// `k` of either sign (a converging tee may have a negative one), `density_kg_m3` (kg/m³) above 0,
/// `velocity_m_s` (m/s) in the bore on which K stands.
///
/// # Source
/// Definition of K.
///
/// # Notes
/// A K without its bore means nothing; see [`k_at_other_bore`].
///
/// ```
/// use hosewright::hydraulics::loss::loss_pa;
/// assert_eq!(loss_pa(10.0, 1000.0, 2.0)?, 20_000.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn loss_pa(k: f64, density_kg_m3: f64, velocity_m_s: f64) -> Result<f64, HydraulicsError> {
    let k = finite("the loss coefficient", k)?;
    let density = positive("the density", density_kg_m3)?;
    let velocity = finite("the velocity", velocity_m_s)?;
    result("the pressure loss", k * 0.5 * density * velocity * velocity.abs())
}

/// The same loss, stated on another bore.
///
/// # What it gives
/// The coefficient that costs the same pressure at the same flow when put on `new_bore_m`.
///
/// # Formula
/// K2 = K1 (d2/d1)⁴
///
/// # Valid for
/// Both bores in m, above 0.
///
/// # Source
/// Definition of K and continuity.
///
/// # Notes
/// Moving K the wrong way is the commonest slip with reducers.
///
/// ```
/// use hosewright::hydraulics::loss::k_at_other_bore;
/// assert_eq!(k_at_other_bore(1.0, 0.010, 0.020)?, 16.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn k_at_other_bore(k: f64, bore_m: f64, new_bore_m: f64) -> Result<f64, HydraulicsError> {
    let k = finite("the loss coefficient", k)?;
    let ratio = positive("the new bore", new_bore_m)? / positive("the bore", bore_m)?;
    result("the loss coefficient", k * fourth(ratio))
}

/// Length of straight bore that costs as much as a coefficient.
///
/// # What it gives
/// The equivalent length in m.
///
/// # Formula
/// L = K d / f
///
/// # Valid for
/// `k` zero or above, `bore_m` (m) and `friction_factor` (Darcy) above 0.
///
/// # Source
/// Definition; e.g. Esposito, Fluid Power with Applications, Example 4-8. Standing: quoted-elsewhere.
///
/// # Notes
/// It changes with the friction factor: the same valve is a short length in thick oil and a long one in water.
///
/// ```
/// use hosewright::hydraulics::loss::equivalent_length_m;
/// assert!((equivalent_length_m(3.6, 0.154, 0.015)? - 36.96).abs() < 1e-9);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn equivalent_length_m(
    k: f64,
    bore_m: f64,
    friction_factor: f64,
) -> Result<f64, HydraulicsError> {
    let k = not_negative("the loss coefficient", k)?;
    let bore = positive("the bore", bore_m)?;
    let f = positive("the friction factor", friction_factor)?;
    result("the equivalent length", k * bore / f)
}

/// Coefficient of an entrance from a tank, flush with the wall, with a rounded or sharp edge (Rennels).
///
/// # What it gives
/// K on the bore.
///
/// # Formula
/// q = edge radius over bore, λ = 1 + 0.622 (1 - 0.30 √q - 0.70 q)⁴,
/// K = 0.0696 (1 - 0.569 q) λ² + (λ - 1)²
///
/// # Valid for
/// Turbulent flow; `edge_radius_over_bore` 0 (sharp) to 1.
///
/// # Source
/// Rennels and Hudson, Pipe Flow (2012), ch. 9. Standing: from-memory for the rounded edge; the sharp
/// edge gives the 0.57 quoted elsewhere.
///
/// # Notes
/// Many books take 0.5 for a sharp edge; a pipe that sticks into the tank costs more (about 0.8).
///
/// ```
/// use hosewright::hydraulics::loss::entrance_k;
/// assert!((entrance_k(0.0)? - 0.570).abs() < 5e-4);
/// assert!(entrance_k(0.2)? < 0.2);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::OutOfRange`].
pub fn entrance_k(edge_radius_over_bore: f64) -> Result<f64, HydraulicsError> {
    let q = within("the edge radius over the bore", edge_radius_over_bore, 0.0, 1.0)?;
    let lambda = 1.0 + 0.622 * fourth(1.0 - 0.30 * q.sqrt() - 0.70 * q);
    Ok(0.0696 * (1.0 - 0.569 * q) * lambda * lambda + (lambda - 1.0) * (lambda - 1.0))
}

/// Coefficient of an outlet into a tank: the kinetic energy that the stream carries away.
///
/// # What it gives
/// K on the bore: 2 in laminar flow, 1 otherwise.
///
/// # Formula
/// The kinetic-energy factor of the profile: exactly 2 for the laminar parabola, close to 1 for turbulent flow.
///
/// # Valid for
/// Round bore. The transition takes the laminar value, the cautious one.
///
/// # Source
/// Integration of the parabola; for turbulent flow e.g. Cengel and Cimbala ch. 8 (1.06). Standing: quoted-elsewhere.
///
/// # Notes
/// Also the factor on v²/2 in an energy balance.
///
/// ```
/// use hosewright::hydraulics::{friction::Regime, loss::exit_k};
/// assert_eq!(exit_k(Regime::Laminar), 2.0);
/// assert_eq!(exit_k(Regime::Turbulent), 1.0);
/// ```
#[must_use]
pub const fn exit_k(regime: Regime) -> f64 {
    match regime {
        Regime::Laminar | Regime::Transition => 2.0,
        Regime::Turbulent => 1.0,
    }
}

/// Coefficient of an outlet into a tank at any Reynolds number, without a jump.
///
/// # What it gives
/// K on the bore: 2 in laminar flow, 1 in turbulent flow, between the two in the transition.
///
/// # Formula
/// Between Re 2000 and 4000: K = 2 - ln(Re/2000)/ln 2
///
/// # Valid for
/// Round bore; `reynolds` zero or above.
///
/// # Source
/// Ends: [`exit_k`]. Join: own interpolation, standing common-practice; the loss K v² still rises with the flow.
///
/// # Notes
/// For a solver, which a jump would leave without an answer; a single line is judged with [`exit_k`].
///
/// ```
/// use hosewright::hydraulics::loss::exit_k_at;
/// assert_eq!((exit_k_at(2000.0)?, exit_k_at(4000.0)?), (2.0, 1.0));
/// assert!((exit_k_at(2828.427_125)? - 1.5).abs() < 1e-9);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`].
pub fn exit_k_at(reynolds: f64) -> Result<f64, HydraulicsError> {
    let re = not_negative("the Reynolds number", reynolds)?;
    let inside = re.clamp(LAMINAR_UP_TO, TURBULENT_FROM);
    let share = libm::log(inside / LAMINAR_UP_TO) / libm::log(TURBULENT_FROM / LAMINAR_UP_TO);
    Ok(2.0 - share)
}

/// Coefficient of a fitting by the two-constant method (Hooper).
///
/// # What it gives
/// K on the fitting's bore.
///
/// # Formula
/// K = K1/Re + K∞ (1 + 1/D), D in inches
///
/// # Valid for
/// `k1`, `k_infinity` zero or above; `reynolds` and `bore_in` (**inches**, actual bore) above 0.
///
/// # Source
/// W. B. Hooper, The two-K method predicts head losses in pipe fittings, Chemical Engineering, Aug. 1981.
/// Standing: quoted-elsewhere.
///
/// # Notes
/// At 6 mm the size term multiplies K∞ by 5.2; no published data below about 10 mm were found.
///
/// ```
/// use hosewright::hydraulics::loss::two_k;
/// assert!((two_k(1500.0, 4.0, 10_000.0, 2.0)? - 6.15).abs() < 1e-12);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn two_k(
    k1: f64,
    k_infinity: f64,
    reynolds: f64,
    bore_in: f64,
) -> Result<f64, HydraulicsError> {
    let k1 = not_negative("the constant K1", k1)?;
    let k_infinity = not_negative("the constant K-infinity", k_infinity)?;
    let re = positive("the Reynolds number", reynolds)?;
    let bore = positive("the bore in inches", bore_in)?;
    result("the loss coefficient", k1 / re + k_infinity * (1.0 + 1.0 / bore))
}

/// Coefficient of a fitting by the three-constant method (Darby).
///
/// # What it gives
/// K on the fitting's bore.
///
/// # Formula
/// K = Km/Re + Ki (1 + Kd / Dn^0.3), Dn in inches
///
/// # Valid for
/// `km`, `ki`, `kd` zero or above; `reynolds` and `nominal_in` (**inches**, nominal size) above 0.
///
/// # Source
/// R. Darby, Correlate pressure drops through fittings, Chemical Engineering, July 1999 / April 2001.
/// Standing: quoted-elsewhere.
///
/// # Notes
/// Kd here is the form for inches; a form for millimetres has other constants.
///
/// ```
/// use hosewright::hydraulics::loss::three_k;
/// assert!((three_k(800.0, 0.14, 10_000.0, 4.0, 1.0)? - (0.08 + 0.14 * 5.0)).abs() < 1e-12);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn three_k(
    km: f64,
    ki: f64,
    reynolds: f64,
    kd: f64,
    nominal_in: f64,
) -> Result<f64, HydraulicsError> {
    let km = not_negative("the constant Km", km)?;
    let ki = not_negative("the constant Ki", ki)?;
    let kd = not_negative("the constant Kd", kd)?;
    let re = positive("the Reynolds number", reynolds)?;
    let size = positive("the nominal size in inches", nominal_in)?;
    result("the loss coefficient", km / re + ki * (1.0 + kd / libm::pow(size, 0.3)))
}
