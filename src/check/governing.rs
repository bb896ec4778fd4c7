//! Of the combined cases only the one that governs a place is told.

use std::collections::BTreeSet;

use crate::finding::Finding;

/// Of the findings of one check in combined cases only the worst stays: its case governs.
pub(super) fn governing(findings: Vec<Finding>, combined: &BTreeSet<&str>) -> Vec<Finding> {
    // What says itself that it governs was chosen from all combinations already.
    let is_combined =
        |f: &Finding| !f.governing && f.case.as_deref().is_some_and(|case| combined.contains(case));
    let (over, mut kept): (Vec<Finding>, Vec<Finding>) =
        findings.into_iter().partition(is_combined);
    let mut worst: Option<Finding> = None;
    for finding in over {
        let severity = |f: &Finding| (f.verdict, -f.margin.unwrap_or(f64::INFINITY));
        let worse = worst.as_ref().is_none_or(|w| severity(&finding) > severity(w));
        if worse {
            worst = Some(Finding { governing: true, ..finding });
        }
    }
    kept.extend(worst);
    kept
}
