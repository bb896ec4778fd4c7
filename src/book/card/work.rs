//! What is written on a card: measured values beside what is right, caps, signatures.

use maud::{Markup, html};

use super::{Card, words};
use crate::book::{Book, mark};
use crate::finding::Verdict;
use crate::plan::Carrier;
use crate::report::steps::number_words;
use crate::solve::steps::{Step, StepsFacts};
use crate::source::Cite;
use crate::trial::proof;
use crate::units::System;

/// The part of the card that is filled in. In a book the step of the proof test comes with it.
pub fn work(card: &Card<'_>, book: Option<&Book<'_>>) -> Markup {
    let system = book.map_or(System::default(), |b| b.look.system);
    let facts = book.map_or_else(|| card.steps(), |book| proof_steps(card, book));
    html! {
        table .blanks {
            caption { "Measured" }
            thead { tr { th { "what" } th { "right" } th { "is" } } }
            tbody {
                @for (what, right) in blanks(card) { tr { td { (what) } td { (right) } td .blank {} } }
            }
        }
        (steps(&facts, system))
        (signatures())
    }
}

fn proof_steps(card: &Card<'_>, book: &Book<'_>) -> StepsFacts {
    let assessment = book.assessment;
    proof::steps(&assessment.plan, &assessment.facts, book.tables, card.line)
}

/// The steps of the make-up in the order of the work, a box before each and a blank where something is measured.
fn steps(facts: &StepsFacts, system: System) -> Markup {
    html! {
        div .groups {
            @for group in &facts.groups {
                section .group {
                    h4 { (group.name) @if let Some(of) = &group.of { ": " (of) } }
                    @match &group.steps {
                        Err(why) => p { (mark::verdict(Verdict::Open)) " " (why) },
                        Ok(steps) => ol .steps { @for step in steps { li .proof[step.step.starts_with("proof")] { (one(step, system)) } } },
                    }
                }
            }
        }
        @if !facts.groups.is_empty() { p .source { (cited(facts)) } }
    }
}

fn one(step: &Step, system: System) -> Markup {
    html! {
        span .tick aria-hidden="true" { "\u{2610}" } " " (step.text.value)
        @match &step.number {
            None => {},
            Some(Err(why)) => { " " (mark::verdict(Verdict::Open)) " " (why) },
            Some(Ok(number)) => {
                " " b { (number.name) ": " (number_words(number, system)) } " " span .measured { "is" }
            }
        }
    }
}

/// The tables that the steps rest on, in short.
fn cited(facts: &StepsFacts) -> String {
    let steps: Vec<&Step> =
        facts.groups.iter().filter_map(|g| g.steps.as_ref().ok()).flatten().collect();
    let numbers = steps.iter().filter_map(|s| s.number.as_ref()?.as_ref().ok()).map(|n| &n.cite);
    Cite::in_short(steps.iter().map(|s| &s.text.cite).chain(numbers)).to_string()
}

/// What is measured on the finished line, and what is right.
pub fn blanks(card: &Card<'_>) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Ok(makeup) = &card.facts().makeup {
        let cut_mm = makeup.cut.cut_mm;
        let cut = card.plan.tolerances.cut_mm.map_or_else(
            || format!("{cut_mm:.0} mm, tolerance open"),
            |t| format!("{:.1} to {:.1} mm", cut_mm - t, cut_mm + t),
        );
        rows.push(("cut length", cut));
        if matches!(card.planned().carrier, Carrier::Hose(_)) {
            rows.push(("assembly", words::window(card, makeup)));
        }
        if let Ok(Some(clock)) = &makeup.clock {
            let angle = clock.angle_rad.to_degrees();
            let right = clock.tolerance.as_ref().map_or_else(
                || format!("{angle:.0} deg, tolerance open"),
                |t| {
                    let by = t.value.to_degrees();
                    format!("{:.0} to {:.0} deg", angle - by, angle + by)
                },
            );
            rows.push(("clock angle", right));
        }
    }
    rows.push(("caps put on, caps taken off", "the same number".to_owned()));
    rows
}

/// Two people, since nobody sees the own mistake.
fn signatures() -> Markup {
    html! {
        div .signs {
            div { p { "Made by, date" } }
            div { p { "Looked over by another, date" } }
        }
    }
}
