//! Checks of what flows in a line.

pub mod pressure_drop;
pub mod regime;
pub mod suction;
pub mod velocity;

use std::sync::Arc;

use super::{About, Draft, Look};
use crate::finding::Finding;
use crate::solve::hydraulics::{DutyFacts, FlowFacts};

/// One finding per duty; a duty that could not be computed is open, and so is a line without any.
pub(crate) fn each_duty(
    look: &Look<'_>,
    about: &About,
    mut judge: impl FnMut(Draft, &DutyFacts, &FlowFacts) -> Finding,
) -> Vec<Finding> {
    if look.own.duties.is_empty() {
        return vec![without_duty(look, about)];
    }
    if let Some(why) = same_lack(look) {
        return vec![look.draft(about).open(why, remedy(look))];
    }
    // Most cases share one source; its text is joined once.
    let mut joined: Option<(Arc<str>, Arc<str>)> = None;
    look.own
        .duties
        .iter()
        .map(|duty| {
            let draft = look.draft(about).case(look.case_name(duty.case));
            match &duty.flow {
                Ok(flow) => {
                    let mut finding = judge(draft, duty, flow);
                    if finding.value.is_some() {
                        let before = Arc::clone(&finding.source);
                        let known = joined.as_ref().filter(|(source, _)| *source == before);
                        finding.rest_on(&flow.rests_on, known.map(|(_, text)| text));
                        joined = Some((before, Arc::clone(&finding.source)));
                    }
                    finding
                }
                Err(why) => draft.open(why, remedy(look)),
            }
        })
        .collect()
}

/// A line of which no flow is known: its circuit is not solved, and the plan states none.
fn without_duty(look: &Look<'_>, about: &About) -> Finding {
    let circuits = &look.facts.network.circuits;
    let own = circuits.iter().find(|c| c.lines.contains(&look.index));
    let Some(circuit) = own else {
        return look
            .draft(about)
            .open("the line has no duty", "add a [[line.duty]] with flow and temperature");
    };
    look.draft(about).open(
        format!("the line has no duty, and its circuit \"{}\" is not solved", circuit.name),
        "see network.solved",
    )
}

/// What to do about resistances that were left out.
pub(crate) const LEFT_OUT_REMEDY: &str = "give the bore of that end";

/// The end of a message on a flow with resistances that were left out; empty where all were counted.
pub(crate) fn not_counted(flow: &FlowFacts) -> String {
    if flow.left_out.is_empty() {
        String::new()
    } else {
        format!("; not counted: {}", flow.left_out.join(", "))
    }
}

/// The reason why no duty of the line could be computed, where it is one for all.
fn same_lack<'l>(look: &Look<'l>) -> Option<&'l str> {
    let mut reasons = look.own.duties.iter().map(|d| d.flow.as_ref().err());
    let first = reasons.next()??;
    reasons.all(|r| r == Some(first)).then_some(first.as_str())
}

/// What to do where nothing could be computed.
fn remedy(look: &Look<'_>) -> &'static str {
    if look.own.geometry.is_err() { "see geometry.route" } else { "add what is missing" }
}
