//! Sizes of the lines, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::report::caution::cautions;
use crate::report::size::{change_text, notes};
use crate::size::{Candidate, Change, Elsewhere, LineSizing, Sizing, TableSet};
use crate::units::System;

/// Everything about the sizes.
pub fn sizing(assessment: &Assessment, sizing: &Sizing) -> Value {
    let plan = &assessment.plan;
    json!({
        "lines": sizing.lines.iter().map(|l| line(plan, l)).collect::<Vec<_>>(),
        "sets": sizing.sets.iter().map(|s| set(plan, s)).collect::<Vec<_>>(),
        "together": sizing.together.as_ref().map(|t| json!({
            "holds": t.fails.is_empty(), "fails": t.fails,
        })),
        "cautions": cautions(plan, &assessment.facts),
    })
}

fn line(plan: &Plan, sizing: &LineSizing) -> Value {
    let own = &plan.lines[sizing.line];
    let size = |index: Option<usize>| {
        index.and_then(|i| sizing.candidates.get(i)).map(|c| c.size.as_str())
    };
    let candidates = sizing.candidates.iter().enumerate().map(|(index, candidate)| {
        let planned = sizing.planned == Some(index);
        let judged = sizing.not_judged.is_none();
        json!({
            "size": candidate.size,
            "of": candidate.label,
            "bore_mm": candidate.bore_mm,
            "planned": planned,
            "passes": judged.then(|| candidate.passes()),
            "rejected_by": candidate.rejected,
            "open": codes(&candidate.open),
            "misfits": candidate.misfits,
            "notes": notes(own, candidate),
        })
    });
    json!({
        "id": own.id,
        "table": sizing.table,
        "planned": size(sizing.planned),
        "smallest": size(sizing.smallest),
        "smallest_bore_mm": sizing.chosen().and_then(|c| c.bore_mm),
        "next_smaller": sizing.next_smaller().map(|c| c.size.as_str()),
        "next_smaller_rejected_by": sizing.next_smaller().and_then(first_rejection),
        "not_judged": sizing.not_judged,
        "candidates": candidates.collect::<Vec<_>>(),
        "fails_at_every_size": sizing.always,
        "changes_for": size(sizing.helped),
        "changes_elsewhere": sizing.changes.iter().map(|c| change(plan, c)).collect::<Vec<_>>(),
    })
}

fn first_rejection(candidate: &Candidate) -> Option<&Finding> {
    candidate.rejected.first()
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    let mut codes: Vec<&str> = findings.iter().map(|f| f.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

fn change(plan: &Plan, change: &Change) -> Value {
    let (what, of, at, planned) = match &change.what {
        Elsewhere::Path { component, path, share, .. } => {
            let component = &plan.components[*component];
            let name = format!("{} {}", component.id, component.paths[*path].name);
            ("resistance_share", name, *share, 1.0)
        }
        Elsewhere::Loss { line, what, share } => {
            ("resistance_share", format!("{line}, {what}"), *share, 1.0)
        }
        Elsewhere::Height { most_m, planned_m } => ("height_m", String::new(), *most_m, *planned_m),
        Elsewhere::Warmth { fluid, most_k, planned_k } => {
            let id = plan.fluids[*fluid].id.clone();
            ("temperature_c", id, most_k - 273.15, planned_k - 273.15)
        }
    };
    json!({
        "what": what,
        "of": of,
        "at_most": at,
        "planned": planned,
        "takes_kpa": change.takes_pa.map(|p| p / 1e3),
        "message": change_text(plan, change, System::Metric),
    })
}

fn set(plan: &Plan, set: &TableSet) -> Value {
    json!({
        "table": set.table,
        "sizes": set.sizes,
        "lines": set.lines.iter().map(|(line, size)| json!({
            "id": plan.lines[*line].id, "size": size,
        })).collect::<Vec<_>>(),
        "without": set.without.iter().map(|l| plan.lines[*l].id.as_str()).collect::<Vec<_>>(),
        "proven": set.proven,
    })
}
