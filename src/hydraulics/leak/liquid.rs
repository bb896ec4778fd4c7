//! Pressure tests with liquid: what goes in, what temperature does to the pressure, the air that is trapped, what leaked.

use super::super::HydraulicsError;
use super::super::argument::{finite, not_negative, positive, result, within};

/// A tube that swells under pressure, closed at both ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwellingTube {
    /// Bore in m, above 0.
    pub bore_m: f64,
    /// Wall in m, above 0.
    pub wall_m: f64,
    /// Young's modulus in Pa, above 0.
    pub modulus_pa: f64,
    /// Poisson's ratio, 0 to 0.5.
    pub poisson: f64,
}

/// By how much of itself the room in a tube grows for each pascal.
///
/// # What it gives
/// The share in 1/Pa.
///
/// # Formula
/// At the bore, with j = bore²/(outside² - bore²) and h = (outside² + bore²)/(outside² - bore²): along j, round h, through
/// the wall -1; e = (s - ν (sum of the others))/E; twice that round and once that along.
///
/// # Valid for
/// As [`SwellingTube`] has it: round, elastic, closed ends that are free to move.
///
/// # Source
/// Lame's thick cylinder, texts on strength of materials. Standing: common-practice.
///
/// # Notes
/// A thick steel tube gives a fifteenth of what its water does, a hose many times that.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{SwellingTube, swelling_per_pa};
/// let steel = SwellingTube { bore_m: 0.011, wall_m: 0.0025, modulus_pa: 210e9, poisson: 0.3 };
/// assert!((swelling_per_pa(&steel)? - 2.86e-11).abs() < 0.01e-11);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`],
/// [`HydraulicsError::NotRepresentable`].
pub fn swelling_per_pa(tube: &SwellingTube) -> Result<f64, HydraulicsError> {
    let bore = positive("the bore", tube.bore_m)?;
    let outside = bore + 2.0 * positive("the wall", tube.wall_m)?;
    let modulus = positive("Young's modulus", tube.modulus_pa)?;
    let nu = within("Poisson's ratio", tube.poisson, 0.0, 0.5)?;
    let ring = (outside - bore) * (outside + bore);
    let along = bore * bore / ring;
    let round = (outside * outside + bore * bore) / ring;
    let stretch_round = round - nu * (along - 1.0);
    let stretch_along = along - nu * (round - 1.0);
    result("the swelling", (2.0 * stretch_round + stretch_along) / modulus)
}

/// A line full of liquid and closed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// Room in it in m³, above 0.
    pub volume_m3: f64,
    /// What liquid and wall give together, as a share of the room, in 1/Pa: 1/K of the liquid and the swelling; above 0.
    pub give_per_pa: f64,
    /// Air trapped in it, as much as it would be at `outside_pa`, in m³; zero or above.
    pub air_m3: f64,
    /// Absolute pressure of the air outside in Pa, above 0.
    pub outside_pa: f64,
}

impl Filled {
    /// What goes in from a pressure of nothing on, less what never mattered: only differences mean anything.
    fn taken_m3(&self, pressure_pa: f64) -> Result<f64, HydraulicsError> {
        let pressure = positive("the absolute pressure", pressure_pa)?;
        let volume = positive("the room", self.volume_m3)?;
        let give = positive("the give of liquid and wall", self.give_per_pa)?;
        let air = not_negative("the trapped air", self.air_m3)?;
        let outside = positive("the pressure outside", self.outside_pa)?;
        result("the volume", volume * give * pressure - air * outside / pressure)
    }
}

/// Liquid to be pumped in from one pressure to another.
///
/// # What it gives
/// The volume in m³.
///
/// # Formula
/// dV = V c (p2 - p1) + V0 p0 (1/p1 - 1/p2), c what liquid and wall give, V0 the trapped air at p0
///
/// # Valid for
/// Absolute pressures above 0; a hand pump that is slow enough for the air to stay as warm as the wall.
///
/// # Source
/// Definition of the bulk modulus, and Boyle's law for the air. Standing: common-practice.
///
/// # Notes
/// A line without air takes thousandths of what it holds.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{Filled, pumped_m3};
/// let full = Filled { volume_m3: 1e-3, give_per_pa: 1.0 / 2.18e9, air_m3: 0.0, outside_pa: 1e5 };
/// let ml = 1e6 * pumped_m3(&full, 1e5, 101e5)?;
/// assert!((ml - 4.587).abs() < 1e-3);
/// let bubble = Filled { air_m3: 10e-6, ..full };
/// assert!((1e6 * pumped_m3(&bubble, 1e5, 101e5)? - ml - 9.901).abs() < 1e-3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::NotRepresentable`].
pub fn pumped_m3(filled: &Filled, from_pa: f64, to_pa: f64) -> Result<f64, HydraulicsError> {
    result("the volume", filled.taken_m3(to_pa)? - filled.taken_m3(from_pa)?)
}

/// Air trapped in a line, from what had to be pumped in.
///
/// # What it gives
/// As much air as it would be at the pressure outside, in m³. Swelling that was not counted counts as air.
///
/// # Formula
/// V0 = (dV - V c (p2 - p1))/(p0 (1/p1 - 1/p2))
///
/// # Valid for
/// As [`pumped_m3`], `to_pa` above `from_pa`; `filled.air_m3` is not looked at.
///
/// # Source
/// [`pumped_m3`] solved for the air.
///
/// # Notes
/// Air makes a burst dangerous and hides a leak: it feeds it without losing pressure.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{Filled, trapped_air_m3};
/// let full = Filled { volume_m3: 1e-3, give_per_pa: 1.0 / 2.18e9, air_m3: 0.0, outside_pa: 1e5 };
/// assert!((trapped_air_m3(&full, 14.488e-6, 1e5, 101e5)? - 10e-6).abs() < 1e-9);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::Negative`] where less went in than liquid and wall alone take: the room is smaller than typed,
/// or a reading is wrong. [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`],
/// [`HydraulicsError::NotRepresentable`].
pub fn trapped_air_m3(
    filled: &Filled,
    pumped: f64,
    from_pa: f64,
    to_pa: f64,
) -> Result<f64, HydraulicsError> {
    positive("the rise of the pressure", finite("the pressure", to_pa)? - from_pa)?;
    let airless = Filled { air_m3: 0.0, ..*filled };
    let solid = pumped_m3(&airless, from_pa, to_pa)?;
    let more = not_negative("what was pumped in, less what liquid and wall take,", pumped - solid)?;
    let per_m3 = filled.outside_pa * (1.0 / from_pa - 1.0 / to_pa);
    result("the trapped air", more / per_m3)
}

/// Change of pressure for each kelvin in a line that is full and tight.
///
/// # What it gives
/// The change in Pa/K.
///
/// # Formula
/// dp/dT = (β - 3α)/(c + V0 p0/(V p²)), β of the liquid, α of the wall
///
/// # Valid for
/// Small changes; `expansion_per_k` (β less 3α) of any sign; `at_pa` above 0, absolute.
///
/// # Source
/// Definitions of expansion and bulk modulus. Standing: common-practice.
///
/// # Notes
/// Water in steel gains some 4 bar for each kelvin at room temperature: a line in the sun bursts, one in the shade seems
/// to leak. Air or a hose takes most of it away.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{Filled, pressure_per_kelvin_pa};
/// let full = Filled { volume_m3: 1e-3, give_per_pa: 4.8e-10, air_m3: 0.0, outside_pa: 1e5 };
/// assert!((pressure_per_kelvin_pa(&full, 1.7e-4, 1e6)? - 3.54e5).abs() < 1e3);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::NotRepresentable`].
pub fn pressure_per_kelvin_pa(
    filled: &Filled,
    expansion_per_k: f64,
    at_pa: f64,
) -> Result<f64, HydraulicsError> {
    // The checks of every part are those of what it has taken in.
    filled.taken_m3(at_pa)?;
    let air = filled.air_m3 * filled.outside_pa / (filled.volume_m3 * at_pa * at_pa);
    let expansion = finite("the expansion", expansion_per_k)?;
    result("the change of pressure", expansion / (filled.give_per_pa + air))
}

/// A pressure test with liquid, read twice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiquidDecay {
    /// The line.
    pub filled: Filled,
    /// Absolute pressure at the start, Pa.
    pub start_pa: f64,
    /// Absolute pressure at the end, Pa.
    pub end_pa: f64,
    /// By how much of its volume the liquid would have grown between both at one pressure, less what the room did.
    pub grown_share: f64,
}

/// Liquid that leaked in a pressure test.
///
/// # What it gives
/// The volume in m³, negative where more is in it than at the start.
///
/// # Formula
/// dV = V c (p1 - p2) + V0 p0 (1/p2 - 1/p1) + V g, g the growth by temperature
///
/// # Valid for
/// As [`Filled`] has it; absolute pressures above 0.
///
/// # Source
/// [`pumped_m3`] backwards, with the growth of the liquid.
///
/// # Notes
/// What air and swelling were not counted make the leak larger than this.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{Filled, LiquidDecay, leaked_m3};
/// let filled = Filled { volume_m3: 1e-3, give_per_pa: 4.8e-10, air_m3: 0.0, outside_pa: 1e5 };
/// // 3.54 bar less after a kelvin less: nothing has leaked.
/// let decay = LiquidDecay { filled, start_pa: 51e5, end_pa: 47.46e5, grown_share: -1.7e-4 };
/// assert!(leaked_m3(&decay)?.abs() < 1e-10);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::NotRepresentable`].
pub fn leaked_m3(decay: &LiquidDecay) -> Result<f64, HydraulicsError> {
    let given_back = pumped_m3(&decay.filled, decay.end_pa, decay.start_pa)?;
    let grown = decay.filled.volume_m3 * finite("the growth", decay.grown_share)?;
    result("the volume", given_back + grown)
}

/// Energy stored in a line full of liquid under pressure.
///
/// # What it gives
/// The energy in J that liquid and wall set free; that of trapped air is [`super::gas_energy_j`]'s.
///
/// # Formula
/// E = V c p²/2, p on the gauge
///
/// # Valid for
/// `gauge_pa` zero or above.
///
/// # Source
/// Work of a linear spring. Standing: common-practice.
///
/// # Notes
/// At 10 bar air holds some thousand times as much.
///
/// ```
/// use hosewright::hydraulics::leak::liquid::{Filled, stored_j};
/// let full = Filled { volume_m3: 1e-3, give_per_pa: 1.0 / 2.18e9, air_m3: 0.0, outside_pa: 1e5 };
/// assert!((stored_j(&full, 10e5)? - 0.2294).abs() < 1e-4);
/// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
/// ```
///
/// # Errors
/// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::Negative`],
/// [`HydraulicsError::NotRepresentable`].
pub fn stored_j(filled: &Filled, gauge_pa: f64) -> Result<f64, HydraulicsError> {
    let gauge = not_negative("the pressure on the gauge", gauge_pa)?;
    let volume = positive("the room", filled.volume_m3)?;
    let give = positive("the give of liquid and wall", filled.give_per_pa)?;
    result("the energy", 0.5 * volume * give * gauge * gauge)
}
