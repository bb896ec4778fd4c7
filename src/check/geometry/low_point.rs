//! `geometry.low-point`: where water and dirt collect inside a line, in every attitude.

use super::high_point::judge;
use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Service;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.low-point",
    looks_at: "places inside a line that stand lower than both sides, in the attitude of each case",
    why: "water settles out of fuel there and freezes or reaches the engine; in a vent, liquid closes the way for air",
    number: "depth of the place under its lower side in mm, against the least depth that counts",
    limit_from: "limit/installation, rule trap-least-rise",
    open_when: "there is no route",
    remedy: "lay the line so that it falls all the way, or mark the clip with drain = true and fit a drain there",
};

/// Judges the low points of lines in which they matter: fuel, and everything that carries a gas.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let fluid = &look.plan.fluids[look.line.fluid].fluid;
    if fluid.gas || look.line.service == Service::Vent || fluid.is_fuel() {
        return judge(look, geometry, false);
    }
    vec![draft.ok(format!("a low point does no harm in {}", fluid.use_))]
}
