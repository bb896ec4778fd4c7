//! `geometry.support-spacing`: how far a line hangs between its clips.

use crate::check::{About, Look};
use crate::finding::Finding;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.support-spacing",
    looks_at: "the longest stretch of the path between two held clips or ends",
    why: "a line that hangs free swings, chafes and fatigues its ends",
    number: "length of the stretch in mm, against the greatest spacing for a hose or for a tube of this size",
    limit_from: "limit/installation, rule support-hose; support/rigid-tube-mil-h-8891a",
    open_when: "there is no route, or the tube is smaller than the table begins",
    remedy: "add a clip in the middle of the stretch",
};

/// Judges the spacing of the clips.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let draft = draft.value(geometry.longest_span_mm, "mm");
    let Some(limit) = &geometry.span_limit else {
        let message = "the support table has no row for a tube this small";
        return vec![draft.open(message, "support it at least as often as the next larger tube")];
    };
    let draft = draft.most(limit.value, &limit.cite);
    let span = geometry.longest_span_mm;
    vec![if span <= limit.value + 1e-6 {
        draft.ok(format!("longest free stretch {span:.1} mm"))
    } else {
        draft.caution(
            format!(
                "{span:.1} mm without a support, {:.1} mm more than the {:.1} mm allowed",
                span - limit.value,
                limit.value
            ),
            ABOUT.remedy,
        )
    }]
}
