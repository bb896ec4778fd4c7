//! What resists the flow in a line, and what the line must do in each case.

use std::collections::BTreeSet;

use super::{Anchor, Duty, Known, Loss, LossLaw};
use crate::document::{Placed, Section};
use crate::plan::{not_negative, positive, shape};
use crate::units::{Flow, FlowCoefficient, GaugePressure, Length, PressureDifference, Temperature};

pub fn loss(section: &Section<'_>) -> Option<Loss> {
    let what = section.words("what");
    let at_b = section.choice("at", &[("A", false), ("B", true)]).is_some_and(|e| e.value);
    Some(Loss { law: loss_law(section)?, what: what?.value, at_b })
}

/// What resists the flow, by coefficient or as measured.
pub fn loss_law(section: &Section<'_>) -> Option<LossLaw> {
    let k = section.number("k");
    let bore = positive::<Length>(section, "bore");
    let kv = positive::<FlowCoefficient>(section, "kv");
    let drop = positive::<PressureDifference>(section, "drop");
    let at = positive::<Flow>(section, "at_flow");
    let linear = section.choice("law", &[("linear", true), ("square", false)]);
    let keys = ["k", "bore", "kv", "drop", "at_flow", "law"];
    let written: Vec<&str> = keys.into_iter().filter(|key| section.has(key)).collect();
    match written.as_slice() {
        ["k", "bore"] => {
            Some(LossLaw::Coefficient { k: coefficient(section, &k?)?, bore: bore?.value })
        }
        ["kv"] => Some(LossLaw::Valve(kv?.value)),
        ["drop", "at_flow", "law"] => {
            Some(LossLaw::Measured { drop: drop?.value, at: at?.value, linear: linear?.value })
        }
        _ => {
            section.reader().absence(
                &section.header(),
                "a loss has k and bore, or kv, or drop with at_flow and law",
                vec!["for example { what = \"filter\", drop = \"2.5 kPa\", at_flow = \"1 L/min\", law = \"linear\" }".into()],
            );
            None
        }
    }
}

fn coefficient(section: &Section<'_>, k: &Placed<f64>) -> Option<f64> {
    if k.value < 0.0 {
        let help = vec!["a resistance takes pressure away: k is 0 or more".into()];
        section.reader().problem(&k.span, "k must not be negative", "negative", help);
        return None;
    }
    Some(k.value)
}

pub fn duties(section: &Section<'_>, known: &Known<'_>) -> Vec<Duty> {
    let mut given: BTreeSet<Option<usize>> = BTreeSet::new();
    let mut duties: Vec<Duty> = Vec::new();
    for duty in section.sections("duty", &shape::DUTY) {
        let (case, known_case) = case_index(&duty, known);
        let flow = not_negative::<Flow>(&duty, "flow");
        let temperature = positive::<Temperature>(&duty, "temperature");
        let from = duty.quantity::<GaugePressure>("pressure_from");
        let to = duty.quantity::<GaugePressure>("pressure_to");
        let max = duty.quantity::<GaugePressure>("pressure_max").map(|p| p.value);
        let anchor = match (from, to) {
            (Some(from), None) => Anchor::From(from.value),
            (None, Some(to)) => Anchor::To(to.value),
            (None, None) => Anchor::None,
            (Some(_), Some(to)) => {
                duty.reader().problem(
                    &to.span,
                    "a duty states the pressure at one end; the other follows from the loss",
                    "one too many",
                    vec!["take out pressure_from or pressure_to".into()],
                );
                Anchor::None
            }
        };
        if known_case && !given.insert(case) {
            let message = "this line has a duty for this case already";
            let help = vec!["name the case of each duty, or take one out".into()];
            duty.reader().problem(&duty.header(), message, "again", help);
        }
        let (Some(flow), Some(temperature)) = (flow, temperature) else {
            continue;
        };
        duties.push(Duty {
            case,
            flow: flow.value,
            temperature: temperature.value,
            anchor,
            pressure_max: max,
        });
    }
    duties
}

/// The case a duty names, and whether that name could be resolved.
fn case_index(duty: &Section<'_>, known: &Known<'_>) -> (Option<usize>, bool) {
    if !duty.has("case") {
        return (None, true);
    }
    let Some(name) = duty.words("case") else { return (None, false) };
    let index = known.cases.get(name.value.as_str()).copied();
    if index.is_none() && !known.may_name("case") {
        duty.unknown(&name, "case", known.cases.keys().copied());
    }
    (index, index.is_some())
}
