//! `strap.hole`: holes far enough from edges and bends.

use crate::check::{About, Draft, Whole};
use crate::finding::Finding;
use crate::solve::strap::FlatHole;
use crate::table::limit;

/// What the check is about.
pub const ABOUT: About = About {
    code: "strap.hole",
    looks_at: "every hole of a strap: from its centre to the nearest edge, and from its rim to the nearest bend",
    why: "a hole too near to an edge tears out, and one beside a bend is pulled oval when the strip is bent",
    number: "distance in mm against hole diameters from the edge, and against thicknesses from the bend",
    limit_from: "limit/strap, rules hole-edge and hole-bend",
    open_when: "the strap has no flat length, or the table lacks the rule",
    remedy: "move the hole, take a wider strip or a smaller bolt, or make the foot longer; drilled after bending a hole stays round",
};

/// Judges the holes of each strap.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (strap, facts) in whole.plan.straps.iter().zip(&whole.facts.straps) {
        let draft = whole.draft(&ABOUT, &strap.id);
        let Ok(flat) = &facts.flat else {
            findings.push(draft.open("there is no flat length", "see strap.flat-length"));
            continue;
        };
        if flat.holes.is_empty() {
            findings.push(draft.ok("no hole is planned"));
            continue;
        }
        for (index, hole) in flat.holes.iter().enumerate() {
            let at = format!("hole {}", index + 1);
            findings.push(edge(whole, draft.clone().at(&at), hole));
            findings.extend(bend(whole, draft.clone().at(&at), hole, strap.thickness_mm));
        }
    }
    findings
}

fn edge(whole: &Whole<'_>, draft: Draft, hole: &FlatHole) -> Finding {
    let Some(rule) = limit::strap_number(whole.tables, "hole-edge") else {
        return draft.open("limit/strap has no rule hole-edge", "add the rule");
    };
    let least_mm = rule.value * hole.diameter_mm;
    let draft = draft.value(hole.edge_mm, "mm").least(least_mm, &rule.cite);
    let message = format!(
        "centre {:.1} mm from the nearest edge, where {least_mm:.1} mm are wanted for a hole of {:.1} mm",
        hole.edge_mm, hole.diameter_mm
    );
    if hole.edge_mm <= 0.5 * hole.diameter_mm {
        draft.fail(format!("{message}; it breaks out of the strip"), ABOUT.remedy)
    } else if hole.edge_mm < least_mm {
        draft.caution(message, ABOUT.remedy)
    } else {
        draft.ok(message)
    }
}

fn bend(whole: &Whole<'_>, draft: Draft, hole: &FlatHole, thickness_mm: f64) -> Option<Finding> {
    let apart_mm = hole.bend_mm?;
    let Some(rule) = limit::strap_number(whole.tables, "hole-bend") else {
        return Some(draft.open("limit/strap has no rule hole-bend", "add the rule"));
    };
    let least_mm = rule.value * thickness_mm;
    let draft = draft.value(apart_mm, "mm").least(least_mm, &rule.cite);
    let message =
        format!("rim {apart_mm:.1} mm from the nearest bend, where {least_mm:.1} mm are wanted");
    Some(if apart_mm < 0.0 {
        draft.fail(format!("{message}; it lies in the bend"), ABOUT.remedy)
    } else if apart_mm < least_mm {
        draft.caution(message, ABOUT.remedy)
    } else {
        draft.ok(message)
    })
}
