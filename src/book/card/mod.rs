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
use crate::plan::{Line, Plan};
use crate::solve::LineFacts;
use crate::solve::steps::{self, StepsFacts};
use crate::table::Tables;

const ID: &str = "cards";

/// A line with its place among the cards, and what a card is made of.
#[derive(Clone, Copy, Debug)]
pub struct Card<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The tables.
    pub tables: &'a Tables,
    /// The lines as far as they were calculated, in the order of the plan.
    pub lines: &'a [LineFacts],
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
        self.plan.lines.len()
    }

    /// The line as planned.
    pub fn planned(&self) -> &'a Line {
        &self.plan.lines[self.line]
    }

    /// What was found out about it.
    pub fn facts(&self) -> &'a LineFacts {
        &self.lines[self.line]
    }

    /// How it is made up.
    ///
    /// # Notes
    /// Without its proof test, whose pressure follows from flows and belongs to the book.
    pub fn steps(&self) -> StepsFacts {
        steps::solve(self.plan, self.tables, self.lines, self.line, None)
    }

    fn id(number: usize) -> String {
        format!("card-{number}")
    }
}

/// The cards of a plan, in its order.
pub fn cards<'a>(
    plan: &'a Plan,
    tables: &'a Tables,
    lines: &'a [LineFacts],
) -> impl Iterator<Item = Card<'a>> {
    (0..plan.lines.len()).map(move |line| Card { plan, tables, lines, line })
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
            tbody { @for card in book.cards() { (listed(&card)) } }
        } }
        @for card in &faces(book) { (card) }
    };
    Part::new(ID, "Cards", body)
}

/// What was found on each line or component of a book.
pub struct Found<'a> {
    book: &'a Book<'a>,
    on: BTreeMap<&'a str, Vec<&'a Finding>>,
}

impl<'a> Found<'a> {
    /// The findings of a book.
    pub fn of(book: &'a Book<'a>) -> Self {
        let findings = book.assessment.findings.iter();
        Self { book, on: gathered(findings, |f| f.subject()).into_iter().collect() }
    }

    /// One card as it is printed in the book.
    pub fn face(&self, card: &Card<'_>) -> Markup {
        let found = self.on.get(card.planned().id.as_str()).map_or(&[][..], Vec::as_slice);
        face::card(card, Some(face::Beside { book: self.book, found }))
    }
}

/// What a card tells its reader to do: all that is printed but number, edition, code, findings and its proof
/// test, which belong to the book that it is in.
pub fn told(card: &Card<'_>) -> Markup {
    face::card(card, None)
}

/// The cards as they are seen, made on all cores; their order stays.
fn faces(book: &Book<'_>) -> Vec<Markup> {
    let found = Found::of(book);
    let cards: Vec<Card<'_>> = book.cards().collect();
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
