//! The sheet of the joints: in the order of the walk, with what closes each and how far.

use maud::{Markup, html};

use super::{Book, Part, heading};
use crate::report::caution::JOINTS;
use crate::report::joints::{notes, row, walk_words};
use crate::solve::joints::{JointMade, solve};

const ID: &str = "joints";

/// The sheet of the joints.
pub fn part(book: &Book<'_>) -> Part {
    let facts = solve(&book.assessment.plan, book.tables);
    let system = book.look.system;
    let body = html! {
        (heading(ID, "What to tighten"))
        p { (JOINTS) }
        @match &facts.walk {
            Ok(walk) => p { (walk_words(walk, system)) },
            Err(why) => p { "In the order of the plan: " (why) },
        }
        div .scroll tabindex="0" { table {
            thead { tr {
                th scope="col" { "joint" } th scope="col" { "where" } th scope="col" { "thread" }
                th scope="col" { "spanner" } th scope="col" { "tighten" } th scope="col" .number { "caps" }
                th scope="col" { "signed" } th scope="col" { "marked" }
            } }
            tbody { @for joint in &facts.joints { (one(book, joint)) } }
        } }
        ul { @for note in notes(&facts, system) { li { (note) } } }
    };
    Part::new(ID, "What to tighten", body)
}

fn one(book: &Book<'_>, joint: &JointMade) -> Markup {
    let cells = row(joint, book.look.system);
    let boxes = if joint.signed_twice() { "\u{2610} \u{2610}" } else { "\u{2610}" };
    html! {
        tr {
            @for (index, cell) in cells.iter().take(6).enumerate() {
                @match index {
                    0 => th scope="row" { (cell) },
                    5 => td .number { (cell) },
                    _ => td { (cell) },
                }
            }
            td .tick { (boxes) }
            td .tick { "\u{2610}" }
        }
    }
}
