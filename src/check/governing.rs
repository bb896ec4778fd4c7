//! Of the combined cases only the one that governs a place is told.

use std::collections::{BTreeMap, BTreeSet};

use crate::finding::Finding;

/// The findings of each place, in the order in which the places come up.
pub(super) fn by_place(findings: Vec<Finding>) -> Vec<Vec<Finding>> {
    let mut groups: Vec<Vec<Finding>> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for finding in findings {
        let group = *known.entry(finding.place.clone()).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups[group].push(finding);
    }
    groups
}

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
