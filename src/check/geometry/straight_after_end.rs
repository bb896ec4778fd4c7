//! `geometry.straight-after-end`: straight hose beyond each fitting before it bends.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Carrier;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.straight-after-end",
    looks_at: "the straight part of a hose next to each end fitting",
    why: "a hose that bends at the fitting works loose there and breaks where it is gripped",
    number: "straight hose in mm, against two outside diameters",
    limit_from: "limit/installation, rule straight-after-end",
    open_when: "the outside diameter of the hose or the route is not known",
    remedy: "move the first clip further out, in the direction the port faces",
};

/// Judges both ends of a hose.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    if matches!(look.line.carrier, Carrier::Tube(_)) {
        return vec![
            draft.ok("a rigid tube needs its own straight for flare and sleeve, by the tool"),
        ];
    }
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let Some(wanted) = &geometry.straight_wanted else {
        return vec![draft.open(
            "the outside diameter of the hose is not known",
            "measure it and type it in as outside of a [[hose]]",
        )];
    };
    ["end A", "end B"]
        .iter()
        .zip(geometry.straight_mm)
        .map(|(end, has)| {
            let draft = draft.clone().at(end).value(has, "mm").least(wanted.value, &wanted.cite);
            if has >= wanted.value - 1e-6 {
                return draft.ok(format!("{has:.1} mm straight at {end}"));
            }
            let message = format!(
                "{:.1} mm of straight hose at {end}, {:.1} mm less than the {:.1} mm wanted",
                has.max(0.0),
                wanted.value - has,
                wanted.value
            );
            // Beginning inside the fitting is impossible; a short straight is a rule of thumb.
            if has < -1e-6 {
                draft.fail(
                    format!("the bend would begin inside the fitting: {message}"),
                    ABOUT.remedy,
                )
            } else {
                draft.caution(message, ABOUT.remedy)
            }
        })
        .collect()
}
