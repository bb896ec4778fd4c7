//! Viscosity of an oil between and near two measured temperatures (the Walther law of ASTM D341).

use super::HydraulicsError;
use super::argument::{positive, within};

/// Kinematic viscosities between which the law is stated, mm²/s.
const THINNEST_MM2_S: f64 = 0.21;
const THICKEST_MM2_S: f64 = 2.0e7;

/// A straight line of log10 log10 Z over log10 T.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walther {
    /// Height of the line at log10 T = 0.
    pub a: f64,
    /// Fall of the line per unit of log10 T.
    pub b: f64,
}

/// Z of a kinematic viscosity in mm²/s, with the terms for thin liquids.
fn z_of(viscosity_mm2_s: f64) -> f64 {
    let v = viscosity_mm2_s;
    v + 0.7 + libm::exp(-1.47 - 1.84 * v - 0.51 * v * v)
}

/// Kinematic viscosity of a Z, by the standard's own inverse.
fn viscosity_of(z: f64) -> f64 {
    let u = z - 0.7;
    u - libm::exp(-0.7487 - 3.295 * u + 0.6119 * u * u - 0.3193 * u * u * u)
}

impl Walther {
    /// The line through two measured viscosities.
    ///
    /// # What it gives
    /// The law, to be asked with [`Walther::viscosity_mm2_s`].
    ///
    /// # Formula
    /// log10 log10 Z = a - b log10 T, Z = ν + 0.7 + exp(-1.47 - 1.84 ν - 0.51 ν²), ν in mm²/s, T in K.
    ///
    /// # Valid for
    /// Mineral oils and fuels. Each point is (temperature in K, kinematic viscosity in mm²/s): temperatures
    /// above 0 and different, viscosities 0.21 to 2e7.
    ///
    /// # Source
    /// ASTM D341 (Walther and Maccoull). Standing: quoted-elsewhere (formula in open code, three worked values).
    ///
    /// # Notes
    /// Do not reach far below the colder point with a multigrade or polymer-thickened oil: it is thicker than this.
    ///
    /// ```
    /// use hosewright::hydraulics::viscosity::Walther;
    /// let oil = Walther::through((313.15, 404.0), (373.15, 28.0))?;
    /// assert!((oil.viscosity_mm2_s(333.15)? - 132.126).abs() < 0.005);
    /// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
    /// ```
    ///
    /// # Errors
    /// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`];
    /// [`HydraulicsError::NotPositive`] too when the hotter point is not the thinner one.
    pub fn through(one: (f64, f64), two: (f64, f64)) -> Result<Self, HydraulicsError> {
        let (x1, y1) = place(one)?;
        let (x2, y2) = place(two)?;
        let apart = x2 - x1;
        positive("the difference of the two temperatures", apart.abs())?;
        let b = positive("the fall of viscosity with temperature", (y1 - y2) / apart)?;
        Ok(Self { a: y1 + b * x1, b })
    }

    /// Kinematic viscosity at a temperature.
    ///
    /// # What it gives
    /// The kinematic viscosity in mm²/s.
    ///
    /// # Formula
    /// Z = 10^(10^(a - b log10 T)), u = Z - 0.7,
    /// ν = u - exp(-0.7487 - 3.295 u + 0.6119 u² - 0.3193 u³)
    ///
    /// # Valid for
    /// `temperature_k` above 0 K, as long as the answer lies between 0.21 and 2e7 mm²/s.
    ///
    /// # Source
    /// As [`Walther::through`].
    ///
    /// # Notes
    /// The inverse is the standard's fit: below 2 mm²/s it may return a given point only to some 0.1 %.
    ///
    /// ```
    /// use hosewright::hydraulics::viscosity::Walther;
    /// let oil = Walther::through((313.15, 68.0), (353.15, 14.85))?;
    /// assert!((oil.viscosity_mm2_s(373.15)? - 8.8).abs() < 0.03);
    /// # Ok::<(), hosewright::hydraulics::HydraulicsError>(())
    /// ```
    ///
    /// # Errors
    /// [`HydraulicsError::NotFinite`], [`HydraulicsError::NotPositive`], [`HydraulicsError::OutOfRange`].
    pub fn viscosity_mm2_s(&self, temperature_k: f64) -> Result<f64, HydraulicsError> {
        let x = libm::log10(positive("the temperature", temperature_k)?);
        let z = libm::exp10(libm::exp10(self.a - self.b * x));
        within(
            "the kinematic viscosity in mm2/s",
            viscosity_of(z.min(f64::MAX)),
            THINNEST_MM2_S,
            THICKEST_MM2_S,
        )
    }
}

fn place(point: (f64, f64)) -> Result<(f64, f64), HydraulicsError> {
    let (temperature_k, viscosity) = point;
    let x = libm::log10(positive("the temperature", temperature_k)?);
    let v = within("the kinematic viscosity in mm2/s", viscosity, THINNEST_MM2_S, THICKEST_MM2_S)?;
    Ok((x, libm::log10(libm::log10(z_of(v)))))
}
