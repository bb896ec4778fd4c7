//! `geometry.straight-tube`: whether a rigid tube between two fittings has a bend.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Carrier;
use crate::table::limit;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.straight-tube",
    looks_at: "the number of bends of a rigid tube",
    why: "a straight tube between two rigid fittings cannot take up heat, vibration or a port that is a little off: it loads its ends and cracks at the flare",
    number: "bends, against one",
    limit_from: "limit/installation, rule tube-bends-least",
    open_when: "there is no route",
    remedy: "lay the tube with at least one bend, or take a hose",
};

/// Judges a rigid tube.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    if matches!(look.line.carrier, Carrier::Hose(_)) {
        return vec![draft.ok("a hose gives way")];
    }
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let Some(least) = limit::installation_number(look.tables, "tube-bends-least") else {
        return vec![draft.open("the tables have no rule for it", "restore limit/installation")];
    };
    let bends = u32::try_from(geometry.bends.len()).map_or(f64::MAX, f64::from);
    let draft = draft.value(bends, "").least(least.value, &least.cite);
    vec![if bends >= least.value {
        draft.ok(format!("{bends:.0} bends"))
    } else {
        draft.caution("a straight tube between two rigid fittings", ABOUT.remedy)
    }]
}
