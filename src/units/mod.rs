//! Quantities with their units: kinds, arithmetic, reading what a builder writes, writing results.
//!
//! # What is read
//!
//! A text is one number and one unit, with or without a blank between them. The number is whole
//! (`12`), decimal (`0.040`), with an exponent (`1e-3`), a fraction (`3/8`) or a mixed fraction
//! (`1 1/8`, `1-1/8`). Capitals matter in units (`mPa` and `MPa`); `²`, `³`, `µ`, `°` and `·` may be
//! written as `2`, `3`, `u`, `deg` and a blank or point. What is accepted depends on the kind:
//!
//! | kind | texts that read |
//! |---|---|
//! | length | `486 mm`, `12mm`, `3/8 in`, `1 1/8 in`, `3/8"`, `2.5 m`, `1.5 um` |
//! | angle | `45 deg`, `45°`, `0.5 rad` |
//! | gauge pressure | `2.5 bar`, `2.5 barg`, `35 psi`, `35 psig`, `35 psi gauge`, `-0.2 bar` |
//! | absolute pressure | `101.3 kPa abs`, `1 bara`, `14.7 psia`, `760 mmHg abs` |
//! | pressure difference | `20 kPa`, `3 psi`, `10 inHg` |
//! | temperature | `90 degC`, `90 °C`, `90 C`, `194 degF`, `363 K` |
//! | temperature difference | `10 K`, `10 delta_degC`, `18 delta_degF` |
//! | flow | `120 L/h`, `120 l/min`, `3 m3/h`, `31 gal(US)/h`, `26 gal(UK)/h` |
//! | flow coefficient | `Kv 2.5`, `Cv 3` |
//! | viscosity | `12 mPa s`, `12 cP`; `46 mm2/s`, `46 cSt` |
//! | torque | `12 N m`, `12 N·m`, `106 in lb`, `9 ft lb` |
//! | mass per length, density | `250 g/m`, `0.2 lb/ft`; `870 kg/m3`, `54 lb/ft3` |
//! | ratio | `5 %`, `0.05` |
//!
//! ```
//! use hosewright::units::*;
//! for text in ["486 mm", "12mm", "3/8 in", "1 1/8 in", "3/8\"", "2.5 m", "1.5 um"] {
//!     read::<Length>(text)?;
//! }
//! for text in ["2.5 bar", "2.5 barg", "35 psi", "35 psig", "35 psi gauge", "-0.2 bar"] {
//!     read::<GaugePressure>(text)?;
//! }
//! for text in ["101.3 kPa abs", "1 bara", "14.7 psia", "760 mmHg abs"] {
//!     read::<AbsolutePressure>(text)?;
//! }
//! for text in ["90 degC", "90 °C", "90 C", "194 degF", "363 K"] {
//!     read::<Temperature>(text)?;
//! }
//! for text in ["10 K", "10 delta_degC", "18 delta_degF"] {
//!     read::<TemperatureDifference>(text)?;
//! }
//! for text in ["120 L/h", "120 l/min", "3 m3/h", "31 gal(US)/h", "26 gal(UK)/h"] {
//!     read::<Flow>(text)?;
//! }
//! for text in ["12 N m", "12 N·m", "106 in lb", "9 ft lb"] {
//!     read::<Torque>(text)?;
//! }
//! // Every kind says itself what it reads.
//! for text in Density::EXAMPLES {
//!     read::<Density>(text)?;
//! }
//! # Ok::<(), ReadError>(())
//! ```
//!
//! Where a plan is read, a text may also say how well it is known: `8 mm ± 0.1 mm`, `2.5 kPa ± 10 %`
//! ([`read_uncertain`]).
//!
//! # Why gauge and absolute pressure are two kinds
//!
//! A gauge reads zero in open air; vapour pressure and the density of a gas count from vacuum. The two
//! differ by about 1 bar, which is the whole margin of a suction line. They never mix: ambient pressure
//! turns one into the other ([`GaugePressure::absolute`], [`AbsolutePressure::gauge`]), a bare unit is
//! gauge, and an absolute pressure always says so.
//!
//! ```compile_fail
//! use hosewright::units::*;
//! let sum = GaugePressure::from_si(1.0) - AbsolutePressure::from_si(1.0);
//! ```
//!
//! # Why a dash size is no bore
//!
//! [`Dash`] counts sixteenths of an inch of the outside of the tube that a fitting is made for. A `-8`
//! hose is not 8/16 in wide inside, and how much narrower it is depends on the kind of hose. So a dash
//! size gives [`Dash::tube_outside`] and nothing else; a bore is read from the table of the hose.
//!
//! ```compile_fail
//! use hosewright::units::*;
//! let bore = Length::from(Dash::new(8));
//! ```
//!
//! # How results are rounded
//!
//! [`write()`] rounds halves away from zero and leaves trailing zeros out; nothing is ever "-0". The
//! steps below are those of the commonest kinds; each kind lists its own in [`Quantity::METRIC`] and
//! [`Quantity::INCH`].
//!
//! | kind | metric | inch |
//! |---|---|---|
//! | length | below 0.1 mm to 0.1 um, below 1 m to 0.1 mm, below 10 m to 1 mm, else to 10 mm | below 1/8 in to 0.0001 in, below 100 ft to 1/32 in, else to 0.1 ft |
//! | gauge pressure, difference | below 1 kPa to 1 Pa, below 100 kPa to 0.1 kPa, below 100 bar to 0.01 bar, else to 1 bar | below 10 psi to 0.001 psi, below 100 psi to 0.1 psi, else to 1 psi |
//! | temperature | 1 degC | 1 degF |
//! | flow | below 1 L/min in L/h to 0.1 L/h, below 100 L/min to 0.01 L/min, below 1000 L/min to 1 L/min, else to 0.1 m3/h | below 1 gal(US)/min in gal(US)/h to 0.01, below 100 gal(US)/min to 0.01, else to 1 |
//!
//! [`write_exact`] keeps every digit.
//!
//! # Where the factors come from
//!
//! Every factor is a product of exact definitions, and each [`Unit`] says which: the inch (0.0254 m),
//! the pound (0.453 592 37 kg), standard gravity (9.806 65 m/s2), the US gallon (231 in3), the UK gallon
//! (4.546 09 L), the International Table BTU (1055.055 852 62 J), the conventional columns of mercury
//! (13 595.1 kg/m3) and water (1000 kg/m3). Source: NIST Special Publication 811, 2008 edition,
//! appendix B.8 and notes; standing: from-memory.

mod accepted;
mod arithmetic;
mod dash;
mod decimal;
mod fraction;
mod ladders;
mod number;
mod quantity;
mod read;
mod refusal;
mod uncertain;
mod unit;
mod write;

pub use dash::Dash;
pub use fraction::{InchFraction, inch_fraction};
pub use number::read_number;
pub use quantity::{
    AbsolutePressure, Acceleration, Angle, Area, Conductivity, Density, DynamicViscosity, Energy,
    Flow, FlowCoefficient, Force, GaugePressure, HeatExpansion, KinematicViscosity, Length,
    LinearMass, Mass, MassFlow, Power, PressureDifference, Quantity, Ratio, SpecificHeat, Stress,
    Temperature, TemperatureDifference, Time, Torque, Velocity, Volume,
};
pub use read::{ReadError, read, read_in};
pub use uncertain::read_uncertain;
pub use unit::Unit;
pub use write::{Form, Ladder, Step, System, write, write_exact};
