//! Where the numbers come from: every table used, its documents, and how far each is to be trusted.

use maud::{Markup, html};

use super::{Book, Part, heading};
use crate::assess::TableUsed;

const ID: &str = "sources";

/// The sources of all numbers used.
pub fn part(book: &Book<'_>) -> Part {
    let tables = &book.assessment.tables;
    let body = html! {
        (heading(ID, "Where the numbers come from"))
        @if tables.is_empty() { p { "No figure of a table was used." } }
        @for used in tables { (one(book, used)) }
    };
    Part::new(ID, "Where the numbers come from", body)
}

fn one(book: &Book<'_>, used: &TableUsed) -> Markup {
    let table = used.id.split_once('/').and_then(|(kind, name)| book.tables.get(kind, name));
    html! {
        h3 { (used.title) " " code { (used.id) } }
        p .source {
            "checksum " (used.checksum)
            @if !used.origin.starts_with("<builtin>") { ", read from " (used.origin) }
            @if used.hides_builtin { ", in place of the built-in one" }
        }
        @if let Some(table) = table {
            ul {
                @for source in table.sources.values() {
                    li {
                        (source.document)
                        @if let Some(edition) = &source.edition { ", " (edition) }
                        @if let Some(place) = &source.place { ", " (place) }
                        " (" (source.standing) ")"
                    }
                }
            }
        }
    }
}
