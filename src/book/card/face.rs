//! One card as it is seen: what must not be mistaken first and largest, then the work in its order.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::{Card, band, bend, dial, sketch, square, words, work};
use crate::book::{Book, mark};
use crate::finding::{Finding, Verdict};
use crate::plan::Carrier;
use crate::report::units::in_units;
use crate::solve::makeup::MakeupFacts;
use crate::units::{Length, Quantity, inch_fraction};

/// So many findings stand on a card; more make the line unfit for the bench anyway.
const MOST_FINDINGS: usize = 6;

/// What the book adds to a card.
#[derive(Clone, Copy)]
pub struct Beside<'b> {
    /// The book it is in.
    pub book: &'b Book<'b>,
    /// What was found on its line.
    pub found: &'b [&'b Finding],
}

/// A card; without what the book adds where there is none.
pub fn card(card: &Card<'_>, beside: Option<Beside<'_>>) -> Markup {
    let id = Card::id(card.number());
    let title = format!("{id}-title");
    html! {
        article .card id=(id) aria-labelledby=(title) {
            (head(card, &title, beside.is_some()))
            (band::band(card))
            (cut(card, beside))
            @if let Some(sketch) = sketch::sketch(card) { (sketch) }
            (details(card, beside))
            @if let Some(beside) = beside { (foot(card, beside.book)) }
            div .back {
                (bend::table(card))
                @if let Some(beside) = beside { (judged(beside)) }
                (work::work(card, beside.map(|b| b.book)))
            }
        }
    }
}

fn head(card: &Card<'_>, title: &str, is_numbered: bool) -> Markup {
    let planned = card.planned();
    html! {
        header {
            h3 id=(title) .line { (planned.id) }
            @if is_numbered { p .number { "card " (card.number()) " of " (card.of()) } }
        }
        @if let Some(name) = &planned.name { p .name { (name) } }
        p .way { b { "A" } " " (words::port(card, 0)) " \u{2192} " b { "B" } " " (words::port(card, 1)) }
        p { (words::full_name(card, 0)) " \u{2192} " (words::full_name(card, 1)) }
    }
}

/// The one number that cannot be taken back.
fn cut(card: &Card<'_>, beside: Option<Beside<'_>>) -> Markup {
    let facts = card.facts();
    let mut found = beside.iter().flat_map(|b| b.found);
    let fails = found.any(|f| f.verdict == Verdict::Fail);
    html! {
        @if fails { p .stop { "Do not cut yet: something on this line fails. See below." } }
        div .cut {
            @match &facts.makeup {
                Ok(makeup) => (cut_number(makeup)),
                Err(why) => p { (mark::verdict(Verdict::Open)) " cut length: " (why) },
            }
            p { (facts.carrier) }
        }
    }
}

fn cut_number(makeup: &MakeupFacts) -> Markup {
    let cut_mm = makeup.cut.cut_mm;
    let fraction = inch_fraction(Length::from_si(cut_mm / 1e3), 32);
    html! {
        p .what { "CUT LENGTH" }
        p .number { (format!("{cut_mm:.0}")) " mm" }
        p {
            b { (fraction.to_string()) }
            (format!(" ({:+.1} mm), {:.3} in", fraction.error_mm, cut_mm / 25.4))
        }
    }
}

fn details(card: &Card<'_>, beside: Option<Beside<'_>>) -> Markup {
    let facts = card.facts();
    let clock =
        facts.makeup.as_ref().ok().and_then(|m| m.clock.as_ref().ok()).and_then(Option::as_ref);
    let length = |l: &Option<crate::source::Sourced<f64>>| {
        l.as_ref().map_or("open".to_owned(), |l| format!("{:.1} mm", l.value))
    };
    html! {
        div .pair {
            dl {
                div { dt { "Bore" } dd { (length(&facts.bore)) } }
                div { dt { "Outside" } dd { (length(&facts.outside)) } }
                @if let Ok(makeup) = &facts.makeup {
                    div { dt { "Assembly" } dd { (words::window(card, makeup)) } }
                    @if matches!(card.planned().carrier, Carrier::Hose(_)) {
                        div { dt { "Slack" } dd { (format!("{:.1} %", makeup.cut.slack_percent)) } }
                    }
                }
                @if let Some(clock) = clock {
                    div { dt { "Clock angle" } dd { (format!("{:.0} deg", clock.angle_rad.to_degrees())) } }
                }
                @for (end, letter) in ["A", "B"].into_iter().enumerate() {
                    div { dt { "End " (letter) } dd { (words::end_words(card, end)) } }
                }
            }
            @if let Some(clock) = clock { (dial::dial(clock)) }
            @if let Some(beside) = beside { (code(card, beside.book)) }
        }
    }
}

/// What was found on this line and is not well.
fn judged(beside: Beside<'_>) -> Markup {
    let bad = |f: &&Finding| matches!(f.verdict, Verdict::Fail | Verdict::Caution);
    let mut worst: Vec<&Finding> = beside.found.iter().copied().filter(bad).collect();
    worst.sort_by_key(|f| core::cmp::Reverse(f.verdict));
    // What holds for both ends is said once.
    let mut known = BTreeSet::new();
    worst.retain(|f| known.insert((f.verdict, f.message.as_str())));
    let system = beside.book.look.system;
    html! {
        @if !worst.is_empty() {
            ul .found {
                @for finding in worst.iter().take(MOST_FINDINGS) {
                    li { (mark::verdict(finding.verdict)) " " (in_units(&finding.message, system)) }
                }
                @if worst.len() > MOST_FINDINGS {
                    li { "and " (worst.len() - MOST_FINDINGS) " more on the front page" }
                }
            }
        }
    }
}

/// The code of the card, and the square that holds what it says.
fn code(card: &Card<'_>, book: &Book<'_>) -> Markup {
    let said = words::said(card);
    let code = words::code_of(&said);
    let (imprint, number, of) = (book.imprint(), card.number(), card.of());
    let held = format!("{imprint}, card {number} of {of}, code {code}\n{said}");
    html! {
        figure .code {
            (square::square(&held))
            figcaption { "code of this card " b { code { (code) } } }
        }
    }
}

fn foot(card: &Card<'_>, book: &Book<'_>) -> Markup {
    let (number, of) = (card.number(), card.of());
    html! {
        footer {
            p .imprint {
                (book.imprint()) ", card " (number) " of " (of) ". "
                "A planning aid: inspect and test before use; local codes and licensed practice decide."
            }
            p .turn {
                @if number > 1 { a href=(format!("#{}", Card::id(number - 1))) { "before" } }
                " "
                @if number < of { a href=(format!("#{}", Card::id(number + 1))) { "next" } }
            }
        }
    }
}
