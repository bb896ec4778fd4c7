//! `strap.bend-radius`: bends of a strap no sharper than its metal stands.

use std::f64::consts::FRAC_PI_2;

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::strap::FlatBend;

/// What the check is about.
pub const ABOUT: About = About {
    code: "strap.bend-radius",
    looks_at: "the bends of every strap that are bent over an edge: the radius of the edge against what the metal stands",
    why: "a bend that is too sharp cracks on its outside, at once or after some hours of shaking, and lets go what it holds",
    number: "inside radius that is bent to, in mm, against the least of a right-angle bend in this metal and thickness",
    limit_from: "limit/sheet-bend: radii of right-angle bends by metal, temper and thickness",
    open_when: "the plan does not say the metal, or the table does not know it or nothing so thick, or a bend goes beyond a \
                right angle",
    remedy: "bend over a rounder edge, or take a thinner or softer strip; bend a piece of scrap across its grain and look at \
             its outside with a lens",
};

/// Judges each strap.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let straps = whole.plan.straps.iter().zip(&whole.facts.straps);
    straps
        .map(|(strap, facts)| {
            let draft = whole.draft(&ABOUT, &strap.id);
            let Ok(flat) = &facts.flat else {
                return draft.open("there is no flat length", "see strap.flat-length");
            };
            let over_edge: Vec<&FlatBend> = flat.bends.iter().filter(|b| !b.bend.wrapped).collect();
            let Some(sharpest_mm) = over_edge.iter().map(|b| edge_mm(b)).reduce(f64::min) else {
                return draft.ok("the strap is drawn round the body");
            };
            let draft = draft.value(sharpest_mm, "mm");
            let least = match &facts.least_bend_mm {
                Ok(least) => least,
                Err(why) => return draft.open(why, "write metal = \"5052-h32\", or bend a test piece and look at it"),
            };
            let draft = draft.least(least.value, &least.cite);
            let least_mm = least.value;
            if sharpest_mm < least_mm - 1e-9 {
                return draft.fail(
                    format!("bent over an edge of {sharpest_mm:.1} mm, where the metal wants {least_mm:.1} mm at least"),
                    ABOUT.remedy,
                );
            }
            if over_edge.iter().any(|b| b.bend.angle_rad > FRAC_PI_2 + 1e-9) {
                return draft.open(
                    format!("the least radius of {least_mm:.1} mm is that of a right angle, and one bend goes farther"),
                    ABOUT.remedy,
                );
            }
            if least_mm <= 0.0 {
                return draft.ok(format!(
                    "bent over an edge of {sharpest_mm:.1} mm; this metal can be folded sharp"
                ));
            }
            draft.ok(format!("bent over an edge of {sharpest_mm:.1} mm, {least_mm:.1} mm or more are wanted"))
        })
        .collect()
}

/// The radius that a bend is bent to.
fn edge_mm(bend: &FlatBend) -> f64 {
    bend.overbend.as_ref().map_or(bend.bend.inside_mm, |o| o.inside_mm)
}
