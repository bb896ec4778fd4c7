//! `network.pump-inlet`: what is left at the inlet of a pump before the fluid boils.

use core::fmt::Write;

use super::governed;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::network::facts::{InletFacts, Taken, Worst};
use crate::source::{Cite, Sourced};
use crate::units::{AbsolutePressure, PressureDifference, Quantity};

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.pump-inlet",
    looks_at: "the inlet of every pump while it runs, over all cases",
    why: "fuel that boils before the pump stops the engine, and a pump that cavitates eats itself",
    number: "pressure with the fluid brought to rest over the vapour pressure, in kPa (oil: the pressure itself), at the worst case",
    limit_from: "inlet_margin of the path, or limit/suction for the fluid",
    open_when: "the circuit is not solved, or the vapour pressure or a limit is not known",
    remedy: "a lower pump, a wider or shorter suction line, a freer filter, a cooler tank, a less volatile fuel",
};

/// Judges every inlet in its worst case.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.network.inlets.iter().map(|inlet| one(whole, inlet)).collect()
}

fn one(whole: &Whole<'_>, inlet: &InletFacts) -> Finding {
    let place = whole.path_name(inlet.component, inlet.path);
    let draft = whole.draft(&ABOUT, &place);
    let own = whole.plan.components[inlet.component].paths[inlet.path].inlet_margin;
    let own = own.map(|m| Sourced::new(m.si(), Cite::plan("inlet_margin")));
    match (&inlet.margin, &inlet.pressure) {
        (Some(margin), _) => {
            let wanted = own.or_else(|| tabulated(whole, inlet));
            let draft = governed(draft, margin).value(margin.value / 1e3, "kPa");
            let text = text(whole, inlet, margin);
            let Some(wanted) = wanted else {
                return if margin.value <= 0.0 {
                    draft.fail(format!("the fluid boils: {text}"), ABOUT.remedy)
                } else {
                    draft.open(
                        format!("{text}; no margin is known for it"),
                        "ask the maker of the pump",
                    )
                };
            };
            let draft = draft.least(wanted.value / 1e3, &wanted.cite);
            if margin.value <= 0.0 {
                draft.fail(format!("the fluid boils: {text}"), ABOUT.remedy)
            } else if margin.value < wanted.value {
                draft.fail(format!("{text}; {:.1} kPa is wanted", wanted.value / 1e3), ABOUT.remedy)
            } else {
                draft.ok(text)
            }
        }
        (None, Some(pressure)) => by_pressure(whole, inlet, pressure, draft),
        (None, None) => draft.open("the pump runs in no solved case", "see network.solved"),
    }
}

/// Where no vapour pressure is known: oil by its air, anything else is open.
fn by_pressure(
    whole: &Whole<'_>,
    inlet: &InletFacts,
    pressure: &Worst,
    draft: crate::check::Draft,
) -> Finding {
    let lowest = pressure.value / 1e3;
    let draft = governed(draft, pressure).value(lowest, "kPa");
    let text = format!("{lowest:.1} kPa abs");
    let least = use_of(whole, inlet).filter(|u| u.contains("oil")).and_then(|_| {
        let table = whole.tables.get("limit", "suction")?;
        let row = table.row(&[("what", "oil-pump")])?;
        table.quantity::<AbsolutePressure>(row, "least")
    });
    let Some(least) = least else {
        return draft.open(
            format!("{text}; its vapour pressure is not known"),
            "give the fluid its vapour pressure",
        );
    };
    let limit = least.value.si() / 1e3;
    let draft = draft.least(limit, &least.cite);
    if lowest >= limit {
        draft.ok(text)
    } else {
        let text = format!(
            "{text}, less than {limit:.0} kPa abs: air comes out of the oil and the pump cavitates"
        );
        draft.fail(text, ABOUT.remedy)
    }
}

fn text(whole: &Whole<'_>, inlet: &InletFacts, margin: &Worst) -> String {
    let kilo = margin.value / 1e3;
    let side = if kilo < 0.0 { "below" } else { "above" };
    let mut text = format!("{:.1} kPa {side} the vapour pressure", kilo.abs());
    if let Some(height) = inlet.zero_altitude_m {
        let _ = write!(text, "; nothing is left at {height:.0} m");
    }
    if let Some(kelvin) = inlet.zero_temperature_k {
        let _ = write!(text, "; nothing is left with the fluid at {:.0} degC", kelvin - 273.15);
    }
    if let Some(over) = inlet.boils_in_tank_pa {
        let _ = write!(
            text,
            "; it boils in an open tank already: its vapour pressure is {:.1} kPa over that of the air",
            over / 1e3
        );
    }
    text += &taken(inlet);
    for (component, state, margin) in &inlet.with_stopped {
        let component = &whole.plan.components[*component];
        let _ = write!(
            text,
            "; with {} {} it would be {:+.1} kPa",
            component.id,
            component.states[*state].name,
            margin / 1e3
        );
    }
    text
}

/// What takes the pressure on the way from the tank, the most first.
fn taken(inlet: &InletFacts) -> String {
    let lost: f64 = inlet.taken.iter().map(|t| t.lost_pa).sum();
    let lift: f64 = inlet.taken.iter().map(|t| t.lift_pa).sum();
    let mut parts: Vec<&Taken> = inlet.taken.iter().filter(|t| t.lost_pa > 0.02 * lost).collect();
    parts.sort_by(|a, b| b.lost_pa.total_cmp(&a.lost_pa));
    let parts: Vec<String> =
        parts.iter().map(|t| format!("{} {:.1} kPa", t.what, t.lost_pa / 1e3)).collect();
    if parts.is_empty() {
        return String::new();
    }
    format!(
        "; {:.1} kPa are lost on the way ({}), {:.1} kPa by height",
        lost / 1e3,
        parts.join(", "),
        lift / 1e3
    )
}

fn use_of<'w>(whole: &'w Whole<'_>, inlet: &InletFacts) -> Option<&'w str> {
    let fluid = whole.plan.fluids.iter().find(|f| f.id == inlet.fluid)?;
    Some(fluid.fluid.use_.as_str())
}

fn tabulated(whole: &Whole<'_>, inlet: &InletFacts) -> Option<Sourced<f64>> {
    let what = match use_of(whole, inlet)? {
        "fuel" => "fuel-pump",
        "coolant" | "water" => "coolant-pump",
        _ => return None,
    };
    let table = whole.tables.get("limit", "suction")?;
    let row = table.row(&[("what", what)])?;
    table.quantity::<PressureDifference>(row, "margin").map(|q| q.map(Quantity::si))
}
