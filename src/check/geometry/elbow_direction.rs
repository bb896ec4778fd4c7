//! `geometry.elbow-direction`: whether an elbow points the best way.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::elbow::ElbowFacts;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.elbow-direction",
    looks_at: "angled ends that the plan does not aim: every way their elbows can be turned before they are tightened",
    why: "an elbow turned the best way saves hose and bends; turned the wrong way it forces a bend that has no room",
    number: "how much shorter the route gets, mm",
    limit_from: "geometry: the route laid again with the elbow turned all the way round",
    open_when: "there is no route",
    remedy: "type the direction into the plan as aim_a or aim_b",
};

/// Looks whether another direction would do better.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    let Some(elbow) = &geometry.elbow else {
        return vec![draft.ok("no elbow could point a better way")];
    };
    let [now, then] = elbow.shortfalls;
    let draft = draft.value(elbow.shorter_mm, "mm");
    let shorter = format!("{} makes the route {:.1} mm shorter", aims(elbow), elbow.shorter_mm);
    vec![if then < now {
        let message =
            format!("{} of {now} places without room go away with {}", now - then, aims(elbow));
        draft.caution(message, ABOUT.remedy)
    } else {
        draft.ok(shorter)
    }]
}

/// The directions as the plan writes them.
fn aims(elbow: &ElbowFacts) -> String {
    let one = |(key, aim): (&str, &Option<[f64; 3]>)| {
        aim.map(|[x, y, z]| format!("{key} = [{x:.2}, {y:.2}, {z:.2}]"))
    };
    let written: Vec<String> =
        ["aim_a", "aim_b"].into_iter().zip(&elbow.aims).filter_map(one).collect();
    written.join(" and ")
}
