//! The circuits as drawings: one for each, or several where one sheet of paper does not hold it.

mod body;
mod divide;
mod draw;
mod group;
mod inner;
pub mod layout;
mod letter;
mod setting;
mod sheet;
mod symbol;

use maud::{Markup, html};

use super::canvas::{Anchor, Canvas};
use super::{Book, Part, heading};
use crate::plan::{Plan, Service};
use crate::report::units;
use group::{Group, Pipe, What, flow_in, groups};
use sheet::{Sheet, sheets};

const ID: &str = "circuits";
const TITLE: &str = "Circuits";

/// The drawings of all circuits.
pub fn part(book: &Book<'_>) -> Part {
    let groups = groups(book);
    let body = html! {
        @if groups.is_empty() {
            (heading(ID, TITLE))
            p { "The plan has no lines." }
        } @else {
            // All on sheets that lie on their sides; what the lines mean needs no page of its own behind the drawings.
            div .circuits {
                (heading(ID, TITLE))
                @for group in &groups { (one(book, group)) }
                (key())
            }
        }
    };
    Part::new(ID, TITLE, body)
}

/// What the lines mean.
fn key() -> Markup {
    let mut canvas = Canvas::new([180.0, 20.0], "Kinds of lines");
    let kinds = [
        ([2.0, 4.0], draw::class(Service::Suction), "suction, pressure"),
        ([2.0, 11.0], draw::class(Service::Return), "other lines"),
        ([2.0, 18.0], draw::class(Service::Vent), "vent, drain"),
    ];
    for ([x, y], class, words) in kinds {
        canvas.line([x, y], [x + 14.0, y], class);
        canvas.text([x + 16.0, y + 1.0], words, Anchor::Start, "small");
    }
    draw::link(&mut canvas, &[[62.0, 4.0], [76.0, 4.0]]);
    canvas.text([78.0, 5.0], "screwed together, without a line", Anchor::Start, "small");
    for (y, class, words) in [
        (11.0, "filled", "way of the flow, as calculated"),
        (18.0, "paper", "from \u{2192} to of the plan: nothing flows, or it is not calculated"),
    ] {
        canvas.line([62.0, y], [73.0, y], "");
        canvas.arrow_head([76.0, y], [1.0, 0.0], 3.2, class);
        canvas.text([78.0, y + 1.0], words, Anchor::Start, "small");
    }
    html! {
        h3 { "What the drawings mean" }
        p { "Not to scale, and not where things are in the machine: what is connected with what. The bubble on a \
             line has its name and its bore. Lines that cross without a dot are not connected." }
        (canvas.figure(""))
        p .source { "Symbols after ISO 1219-1:2012 and ISO 14617, from memory; a plain box where there is none. A \
                     frame of dashes and dots holds what is one component." }
    }
}

fn one(book: &Book<'_>, group: &Group<'_>) -> Markup {
    let drawings = sheets(book, group);
    let count = drawings.len();
    html! {
        @for (index, drawing) in drawings.iter().enumerate() {
            (figure(book, group, drawing, [index + 1, count]))
        }
        details {
            summary { "The lines of " (group.name) " as a table" }
            (table(book, group))
        }
    }
}

fn figure(book: &Book<'_>, group: &Group<'_>, sheet: &Sheet, [number, of]: [usize; 2]) -> Markup {
    let place = if of > 1 { format!(", drawing {number} of {of}") } else { String::new() };
    let names: Vec<&str> = sheet
        .bodies
        .iter()
        .map(|b| book.assessment.plan.components[b.component].id.as_str())
        .collect();
    let title = format!("Circuit {}{place}: {}", group.name, names.join(", "));
    let canvas = draw::draw(book, group, sheet, title);
    html! {
        div class=(if sheet.upright { "circuit standing" } else { "circuit" }) {
            h3 { (group.name) (place) }
            figure {
                div .scroll tabindex="0" { (canvas.svg()) }
                figcaption { (caption(book, group, sheet)) }
            }
        }
    }
}

/// Fluid, case and source of the directions.
fn caption(book: &Book<'_>, group: &Group<'_>, sheet: &Sheet) -> String {
    let plan = &book.assessment.plan;
    let mut fluids: Vec<String> = Vec::new();
    for pipe in sheet.pipes.iter().map(|p| &group.pipes[*p]) {
        if let What::Line(line) = pipe.what {
            let words = fluid(plan, plan.lines[line].fluid);
            if !fluids.contains(&words) {
                fluids.push(words);
            }
        }
    }
    let flow = group.answer.map_or_else(
        || "Directions from the plan: no flow was calculated.".to_owned(),
        |(case, _)| format!("Filled arrows: flow in the case \"{case}\"."),
    );
    let large = if sheet.too_large {
        " This drawing is larger than the paper and is printed smaller: read it on the screen."
    } else {
        ""
    };
    format!(
        "Filled with {}. {flow} Symbols after ISO 1219-1:2012 and ISO 14617 (from memory).{large}",
        fluids.join("; ")
    )
}

fn fluid(plan: &Plan, index: usize) -> String {
    let fluid = &plan.fluids[index];
    if fluid.fluid.label == fluid.id {
        fluid.id.clone()
    } else {
        format!("{} ({})", fluid.id, fluid.fluid.label)
    }
}

/// The bore of a line in words; empty where it is not known.
fn bore(book: &Book<'_>, line: usize) -> String {
    let bore = book.assessment.facts.lines.get(line).and_then(|l| l.bore.as_ref());
    bore.map_or_else(String::new, |b| units::length(b.value, book.look.system))
}

fn table(book: &Book<'_>, group: &Group<'_>) -> Markup {
    html! {
        div .scroll tabindex="0" {
            table {
                caption { "Lines and joins of " (group.name) ", each in the direction of its arrow" }
                thead { tr {
                    th scope="col" { "line" }
                    th scope="col" { "from" }
                    th scope="col" { "to" }
                    th scope="col" { "fluid" }
                    th scope="col" { "for" }
                    th scope="col" { "bore" }
                    th scope="col" .number { "flow" }
                } }
                tbody { @for pipe in &group.pipes { (row(book, group, pipe)) } }
            }
        }
    }
}

fn row(book: &Book<'_>, group: &Group<'_>, pipe: &Pipe) -> Markup {
    let plan = &book.assessment.plan;
    let [from, to] = pipe.ends.map(|port| {
        let name = plan.components[port.component].name.as_deref();
        let name = name.map_or_else(String::new, |n| format!(" ({n})"));
        format!("{}{name}", plan.port_name(&port))
    });
    let What::Line(line) = pipe.what else {
        return html! {
            tr { th scope="row" { "join" } td { (from) } td { (to) } td {} td { "screwed together" } td {} td {} }
        };
    };
    let flow = group.answer.and_then(|(_, answer)| flow_in(answer, line));
    let flow = flow.map_or_else(
        || "not calculated".to_owned(),
        |flow| units::flow(flow.abs(), book.look.system),
    );
    let line_of_plan = &plan.lines[line];
    html! {
        tr {
            th scope="row" { (line_of_plan.id) }
            td { (from) }
            td { (to) }
            td { (fluid(plan, line_of_plan.fluid)) }
            td { (line_of_plan.service.word()) }
            td { (bore(book, line)) }
            td .number { (flow) }
        }
    }
}
