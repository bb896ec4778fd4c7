//! Which lines a second person looks at as well.

use crate::plan::{Line, Plan, Service};

/// Why a line is looked at by two people; none where one is enough.
///
/// # Source
/// Fuel, oil under pressure, brake and steering: common practice of duplicate inspection of vital points. National
/// rules decide which items are meant and who may sign; they may ask for more than this list.
///
/// # Notes
/// Fuel is known by the use of the fluid, in every service; oil by its use and the services `pressure` and
/// `gauge`; brake and steering by the use or by the name of the system, since their fluid may be any oil.
pub fn doubly_inspected(plan: &Plan, line: &Line) -> Option<&'static str> {
    let fluid = plan.fluids.get(line.fluid)?;
    let use_ = fluid.fluid.use_.to_lowercase();
    let system = line.system.to_lowercase();
    let says = |word: &str| use_.contains(word) || system.contains(word);
    if fluid.fluid.is_fuel() || use_.contains("fuel") {
        Some("fuel")
    } else if says("brake") {
        Some("brake")
    } else if says("steer") {
        Some("steering")
    } else if use_.contains("oil") && matches!(line.service, Service::Pressure | Service::Gauge) {
        Some("oil under pressure")
    } else {
        None
    }
}
