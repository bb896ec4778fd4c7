//! How a rigid tube is bent, on its card.

use maud::{Markup, html};

use super::Card;
use crate::book::mark;
use crate::finding::Verdict;

/// The bend table; nothing for a hose or a straight tube.
pub fn table(card: &Card<'_>) -> Markup {
    let Some(tube) = &card.facts().tube else { return html! {} };
    let tube = match tube {
        Ok(tube) => tube,
        Err(why) => return html! { p { (mark::verdict(Verdict::Open)) " bends: " (why) } },
    };
    let side = tube.side();
    html! {
        @if !side.rows.is_empty() {
            div .scroll tabindex="0" { table .bends {
                caption { "Bends, marks counted from " (side.end) }
                thead { tr {
                    th scope="col" { "bend" } th scope="col" .number { "mark mm" } th scope="col" .number { "turn deg" }
                    th scope="col" .number { "SET deg" } th scope="col" .number { "comes out deg" } th scope="col" { "bent" }
                } }
                tbody {
                    @for (index, row) in side.rows.iter().enumerate() {
                        tr {
                            th scope="row" { (index + 1) }
                            td .number { (or_open(side.marks_mm.as_ref().ok().and_then(|m| m.get(index)).copied(), 1)) }
                            td .number { (or_open(Some(row.bend.rotation_rad.to_degrees()), 0)) }
                            td .number { b { (or_open(row.set.as_ref().ok().map(|s| s.angle_deg), 1)) } }
                            td .number { (or_open(Some(row.bend.angle_rad.to_degrees()), 1)) }
                            td .tick { "\u{2610}" }
                        }
                    }
                }
            } }
        }
    }
}

fn or_open(number: Option<f64>, places: usize) -> String {
    number.map_or_else(|| "open".to_owned(), |n| format!("{:.places$}", n + 0.0))
}
