//! `geometry.support-spacing`: how far a line hangs between its clips.

use crate::check::{About, Look, place_words};
use crate::finding::Finding;
use crate::solve::support::MissingClip;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.support-spacing",
    looks_at: "the longest stretch of the path between two held clips or ends",
    why: "a line that hangs free swings, chafes and fatigues its ends",
    number: "length of the stretch in mm, against the greatest spacing for a hose or for a tube of this size",
    limit_from: "limit/installation, rule support-hose; support/rigid-tube-mil-h-8891a",
    open_when: "there is no route, or the tube is smaller than the table begins",
    remedy: "add clips where the finding says, each on a straight where there is one",
};

/// Judges the spacing of the clips.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let support = &geometry.support;
    let span = support.longest_mm;
    let draft = draft.value(span, "mm");
    let Some(limit) = &support.limit else {
        let message = "the support table has no row for a tube this small";
        return vec![draft.open(message, "support it at least as often as the next larger tube")];
    };
    let draft = draft.most(limit.value, &limit.cite);
    vec![if span <= limit.value + 1e-6 {
        draft.ok(format!("longest free stretch {span:.1} mm"))
    } else {
        let over = span - limit.value;
        let message = format!(
            "{span:.1} mm without a support, {over:.1} mm more than the {:.1} mm allowed",
            limit.value
        );
        draft.caution(message, where_to_hold(&support.missing))
    }]
}

/// The clips that are missing, with their places, to be typed into the plan.
fn where_to_hold(missing: &[MissingClip]) -> String {
    let place = |c: &MissingClip| {
        let behind = match c.after {
            0 => "before clip 1".to_owned(),
            clip => format!("behind clip {clip}"),
        };
        format!("{behind} at {} ({:.1} mm from end A)", place_words(c.at_mm), c.station_mm)
    };
    match missing {
        [] => ABOUT.remedy.to_owned(),
        [one] => format!("add a clip {}", place(one)),
        many => format!("add clips {}", many.iter().map(place).collect::<Vec<_>>().join("; ")),
    }
}
