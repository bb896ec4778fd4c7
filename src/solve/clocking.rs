//! How the two angled ends of a hose stand to each other.

use super::geometry::GeometryFacts;
use crate::geometry::RouteEnd;
use crate::geometry::clock::{clock_along, stored_twist_rad_m};
use crate::plan::{Carrier, Line};
use crate::source::Sourced;
use crate::table::{Tables, limit};
use crate::units::{Angle, Length, Quantity};

/// The clock angle of a hose.
#[derive(Clone, Debug)]
pub struct ClockFacts {
    /// Counter-clockwise from the elbow at A (at 6 o'clock) to that at B, seen from A, rad.
    pub angle_rad: f64,
    /// How far the angle may be off, rad.
    pub tolerance: Option<Sourced<f64>>,
    /// Twist that each radian of error leaves in the hose, rad/m.
    pub twist_rad_m: f64,
    /// The angle as made, rad.
    pub made_rad: Option<f64>,
}

/// The clock angle; none for a tube and where one of the ends has no angle.
///
/// # Errors
/// In words: why there is none although both ends are angled.
pub fn solve(
    tables: &Tables,
    line: &Line,
    geometry: &GeometryFacts,
    assembly_mm: f64,
) -> Result<Option<ClockFacts>, String> {
    let angled = |end: &RouteEnd| end.angle_rad > 1e-9;
    let [a, b] = &geometry.laid.ends;
    if !matches!(line.carrier, Carrier::Hose(_)) || !angled(a) || !angled(b) {
        return Ok(None);
    }
    // An outlet points from the hose to the seat: against the way its port faces.
    let (near, far) = (-a.faces, -b.faces);
    let path = &geometry.route.path;
    let angle_rad = clock_along(path, &near, &far).map_err(|e| e.to_string())?;
    let flexible_mm = assembly_mm - a.stiff_mm() - b.stiff_mm();
    let twist_rad_m = stored_twist_rad_m(1.0, flexible_mm).map_err(|e| e.to_string())?;
    Ok(Some(ClockFacts {
        angle_rad,
        tolerance: tolerance(tables, assembly_mm),
        twist_rad_m,
        made_rad: line.clock_rad,
    }))
}

/// How far the clock angle of an assembly of this length may be off, rad.
fn tolerance(tables: &Tables, assembly_mm: f64) -> Option<Sourced<f64>> {
    let long = limit::installation::<Length>(tables, "clock-tolerance-length")?;
    let is_long = assembly_mm > long.value.si() * 1e3;
    let rule = if is_long { "clock-tolerance-long" } else { "clock-tolerance-short" };
    limit::installation::<Angle>(tables, rule).map(|t| t.map(Quantity::si))
}
