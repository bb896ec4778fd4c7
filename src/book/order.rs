//! The order list, to be taken to the shop.

use maud::html;

use super::{Book, Part, heading};

const ID: &str = "order";

/// The order list.
pub fn part(book: &Book<'_>) -> Part {
    let body = html! {
        (heading(ID, "What to order"))
        div .scroll tabindex="0" { table {
            caption { "Counts with their spares" }
            thead { tr {
                th scope="col" { "kind" } th scope="col" { "what" } th scope="col" .number { "count" }
                th scope="col" .number { "of these spare" } th scope="col" { "for" } th scope="col" { "got" }
            } }
            tbody {
                @for item in &book.assessment.facts.order {
                    tr {
                        td { (item.kind) }
                        td { (item.what) }
                        td .number {
                            @if item.unit == "m" { (format!("{:.2} m", item.count)) }
                            @else { (format!("{:.0}", item.count)) }
                        }
                        td .number { @if item.spares > 0 { (item.spares) } }
                        td { (item.lines.join(" ")) }
                        td .tick { "\u{2610}" }
                    }
                }
            }
        } }
        p .source { "On arrival: compare each part with the card of its line, read the date on the hose, count the caps." }
    };
    Part::new(ID, "What to order", body)
}
