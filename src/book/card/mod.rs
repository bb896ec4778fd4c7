//! The cards: one for each line, to be taken to the bench, written on, and signed.
//!
//! What a card says is laid down once, in words ([`words::said`]): the page shows it, the square of the card
//! holds it, and its digest tells whether the card in the hand is still the one that the plan gives.

mod band;
mod bend;
mod dial;
mod face;
mod pattern;
mod sketch;
mod square;
mod subject;
pub mod words;
mod work;

pub use subject::{name_of_test, subjects};

use std::collections::BTreeMap;

use maud::{Markup, html};
use rayon::prelude::*;

use super::{Book, Part, heading};
use crate::finding::{Finding, gathered};

const ID: &str = "cards";

/// A line with its place among the cards.
#[derive(Clone, Copy, Debug)]
pub struct Card<'a> {
    /// The book it is in.
    pub book: &'a Book<'a>,
    /// Index of its line.
    pub line: usize,
}

impl<'a> Card<'a> {
    /// Its number, counted from 1.
    pub fn number(&self) -> usize {
        self.line + 1
    }

    /// How many cards there are.
    pub fn of(&self) -> usize {
        self.book.assessment.plan.lines.len()
    }

    /// The line as planned.
    pub fn planned(&self) -> &'a crate::plan::Line {
        &self.book.assessment.plan.lines[self.line]
    }

    /// What was found out about it.
    pub fn facts(&self) -> &'a crate::solve::LineFacts {
        &self.book.assessment.facts.lines[self.line]
    }

    /// How it is made up.
    pub fn steps(&self) -> crate::solve::steps::StepsFacts {
        let assessment = self.book.assessment;
        crate::trial::proof::steps(&assessment.plan, &assessment.facts, self.book.tables, self.line)
    }

    fn id(number: usize) -> String {
        format!("card-{number}")
    }
}

/// The cards of the book, in the order of the plan.
pub fn cards<'a>(book: &'a Book<'a>) -> impl Iterator<Item = Card<'a>> {
    (0..book.assessment.plan.lines.len()).map(move |line| Card { book, line })
}

/// All cards, behind a list of them by which a lost or an old one is noticed.
pub fn part(book: &Book<'_>) -> Part {
    let body = html! {
        (heading(ID, "A card for each line"))
        p { "A card is good as long as its code is the one in this list. Mark what is made, so that a lost card shows." }
        div .scroll tabindex="0" { table {
            thead { tr {
                th scope="col" .number { "card" } th scope="col" { "line" } th scope="col" { "A to B" }
                th scope="col" { "code" } th scope="col" { "made" }
            } }
            tbody { @for card in cards(book) { (listed(&card)) } }
        } }
        @for card in &faces(book) { (card) }
    };
    Part::new(ID, "Cards", body)
}

/// What was found on each line or component.
pub struct Found<'a>(BTreeMap<&'a str, Vec<&'a Finding>>);

impl<'a> Found<'a> {
    /// The findings of a book.
    pub fn of(book: &'a Book<'_>) -> Self {
        let findings = book.assessment.findings.iter();
        Self(gathered(findings, Finding::subject).into_iter().collect())
    }

    /// One card as it is printed.
    pub fn face(&self, card: &Card<'_>) -> Markup {
        let found = self.0.get(card.planned().id.as_str());
        face::card(card, found.map_or(&[], Vec::as_slice))
    }
}

/// The cards as they are seen, made on all cores; their order stays.
fn faces(book: &Book<'_>) -> Vec<Markup> {
    let found = Found::of(book);
    let cards: Vec<Card<'_>> = cards(book).collect();
    cards.par_iter().map(|card| found.face(card)).collect()
}

fn listed(card: &Card<'_>) -> Markup {
    html! {
        tr {
            td .number { (card.number()) }
            th scope="row" { a href=(format!("#{}", Card::id(card.number()))) { (card.planned().id) } }
            td { (words::port(card, 0)) " \u{2192} " (words::port(card, 1)) }
            td { code { (words::code(card)) } }
            td .tick { "\u{2610}" }
        }
    }
}
