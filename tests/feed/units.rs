//! Any text, handed to the readers of quantities.

use hosewright::units::{
    AbsolutePressure, Angle, Area, Conductivity, Dash, Density, DynamicViscosity, Flow,
    FlowCoefficient, GaugePressure, KinematicViscosity, Length, LinearMass, Mass, Power,
    PressureDifference, Quantity, Ratio, ReadError, Temperature, TemperatureDifference, Time,
    Torque, Velocity, Volume, read, read_in, read_number, read_uncertain,
};

/// What is read is finite; what is refused is refused at a place of the text, in words.
pub fn feed(bytes: &[u8]) {
    let text = &*String::from_utf8_lossy(bytes);
    every_length_and_size(text);
    every_pressure(text);
    one::<Temperature>(text);
    one::<TemperatureDifference>(text);
    one::<Flow>(text);
    one::<FlowCoefficient>(text);
    one::<DynamicViscosity>(text);
    one::<KinematicViscosity>(text);
    one::<Density>(text);
    one::<Conductivity>(text);
    one::<Velocity>(text);
    one::<Power>(text);
    one::<Time>(text);
    one::<Torque>(text);
    one::<Ratio>(text);
    match read_number(text) {
        Ok(number) => assert!(number.is_finite(), "{text:?}"),
        Err(error) => placed(text, &error),
    }
    let _ = text.parse::<Dash>();
}

fn every_length_and_size(text: &str) {
    one::<Length>(text);
    one::<Area>(text);
    one::<Volume>(text);
    one::<Angle>(text);
    one::<Mass>(text);
    one::<LinearMass>(text);
}

fn every_pressure(text: &str) {
    one::<GaugePressure>(text);
    one::<AbsolutePressure>(text);
    one::<PressureDifference>(text);
}

fn one<Q: Quantity>(text: &str) {
    match read::<Q>(text) {
        Ok(quantity) => assert!(quantity.si().is_finite(), "{text:?}"),
        Err(error) => placed(text, &error),
    }
    match read_uncertain::<Q>(text) {
        Ok((quantity, amount)) => {
            let amount = amount.map_or(0.0, Quantity::si);
            assert!(quantity.si().is_finite() && amount.is_finite() && amount >= 0.0, "{text:?}");
        }
        Err(error) => placed(text, &error),
    }
    if let Err(error) = read_in::<Q>(1.0, text) {
        placed(text, &error);
    }
}

fn placed(text: &str, error: &ReadError) {
    assert!(text.get(error.span.clone()).is_some(), "{text:?}: {:?}", error.span);
    assert!(!error.message.is_empty(), "{text:?}");
}
