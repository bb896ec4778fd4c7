//! `makeup.cut-length`: whether there is a length to cut.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.cut-length",
    looks_at: "the cut length: assembly length minus the cut-off of both ends, rounded up to the workshop step",
    why: "a cut-off taken for both ends instead of one makes a hose a finger's breadth wrong",
    number: "cut length in mm",
    limit_from: "the tables of the ends; a cut-off printed for the pair is halved",
    open_when: "there is no route, or the cut-off of an end is not known",
    remedy: "measure the cut-off on one sacrificial end, and type it in as cut_off of an [[end]]",
};

/// Judges the cut length.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let cut_offs = look.line.ends.iter().flatten().filter_map(|e| e.cut_off.as_ref());
    let figures: Vec<&Cite> = cut_offs.map(|c| &c.cite).collect();
    let cite = Cite::plan("route, ends and slack");
    let cite = if figures.is_empty() { cite } else { cite.and(&Cite::in_short(figures)) };
    vec![match &look.own.makeup {
        Ok(makeup) => draft.value(makeup.cut.cut_mm, "mm").source(&cite).ok(format!(
            "cut {:.1} mm for an assembly of {:.1} mm",
            makeup.cut.cut_mm, makeup.cut.assembly_mm
        )),
        Err(why) => match &look.own.geometry {
            // With a route and both cut-offs known, what is left is that the fittings leave no hose.
            Ok(g) if g.cut_off_mm.iter().all(Option::is_some) => draft
                .fail(why, "the ports stand too close for these ends: use shorter ends or a tube"),
            Ok(_) => draft.open(why, ABOUT.remedy),
            Err(none) => draft.open(&none.why, "see geometry.route"),
        },
    }]
}
