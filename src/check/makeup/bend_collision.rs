//! `makeup.bend-collision`: whether the tube, bent one bend after the other, passes its bender.

use super::bent_tube;
use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::tube::{HitFacts, Side, bender_of};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.bend-collision",
    looks_at: "rigid tube: the part bent so far, swung through every further bend, against former, clamp, block and bench of the bender and against its own straight tail; from end A, then from end B",
    why: "a tube that hits the bender at its last bend is scrap; the other end first often passes",
    number: "none: the bend that cannot be made, and what is in the way",
    limit_from: "room, clamp and radius of the [[bender]], a simple model without handle, nuts and hands",
    open_when: "the bender gives no room or no clamp, or an angle to set is not known",
    remedy: "begin at the other end, move a clip, or plan the line as two tubes with a union",
};

/// Judges whether a tube can be bent.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let tube = match bent_tube(look, &draft) {
        Ok(tube) => tube,
        Err(finding) => return vec![*finding],
    };
    if tube.sides[0].rows.len() < 2 {
        return vec![draft.ok("with fewer than two bends nothing bent is in the way")];
    }
    let bender = bender_of(look.plan, look.line);
    let cite = bender
        .map(|b| Cite::new(format!("{}, room of bender {}", b.cite.text, b.id), b.cite.standing));
    let draft = cite.as_ref().map_or(draft.clone(), |cite| draft.source(cite));
    let [from_a, from_b] = &tube.sides;
    vec![match (&from_a.hit, &from_b.hit) {
        (Err(why), _) | (_, Err(why)) => draft
            .open(why, "describe room and clamp of the [[bender]], and what its test bends left"),
        (Ok(None), _) => {
            draft.ok(format!("every bend passes{} from end A{}", by(look), no_bench(look)))
        }
        (Ok(Some(hit)), Ok(None)) => draft.caution(
            format!("from end A {}; from end B every bend passes{}", words(from_a, hit), by(look)),
            "begin with the last bend, from end B",
        ),
        (Ok(Some(hit_a)), Ok(Some(hit_b))) => draft.fail(
            format!("from end A {}; from end B {}", words(from_a, hit_a), words(from_b, hit_b)),
            ABOUT.remedy,
        ),
    }]
}

fn by(look: &Look<'_>) -> String {
    bender_of(look.plan, look.line).map_or(String::new(), |b| format!(" bender {}", b.id))
}

/// A bender without a bench cannot hit one, which has to be said.
fn no_bench(look: &Look<'_>) -> &'static str {
    let room = bender_of(look.plan, look.line).and_then(|b| b.room);
    if room.is_some_and(|r| r.bench.is_none()) { ", held free of a bench" } else { "" }
}

fn words(side: &Side, hit: &HitFacts) -> String {
    let place = side.rows.get(hit.bend - 1).map_or("", |r| r.place.as_str());
    let when = if hit.at_deg > 0.5 {
        format!("after {:.0} deg", hit.at_deg)
    } else {
        "before it begins".to_owned()
    };
    format!(
        "the tube hits {} at bend {} ({place}) {when}, {:.0} mm from its tip",
        hit.by, hit.bend, hit.station_mm
    )
}
