//! `hydraulics.pressure-drop`: what the line takes from the pressure.

use core::fmt::Write;

use crate::check::{About, Look, at_most};
use crate::finding::{Finding, Verdict};
use crate::solve::hydraulics::FlowFacts;
use crate::source::Cite;
use crate::units::Quantity;

use super::{LEFT_OUT_REMEDY, each_duty, not_counted};

/// What the check is about.
pub const ABOUT: About = About {
    code: "hydraulics.pressure-drop",
    looks_at: "wall friction, bends, end fittings and other resistances of the line",
    why: "pressure lost on the way is missing where it is needed, and turns to heat",
    number: "pressure drop in kPa without lift, against drop_limit of the line",
    limit_from: "the plan: only the builder knows what the machine can spare",
    open_when: "the drop cannot be computed, or there is a drop_limit and the bore of an end is not known",
    remedy: "use a larger bore, wider ends, or fewer bends",
};

/// Judges the drop in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let cite = Cite::plan("drop_limit");
    each_duty(look, &ABOUT, |draft, _, flow| {
        let drop = flow.losses.drop_pa() / 1e3;
        let text = parts(flow);
        let draft = draft.value(drop, "kPa");
        let Some(limit) = look.line.drop_limit.map(|limit| limit.si() / 1e3) else {
            return draft.source(&Cite::plan("no drop_limit")).ok(text);
        };
        let draft = draft.most(limit, &cite);
        let high = drop + flow.transition_pa / 1e3;
        match at_most(drop, limit, look.near()) {
            Verdict::Fail => draft.fail(text, ABOUT.remedy),
            _ if !flow.left_out.is_empty() => draft.open(text, LEFT_OUT_REMEDY),
            _ if high > limit => draft.caution(
                format!("{text}; in the transition it may be {high:.2} kPa"),
                "size the line for the high bound",
            ),
            verdict => draft.say(verdict, text, ABOUT.remedy),
        }
    })
}

/// The drop and its parts in words.
fn parts(flow: &FlowFacts) -> String {
    let l = &flow.losses;
    let mut text = format!("{:.2} kPa", l.drop_pa() / 1e3);
    let parts = [
        ("wall", l.wall_pa),
        ("bends", l.bends_pa),
        ("ends", l.ends_pa),
        ("other", l.other_pa),
        ("tank", l.tank_pa),
    ];
    for (index, (name, pascal)) in parts.into_iter().enumerate() {
        let _ =
            write!(text, "{} {name} {:.2} kPa", if index == 0 { ":" } else { "," }, pascal / 1e3);
    }
    let _ = write!(text, "; lift {:+.2} kPa{}", l.lift_pa / 1e3, not_counted(flow));
    text
}
