//! Work that the program stops at, in words: whom to ask and what to bring.

use serde_json::{Value, json};

use crate::check::deferred::Deferred;
use crate::plan::Plan;

/// One sentence for a person.
pub fn sentence(plan: &Plan, deferred: &Deferred) -> String {
    format!(
        "{}: STOP, {}: {}. No figures are given for it. Ask {}. Bring {}.",
        plan.lines[deferred.line].id, deferred.seen, deferred.why, deferred.ask, deferred.bring
    )
}

/// The same as data.
pub fn data(plan: &Plan, deferred: &Deferred) -> Value {
    json!({
        "line": plan.lines[deferred.line].id,
        "what": deferred.what,
        "seen": deferred.seen,
        "why": deferred.why,
        "ask": deferred.ask,
        "bring": deferred.bring,
        "source": deferred.cite.text,
        "standing": deferred.cite.standing,
    })
}
