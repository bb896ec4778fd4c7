//! The inspector's pack: of every line what was measured and who did what, with the digest that the record ends with.

use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

use super::{Book, STYLE, foot, paper_rule};
use crate::record::Entry;
use crate::report::left::NO_APPROVAL;
use crate::signed::{LineState, Signed, Stage};

/// What every pack says of itself, and nothing else does.
pub const GENERATOR: &str = "<meta name=\"generator\" content=\"hosewright log pack\">";

/// The pack as one file.
pub fn html(book: &Book<'_>, signed: &Signed) -> String {
    let plan = &book.assessment.plan;
    markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                (PreEscaped(GENERATOR))
                title { (plan.name) ": as built, by the record" }
                style { (PreEscaped(STYLE)) (PreEscaped(paper_rule(book.look))) }
            }
            body .usual {
                main #main {
                    h1 { (plan.name) ": as built, by the record" }
                    p .imprint { (book.imprint()) }
                    (head(signed))
                    @for (index, line) in signed.lines.iter().enumerate() { (of_line(book, signed, index, line)) }
                    (tests(signed))
                }
                (foot(book))
            }
        }
    }
    .into_string()
}

/// What the record ends with, and what this is not.
fn head(signed: &Signed) -> Markup {
    let verified = &signed.read.verified;
    markup! {
        @if let Some(head) = verified.head {
            p {
                "The record has " (verified.entries) " entries; the last has the digest "
                code { (head) } ", on the card " b { (head.for_card()) } "."
            }
        }
        p { (NO_APPROVAL) }
        div .signs {
            div { p { "Owner, date" } }
            div { p { "Inspector, date" } }
        }
    }
}

/// The record of one line.
fn of_line(book: &Book<'_>, signed: &Signed, index: usize, line: &LineState) -> Markup {
    let card = book.card(index);
    let entry = |at: usize| signed.read.entries.get(at);
    markup! {
        section .as-built {
            h2 { (line.id) @if let Some(name) = &card.planned().name { ", " (name) } }
            p {
                "Card " code { (super::card::words::code(&card)) }
                @if let Some(why) = &line.double { ", two people: " (why.value) }
            }
            table {
                caption { "Measured" }
                thead { tr {
                    th scope="col" { "what" } th scope="col" { "right" } th scope="col" { "is" }
                    th scope="col" { "who" } th scope="col" { "when, UTC" } th scope="col" .number { "entry" }
                } }
                tbody { @for right in &line.rights { tr {
                    th scope="row" { (right.reading.word()) }
                    td { (right.words()) }
                    @match line.readings.get(&right.reading) {
                        Some((at, text)) => { td { (text) } (signature(entry(*at))) }
                        None => { td {} td {} td {} td {} }
                    }
                } } }
            }
            table {
                caption { "Done" }
                thead { tr {
                    th scope="col" { "what" } th scope="col" { "values" }
                    th scope="col" { "who" } th scope="col" { "when, UTC" } th scope="col" .number { "entry" }
                } }
                tbody { @for stage in Stage::ALL { tr {
                    @let done = line.done.get(&stage).and_then(|at| entry(*at));
                    th scope="row" { (stage.word()) }
                    td { @if let Some(done) = done { (values(done)) } }
                    (signature(done))
                } } }
            }
        }
    }
}

fn values(entry: &Entry) -> String {
    let pairs: Vec<String> = entry.values.iter().map(|(n, v)| format!("{n} {v}")).collect();
    let notes = entry.note.iter().cloned();
    pairs.into_iter().chain(notes).collect::<Vec<_>>().join("; ")
}

/// Who, when and in which entry.
fn signature(entry: Option<&Entry>) -> Markup {
    markup! {
        @match entry {
            Some(entry) => {
                td { (entry.by) }
                td { (entry.time.to_string().replace('T', " ").replace('Z', "")) }
                td .number { (entry.number) }
            }
            None => { td {} td {} td {} }
        }
    }
}

fn tests(signed: &Signed) -> Markup {
    markup! {
        @if !signed.tests.is_empty() {
            section .as-built {
                h2 { "Tests" }
                table {
                    thead { tr {
                        th scope="col" { "test" } th scope="col" { "what came" }
                        th scope="col" { "who" } th scope="col" { "when, UTC" } th scope="col" .number { "entry" }
                    } }
                    tbody { @for test in &signed.tests { tr {
                        @let made = test.made.and_then(|at| signed.read.entries.get(at));
                        th scope="row" { (test.name) }
                        td { @if let Some(made) = made { (values(made)) } }
                        (signature(made))
                    } } }
                }
            }
        }
    }
}
