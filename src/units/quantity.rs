//! The kinds of quantity that hoses and tubes are measured in, each a type of its own.

use core::fmt;
use core::str::FromStr;

use uom::si::f64 as si;

use super::accepted::{fluid, heat, mechanics, pressure, size};
use super::ladders;
use super::read::{ReadError, read};
use super::unit::Unit;
use super::write::{Ladder, System, write};

/// What every kind of quantity can do.
///
/// A text that is read always gives a finite number. `from_si` takes what it is given: the caller answers
/// for its being finite, and [`write`](super::write()) says so in words when it is not.
pub trait Quantity: Copy + PartialEq + PartialOrd + fmt::Debug + 'static {
    /// What two of them differ by: a kind of its own where the zero is one of convention.
    type Difference: Quantity;
    /// The name used in messages, for example "gauge pressure".
    const NAME: &'static str;
    /// Texts that read as this quantity.
    const EXAMPLES: &'static [&'static str];
    /// The least value there can be, in SI; minus infinity when there is none.
    const LEAST: f64 = f64::NEG_INFINITY;
    /// Whether the unit may stand in front of the number, as in "Kv 2.5".
    const UNIT_FIRST: bool = false;
    /// How the quantity is written in metric units.
    const METRIC: Ladder;
    /// How the quantity is written in inch units.
    const INCH: Ladder;
    /// The accepted units; the first is the SI unit.
    fn units() -> &'static [Unit];
    /// The quantity of so many SI units.
    fn from_si(value: f64) -> Self;
    /// How many SI units it is.
    fn si(self) -> f64;
}

/// Makes one kind of quantity around a quantity of the `uom` library.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident($inner:ident as $module:ident::$base:ident), $text:literal,
        [$($example:literal),+], $units:path, $metric:ident / $inch:ident
        $(, less $difference:ident)? $(, least $least:literal)?
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(pub(super) si::$inner);

        impl Quantity for $name {
            type Difference = difference!($($difference)?);

            const NAME: &'static str = $text;
            const EXAMPLES: &'static [&'static str] = &[$($example),+];
            $(const LEAST: f64 = $least;)?
            const METRIC: Ladder = ladders::$metric;
            const INCH: Ladder = ladders::$inch;

            fn units() -> &'static [Unit] {
                $units
            }

            fn from_si(value: f64) -> Self {
                Self(si::$inner::new::<uom::si::$module::$base>(value))
            }

            fn si(self) -> f64 {
                self.0.get::<uom::si::$module::$base>()
            }
        }

        impl From<si::$inner> for $name {
            fn from(inner: si::$inner) -> Self {
                Self(inner)
            }
        }

        impl From<$name> for si::$inner {
            fn from(quantity: $name) -> Self {
                quantity.0
            }
        }

        texts!($name);
    };
}

/// The kind of a difference: the same, unless another is named.
macro_rules! difference {
    () => {
        Self
    };
    ($name:ident) => {
        $name
    };
}

/// Reading and writing by the standard traits.
macro_rules! texts {
    ($name:ident) => {
        impl FromStr for $name {
            type Err = ReadError;

            fn from_str(text: &str) -> Result<Self, ReadError> {
                read(text)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.pad(&write(*self, System::Metric))
            }
        }
    };
}

quantity! {
    /// A length; SI unit m.
    Length(Length as length::meter), "length",
    ["12 mm", "3/8 in", "1 1/8 in", "486mm", "2.5 m"], size::LENGTH, LENGTH / LENGTH_INCH
}
quantity! {
    /// An area; SI unit m2.
    Area(Area as area::square_meter), "area",
    ["71 mm2", "0.11 in2"], size::AREA, AREA / AREA_INCH
}
quantity! {
    /// A volume; SI unit m3.
    Volume(Volume as volume::cubic_meter), "volume",
    ["4.5 L", "1 gal(US)", "250 mL"], size::VOLUME, VOLUME / VOLUME_INCH
}
quantity! {
    /// An angle; SI unit rad.
    Angle(Angle as angle::radian), "angle",
    ["45 deg", "0.5 rad", "90°"], size::ANGLE, ANGLE / ANGLE
}
quantity! {
    /// A time; SI unit s.
    Time(Time as time::second), "time",
    ["10 s", "20 ms", "2 h"], mechanics::TIME, TIME / TIME
}
quantity! {
    /// A velocity; SI unit m/s.
    Velocity(Velocity as velocity::meter_per_second), "velocity",
    ["1.2 m/s", "4 ft/s"], mechanics::VELOCITY, VELOCITY / VELOCITY_INCH
}
quantity! {
    /// An acceleration; SI unit m/s2.
    Acceleration(Acceleration as acceleration::meter_per_second_squared), "acceleration",
    ["9.81 m/s2", "1.5 g"], mechanics::ACCELERATION, ACCELERATION / ACCELERATION_INCH
}
quantity! {
    /// A mass; SI unit kg.
    Mass(Mass as mass::kilogram), "mass",
    ["250 g", "0.5 lb"], mechanics::MASS, MASS / MASS_INCH
}
quantity! {
    /// A mass per length of hose or tube; SI unit kg/m.
    LinearMass(LinearMassDensity as linear_mass_density::kilogram_per_meter), "mass per length",
    ["250 g/m", "0.2 lb/ft"], mechanics::LINEAR_MASS, LINEAR_MASS / LINEAR_MASS_INCH
}
quantity! {
    /// A density; SI unit kg/m3.
    Density(MassDensity as mass_density::kilogram_per_cubic_meter), "density",
    ["870 kg/m3", "54 lb/ft3"], mechanics::DENSITY, DENSITY / DENSITY_INCH
}
quantity! {
    /// A force; SI unit N.
    Force(Force as force::newton), "force",
    ["120 N", "27 lbf"], mechanics::FORCE, FORCE / FORCE_INCH
}
quantity! {
    /// A torque; SI unit N m.
    Torque(Torque as torque::newton_meter), "torque",
    ["12 N m", "106 in lb", "9 ft lb"], mechanics::TORQUE, TORQUE / TORQUE_INCH
}
quantity! {
    /// A power; SI unit W.
    Power(Power as power::watt), "power",
    ["75 kW", "100 hp"], mechanics::POWER, POWER / POWER_INCH
}
quantity! {
    /// An amount of work or heat; SI unit J.
    Energy(Energy as energy::joule), "energy",
    ["12 kJ", "0.5 kWh"], mechanics::ENERGY, ENERGY / ENERGY_INCH
}
quantity! {
    /// A volume flow; SI unit m3/s.
    Flow(VolumeRate as volume_rate::cubic_meter_per_second), "flow",
    ["120 L/h", "30 L/min", "31 gal(US)/h"], fluid::FLOW, FLOW / FLOW_INCH
}
quantity! {
    /// A mass flow; SI unit kg/s.
    MassFlow(MassRate as mass_rate::kilogram_per_second), "mass flow",
    ["25 g/s", "90 kg/h", "200 lb/h"], fluid::MASS_FLOW, MASS_FLOW / MASS_FLOW_INCH
}
quantity! {
    /// A dynamic viscosity; SI unit Pa s.
    DynamicViscosity(DynamicViscosity as dynamic_viscosity::pascal_second), "dynamic viscosity",
    ["12 mPa s", "12 cP"], fluid::DYNAMIC_VISCOSITY, DYNAMIC_VISCOSITY / DYNAMIC_VISCOSITY_INCH
}
quantity! {
    /// A kinematic viscosity; SI unit m2/s.
    KinematicViscosity(KinematicViscosity as kinematic_viscosity::square_meter_per_second),
    "kinematic viscosity",
    ["46 mm2/s", "46 cSt"], fluid::KINEMATIC_VISCOSITY,
    KINEMATIC_VISCOSITY / KINEMATIC_VISCOSITY_INCH
}
quantity! {
    /// A pressure above (or, negative, below) ambient; SI unit Pa.
    GaugePressure(Pressure as pressure::pascal), "gauge pressure",
    ["2.5 bar", "35 psi gauge", "-20 kPa"], pressure::GAUGE, GAUGE / GAUGE_INCH,
    less PressureDifference
}
quantity! {
    /// A pressure above vacuum; SI unit Pa.
    AbsolutePressure(Pressure as pressure::pascal), "absolute pressure",
    ["101.3 kPa abs", "14.7 psia", "1 bar abs"], pressure::ABSOLUTE, ABSOLUTE / ABSOLUTE_INCH,
    less PressureDifference, least 0.0
}
quantity! {
    /// A difference between two pressures, such as a loss along a line; SI unit Pa.
    PressureDifference(Pressure as pressure::pascal), "pressure difference",
    ["20 kPa", "3 psi"], pressure::DIFFERENCE, GAUGE / GAUGE_INCH
}
quantity! {
    /// A temperature; SI unit K.
    Temperature(ThermodynamicTemperature as thermodynamic_temperature::kelvin), "temperature",
    ["90 degC", "194 degF", "363 K"], heat::TEMPERATURE, TEMPERATURE / TEMPERATURE_INCH,
    less TemperatureDifference, least 0.0
}
quantity! {
    /// A difference between two temperatures; SI unit K.
    TemperatureDifference(TemperatureInterval as temperature_interval::kelvin),
    "temperature difference",
    ["10 K", "10 delta_degC", "18 delta_degF"], heat::TEMPERATURE_DIFFERENCE,
    TEMPERATURE_DIFFERENCE / TEMPERATURE_DIFFERENCE_INCH
}
quantity! {
    /// A plain ratio; SI unit 1.
    Ratio(Ratio as ratio::ratio), "ratio",
    ["5 %", "0.05"], size::RATIO, RATIO / RATIO
}
quantity! {
    /// A specific heat; SI unit J/(kg K).
    SpecificHeat(SpecificHeatCapacity as specific_heat_capacity::joule_per_kilogram_kelvin),
    "specific heat",
    ["4.18 kJ/(kg K)", "0.48 BTU/(lb degF)"], heat::SPECIFIC_HEAT,
    SPECIFIC_HEAT / SPECIFIC_HEAT_INCH
}
quantity! {
    /// A thermal conductivity; SI unit W/(m K).
    Conductivity(ThermalConductivity as thermal_conductivity::watt_per_meter_kelvin),
    "thermal conductivity",
    ["0.6 W/(m K)", "0.35 BTU/(h ft degF)"], heat::CONDUCTIVITY, CONDUCTIVITY / CONDUCTIVITY_INCH
}
quantity! {
    /// A strength or a modulus of a material; SI unit Pa.
    Stress(Pressure as pressure::pascal), "stress",
    ["205 MPa", "193 GPa", "30 ksi"], pressure::STRESS, STRESS / STRESS_INCH
}
quantity! {
    /// A relative growth in length per temperature; SI unit 1/K.
    HeatExpansion(TemperatureCoefficient as temperature_coefficient::per_kelvin),
    "thermal expansion",
    ["17 um/(m K)", "1.7e-5 1/K"], heat::HEAT_EXPANSION, HEAT_EXPANSION / HEAT_EXPANSION_INCH
}

/// A flow coefficient, held as Kv.
///
/// # What it gives
/// How much water a part passes: Kv is the flow in m3/h at a pressure loss of 1 bar, Cv the flow in US
/// gallons per minute at a loss of 1 psi.
///
/// # Formula
/// `Kv = Cv x (US gal/min in m3/h) / sqrt(psi in bar)`, which is 0.864 977 655... times Cv.
///
/// # Valid for
/// Any coefficient. Both kinds are taken with the same water, of 1000 kg/m3.
///
/// # Source
/// The two definitions as the trade uses them (standing: from-memory); the gallon and the psi are the
/// exact ones of this module.
///
/// # Notes
/// A flow coefficient has no coherent SI unit: [`Quantity::si`] gives Kv itself. The unit may stand in
/// front of the number.
///
/// ```
/// use hosewright::units::{FlowCoefficient, Quantity, read};
/// assert_eq!(read::<FlowCoefficient>("Kv 2.5").map(Quantity::si), Ok(2.5));
/// assert!(read::<FlowCoefficient>("Cv 3").is_ok_and(|c| (c.si() - 2.594_933).abs() < 1e-6));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FlowCoefficient(f64);

impl Quantity for FlowCoefficient {
    type Difference = Self;

    const NAME: &'static str = "flow coefficient";
    const EXAMPLES: &'static [&'static str] = &["Kv 2.5", "Cv 3"];
    const UNIT_FIRST: bool = true;
    const METRIC: Ladder = ladders::FLOW_COEFFICIENT;
    const INCH: Ladder = ladders::FLOW_COEFFICIENT_INCH;

    fn units() -> &'static [Unit] {
        fluid::FLOW_COEFFICIENT
    }

    /// Takes Kv.
    fn from_si(value: f64) -> Self {
        Self(value)
    }

    /// Gives Kv.
    fn si(self) -> f64 {
        self.0
    }
}

texts!(FlowCoefficient);
