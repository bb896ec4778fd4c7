//! The steps of a line as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::report::caution::{STEPS, cautions};
use crate::report::steps::unit_word;
use crate::solve::steps::{Number, Step, StepsFacts};

/// The steps as data.
pub fn steps(assessment: &Assessment, line: usize, facts: &StepsFacts) -> Value {
    let own = cautions(&assessment.plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(STEPS).chain(own).collect();
    let planned = &assessment.plan.lines[line];
    json!({
        "line": planned.id,
        "name": planned.name,
        "of": planned.carrier.label(),
        "groups": facts.groups.iter().map(|group| json!({
            "group": group.name,
            "of": group.of,
            "open": group.steps.as_ref().err(),
            "steps": group.steps.as_ref().ok().map(|s| s.iter().map(step).collect::<Vec<_>>()),
        })).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

fn step(step: &Step) -> Value {
    let found = step.number.as_ref();
    json!({
        "step": step.step,
        "what": step.text.value,
        "source": step.text.cite.text,
        "standing": step.text.cite.standing,
        "number": found.and_then(|n| n.as_ref().ok()).map(number),
        "open": found.and_then(|n| n.as_ref().err()),
    })
}

fn number(number: &Number) -> Value {
    json!({
        "name": number.name,
        "unit": unit_word(number.unit),
        "aim": number.aim,
        "least": number.least,
        "most": number.most,
        "with": number.with,
        "source": number.cite.text,
        "standing": number.cite.standing,
    })
}
