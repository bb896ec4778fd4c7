//! `strap.corner`: bends of a strap that clear the corners of a box.

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::plan::Round;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "strap.corner",
    looks_at: "straps round a box: the inside radius of their bends against the lined corner of the box",
    why: "a bend rounder than the corner inside it presses on the corner alone, and a cooler cracks there",
    number: "inside radius in mm, against the radius of the corner and the lining",
    limit_from: "plane geometry: round and lining of the strap in the plan",
    open_when: "the plan gives no radius for the corners of the box",
    remedy: "bend to a smaller radius, take a thicker lining, or round the corners of the box",
};

/// Judges each strap.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let straps = whole.plan.straps.iter();
    straps
        .map(|strap| {
            let draft = whole.draft(&ABOUT, &strap.id);
            let (Round::Box { corner_mm, .. }, Some(bend_mm)) = (strap.round, strap.bend_radius_mm)
            else {
                return draft.ok("the strap is drawn round the body");
            };
            let draft = draft.value(bend_mm, "mm");
            let Some(corner_mm) = corner_mm else {
                let message = "the plan gives no radius for the corners of the box";
                return draft.open(message, "measure it: round = { ..., corner = \"2 mm\" }");
            };
            let most_mm = corner_mm + strap.lining_mm;
            let draft = draft.most(most_mm, &Cite::plan("corner and lining"));
            if bend_mm > most_mm + 1e-9 {
                let message = format!(
                    "the bends of {bend_mm:.1} mm are rounder than the lined corner of {most_mm:.1} mm and press on it"
                );
                draft.caution(message, ABOUT.remedy)
            } else {
                draft.ok(format!("the bends clear the lined corner of {most_mm:.1} mm"))
            }
        })
        .collect()
}
