//! The front page: how the machine stands, and what was found, worst first.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};

use super::{Book, Part, heading, mark, state};
use crate::finding::{Finding, Verdict};
use crate::report::units::{in_units, value};
use crate::units::System;

const ID: &str = "front";

/// The front page.
pub fn part(book: &Book<'_>) -> Part {
    let plan = &book.assessment.plan;
    let mut sources = Sources::default();
    let worst_first = [Verdict::Fail, Verdict::Caution, Verdict::Open];
    let found = worst_first.map(|verdict| findings(book, verdict, &mut sources));
    let body = html! {
        h1 { (plan.name) }
        p .imprint { (book.imprint()) }
        @if let Some(note) = &plan.note { p { (note) } }
        (heading(ID, "How it stands"))
        (standing(book))
        @if let Some(signed) = book.signed { (state::table(book, signed)) }
        @for part in &found { (part) }
        (sources.list())
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
    let places: BTreeSet<&str> = failing.map(Finding::subject).collect();
    places.into_iter().collect()
}

/// What was found of one verdict, place by place; sources are numbers that the list at the end explains.
fn findings(book: &Book<'_>, verdict: Verdict, sources: &mut Sources) -> Markup {
    let list = book.assessment.findings.iter().filter(|f| f.verdict == verdict);
    let mut places: Vec<(&str, Vec<&Finding>)> = Vec::new();
    for finding in list {
        let place = finding.subject();
        match places.iter_mut().find(|(name, _)| *name == place) {
            Some((_, of_place)) => of_place.push(finding),
            None => places.push((place, vec![finding])),
        }
    }
    let system = book.look.system;
    html! {
        @if !places.is_empty() {
            h3 { (mark::verdict(verdict)) " (" (book.assessment.count(verdict)) ")" }
            div .columns { @for (place, of_place) in &places {
                section .found-at {
                    h4 { (place) }
                    ul .findings {
                        @for finding in of_place {
                            li class=(verdict.word()) { (entry(finding, system, sources)) }
                        }
                    }
                }
            } }
        }
    }
}

fn entry(finding: &Finding, system: System, sources: &mut Sources) -> Markup {
    let number = |n: f64| value(n, finding.unit, system);
    let rest = finding.place.split_once(", ").map(|(_, rest)| rest);
    html! {
        p {
            @if let Some(rest) = rest { b { (rest) } ": " }
            (in_units(&finding.message, system))
            @if let Some(case) = &finding.case { " (" (case) ")" }
            @if let (Some(is), Some(limit)) = (finding.value, finding.limit) {
                "; is " b { (number(is)) } ", limit " (number(limit))
            }
            " " code { (finding.code) }
            @if !finding.source.is_empty() { " " (sources.reference(finding)) }
        }
        @if !finding.remedy.is_empty() { p .do { "Do: " (in_units(&finding.remedy, system)) } }
    }
}

/// The sources of the findings, each once, numbered as they come.
#[derive(Default)]
struct Sources {
    numbers: BTreeMap<String, usize>,
    order: Vec<String>,
}

impl Sources {
    /// The number of a finding's source, leading to it.
    fn reference(&mut self, finding: &Finding) -> Markup {
        let text = format!("{} ({})", finding.source, finding.standing);
        let next = self.order.len() + 1;
        let number = *self.numbers.entry(text.clone()).or_insert(next);
        if number == next {
            self.order.push(text);
        }
        html! { a .ref href=(format!("#source-{number}")) { "[" (number) "]" } }
    }

    fn list(&self) -> Markup {
        html! {
            @if !self.order.is_empty() {
                h3 { "Where the limits and figures of these findings come from" }
                ol .sources {
                    @for (index, text) in self.order.iter().enumerate() {
                        li id=(format!("source-{}", index + 1)) { (text) }
                    }
                }
            }
        }
    }
}
