//! `hydraulics.pressure-drop`: what the line takes from the pressure.

use crate::check::{About, Look, at_most};
use crate::finding::Finding;
use crate::source::Cite;
use crate::units::Quantity;

use super::each_duty;

/// What the check is about.
pub const ABOUT: About = About {
    code: "hydraulics.pressure-drop",
    looks_at: "wall friction, bends, end fittings and other resistances of the line",
    why: "pressure lost on the way is missing where it is needed, and turns to heat",
    number: "pressure drop in kPa without lift, against drop_limit of the line",
    limit_from: "the plan: only the builder knows what the machine can spare",
    open_when: "the drop cannot be computed, or the plan sets no drop_limit and the pressures go below ambient",
    remedy: "use a larger bore, wider ends, or fewer bends",
};

/// Judges the drop in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let cite = Cite::plan("drop_limit");
    each_duty(look, &ABOUT, |draft, _, flow| {
        let drop = flow.losses.drop_pa() / 1e3;
        let parts = format!(
            "{drop:.2} kPa: wall {:.2}, bends {:.2}, ends {:.2}, other {:.2}, tank {:.2}; lift {:+.2}",
            flow.losses.wall_pa / 1e3,
            flow.losses.bends_pa / 1e3,
            flow.losses.ends_pa / 1e3,
            flow.losses.other_pa / 1e3,
            flow.losses.tank_pa / 1e3,
            flow.losses.lift_pa / 1e3,
        );
        let text = if flow.left_out.is_empty() {
            parts
        } else {
            format!("{parts}; not counted: {}", flow.left_out.join(", "))
        };
        let draft = draft.value(drop, "kPa");
        match look.line.drop_limit {
            Some(limit) => {
                let limit = limit.si() / 1e3;
                let remedy = ABOUT.remedy;
                draft.most(limit, &cite).say(at_most(drop, limit, look.near()), text, remedy)
            }
            None => draft.source(&Cite::plan("no drop_limit")).ok(text),
        }
    })
}
