//! The sheets at full size: what is cut out, bent along, or held against the part.

mod gauge;
mod protractor;

use maud::{Markup, PreEscaped, html};

use super::{Book, Part, heading, mark};
use crate::finding::Verdict;
use crate::report::drawing::sheet::{Page, pages};
use crate::report::drawing::{Drawing, svg};
use crate::report::strap::pattern::pattern;

const ID: &str = "sheets";

/// A drawing at full size, and the name of a file for it.
#[derive(Clone, Debug)]
pub struct Named {
    /// What a file of it is called, without ending.
    pub name: String,
    /// The drawing.
    pub drawing: Drawing,
}

/// Every drawing at full size that the plan gives, and why there is none of some.
pub fn drawings(book: &Book<'_>) -> (Vec<Named>, Vec<String>) {
    let (mut drawn, mut open) = (Vec::new(), Vec::new());
    for (index, strap) in book.assessment.plan.straps.iter().enumerate() {
        match pattern(book.assessment, index) {
            Ok(drawing) => drawn.push(Named { name: format!("strap-{}", index + 1), drawing }),
            Err(why) => open.push(format!("strap {}: {why}", strap.id)),
        }
    }
    let named = |name: &str, drawing| Named { name: name.to_owned(), drawing };
    drawn.extend(protractor::protractor(book).map(|d| named("clock", d)));
    drawn.extend(gauge::radii(book).map(|d| named("radii", d)));
    let gauges = gauge::bends(book).into_iter().enumerate();
    drawn.extend(gauges.map(|(index, d)| named(&format!("bends-{}", index + 1), d)));
    (drawn, open)
}

/// The sheets, a page of paper each.
pub fn part(book: &Book<'_>) -> Part {
    let (drawn, open) = drawings(book);
    let body = html! {
        (heading(ID, "Sheets at full size"))
        p { "Print at 100 %, no fit to page. Measure the bars before a sheet is used." }
        @for why in &open { p { (mark::verdict(Verdict::Open)) " " (why) } }
        @if drawn.is_empty() { p { "The plan asks for none." } }
        @for named in &drawn { (paper(book, &named.drawing)) }
    };
    Part::new(ID, "Sheets at full size", body)
}

fn paper(book: &Book<'_>, drawing: &Drawing) -> Markup {
    match pages(drawing, book.look.paper) {
        Ok(pages) => html! { @for page in &pages { (one(drawing, page)) } },
        Err(why) => html! {
            p { (mark::verdict(Verdict::Open)) " " (drawing.title) ": " (why) }
        },
    }
}

fn one(drawing: &Drawing, page: &Page) -> Markup {
    let lengthwise = page.size[0] > page.size[1];
    html! {
        figure class=(if lengthwise { "sheet lengthwise" } else { "sheet upright" })
            role="img" aria-label=(drawing.title) {
            (PreEscaped(svg::page(drawing, page)))
        }
    }
}
