//! `rating.fire`: lines with burning fluid where there is fire to feed.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Zone;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.fire",
    looks_at: "lines with a flammable fluid in the engine space or with people",
    why: "a line that lets go in a fire feeds it",
    number: "fire class of the hose, or a fire sleeve over its whole length",
    limit_from: "the rules chosen in the plan, of limit/regulation, as a yardstick and never as approval; without a chosen rule a caution",
    open_when: "the zone of the line is not given, or it is not known whether the fluid burns",
    remedy: "use a fire-resistant hose, steel tube, or a fire sleeve over the whole hose; a sleeve buys time, it does not raise the temperature rating",
};

/// Rules of limit/regulation that speak of fire in the engine space.
const FIRE_RULES: &[&str] = &["23.1183", "33-183.558"];

/// Judges the fire class of a line.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    vec![judge(look)]
}

fn judge(look: &Look<'_>) -> Finding {
    let draft = look.draft(&ABOUT);
    let fluid = &look.plan.fluids[look.line.fluid].fluid;
    match fluid.flammable {
        Some(false) => return draft.ok("the fluid does not burn"),
        None => {
            return draft
                .open("it is not known whether the fluid burns", "set flammable on the fluid");
        }
        Some(true) => {}
    }
    match look.line.zone {
        None => {
            return draft.open(
                "the fluid burns, but the zone of the line is not given",
                "set zone on the line",
            );
        }
        Some(Zone::Open) => {
            return draft.ok("the line runs neither with the engine nor with people");
        }
        Some(Zone::Engine | Zone::Cabin) => {}
    }
    let (protected, how) = protection(look);
    let rule = rule(look);
    let draft = match &rule {
        Some(cite) => draft.source(cite),
        None => draft.source(&Cite::plan("no rule chosen")),
    };
    match (protected, rule.is_some()) {
        (true, _) => draft.ok(how),
        (false, true) => draft.fail(how, ABOUT.remedy),
        (false, false) => draft.caution(how, ABOUT.remedy),
    }
}

/// Whether the line stands a flame for a while, and the words for it.
fn protection(look: &Look<'_>) -> (bool, String) {
    let fire = look.own.rating.fire.as_ref().map(|f| f.value.as_str());
    let steel =
        look.own.rating.rigid && fire.is_some_and(|f| f.contains("steel") || f.contains("cres"));
    if steel {
        return (true, "steel tube".into());
    }
    if fire.is_some_and(|f| f == "fire-resistant" || f == "fireproof") {
        return (true, format!("the hose is {}", fire.unwrap_or_default()));
    }
    let length = look.own.makeup.as_ref().map_or(f64::INFINITY, |m| m.cut.assembly_mm);
    let cut_offs =
        look.own.geometry.as_ref().map_or([0.0; 2], |g| g.cut_off_mm.map(|c| c.unwrap_or(0.0)));
    let covers = |s: &&crate::plan::Sleeve| {
        s.kind == "fire"
            && s.start_mm <= cut_offs[0].max(0.0) + 1.0
            && s.end_mm >= length - cut_offs[1].max(0.0) - 1.0
    };
    if look.line.sleeves.iter().any(|s| covers(&s)) {
        return (true, "a fire sleeve covers the whole hose".into());
    }
    let class = fire.unwrap_or("not said");
    (
        false,
        format!(
            "a flammable fluid runs here; fire class of the hose: {class}; no fire sleeve covers it from end to end"
        ),
    )
}

fn rule(look: &Look<'_>) -> Option<Cite> {
    let table = look.tables.get("limit", "regulation")?;
    let chosen = look.plan.rules.iter().find(|r| FIRE_RULES.contains(&r.as_str()))?;
    Some(table.cite(table.row(&[("id", chosen)])?))
}
