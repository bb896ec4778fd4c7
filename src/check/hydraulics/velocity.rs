//! `hydraulics.velocity`: how fast the fluid runs, in the bore and in its narrowest end.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::{Cite, Sourced};
use crate::table::limit;
use crate::units::Quantity;

use super::each_duty;

/// What the check is about.
pub const ABOUT: About = About {
    code: "hydraulics.velocity",
    looks_at: "mean velocity in the bore and in the narrowest end fitting",
    why: "fast suction starves a pump, fast return foams, and fast flow erodes and roars",
    number: "velocity in m/s, against the limit for the service, or the builder's own",
    limit_from: "velocity_limit of the line, or limit/velocity for the use of the fluid and the service",
    open_when: "no limit is published for this service and the plan gives none",
    remedy: "use a larger bore",
};

/// Judges the velocity in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let limit = limit_of(look);
    each_duty(look, &ABOUT, |draft, _, flow| {
        let velocity = flow.velocity_m_s.abs();
        let draft = draft.value(velocity, "m/s");
        if velocity == 0.0 {
            return draft.ok("nothing flows");
        }
        let Some(limit) = &limit else {
            return draft.open(
                format!("{velocity:.2} m/s; no published limit for this service"),
                "set velocity_limit on the line if you have one",
            );
        };
        let draft = draft.most(limit.value, &limit.cite);
        let text = format!(
            "{velocity:.2} m/s in the bore, {:.2} m/s in the narrowest end",
            flow.throat_m_s
        );
        if velocity > limit.value {
            let over = 100.0 * (velocity / limit.value - 1.0);
            // These limits are guidance for design, not law: passing one is a caution.
            draft.caution(format!("{text}: {over:.0} % over {:.2} m/s", limit.value), ABOUT.remedy)
        } else if flow.throat_m_s > limit.value {
            draft.caution(
                format!("{text}: over {:.2} m/s only there", limit.value),
                "use end fittings with a larger bore",
            )
        } else {
            draft.ok(text)
        }
    })
}

fn limit_of(look: &Look<'_>) -> Option<Sourced<f64>> {
    if let Some(own) = look.line.velocity_limit {
        return Some(Sourced::new(own.si(), Cite::plan("velocity_limit")));
    }
    let fluid = &look.plan.fluids[look.line.fluid].fluid;
    let use_ = match fluid.use_.as_str() {
        "hydraulic oil" => "hydraulic",
        "engine oil" => "engine-oil",
        other => other,
    };
    let service = format!("{use_}-{}", look.line.service.word());
    limit::velocity(look.tables, &service)?.max.map(|m| m.map(Quantity::si))
}
