//! `hydraulics.suction`: absolute pressure along the line against the vapour pressure of the fluid.

use core::fmt::Write;

use crate::check::{About, Draft, Look};
use crate::finding::{Finding, Verdict};
use crate::plan::Service;
use crate::solve::hydraulics::{DutyFacts, FlowFacts, Pressures};
use crate::source::Sourced;
use crate::units::{AbsolutePressure, PressureDifference, Quantity};

use super::{LEFT_OUT_REMEDY, each_duty, not_counted};

/// What the check is about.
pub const ABOUT: About = About {
    code: "hydraulics.suction",
    looks_at: "the lowest absolute pressure along the line, in bends and narrow ends too",
    why: "a liquid below its vapour pressure boils: the pump runs on vapour and the engine stops; oil gives off its air well before",
    number: "lowest pressure minus vapour pressure in kPa, against the margin for the kind of pump; for oil the absolute pressure itself",
    limit_from: "limit/suction; no margin is published for petrol, so the figure there is one of judgement",
    open_when: "no pressure is stated on the duty, the vapour pressure or the margin for this fluid is not known, or the bore of an end is not",
    remedy: "a larger bore, fewer bends, a lower or cooler line, a freer filter, or a pump nearer to the tank",
};

/// Judges the suction margin in each case.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let gas = look.plan.fluids[look.line.fluid].fluid.gas;
    if gas && look.own.duties.iter().all(possible) {
        return vec![look.draft(&ABOUT).ok("the line carries a gas")];
    }
    each_duty(look, &ABOUT, |draft, _, flow| match &flow.pressures {
        None => draft.open(
            "no pressure is stated on the duty",
            "add pressure_from or pressure_to; a vented tank is \"0 bar\"",
        ),
        Some(pressures) if pressures.lowest_pa <= 0.0 => {
            draft.value(pressures.lowest_pa / 1e3, "kPa").fail(
                "the pressure would fall below a perfect vacuum: this flow cannot be",
                ABOUT.remedy,
            )
        }
        Some(_) if gas => draft.ok("the line carries a gas"),
        Some(pressures) => judge(look, draft, flow, pressures),
    })
}

/// Whether the pressure stays above a vacuum, as far as it was computed.
fn possible(duty: &DutyFacts) -> bool {
    let pressures = duty.flow.as_ref().ok().and_then(|f| f.pressures.as_ref());
    pressures.is_none_or(|p| p.lowest_pa > 0.0)
}

fn judge(look: &Look<'_>, draft: Draft, flow: &FlowFacts, pressures: &Pressures) -> Finding {
    let use_ = look.plan.fluids[look.line.fluid].fluid.use_.as_str();
    let oil = use_.ends_with("oil");
    let finding = match (flow.vapour_pa, oil) {
        // Air leaves oil long before oil boils; where both are known the worse one speaks.
        (Some(vapour), true) => {
            let boils = vapour_margin(look, draft.clone(), vapour, pressures);
            let foams = oil_floor(look, draft, pressures);
            if boils.verdict == Verdict::Fail { boils } else { foams }
        }
        (Some(vapour), false) => vapour_margin(look, draft, vapour, pressures),
        (None, true) => oil_floor(look, draft, pressures),
        (None, false) => draft.open(
            format!("the vapour pressure of the {use_} is not known at this temperature"),
            "give the fluid its vapour pressure, or a Reid pressure for petrol",
        ),
    };
    at_the_bounds(look, flow, finding)
}

/// What the computed pressure does not know: the transition from laminar flow, and what was left out.
fn at_the_bounds(look: &Look<'_>, flow: &FlowFacts, mut finding: Finding) -> Finding {
    let high = flow.transition_pa / 1e3;
    if finding.verdict == Verdict::Ok
        && finding.margin.or(finding.value).is_some_and(|margin| margin < high)
    {
        finding.verdict = Verdict::Caution;
        let _ = write!(finding.message, "; in the transition it may be {high:.1} kPa lower");
        finding.remedy = ABOUT.remedy.into();
    }
    let matters = matches!(look.line.service, Service::Suction | Service::Gravity);
    if matters && !flow.left_out.is_empty() && finding.verdict < Verdict::Caution {
        finding.verdict = Verdict::Open;
        finding.message += &not_counted(flow);
        finding.remedy = LEFT_OUT_REMEDY.into();
    }
    finding
}

fn vapour_margin(look: &Look<'_>, draft: Draft, vapour_pa: f64, p: &Pressures) -> Finding {
    let margin = (p.lowest_pa - vapour_pa) / 1e3;
    let text = format!(
        "{:.1} kPa {} the vapour pressure: {:.1} kPa abs at {}, vapour {:.1} kPa abs",
        margin.abs(),
        if margin < 0.0 { "below" } else { "above" },
        p.lowest_pa / 1e3,
        p.lowest_at,
        vapour_pa / 1e3
    );
    let draft = draft.value(margin, "kPa");
    let wanted = margin_wanted(look).filter(|_| look.line.service == Service::Suction);
    let draft = match &wanted {
        Some(wanted) => draft.least(wanted.value / 1e3, &wanted.cite),
        None => draft,
    };
    if margin <= 0.0 {
        return draft.fail(format!("the fluid boils: {text}"), ABOUT.remedy);
    }
    match wanted {
        // Only what feeds a pump needs more than not to boil.
        None if look.line.service != Service::Suction => draft.ok(text),
        Some(wanted) if margin < wanted.value / 1e3 => {
            draft.caution(format!("{text}; {:.0} kPa is wanted", wanted.value / 1e3), ABOUT.remedy)
        }
        Some(_) => draft.ok(text),
        None => draft.open(
            format!("{text}; no margin is tabulated for a pump on this fluid"),
            "ask the maker of the pump",
        ),
    }
}

fn oil_floor(look: &Look<'_>, draft: Draft, p: &Pressures) -> Finding {
    let lowest = p.lowest_pa / 1e3;
    let draft = draft.value(lowest, "kPa");
    let text = format!("{lowest:.1} kPa abs at {}", p.lowest_at);
    let Some(least) = suction_row::<AbsolutePressure>(look, "oil-pump", "least") else {
        return draft.open(text, "no least pressure is tabulated");
    };
    let draft = draft.least(least.value / 1e3, &least.cite);
    if lowest >= least.value / 1e3 {
        return draft.ok(text);
    }
    let text =
        format!("{text}, less than {:.0} kPa abs: air comes out of the oil", least.value / 1e3);
    if look.line.service == Service::Suction {
        draft.fail(format!("{text} and the pump cavitates"), ABOUT.remedy)
    } else {
        draft.caution(text, ABOUT.remedy)
    }
}

fn margin_wanted(look: &Look<'_>) -> Option<Sourced<f64>> {
    let what = match look.plan.fluids[look.line.fluid].fluid.use_.as_str() {
        "fuel" => "fuel-pump",
        "coolant" | "water" => "coolant-pump",
        _ => return None,
    };
    suction_row::<PressureDifference>(look, what, "margin")
}

fn suction_row<Q: Quantity>(look: &Look<'_>, what: &str, column: &str) -> Option<Sourced<f64>> {
    let table = look.tables.get("limit", "suction")?;
    let row = table.row(&[("what", what)])?;
    table.quantity::<Q>(row, column).map(|q| q.map(Quantity::si))
}
