//! Tanks and lines while time runs, worked out as a row of steady states: levels that fall, flows that start.

use super::HydraulicsError;
use super::argument::{finite, not_negative, positive, result, within};
use super::reynolds::area_m2;

/// A level that falls, and the strength of gravity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Free surface of the tank in m², above 0; of two joined tanks see [`joined_surface_m2`].
    pub surface_m2: f64,
    /// Height of the level above the outlet, or above the other level, at first, in m.
    pub from_m: f64,
    /// The same height at last, in m; at most `from_m`.
    pub to_m: f64,
    /// Gravity in m/s², above 0.
    pub gravity_m_s2: f64,
}

impl Fall {
    fn checked(&self) -> Result<(f64, f64, f64, f64), HydraulicsError> {
        let from = not_negative("the height at first", self.from_m)?;
        let to = within("the height at last", self.to_m, 0.0, from)?;
        let surface = positive("the surface", self.surface_m2)?;
        Ok((surface, from, to, positive("the gravity", self.gravity_m_s2)?))
    }
}

/// Time in which a level falls through a line whose losses go with the square of the flow.
///
/// # What it gives
/// The time in s.
///
/// # Formula
/// t = (2 A/a) √(S/(2 g)) (√H1 - √H2), a the bore's area, S = f L/d + ΣK with 1 for the outlet's velocity head
///
/// # Valid for
/// Turbulent flow all the way with one `loss_sum` S above 0; `bore_m` above 0; straight walls; air that
/// comes and goes freely. Heights from 0.
///
/// # Source
/// Quasi-steady integration of the energy balance; e.g. Schaschke, Fluid Mechanics: Worked Examples for
/// Engineers, Example 8.13. Standing: quoted-elsewhere.
///
/// # Notes
/// Filling from a higher level is the same fall of the height between the two levels. Towards the end the
/// flow turns laminar and the true time is longer.
///
/// ```
/// use hosewright::hydraulics::tank::{Fall, square_law_time_s};
/// let fall = Fall { surface_m2: 4.0, from_m: 2.0, to_m: 0.5, gravity_m_s2: 9.81 };
/// assert!((square_law_time_s(&fall, 0.025, 18.5)? - 11_190.0).abs() < 1.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn square_law_time_s(fall: &Fall, bore_m: f64, loss_sum: f64) -> Result<f64, HydraulicsError> {
    let (surface, from, to, gravity) = fall.checked()?;
    let times = 2.0 * surface / area_m2(bore_m)?;
    let slow = (positive("the sum of losses", loss_sum)? / (2.0 * gravity)).sqrt();
    result("the time", times * slow * (from.sqrt() - to.sqrt()))
}

/// A line whose whole loss is laminar friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaminarLine {
    /// Bore in m, above 0.
    pub bore_m: f64,
    /// Length in m, above 0.
    pub length_m: f64,
    /// Viscosity over density of the liquid in m²/s, above 0.
    pub kinematic_m2_s: f64,
}

/// Time in which a level falls through a line in laminar flow.
///
/// # What it gives
/// The time in s.
///
/// # Formula
/// t = 128 ν L A / (π d⁴ g) · ln(H1/H2)
///
/// # Valid for
/// Laminar flow all the way; entrance, outlet and fittings small beside the friction; straight walls.
/// `to_m` above 0: the last drop never comes.
///
/// # Source
/// Quasi-steady integration of Hagen and Poiseuille; e.g. Schaschke, Fluid Mechanics: Worked Examples for
/// Engineers, Example 6.10. Standing: quoted-elsewhere.
///
/// # Notes
/// Thick oil in a small bore; the caller checks the Reynolds number at the first height.
///
/// ```
/// use hosewright::hydraulics::tank::{Fall, LaminarLine, laminar_time_s};
/// let fall = Fall { surface_m2: 1.130_973, from_m: 1.5, to_m: 0.836_854, gravity_m_s2: 9.81 };
/// let line = LaminarLine { bore_m: 0.025, length_m: 3.0, kinematic_m2_s: 0.08 / 1100.0 };
/// assert!((laminar_time_s(&fall, &line)? - 1531.1).abs() < 0.1);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn laminar_time_s(fall: &Fall, line: &LaminarLine) -> Result<f64, HydraulicsError> {
    let (surface, from, to, gravity) = fall.checked()?;
    let bore = positive("the bore", line.bore_m)?;
    let length = positive("the length", line.length_m)?;
    let nu = positive("the kinematic viscosity", line.kinematic_m2_s)?;
    let fold = from / positive("the height at last", to)?;
    // 128/(π d⁴) is 32/(a d²), with a the bore's area.
    let slow = 32.0 * nu * length * surface / (area_m2(bore)? * bore * bore * gravity);
    result("the time", slow * libm::log(fold))
}

/// The one surface that stands for two tanks joined by a line.
///
/// # What it gives
/// The surface in m² with which the height between the two levels falls.
///
/// # Formula
/// A = A1 A2/(A1 + A2)
///
/// # Valid for
/// Both surfaces in m², above 0, straight walls.
///
/// # Source
/// Continuity: what leaves one tank enters the other. Standing: common-practice.
///
/// # Notes
/// A tank beyond measure leaves the other's own surface.
///
/// ```
/// use hosewright::hydraulics::tank::joined_surface_m2;
/// assert_eq!(joined_surface_m2(2.0, 2.0)?, 1.0);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::NotRepresentable`].
pub fn joined_surface_m2(one_m2: f64, other_m2: f64) -> Result<f64, HydraulicsError> {
    let one = positive("the surface of one tank", one_m2)?;
    let other = positive("the surface of the other tank", other_m2)?;
    let (small, large) = (one.min(other), one.max(other));
    positive("the joined surface", small / (1.0 + small / large))
}

/// Time in which a flow reaches a share of its final value after a valve opens.
///
/// # What it gives
/// The time in s.
///
/// # Formula
/// t = ρ L v/(2 dp) · ln((1 + s)/(1 - s)), v the final velocity, s the share
///
/// # Valid for
/// One bore, losses with the square of the flow, a pressure difference that stays, a liquid and wall that do
/// not give. `share` from 0 to below 1; the rest above 0.
///
/// # Source
/// E.g. Daugherty and Franzini, Fluid Mechanics with Engineering Applications, Example 13.3.
/// Standing: quoted-elsewhere.
///
/// # Notes
/// The full flow is never quite reached; 99 % is the usual end.
///
/// ```
/// use hosewright::hydraulics::tank::establishing_time_s;
/// // 2 m of water over 15 m of line that ends up at 2.953 m/s
/// let half = establishing_time_s(1000.0, 15.0, 2.953, 19_620.0, 0.5)?;
/// assert!((half - 1.240).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn establishing_time_s(
    density_kg_m3: f64,
    length_m: f64,
    final_velocity_m_s: f64,
    pressure_pa: f64,
    share: f64,
) -> Result<f64, HydraulicsError> {
    let density = positive("the density", density_kg_m3)?;
    let length = positive("the length", length_m)?;
    let velocity = positive("the final velocity", final_velocity_m_s)?;
    let pressure = positive("the pressure difference", pressure_pa)?;
    let share = within("the share of the final flow", share, 0.0, 1.0 - f64::EPSILON)?;
    let scale = density * length * velocity / (2.0 * pressure);
    // ln((1 + s)/(1 - s)), exact for small shares too.
    result("the time", scale * (libm::log1p(share) - libm::log1p(-share)))
}

/// What comes of a tank that is fed and drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outlook {
    /// It runs over.
    Overflows {
        /// Time until then, in s.
        after_s: f64,
    },
    /// It runs empty.
    Empties {
        /// Time until then, in s.
        after_s: f64,
    },
    /// It stays as it is.
    Stays,
}

/// Time until a tank runs over or runs empty.
///
/// # What it gives
/// Which of the two comes, and after how many seconds; or that neither does.
///
/// # Formula
/// t = (capacity - volume)/(inflow - outflow), or volume/(outflow - inflow)
///
/// # Valid for
/// `volume_m3` from 0 to `capacity_m3` (above 0), both flows (m³/s) steady and zero or above.
///
/// # Source
/// Continuity. Standing: common-practice.
///
/// # Notes
/// Flows that are equal on paper are not in the machine: look at both signs of their error.
///
/// ```
/// use hosewright::hydraulics::tank::{Outlook, outlook};
/// // 10 L in a tank of 20 L, 2 L/min in and 1 L/min out
/// let found = outlook(0.010, 0.020, 2e-3 / 60.0, 1e-3 / 60.0)?;
/// assert!(matches!(found, Outlook::Overflows { after_s } if (after_s - 600.0).abs() < 1e-9));
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::Negative`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::OutOfRange`], [`HydraulicsError::NotRepresentable`].
pub fn outlook(
    volume_m3: f64,
    capacity_m3: f64,
    inflow_m3_s: f64,
    outflow_m3_s: f64,
) -> Result<Outlook, HydraulicsError> {
    let capacity = positive("the capacity", capacity_m3)?;
    let volume = within("the volume", volume_m3, 0.0, capacity)?;
    let inflow = not_negative("the inflow", inflow_m3_s)?;
    let gain = finite("the gain", inflow - not_negative("the outflow", outflow_m3_s)?)?;
    let time = |volume: f64| result("the time", volume / gain.abs());
    Ok(if gain > 0.0 {
        Outlook::Overflows { after_s: time(capacity - volume)? }
    } else if gain < 0.0 {
        Outlook::Empties { after_s: time(volume)? }
    } else {
        Outlook::Stays
    })
}
