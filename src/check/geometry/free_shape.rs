//! `geometry.free-shape`: how a hose bends by itself between its supports.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Carrier;
use crate::solve::shape::{ShapeFacts, SpanShape};

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.free-shape",
    looks_at: "the natural shape of a hose of the chosen length between its ends and clips, as a springy rod takes it",
    why: "a hose does not lie in straights and arcs: with short legs or much slack it bends tighter than it was drawn, and a longer hose can bend tighter than a shorter one",
    number: "smallest radius of the natural shape in mm, against the least bend radius",
    limit_from: "the hose table or the plan",
    open_when: "there is no route, no least radius, or the search for the shape did not come to rest",
    remedy: "less slack or longer stretches: a stiff hose between close clips has no room for slack",
};

/// Judges the natural shape of a hose; says nothing where the shapes were not asked for.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    if matches!(look.line.carrier, Carrier::Tube(_)) {
        return vec![draft.ok("a rigid tube keeps the shape it was bent to")];
    }
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    if look.own.makeup.is_err() {
        return vec![draft.open("there is no cut length", "see makeup.cut-length")];
    }
    let Some(shape) = &look.own.shape else { return Vec::new() };
    let Some(allowed) = &geometry.allowed else {
        return vec![draft.open("no least bend radius is known", "see geometry.bend-radius")];
    };
    let tightest = match (&shape.spans, shape.tightest()) {
        (Err(why), _) => return vec![draft.open(why, "measure the hose as it lies")],
        (Ok(_), None) => return vec![draft.ok("nothing of the hose is free to bend")],
        (Ok(_), Some(tightest)) => tightest,
    };
    if tightest.tightest_mm.is_infinite() {
        return vec![draft.ok("the hose lies straight")];
    }
    let draft = draft.value(tightest.tightest_mm, "mm").least(allowed.least_mm, &allowed.cite);
    let message = words(tightest, shape);
    vec![if tightest.tightest_mm >= allowed.least_mm - 1e-6 {
        draft.ok(message)
    } else {
        draft.caution(format!("{message}: tighter than the hose may be bent"), ABOUT.remedy)
    }]
}

fn words(tightest: &SpanShape, shape: &ShapeFacts) -> String {
    let bow_mm = shape.spans.iter().flatten().map(|s| s.bow_mm).fold(0.0, f64::max);
    let side = if tightest.buckled { ", to whichever side it likes" } else { "" };
    let sag_mm = shape.spans.iter().flatten().filter_map(|s| s.sag_mm).reduce(f64::max);
    let sag =
        sag_mm.map_or(String::new(), |s| format!("; full, it hangs {s:.1} mm below its ends"));
    format!(
        "by itself the hose bends to a radius of {:.1} mm, {:.1} mm from end A, and stands out {bow_mm:.1} mm at most{side}{sag}",
        tightest.tightest_mm, tightest.tightest_at_mm
    )
}
