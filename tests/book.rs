//! The book: what is drawn lies where the plan has it.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod large;
mod plot;
mod view;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::book::{Book, Look, html};
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

use crate::house::read;

/// The examples, by their folders.
const EXAMPLES: [&str; 3] = ["01-amphibian", "02-river-launch", "03-press"];

/// The text of an example's plan.
fn plan_text(example: &str) -> String {
    read(&format!("examples/{example}/plan.toml"))
}

/// A plan that is assessed, with its tables.
fn assessed(text: &str) -> (Assessment, Tables) {
    let tables = Tables::builtin();
    let assessment = read_and_assess(&SourceText::new("plan.toml", text), &tables);
    let assessment = assessment.unwrap_or_else(|problems| panic!("{problems:?}"));
    (assessment, tables)
}

/// The section of the book of a plan.
fn section(text: &str, id: &str, look: Look) -> String {
    let (assessment, tables) = assessed(text);
    let whole = html(&Book::of(&assessment, &tables, text, look));
    let head = format!("<section class=\"part\" id=\"{id}\"");
    let behind = whole.split(&head).nth(1).unwrap_or_else(|| panic!("the book has no {id}"));
    behind.split("</section>").next().unwrap_or(behind).to_owned()
}

/// The figures of a section.
fn figures(section: &str) -> Vec<&str> {
    section.split("<figure").skip(1).map(|f| f.split("</figure>").next().unwrap_or(f)).collect()
}

/// A number behind a key: `cx="12.5"`.
fn number(element: &str, key: &str) -> Option<f64> {
    let from = element.find(&format!(" {key}=\""))? + key.len() + 3;
    element[from..].split(['"', 'm']).next()?.parse().ok()
}
