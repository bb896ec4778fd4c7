//! `makeup.bend-straight`: straight tube enough for the bender and for the ends.

use super::bent_tube;
use crate::check::{About, Look};
use crate::finding::{Finding, Verdict};
use crate::plan::Bender;
use crate::solve::tube::{TubeFacts, bender_of};
use crate::source::{Cite, Sourced};
use crate::table::limit;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.bend-straight",
    looks_at: "rigid tube: the straights ahead of each bend, between the bends and at both ends, and whether the bender makes the radius that is drawn",
    why: "a bender grips straight tube ahead of a bend; and on a bent end flare, tool, sleeve and nut need their own straight",
    number: "straight in mm, against the clamp of the bender, or its least straight at an end",
    limit_from: "clamp, end_straight and radius of the [[bender]]; without a clamp limit/installation, rule tube-straight-between-bends",
    open_when: "the line names no bender, or the bender does not give its least straight at an end",
    remedy: "move the clips apart, or bend two corners as one; an end with too little straight is formed before the tube is bent",
};

/// A straight and what it must be.
struct Straight {
    place: String,
    has_mm: f64,
    least: Sourced<f64>,
    short: Verdict,
    use_of: &'static str,
}

/// Judges the straights of a tube.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let tube = match bent_tube(look, &draft) {
        Ok(tube) => tube,
        Err(finding) => return vec![*finding],
    };
    if tube.side().rows.is_empty() {
        return vec![draft.ok("the tube is straight")];
    }
    let bender = bender_of(look.plan, look.line);
    let straights = straights(look, tube, bender);
    let mut findings = bender.map_or(Vec::new(), |b| other_radii(look, tube, b));
    let short = straights.iter().filter(|s| s.has_mm < s.least.value - 1e-6);
    findings.extend(short.map(|s| too_short(look, s)));
    findings.extend(not_known(look, bender));
    if findings.is_empty() {
        findings.extend(tightest(look, &straights));
    }
    findings
}

fn from_bender(bender: &Bender, mm: f64, key: &str) -> Sourced<f64> {
    let text = format!("{}, {key} of bender {}", bender.cite.text, bender.id);
    Sourced::new(mm, Cite::new(text, bender.cite.standing))
}

/// Every straight that has a least length, in the order of the work.
fn straights(look: &Look<'_>, tube: &TubeFacts, bender: Option<&Bender>) -> Vec<Straight> {
    let side = tube.side();
    let clamp = bender.and_then(|b| Some(from_bender(b, b.clamp_mm?, "clamp")));
    let sure = clamp.is_some();
    let rule = clamp.or_else(|| {
        let rule = limit::installation_number(look.tables, "tube-straight-between-bends")?;
        let outside_mm = look.own.outside.as_ref()?.value;
        Some(rule.map(|diameters| diameters * outside_mm))
    });
    let mut all = Vec::new();
    for (index, row) in side.rows.iter().enumerate() {
        let before = index.checked_sub(1).and_then(|i| side.rows.get(i));
        let place = before.map_or(side.end.to_owned(), |b| format!("{} to {}", b.place, row.place));
        // Without a bender that grips it, the straight at the end is a matter of the end alone.
        let least = rule.clone().filter(|_| sure || index > 0);
        all.extend(least.map(|least| Straight {
            place,
            has_mm: row.bend.straight_mm,
            least,
            short: if sure { Verdict::Fail } else { Verdict::Caution },
            use_of: "to be gripped ahead of the bend",
        }));
    }
    let end_straight =
        bender.and_then(|b| Some(from_bender(b, b.end_straight_mm?, "end_straight")));
    let at = tube.straights_mm();
    let ends = ["end A", "end B"].into_iter().zip([at.first(), at.last()]).zip(&look.line.ends);
    for ((end, has_mm), fitting) in ends {
        let wanted = end_straight.clone().filter(|_| fitting.is_some());
        all.extend(wanted.zip(has_mm).map(|(least, has_mm)| Straight {
            place: end.to_owned(),
            has_mm: *has_mm,
            least,
            short: Verdict::Caution,
            use_of: "for flare, tool, sleeve and nut",
        }));
    }
    all
}

fn too_short(look: &Look<'_>, straight: &Straight) -> Finding {
    let least_mm = straight.least.value;
    let draft = look.draft(&ABOUT).at(&straight.place);
    let message = format!(
        "{:.1} mm of straight tube at {}, {:.1} mm less than the {least_mm:.1} mm {}",
        straight.has_mm,
        straight.place,
        least_mm - straight.has_mm,
        straight.use_of
    );
    draft.value(straight.has_mm, "mm").least(least_mm, &straight.least.cite).say(
        straight.short,
        message,
        ABOUT.remedy,
    )
}

/// Bends for which there is less room than the bender needs.
fn other_radii(look: &Look<'_>, tube: &TubeFacts, bender: &Bender) -> Vec<Finding> {
    let rows = tube.sides[0].rows.iter();
    let short = rows.filter(|r| r.bend.radius_mm < bender.radius_mm * (1.0 - 1e-6));
    short
        .map(|row| {
            let least = from_bender(bender, bender.radius_mm, "radius");
            let message = format!(
                "only a radius of {:.1} mm fits at {}, and bender {} makes {:.1} mm",
                row.bend.radius_mm, row.place, bender.id, bender.radius_mm
            );
            let draft = look.draft(&ABOUT).at(&row.place).value(row.bend.radius_mm, "mm");
            draft.least(least.value, &least.cite).fail(message, ABOUT.remedy)
        })
        .collect()
}

fn not_known(look: &Look<'_>, bender: Option<&Bender>) -> Option<Finding> {
    let draft = look.draft(&ABOUT);
    let Some(bender) = bender else {
        return Some(draft.open(
            "the line names no bender for this tube, so the straights at its ends and for the clamp are not judged",
            "describe the bender as a [[bender]] and name it in the line",
        ));
    };
    let missing = match (bender.clamp_mm, bender.end_straight_mm) {
        (Some(_), Some(_)) => return None,
        (None, Some(_)) => "clamp",
        (Some(_), None) => "end_straight",
        (None, None) => "clamp and no end_straight",
    };
    let message = format!("bender {} gives no {missing}", bender.id);
    Some(draft.open(message, "measure it on the bender, and on an end with nut, sleeve and tool"))
}

/// The straight with the least to spare.
fn tightest(look: &Look<'_>, straights: &[Straight]) -> Option<Finding> {
    let spare = |s: &Straight| s.has_mm - s.least.value;
    let tightest = straights.iter().min_by(|a, b| spare(a).total_cmp(&spare(b)))?;
    let message = format!(
        "{:.1} mm or more to spare at every straight, least at {}",
        spare(tightest),
        tightest.place
    );
    let draft = look.draft(&ABOUT).value(tightest.has_mm, "mm");
    Some(draft.least(tightest.least.value, &tightest.least.cite).ok(message))
}
