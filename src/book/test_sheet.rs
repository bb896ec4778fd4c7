//! The test sheet: what is tried on the finished machine, what must come, and room for what came.

use maud::{Markup, html};

use super::card::name_of_test;
use super::{Book, Part, heading};
use crate::report::caution::FLOW_TEST;
use crate::report::flow_test::statements;
use crate::trial::flow::{FlowTrial, Row};

const ID: &str = "tests";

/// The test sheet; none where no test was planned.
pub fn part(book: &Book<'_>) -> Option<Part> {
    let trial = book.flow_trial?;
    let body = html! {
        (heading(ID, "What to test"))
        h3 { "Flow" }
        p { (FLOW_TEST) }
        p { (format!("Propped to {:.1} degrees nose up; every tank at its lowest level.", trial.nose_up_rad.to_degrees())) }
        @for row in &trial.rows { (one(book, trial, row)) }
        @for (need, pump, why) in &trial.not_computed {
            p {
                b { (id(book, *need)) }
                @if let Some(pump) = pump { " with " (id(book, *pump)) }
                ": nothing to expect can be computed: " (why)
            }
        }
        @if trial.rows.is_empty() && trial.not_computed.is_empty() {
            p { "No component of the plan has a need in a circuit: there is no flow to test." }
        }
    };
    Some(Part::new(ID, "What to test", body))
}

fn id<'b>(book: &Book<'b>, component: usize) -> &'b str {
    &book.assessment.plan.components[component].id
}

fn one(book: &Book<'_>, trial: &FlowTrial, row: &Row) -> Markup {
    let plan = &book.assessment.plan;
    html! {
        section .test {
            h4 { (name_of_test(plan, trial, row)) }
            ul { @for line in statements(plan, trial, row, book.look.system) { li { (line) } } }
            table .blanks {
                tbody {
                    tr { th scope="row" { "seconds" } td .blank {} }
                    tr { th scope="row" { "temperature, who, date" } td .blank {} }
                }
            }
        }
    }
}
