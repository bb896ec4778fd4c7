//! `geometry.bend-radius`: no bend tighter than the hose or tube allows.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::geometry::{AllowedRadius, BendFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.bend-radius",
    looks_at: "every bend of the route, at the radius that fits between its neighbours",
    why: "a hose bent too tightly flattens, its braid opens and it fails early; a tube flattens and cracks",
    number: "radius of the centre line in mm, against the least radius of the hose or tube",
    limit_from: "the table of the hose or tube; a radius printed to the inside of the bend is moved to the centre line by half the outside diameter",
    open_when: "no least radius is known: a radius that the plan gives a line is drawn, but is no limit",
    remedy: "move the clips apart, choose a hose with a smaller bend radius, or use an angled end",
};

/// Judges each bend of a line.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    if geometry.bends.is_empty() {
        return vec![draft.ok("the line has no bend")];
    }
    let Some(allowed) = &geometry.allowed else {
        return vec![draft.open(
            format!("no least bend radius is known for {}", look.own.carrier),
            "ask the maker; for a hose, type it in as bend_radius of a [[hose]]",
        )];
    };
    geometry.bends.iter().map(|bend| judge(look, allowed, bend)).collect()
}

fn judge(look: &Look<'_>, allowed: &AllowedRadius, bend: &BendFacts) -> Finding {
    let draft = look
        .draft(&ABOUT)
        .at(&bend.place)
        .value(bend.radius_mm, "mm")
        .least(allowed.least_mm, &allowed.cite);
    let radius = bend.radius_mm;
    // A radius that was drawn at the limit must not fail by the last bit of a conversion.
    let noise = 1e-6 * allowed.least_mm;
    if radius < allowed.least_mm - noise {
        return draft.fail(
            format!(
                "{:.0} degree bend at {}: radius {radius:.1} mm, {:.1} mm less than the least radius of {:.1} mm; {:.1} mm would fit",
                bend.angle_deg,
                bend.place,
                allowed.least_mm - radius,
                allowed.least_mm,
                bend.fits_mm
            ),
            ABOUT.remedy,
        );
    }
    let larger = match allowed.sure_mm {
        Some(sure) if radius >= sure - noise => None,
        Some(sure) => Some(format!("not if it means the inside of the bend ({sure:.1} mm)")),
        None => Some("the inside of the bend cannot be told without the outside diameter".into()),
    };
    if let Some(larger) = larger {
        return draft.caution(
            format!("radius {radius:.1} mm holds if the table means the centre line, but {larger}"),
            "give the bend the larger radius, or find out how the radius is measured",
        );
    }
    draft.ok(format!("radius {radius:.1} mm at {}", bend.place))
}
