//! What may be added, multiplied and divided: only what means something.

use core::ops::{Add, Div, Mul, Neg, Sub};

use super::quantity::{
    AbsolutePressure, Acceleration, Angle, Area, Conductivity, Density, DynamicViscosity, Energy,
    Flow, Force, GaugePressure, HeatExpansion, KinematicViscosity, Length, LinearMass, Mass,
    MassFlow, Power, PressureDifference, Quantity, Ratio, SpecificHeat, Stress, Temperature,
    TemperatureDifference, Time, Torque, Velocity, Volume,
};

/// Kinds with a true zero: they add up, take factors, and two of them make a ratio.
macro_rules! additive {
    ($($name:ident),* $(,)?) => {$(
        impl Add for $name {
            type Output = Self;

            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;

            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;

            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;

            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;

            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = Ratio;

            fn div(self, other: Self) -> Ratio {
                Ratio::from_si(self.si() / other.si())
            }
        }

        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
                parts.fold(Self::from_si(0.0), Add::add)
            }
        }
    )*};
}

additive!(
    Length,
    Area,
    Volume,
    Angle,
    Time,
    Velocity,
    Acceleration,
    Mass,
    LinearMass,
    Density,
    Force,
    Torque,
    Power,
    Energy,
    Flow,
    MassFlow,
    DynamicViscosity,
    KinematicViscosity,
    PressureDifference,
    TemperatureDifference,
    Ratio,
    SpecificHeat,
    Conductivity,
    Stress,
    HeatExpansion,
);

/// One product and the quotients that follow from it.
macro_rules! product {
    ($left:ident * $right:ident = $out:ident) => {
        product!(@times $left, $right, $out);
        product!(@times $right, $left, $out);
        product!(@over $out, $left, $right);
        product!(@over $out, $right, $left);
    };
    ($left:ident squared = $out:ident) => {
        product!(@times $left, $left, $out);
        product!(@over $out, $left, $left);
    };
    (@times $left:ident, $right:ident, $out:ident) => {
        impl Mul<$right> for $left {
            type Output = $out;

            fn mul(self, other: $right) -> $out {
                $out((self.0 * other.0).into())
            }
        }
    };
    (@over $left:ident, $right:ident, $out:ident) => {
        impl Div<$right> for $left {
            type Output = $out;

            fn div(self, other: $right) -> $out {
                $out((self.0 / other.0).into())
            }
        }
    };
}

product!(Length squared = Area);
product!(Length * Area = Volume);
product!(Velocity * Time = Length);
product!(Acceleration * Time = Velocity);
product!(Velocity * Area = Flow);
product!(Flow * Time = Volume);
product!(Density * Volume = Mass);
product!(Density * Flow = MassFlow);
product!(MassFlow * Time = Mass);
product!(LinearMass * Length = Mass);
product!(Density * KinematicViscosity = DynamicViscosity);
product!(Mass * Acceleration = Force);
product!(PressureDifference * Area = Force);
product!(PressureDifference * Flow = Power);
product!(Power * Time = Energy);

impl Mul<Length> for Force {
    type Output = Torque;

    fn mul(self, arm: Length) -> Torque {
        Torque::from_si(self.si() * arm.si())
    }
}

/// A kind that counts from a zero of its own: points on a scale, with differences between them.
macro_rules! scale {
    ($point:ident, $difference:ident) => {
        impl Sub for $point {
            type Output = $difference;

            fn sub(self, other: Self) -> $difference {
                $difference::from_si(self.si() - other.si())
            }
        }

        impl Add<$difference> for $point {
            type Output = Self;

            fn add(self, change: $difference) -> Self {
                Self::from_si(self.si() + change.si())
            }
        }

        impl Sub<$difference> for $point {
            type Output = Self;

            fn sub(self, change: $difference) -> Self {
                Self::from_si(self.si() - change.si())
            }
        }
    };
}

scale!(Temperature, TemperatureDifference);
scale!(GaugePressure, PressureDifference);
scale!(AbsolutePressure, PressureDifference);

impl GaugePressure {
    /// The same pressure counted from vacuum.
    ///
    /// ```
    /// use hosewright::units::{AbsolutePressure, GaugePressure, read};
    /// let ambient: AbsolutePressure = read("1 bar abs")?;
    /// let tank: GaugePressure = read("2.5 bar")?;
    /// assert_eq!(tank.absolute(ambient), read("3.5 bar abs")?);
    /// # Ok::<(), hosewright::units::ReadError>(())
    /// ```
    #[must_use]
    pub fn absolute(self, ambient: AbsolutePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + ambient.0)
    }
}

impl AbsolutePressure {
    /// The same pressure counted from ambient.
    #[must_use]
    pub fn gauge(self, ambient: Self) -> GaugePressure {
        GaugePressure(self.0 - ambient.0)
    }
}
