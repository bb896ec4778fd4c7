//! A closed room read twice: which lines, from which pressure to which, in what time and how warm.

use crate::plan::Plan;
use crate::units::{
    AbsolutePressure, GaugePressure, PressureDifference, Quantity, Temperature,
    TemperatureDifference, Time, Volume,
};

/// What was read in a test of some lines that were closed together.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Ids of the lines.
    pub lines: Vec<String>,
    /// Pressures at the start and at the end.
    pub pressure: [GaugePressure; 2],
    /// Time between both.
    pub time: Time,
    /// Temperatures at the start and at the end.
    pub temperature: [Temperature; 2],
}

/// How the readings were taken.
#[derive(Clone, Debug)]
pub struct Instruments {
    /// By how much each pressure may be wrong.
    pub pressure: PressureDifference,
    /// By how much each temperature may be wrong.
    pub temperature: TemperatureDifference,
    /// Pressure of the air.
    pub air: AbsolutePressure,
    /// Room in pump, gauge and their hoses, under the same pressure.
    pub rig: Volume,
}

impl Reading {
    /// Absolute pressures, Pa.
    pub fn absolute_pa(&self, air: AbsolutePressure) -> [f64; 2] {
        self.pressure.map(|p| p.si() + air.si())
    }

    /// Temperatures, K.
    pub fn kelvin(&self) -> [f64; 2] {
        self.temperature.map(Quantity::si)
    }

    /// Indices of the lines.
    ///
    /// # Errors
    /// In words: a line that is not in the plan, none, or one twice.
    pub fn indices(&self, plan: &Plan) -> Result<Vec<usize>, String> {
        indices(plan, &self.lines)
    }
}

/// Indices of lines by their ids.
///
/// # Errors
/// In words: a line that is not in the plan, none, or one twice.
pub fn indices(plan: &Plan, ids: &[String]) -> Result<Vec<usize>, String> {
    let mut found: Vec<usize> = Vec::new();
    for id in ids {
        let index = plan.lines.iter().position(|l| l.id == *id);
        let Some(index) = index else {
            let known: Vec<&str> = plan.lines.iter().map(|l| l.id.as_str()).collect();
            return Err(format!("the plan has no line \"{id}\"; lines: {}", known.join(", ")));
        };
        if found.contains(&index) {
            return Err(format!("line {id} is named twice"));
        }
        found.push(index);
    }
    if found.is_empty() { Err("a test names no line".into()) } else { Ok(found) }
}
