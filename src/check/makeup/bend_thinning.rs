//! `makeup.bend-thinning`: what a bend leaves of the wall and of the round shape of a tube.

use super::bent_tube;
use crate::check::{About, Look, at_most};
use crate::finding::{Finding, Verdict};
use crate::plan::{Bender, Carrier};
use crate::solve::tube::{BendRow, TubeFacts, WallFacts, bender_of};
use crate::source::Cite;
use crate::table::limit;
use crate::units::Quantity;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.bend-thinning",
    looks_at: "rigid tube: the wall outside of its tightest bend, and the diameters measured across a test bend",
    why: "the wall outside of a bend is stretched thin, and a flattened bend passes less and cracks sooner",
    number: "loss of wall in percent, by diameter and radius alone; smallest diameter in mm against its share of the outside diameter",
    limit_from: "limit/installation, rules tube-bend-thinning-max, tube-bend-least-outside and tube-bend-ovality-max",
    open_when: "no test bend was measured across: flattening cannot be computed",
    remedy: "a larger bend radius, a thicker wall, or a bender that supports the tube",
};

/// Judges wall and roundness of the bends of a tube.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let tube = match bent_tube(look, &draft) {
        Ok(tube) => tube,
        Err(finding) => return vec![*finding],
    };
    if tube.side().rows.is_empty() {
        return vec![draft.ok("the tube is straight")];
    }
    let mut findings = vec![wall(look, tube)];
    findings.extend(roundness(look, tube, bender_of(look.plan, look.line)));
    findings
}

fn wall(look: &Look<'_>, tube: &TubeFacts) -> Finding {
    let rows = tube.side().rows.iter();
    let walls = rows.filter_map(|row: &BendRow| Some((row, row.wall?)));
    let tightest = walls.max_by(|(_, a), (_, b)| a.thinning.total_cmp(&b.thinning));
    let Some((row, wall)) = tightest else {
        let message = "a bend has a radius of no more than half the outside diameter";
        return look.draft(&ABOUT).fail(message, ABOUT.remedy);
    };
    let WallFacts { thinning, left_mm } = wall;
    let draft = look.draft(&ABOUT).at(&row.place).value(100.0 * thinning, "%");
    let message = format!(
        "the wall outside of the bend loses {:.1} %: {left_mm:.2} mm are left of the least wall",
        100.0 * thinning
    );
    let Some(most) = limit::installation_share(look.tables, "tube-bend-thinning-max") else {
        return draft.open("limit/installation has no rule tube-bend-thinning-max", "");
    };
    // The rule is one of another trade: it warns, and does not forbid.
    let verdict = at_most(thinning, most.value, look.near()).min(Verdict::Caution);
    draft.most(100.0 * most.value, &most.cite).say(verdict, message, ABOUT.remedy)
}

fn roundness(look: &Look<'_>, tube: &TubeFacts, bender: Option<&Bender>) -> Vec<Finding> {
    let Carrier::Tube(carrier) = &look.line.carrier else { return Vec::new() };
    let outside_mm = carrier.outside.value.si() * 1e3;
    let Some(least) = limit::installation_share(look.tables, "tube-bend-least-outside") else {
        return Vec::new();
    };
    let least_mm = least.value * outside_mm;
    let draft = look.draft(&ABOUT).at("roundness");
    let Some((bender, smallest_mm)) = bender.and_then(|b| Some((b, b.smallest_mm?))) else {
        return vec![draft.source(&least.cite).open(
            format!(
                "no test bend was measured across; no less than {least_mm:.2} mm of {outside_mm:.2} mm may be left"
            ),
            "measure a test bend with a caliper, and type it in as smallest and largest of the [[bender]]",
        )];
    };
    let cite = least.cite.and(&Cite::new(bender.cite.text.clone(), bender.cite.standing));
    let draft = draft.value(smallest_mm, "mm").least(least_mm, &cite);
    let message = format!("a test bend measures {smallest_mm:.2} mm at its flattest");
    if smallest_mm < least_mm {
        return vec![draft.fail(message, ABOUT.remedy)];
    }
    let most = limit::installation_share(look.tables, "tube-bend-ovality-max");
    let oval = tube.ovality.zip(most).filter(|(oval, most)| *oval > most.value);
    vec![match oval {
        Some((oval, most)) => draft.source(&cite.and(&most.cite)).caution(
            format!(
                "{message}: {:.1} % out of round, more than the {:.0} % of good practice",
                100.0 * oval,
                100.0 * most.value
            ),
            ABOUT.remedy,
        ),
        None => draft.ok(message),
    }]
}
