//! `rating.compatibility`: the fluid against every material it touches.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::rating::MaterialFacts;

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.compatibility",
    looks_at: "the liner or tube, both end fittings and the components at both ends, against the class of the fluid",
    why: "a liner that the fluid attacks swells, softens and closes the bore, or lets go in flakes",
    number: "the word of the compatibility table: suitable, conditional, unsuitable or not-known",
    limit_from: "compatibility/hose-materials; much of it is general knowledge of polymers and marked so",
    open_when: "the material or the class is not given, or the table has no word for the pair",
    remedy: "choose another material; conditional means: ask the maker for this grade and temperature",
};

/// Judges each wetted part.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    look.own.rating.materials.iter().map(|part| judge(look, part)).collect()
}

fn judge(look: &Look<'_>, part: &MaterialFacts) -> Finding {
    let draft = look.draft(&ABOUT).at(&part.part);
    let fluid = &look.plan.fluids[look.line.fluid].fluid;
    let class = fluid.class.as_deref().unwrap_or("no class");
    let Some(material) = &part.material else {
        return draft.open(
            "what this part is made of is not given",
            "find out what touches the fluid, and type it in; for a component as wetted",
        );
    };
    let Some(rating) = &part.rating else {
        return draft.open(
            format!("no word is known for {material} with {class}"),
            "ask the maker of the part and of the fluid",
        );
    };
    let draft = draft.source(&rating.cite);
    let note = part.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
    let text = format!("{material} with {class} is {}{note}", rating.value);
    match rating.value.as_str() {
        "suitable" => draft.ok(format!("{material} is suitable for {class}")),
        "conditional" => draft.caution(text, ABOUT.remedy),
        "unsuitable" => draft.fail(text, "choose another material; never use this one here"),
        _ => draft.open(text, "ask the maker of the part and of the fluid"),
    }
}
