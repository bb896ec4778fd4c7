//! What changed since it was signed: a slip that voids each old card, and the new cards with what is new on them.

use maud::{Markup, html};

use super::card::{Card, Found, words};
use super::{Book, Part, SHORT, heading};
use crate::record::Entry;
use crate::signed::{Change, Signed, Subject, changes};

const ID: &str = "changed";

/// A card that is not what was signed any more.
struct Old<'s> {
    line: &'s str,
    entry: &'s Entry,
    /// The card now; none where the line is gone.
    now: Option<Card<'s>>,
}

impl Old<'_> {
    /// The code that stands on the old card.
    fn code(&self) -> String {
        let digest = self.entry.covers.get(&Subject::line_key(self.line));
        let digits = digest.map(ToString::to_string).unwrap_or_default();
        digits.get(..SHORT).unwrap_or_default().to_owned()
    }

    fn new_code(&self) -> Option<String> {
        self.now.as_ref().map(words::code)
    }
}

/// Slips, then what changed and the new card of each line.
pub fn part(book: &Book<'_>, signed: &Signed) -> Part {
    let (old, found) = (old_cards(book, signed), Found::of(book));
    let unsigned: Vec<&str> = book
        .cards()
        .map(|card| card.planned().id.as_str())
        .filter(|id| signed.last_said(id).is_none())
        .collect();
    let body = html! {
        (heading(ID, "Cards that changed since they were signed"))
        p .imprint { (book.imprint()) }
        @if old.is_empty() {
            p { "No card that was signed has changed." }
        }
        @if !unsigned.is_empty() {
            p { "Never signed, so not printed here: " (unsigned.join(", ")) "." }
        }
        @for old in &old { (slip(old)) }
        @for old in &old { (what_changed(old)) @if let Some(card) = &old.now { (found.face(card)) } }
    };
    Part::new(ID, "Changed cards", body)
}

/// The cards whose words are not those that were signed last.
fn old_cards<'s>(book: &'s Book<'s>, signed: &'s Signed) -> Vec<Old<'s>> {
    let now = |id: &str| book.cards().find(|card| card.planned().id == id);
    let of_line = |line: &'s str| {
        let entry = signed.last_said(line)?;
        Some(Old { line, entry, now: now(line) })
    };
    let all = signed.signed_lines().into_iter().filter_map(of_line);
    all.filter(|old| old.new_code().is_none_or(|code| code != old.code())).collect()
}

/// To be put where the old card hung; the date is for whoever destroys it.
fn slip(old: &Old<'_>) -> Markup {
    html! {
        section .slip {
            h3 { "VOID: the card of " (old.line) " with code " code { (old.code()) } }
            dl {
                div { dt { "Line" } dd { (old.line) } }
                div { dt { "Old code" } dd { code { (old.code()) } } }
                div { dt { "New code" } dd {
                    @match old.new_code() {
                        Some(code) => code { (code) },
                        None => "none: the plan has no such line any more",
                    }
                } }
                div { dt { "Signed" } dd {
                    (old.entry.what.word()) " by " (old.entry.by) ", entry " (old.entry.number)
                } }
            }
            p .do { "Destroy the old card." }
            div .signs { div { p { "Destroyed by, date" } } }
        }
    }
}

/// The statements of the new card, a bar beside what is new, the old words crossed.
fn what_changed(old: &Old<'_>) -> Markup {
    let now = old.now.as_ref().map(words::statements).unwrap_or_default();
    html! {
        section .difference {
            h3 { "What changed: " (old.line) }
            @if old.entry.said.is_empty() {
                p { "The record keeps the digest of the old card alone, so its words cannot be shown." }
            } @else {
                ul { @for change in changes(&old.entry.said, &now) { (one(change)) } }
            }
        }
    }
}

fn one(change: Change<'_>) -> Markup {
    html! {
        @match change {
            Change::Same(words) => li { (words) },
            Change::Gone(words) => li .changed { "was: " del { (words) } },
            Change::New(words) => li .changed { "now: " ins { (words) } },
        }
    }
}
