//! Measured places, as JSON.

use serde_json::{Value, json};

use crate::solve::measured::{MeasuredFacts, TapeFacts};

/// A measured port or clip.
pub fn place(facts: &MeasuredFacts) -> Value {
    let placed = facts.placed.as_ref().ok();
    json!({
        "where": facts.place,
        "at_mm": placed.map(|p| p.at_mm),
        "drawn_mm": facts.drawn_mm,
        "off_mm": placed.map(|p| p.off_mm),
        "tolerance_mm": placed.map(|p| p.tolerance_mm),
        "drawn_tolerance_mm": facts.drawn_tolerance_mm,
        "mirror_mm": placed.and_then(|p| p.mirror_mm),
        "deviation_mm": placed.map(|p| p.deviation_mm),
        "worst_deviation_mm": placed.map(|p| p.worst_deviation_mm),
        "worst_direction": placed.map(|p| p.worst_direction),
        "steps": placed.map(|p| p.steps),
        "residuals": placed.map(|p| p.tapes.iter().map(tape).collect::<Vec<_>>()),
        "not_placed": facts.placed.as_ref().err().map(|n| n.why.as_str()),
    })
}

fn tape(tape: &TapeFacts) -> Value {
    json!({
        "from": tape.from,
        "distance_mm": tape.distance_mm,
        "tolerance_mm": tape.tolerance_mm,
        "residual_mm": tape.residual_mm,
        "against_others_mm": tape.against.map(|a| a.differs_mm),
        "against_others_most_mm": tape.against.map(|a| a.may_differ_mm),
    })
}
