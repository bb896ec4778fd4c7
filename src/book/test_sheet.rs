//! The test sheet: what is tried on the finished machine, what must come, and room for what came.

use maud::{Markup, html};

use super::card::name_of_test;
use super::{Book, Part, heading};
use crate::plan::Plan;
use crate::report::caution::{FLOW_TEST, PROOF_TEST};
use crate::report::flow_test::statements;
use crate::report::proof_test::{hold, line, notes};
use crate::report::units::in_units;
use crate::trial::flow::{FlowTrial, Row};
use crate::trial::proof::ProofTrial;
use crate::units::System;

const ID: &str = "tests";

/// The test sheet; none where no test was planned.
pub fn part(book: &Book<'_>) -> Option<Part> {
    if book.flow_trial.is_none() && book.proof_trial.is_none() {
        return None;
    }
    let body = html! {
        (heading(ID, "What to test"))
        @if let Some(trial) = book.proof_trial { (proof(book, trial)) }
        @if let Some(trial) = book.flow_trial { (flow(&book.assessment.plan, trial, book.look.system)) }
    };
    Some(Part::new(ID, "What to test", body))
}

/// Every line under pressure, with room for what was seen.
fn proof(book: &Book<'_>, trial: &ProofTrial) -> Markup {
    let system = book.look.system;
    let rows = trial.rows.iter().filter_map(|row| line(book.assessment, row, system));
    html! {
        h3 { "Pressure" }
        p { (PROOF_TEST) }
        p { (hold(trial)) }
        div .scroll.wide tabindex="0" { table {
            thead { tr {
                @for head in ["line", "highest", "test at", "where", "liquid", "pump in", "per K", "verdict"] {
                    th scope="col" { (head) }
                }
                th scope="col" { "before" } th scope="col" { "after" } th scope="col" { "who, date" }
            } }
            tbody {
                @for cells in rows {
                    tr {
                        @for (index, cell) in cells.iter().enumerate() {
                            @if index == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                        td .blank {} td .blank {} td .blank {}
                    }
                }
            }
        } }
        ul { @for note in notes(book.assessment, trial, system) { li { (in_units(&note, system)) } } }
    }
}

/// Cans timed at the end of each feed.
pub fn flow(plan: &Plan, trial: &FlowTrial, system: System) -> Markup {
    let nose = trial.nose_up_rad.to_degrees();
    html! {
        h3 { "Flow" }
        p { (FLOW_TEST) }
        p { (format!("Propped to {nose:.1} degrees nose up; every tank at its lowest level.")) }
        @for row in &trial.rows { (one(plan, trial, row, system)) }
        @for (need, pump, why) in &trial.not_computed {
            p {
                b { (id(plan, *need)) }
                @if let Some(pump) = pump { " with " (id(plan, *pump)) }
                ": nothing to expect can be computed: " (why)
            }
        }
        @if trial.rows.is_empty() && trial.not_computed.is_empty() {
            p { "No component of the plan has a need in a circuit: there is no flow to test." }
        }
    }
}

fn id(plan: &Plan, component: usize) -> &str {
    &plan.components[component].id
}

fn one(plan: &Plan, trial: &FlowTrial, row: &Row, system: System) -> Markup {
    html! {
        section .test {
            h4 { (name_of_test(plan, trial, row)) }
            ul { @for line in statements(plan, trial, row, system) { li { (line) } } }
            table .blanks {
                tbody {
                    tr { th scope="row" { "seconds" } td .blank {} }
                    tr { th scope="row" { "temperature, who, date" } td .blank {} }
                }
            }
        }
    }
}
