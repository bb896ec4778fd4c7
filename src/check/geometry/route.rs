//! `geometry.route`: whether a centre line exists from port to port over the clips.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.route",
    looks_at: "the legs between ports and clips",
    why: "a leg that cannot hold the bends at both its ends, or an end fitting and its bend, cannot be built: the hose will kink or pull at its ends",
    number: "length of the leg, against what the fitting and the bends at the wanted radius take up",
    limit_from: "geometry: a bend takes radius x tan(angle / 2) on each side of its corner",
    open_when: "no bend radius is known, or an angled end has no drop",
    remedy: "move a clip away, turn the port, or use an angled end or a hose with a smaller bend radius",
};

/// What to do, with the length that the ports ask for whatever the clips.
fn remedy(look: &Look<'_>) -> String {
    let Some(least) = look.own.shape.as_ref().and_then(|s| s.least_possible) else {
        return ABOUT.remedy.to_owned();
    };
    let says = if least.proven {
        format!("without clips {:.1} mm of hose would do", least.found_mm)
    } else {
        format!(
            "even without clips the shortest hose found is {:.1} mm long: the ports stand too close",
            least.found_mm
        )
    };
    format!("{}; at its least bend radius, {says}", ABOUT.remedy)
}

/// Judges the route of a line.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let geometry = match &look.own.geometry {
        Err(none) if none.missing => return vec![draft.open(&none.why, "add what is missing")],
        Err(none) => return vec![draft.fail(&none.why, ABOUT.remedy)],
        Ok(geometry) => geometry,
    };
    let cite = Cite::plan("clips and ports");
    let mut findings: Vec<Finding> = geometry
        .short_legs
        .iter()
        .map(|leg| {
            draft
                .clone()
                .at(&leg.place)
                .value(leg.has_mm, "mm")
                .least(leg.needed_mm, &cite)
                .fail(
                    format!(
                        "the leg from {} is {:.1} mm long, but the fitting and the bends need {:.1} mm: {:.1} mm short",
                        leg.place,
                        leg.has_mm,
                        leg.needed_mm,
                        leg.needed_mm - leg.has_mm
                    ),
                    remedy(look),
                )
        })
        .collect();
    for end in &geometry.open_directions {
        findings.push(draft.clone().at(end).caution(
            "nothing decides which way the elbow points; a direction was picked",
            "say where the hose should leave with aim_a or aim_b",
        ));
    }
    if findings.is_empty() {
        let length = geometry.route.length_mm;
        let bends = geometry.bends.len();
        findings.push(
            draft
                .value(length, "mm")
                .source(&cite)
                .ok(format!("the route is {length:.1} mm long with {bends} bends")),
        );
    }
    findings
}
