//! `network.capacity`: what a tank holds by its measures, against what the plan says.

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::dip::CapacityFacts;
use crate::table::limit;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.capacity",
    looks_at: "each tank with both a capacity and a shape given by measures: the volume of the shape, its inner body taken out",
    why: "a measure that was read off wrong moves every dip mark, and a capacity that is wrong the room for warmth and the minutes of fuel",
    number: "litres by the shape, and their difference from the capacity as a share of it",
    limit_from: "a share of the capacity (limit/installation, tank-capacity)",
    open_when: "the shape is one that no tank has",
    remedy: "measure the inside again, or pour the tank full and write down what went in as its capacity",
};

/// Judges every tank whose volume can be told in two ways.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.capacities.iter().filter_map(|facts| one(whole, facts)).collect()
}

fn one(whole: &Whole<'_>, facts: &CapacityFacts) -> Option<Finding> {
    let most = limit::installation_share(whole.tables, "tank-capacity")?;
    let draft = whole.draft(&ABOUT, &whole.plan.components[facts.component].id);
    let full_m3 = match &facts.full_m3 {
        Ok(full_m3) => *full_m3,
        Err(why) => return Some(draft.open(why.clone(), ABOUT.remedy)),
    };
    let off = full_m3 / facts.given_m3 - 1.0;
    let text = format!(
        "{:.2} L by its shape, {:.2} L by its capacity",
        full_m3 * 1e3,
        facts.given_m3 * 1e3
    );
    let draft = draft.value(off.abs() * 100.0, "%").most(most.value * 100.0, &most.cite);
    Some(if off.abs() > most.value { draft.caution(text, ABOUT.remedy) } else { draft.ok(text) })
}
