//! `geometry.low-point`: where water and dirt collect inside a line, in every attitude.

use super::high_point::judge;
use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Service;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.low-point",
    looks_at: "places inside a line from which liquid cannot run to a tank, a mouth or a drain, whichever way \
               the joined lines lead, in every attitude",
    why: "water settles out of fuel there and freezes or reaches the engine; in a vent, liquid closes the way for air",
    number: "depth of the place in mm under the place by which liquid runs out, against the least depth that \
             counts; and what stays",
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
    if look.line.service == Service::Vent {
        return vec![draft.ok("a vent: see connection.vent-low-point")];
    }
    let fluid = &look.plan.fluids[look.line.fluid].fluid;
    let joined = &look.facts.joined;
    let part = joined.of_line.get(look.index).and_then(|own| own.part);
    if part.is_some_and(|part| joined.parts[part].low_matters.is_some()) {
        return judge(look, geometry, false);
    }
    vec![draft.ok(format!("a low point does no harm in {}", fluid.use_))]
}
