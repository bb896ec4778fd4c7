//! `rating.surge`: the pressure rise when a valve stops the flow.

use super::pressure_text;
use crate::check::hydraulics::each_duty;
use crate::check::{About, Look, at_most};
use crate::finding::{Finding, Verdict};

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.surge",
    looks_at: "the rise of pressure when the flow is stopped, added to the working pressure",
    why: "a column of liquid that is stopped at once hammers: the rise adds to the pressure and wears the line out",
    number: "working pressure plus surge in kPa gauge, against the derated working pressure",
    limit_from: "Joukowsky's rise with the wave speed of the liquid in a wall that does not give: an upper bound, since hose gives",
    open_when: "the bulk modulus of the fluid, the pressure or the rating is not known",
    remedy: "close more slowly, or measure the volumetric expansion of the hose, which lowers the bound",
};

/// Judges the surge in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    if look.plan.fluids[look.line.fluid].fluid.gas {
        return vec![look.draft(&ABOUT).ok("the line carries a gas")];
    }
    each_duty(look, &ABOUT, |draft, duty, flow| {
        let Some(surge) = flow.closing_surge_pa.or(flow.surge_pa) else {
            let draft = draft.source(&crate::source::Cite::plan("bulk modulus"));
            return if look.line.closing_time.is_some() {
                draft.open(
                    "the bulk modulus of the fluid is not known",
                    "give the fluid its bulk_modulus",
                )
            } else {
                draft.ok("no quick valve is declared on this line (closing_time)")
            };
        };
        if look.line.closing_time.is_none() {
            return draft.value(surge / 1e3, "kPa").ok(format!(
                "no quick valve is declared; a sudden stop would add at most {}",
                pressure_text(surge)
            ));
        }
        let (Some(highest), Some(derated)) =
            (duty.highest_gauge_pa(), look.own.rating.derated_pa())
        else {
            return draft.value(surge / 1e3, "kPa").open(
                format!(
                    "the stop adds up to {}, but pressure or rating is not known",
                    pressure_text(surge)
                ),
                "see rating.working-pressure",
            );
        };
        let all = highest + surge;
        let draft = draft.value(all / 1e3, "kPa").most(derated.value / 1e3, &derated.cite);
        let text = format!(
            "{} working and up to {} surge, {} allowed",
            pressure_text(highest),
            pressure_text(surge),
            pressure_text(derated.value)
        );
        match at_most(all, derated.value, look.near()) {
            // An upper bound beyond the limit is a reason to look closer, not a proof.
            Verdict::Fail => draft.caution(text, ABOUT.remedy),
            verdict => draft.say(verdict, text, ""),
        }
    })
}
