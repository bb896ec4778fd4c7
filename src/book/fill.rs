//! The filling sheet: what each system takes, and the order in which it is filled and bled.

use maud::{Markup, html};

use super::{Book, Part, heading};
use crate::report::caution::FILLING;
use crate::report::fill::{ASSUMED, notes, sequence};
use crate::solve::fill::{SystemFacts, solve};

const ID: &str = "fill";

/// The filling sheet.
pub fn part(book: &Book<'_>) -> Part {
    let systems = solve(&book.assessment.plan, &book.assessment.facts);
    let body = html! {
        (heading(ID, "What to fill"))
        p { (FILLING) }
        @for system in &systems { (one(book, system)) }
        p .source { (ASSUMED) }
    };
    Part::new(ID, "What to fill", body)
}

fn one(book: &Book<'_>, of: &SystemFacts) -> Markup {
    let (plan, system) = (&book.assessment.plan, book.look.system);
    html! {
        section .test {
            h3 { (of.name) ", " (plan.fluids[of.fluid].id) }
            ul { @for note in notes(plan, of, system) { li { (note) } } }
            ol .steps {
                @for step in sequence(book.assessment, of, system) {
                    li { span .tick aria-hidden="true" { "\u{2610}" } " " (step) }
                }
            }
            table .blanks { tbody {
                tr { th scope="row" { "poured, from a measured can" } td .blank {} }
            } }
        }
    }
}
