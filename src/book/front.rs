//! The front page: how the machine stands, and what was found, worst first.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::{Book, Part, heading, mark};
use crate::finding::{Finding, Verdict};
use crate::report::units::{in_units, value};
use crate::units::System;

const ID: &str = "front";

/// The front page.
pub fn part(book: &Book<'_>) -> Part {
    let plan = &book.assessment.plan;
    let body = html! {
        h1 { (plan.name) }
        p .imprint { (book.imprint()) }
        @if let Some(note) = &plan.note { p { (note) } }
        (heading(ID, "How it stands"))
        (standing(book))
        @for verdict in [Verdict::Fail, Verdict::Caution, Verdict::Open] { (findings(book, verdict)) }
    };
    Part::new(ID, "How it stands", body)
}

fn standing(book: &Book<'_>) -> Markup {
    let assessment = book.assessment;
    let failing = failing_places(&assessment.findings);
    html! {
        ul .counts {
            @for verdict in Verdict::WORST_FIRST {
                li { (mark::verdict(verdict)) " " (assessment.count(verdict)) }
            }
        }
        @if !failing.is_empty() {
            p .stop { "Do not build yet: " (failing.join(", ")) "." }
        }
        p .example { "Numbers have a decimal point: 1.5 is one and a half, not fifteen." }
    }
}

/// Where something fails, each place once.
fn failing_places(findings: &[Finding]) -> Vec<&str> {
    let failing = findings.iter().filter(|f| f.verdict == Verdict::Fail);
    let places: BTreeSet<&str> = failing.filter_map(|f| f.place.split(',').next()).collect();
    places.into_iter().collect()
}

fn findings(book: &Book<'_>, verdict: Verdict) -> Markup {
    let of_verdict = book.assessment.findings.iter().filter(|f| f.verdict == verdict);
    let list: Vec<&Finding> = of_verdict.collect();
    let system = book.look.system;
    html! {
        @if !list.is_empty() {
            h3 { (mark::verdict(verdict)) " (" (list.len()) ")" }
            ul .findings {
                @for finding in list { li class=(verdict.word()) { (entry(finding, system)) } }
            }
        }
    }
}

fn entry(finding: &Finding, system: System) -> Markup {
    let number = |n: f64| value(n, finding.unit, system);
    html! {
        p .place {
            strong { (finding.place) }
            @if let Some(case) = &finding.case { ", " (case) }
            " " code { (finding.code) }
        }
        p { (in_units(&finding.message, system)) }
        @if let (Some(is), Some(limit)) = (finding.value, finding.limit) {
            p .figures { "is " b { (number(is)) } ", limit " (number(limit)) }
        }
        @if !finding.remedy.is_empty() { p .do { "Do: " (in_units(&finding.remedy, system)) } }
        @if !finding.source.is_empty() {
            p .source { (finding.source) " (" (finding.standing) ")" }
        }
    }
}
