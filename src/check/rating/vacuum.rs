//! `rating.vacuum`: whether a hose collapses where its pressure lies below that of the air.

use crate::check::hydraulics::{LEFT_OUT_REMEDY, each_duty, not_counted};
use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::Sourced;
use crate::table::limit;
use crate::units::{PressureDifference, Quantity};

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.vacuum",
    looks_at: "the lowest pressure inside a hose against the pressure of the air around it",
    why: "a suction hose that is sucked flat stops the flow, often only when hot and old",
    number: "pressure below ambient in kPa, against what the hose stands",
    limit_from: "the table of the hose",
    open_when: "no vacuum rating is known, or no pressure is stated",
    remedy: "use a hose with a spiral or a rigid tube, or lower the suction",
};

/// Judges the vacuum in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    if look.own.rating.rigid {
        return vec![look.draft(&ABOUT).ok("a rigid tube stands a full vacuum")];
    }
    let counts = limit::installation::<PressureDifference>(look.tables, "vacuum-least")
        .map_or(0.0, |least| least.value.si() / 1e3);
    each_duty(look, &ABOUT, |draft, duty, flow| {
        let Some(pressures) = &flow.pressures else {
            return draft
                .open("no pressure is stated on the duty", "add pressure_from or pressure_to");
        };
        let vacuum = (duty.ambient_pa - pressures.lowest_pa) / 1e3;
        // Even the higher end alone may be too low, whatever the flow does.
        let at_least = (duty.ambient_pa - pressures.from_pa.max(pressures.to_pa)) / 1e3;
        let collapses = |s: &Sourced<f64>| at_least > s.value / 1e3;
        if pressures.lowest_pa <= 0.0 && !look.own.rating.vacuum_pa.as_ref().is_some_and(collapses)
        {
            let message =
                "the stated flow cannot be: the pressure would fall below a perfect vacuum";
            return draft.open(message, "see hydraulics.suction");
        }
        if vacuum <= counts {
            return draft
                .value(vacuum.max(0.0), "kPa")
                .ok("not below the pressure of the air by more than counts");
        }
        let draft = draft.value(vacuum, "kPa");
        let Some(stands) = &look.own.rating.vacuum_pa else {
            return draft.open(
                format!(
                    "{vacuum:.1} kPa below the air, and no vacuum rating is known for {}",
                    look.own.carrier
                ),
                "ask the maker, and type it in as vacuum of a [[hose]]",
            );
        };
        let limit = stands.value / 1e3;
        let draft = draft.most(limit, &stands.cite);
        if vacuum > limit {
            draft.fail(
                format!("{vacuum:.1} kPa below the air; the hose stands {limit:.1} kPa"),
                ABOUT.remedy,
            )
        } else {
            let text = format!("{vacuum:.1} kPa below the air; the hose stands {limit:.1} kPa");
            if flow.left_out.is_empty() {
                draft.ok(text)
            } else {
                draft.open(text + &not_counted(flow), LEFT_OUT_REMEDY)
            }
        }
    })
}
