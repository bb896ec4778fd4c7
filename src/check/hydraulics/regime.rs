//! `hydraulics.regime`: whether the flow stands near the change from laminar to turbulent.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::hydraulics::friction::Regime;
use crate::solve::hydraulics::regime_word;
use crate::source::Cite;
use crate::table::limit;

use super::each_duty;

/// What the check is about.
pub const ABOUT: About = About {
    code: "hydraulics.regime",
    looks_at: "the Reynolds number of each case",
    why: "between 2000 and 4000 the loss is not one number: a little warmth or a bend changes it by half",
    number: "Reynolds number, against the band from 2000 to 4000",
    limit_from: "handbook practice; the value in the band is an interpolation, printed with its low and high bound",
    open_when: "the fluid is outside the range of its figures, or the line has no duty",
    remedy: "size the line for the high bound, or change the bore so that the flow is clearly one or the other",
};

/// Judges the regime in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let near = limit::installation_share(look.tables, "transition-near");
    let cite = near.as_ref().map_or_else(|| Cite::plan("regime"), |n| n.cite.clone());
    let near = near.map_or(0.0, |n| n.value);
    each_duty(look, &ABOUT, |draft, _, flow| {
        let Some(friction) = flow.friction else {
            return draft.value(0.0, "Re").ok("nothing flows");
        };
        let reynolds = flow.reynolds;
        let draft = draft.value(reynolds, "Re").source(&cite);
        let word = regime_word(friction.regime);
        match friction.regime {
            Regime::Transition => draft.caution(
                format!(
                    "Re {reynolds:.0}: neither laminar nor turbulent; the friction factor lies between {:.4} and {:.4}, {:.4} is used",
                    friction.low, friction.high, friction.factor
                ),
                ABOUT.remedy,
            ),
            Regime::Laminar if reynolds > 2000.0 * (1.0 - near) => draft.caution(
                format!("Re {reynolds:.0}: laminar, but {:.0} % from the change", 100.0 * (1.0 - reynolds / 2000.0)),
                "look at the loss in turbulent flow as well",
            ),
            _ => draft.ok(format!("Re {reynolds:.0}: {word}")),
        }
    })
}
