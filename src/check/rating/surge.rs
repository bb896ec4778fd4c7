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
    limit_from: "Joukowsky's rise with the wave speed of the liquid in a wall that does not give: an upper bound for this line by itself, since hose gives; what runs on behind a component is not counted",
    open_when: "the bulk modulus of the fluid, the pressure or the rating is not known, or a valve at an end has no closing_time",
    remedy: "close more slowly, or measure the volumetric expansion of the hose, which lowers the bound",
};

/// Judges the surge in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    if look.plan.fluids[look.line.fluid].fluid.gas {
        return vec![look.draft(&ABOUT).ok("the line carries a gas")];
    }
    let valve = valve_at_end(look);
    each_duty(look, &ABOUT, |draft, duty, flow| {
        if let Some(valve) = valve.as_ref().filter(|_| flow.velocity_m_s > 0.0) {
            let adds = flow.surge_pa.map_or(String::new(), |pa| {
                format!("; stopped at once, this line adds up to {}", pressure_text(pa))
            });
            return draft.open(
                format!("how fast {valve} closes is not given{adds}"),
                "set closing_time on the line",
            );
        }
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
                "no quick valve is declared; a sudden stop of this line would add at most {}",
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

/// A valve at either end of a line that states no closing time.
fn valve_at_end(look: &Look<'_>) -> Option<String> {
    if look.line.closing_time.is_some() {
        return None;
    }
    let components = [&look.line.from, &look.line.to].map(|r| look.plan.port(r).0);
    components.iter().find(|c| c.kind == "valve").map(|c| c.id.clone())
}
