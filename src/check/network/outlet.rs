//! `network.outlet`: a pressure that must not be passed behind a path, such as the return of a regulator.

use super::governed;
use crate::check::{About, Whole, at_most};
use crate::finding::Finding;
use crate::solve::network::facts::OutletFacts;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.outlet",
    looks_at: "paths with outlet_most, over all cases",
    why: "a return line that is too narrow pushes back on a regulator, which then holds the wrong pressure",
    number: "highest pressure where the fluid leaves, in kPa gauge, against outlet_most, at the worst case",
    limit_from: "the plan: outlet_most of the path",
    open_when: "the circuit is not solved in any case",
    remedy: "a wider or shorter line behind it, with fewer fittings",
};

/// Judges every such path.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.network.outlets.iter().map(|outlet| one(whole, outlet)).collect()
}

fn one(whole: &Whole<'_>, outlet: &OutletFacts) -> Finding {
    let draft = whole.draft(&ABOUT, &whole.path_name(outlet.component, outlet.path));
    let Some(most) = &outlet.most else {
        return draft.open("there is no solved case", "see network.solved");
    };
    let (value, limit) = (most.value / 1e3, outlet.allowed_pa / 1e3);
    let draft = governed(draft, most).value(value, "kPa").most(limit, &Cite::plan("outlet_most"));
    let text = format!("{value:.1} kPa gauge where the fluid leaves");
    draft.say(at_most(value, limit, whole.near()), text, ABOUT.remedy)
}
