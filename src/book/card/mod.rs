//! The cards: one for each line, to be taken to the bench, written on, and signed.
//!
//! What a card says is laid down once, in words ([`words::said`]): the page shows it, the square of the card
//! holds it, and its digest tells whether the card in the hand is still the one that the plan gives.

mod band;
mod dial;
mod face;
mod sketch;
mod square;
pub mod words;
mod work;

use maud::html;

use super::{Book, Part, heading};

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

    fn id(number: usize) -> String {
        format!("card-{number}")
    }
}

/// The cards of the book, in the order of the plan.
pub fn cards<'a>(book: &'a Book<'a>) -> impl Iterator<Item = Card<'a>> {
    (0..book.assessment.plan.lines.len()).map(move |line| Card { book, line })
}

/// All cards.
pub fn part(book: &Book<'_>) -> Part {
    let body = html! {
        (heading(ID, "A card for each line"))
        p .screen { "Print them, or keep them open at the bench. A card is good as long as its code is the same." }
        nav .lines aria-label="Cards" {
            ul {
                @for card in cards(book) {
                    li { a href=(format!("#{}", Card::id(card.number()))) { (card.planned().id) } }
                }
            }
        }
        @for card in cards(book) { (face::card(&card)) }
    };
    Part::new(ID, "Cards", body)
}
