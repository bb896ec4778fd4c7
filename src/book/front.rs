//! The front page: how the machine stands, and what was found, worst first.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};

use super::{Book, Part, heading, mark, state};
use crate::finding::{Finding, Verdict, gathered};
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

/// What was found of one verdict: fails place by place, since a place is what is mended; of the rest there may be
/// hundreds, so that those of one kind stand together, with what to do said once. Sources are numbers that the list
/// at the end explains.
fn findings(book: &Book<'_>, verdict: Verdict, sources: &mut Sources) -> Markup {
    let list: Vec<&Finding> =
        book.assessment.findings.iter().filter(|f| f.verdict == verdict).collect();
    let system = book.look.system;
    html! {
        @if !list.is_empty() {
            h3 { (mark::verdict(verdict)) " (" (list.len()) ")" }
            div .columns {
                @if verdict == Verdict::Fail { (by_place(&list, system, sources)) }
                @else { (by_kind(&list, verdict, system, sources)) }
            }
        }
    }
}

fn by_place(list: &[&Finding], system: System, sources: &mut Sources) -> Markup {
    let places = gathered(list.iter().copied(), |f| f.subject());
    html! {
        @for (place, of_place) in &places {
            section .found-at {
                h4 { (place) }
                ul .findings {
                    @for finding in of_place {
                        li class=(finding.verdict.word()) { (entry(finding, system, sources)) }
                    }
                }
            }
        }
    }
}

/// Findings of one check with one remedy together, and those that say the same as one.
fn by_kind(list: &[&Finding], verdict: Verdict, system: System, sources: &mut Sources) -> Markup {
    let kinds = gathered(list.iter().copied(), |f| (f.code, f.remedy.as_str()));
    html! {
        @for ((code, remedy), of_kind) in &kinds {
            section .found-at {
                h4 { code { (code) } " (" (of_kind.len()) ")" }
                @if !remedy.is_empty() { p .do { "Do: " (in_units(remedy, system)) } }
                ul .findings {
                    @for (_, same) in gathered(of_kind.iter().copied(), |f| f.message.as_str()) {
                        li class=(verdict.word()) { (alike(&same, system, sources)) }
                    }
                }
            }
        }
    }
}

/// Findings that say the same, each place and each case once.
fn alike(same: &[&Finding], system: System, sources: &mut Sources) -> Markup {
    let Some(first) = same.first() else { return html! {} };
    let each_once = |words: &mut dyn Iterator<Item = &str>| {
        let mut known = BTreeSet::new();
        words.filter(|w| known.insert(w.to_owned())).collect::<Vec<_>>().join("; ")
    };
    let places = each_once(&mut same.iter().map(|f| f.place.as_str()));
    let cases = each_once(&mut same.iter().filter_map(|f| f.case.as_deref()));
    html! {
        p {
            b { (places) } ": " (in_units(&first.message, system))
            @if !cases.is_empty() { " (" (cases) ")" }
            @if same.len() == 1 { (held_against(first, system)) }
            @if !first.source.is_empty() { " " (sources.reference(first)) }
        }
    }
}

/// What a finding's value is, and its limit.
fn held_against(finding: &Finding, system: System) -> Markup {
    let number = |n: f64| value(n, finding.unit, system);
    html! {
        @if let (Some(is), Some(limit)) = (finding.value, finding.limit) {
            "; is " b { (number(is)) } ", limit " (number(limit))
        }
    }
}

fn entry(finding: &Finding, system: System, sources: &mut Sources) -> Markup {
    let rest = finding.place.split_once(", ").map(|(_, rest)| rest);
    html! {
        p {
            @if let Some(rest) = rest { b { (rest) } ": " }
            (in_units(&finding.message, system))
            @if let Some(case) = &finding.case { " (" (case) ")" }
            (held_against(finding, system))
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
