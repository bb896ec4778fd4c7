//! The operating cases that are made by combination.

use crate::units::Temperature;

/// What is combined with what.
#[derive(Clone, Debug, Default)]
pub struct Matrix {
    /// Heights above the sea, m.
    pub altitudes_m: Vec<f64>,
    /// Pitches, nose up positive, rad.
    pub nose_up_rad: Vec<f64>,
    /// Rolls, right side down positive, rad.
    pub roll_right_rad: Vec<f64>,
    /// Temperatures that go together.
    pub weather: Vec<Weather>,
    /// Components whose states are combined, by index; all that have several states if the plan names none.
    pub vary: Vec<usize>,
    /// Combinations of component and state, by index, that the machine does not allow.
    pub without: Vec<Vec<(usize, usize)>>,
}

/// Temperatures that go together.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// What it is called.
    pub name: String,
    /// Temperature of the air.
    pub air: Option<Temperature>,
    /// Temperatures of fluids where they start from, by index of the fluid.
    pub fluids: Vec<(usize, Temperature)>,
    /// Whether the machine has run long enough for heat to have settled.
    pub warm: bool,
}
