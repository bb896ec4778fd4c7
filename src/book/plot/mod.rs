//! Plots: pressure along the way of the fluid, pumps at work, velocities against their limits.

pub mod axes;
pub mod chain;
mod profile;
mod pump;
mod velocity;
mod way;

use maud::{Markup, html};

use super::{Book, Part, heading};
use crate::report::units::in_units;

const ID: &str = "plots";
const TITLE: &str = "Pressures, pumps and velocities";

/// The plots.
pub fn part(book: &Book<'_>) -> Part {
    let circuits = &book.assessment.facts.network.circuits;
    let body = html! {
        (heading(ID, TITLE))
        h3 { "Pressure along the way" }
        p { (profile::KEY) }
        @for circuit in circuits {
            @if circuit.missing.is_empty() {
                (profile::circuit(book, circuit))
            } @else {
                p {
                    (circuit.name) " is not solved: "
                    (in_units(&circuit.missing.join("; "), book.look.system)) "."
                }
            }
        }
        (pump::plots(book))
        (velocity::plot(book))
    };
    Part::new(ID, TITLE, body)
}

/// The figures of a plot for those who do not see it: the rows of a table that is opened when wanted.
fn in_numbers(rows: &Markup) -> Markup {
    html! {
        details {
            summary { "The same in numbers" }
            div .scroll tabindex="0" { table { (rows) } }
        }
    }
}
