//! A finding as a row.

use super::number;
use crate::finding::Finding;

/// Heads of the columns.
pub const HEAD: [&str; 12] = [
    "code", "where", "case", "verdict", "value", "limit", "margin", "unit", "source", "standing",
    "message", "do",
];

/// The cells below them.
pub fn cells(finding: &Finding) -> Vec<String> {
    vec![
        finding.code.to_owned(),
        finding.place.clone(),
        finding.case.clone().unwrap_or_default(),
        finding.verdict.to_string(),
        number(finding.value),
        number(finding.limit),
        number(finding.margin),
        finding.unit.to_owned(),
        finding.source.to_string(),
        finding.standing.to_string(),
        finding.message.clone(),
        finding.remedy.clone(),
    ]
}
