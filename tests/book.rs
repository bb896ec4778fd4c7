//! The book: what is drawn lies where the plan has it.

mod plot;
mod view;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::book::{Book, Look, html};
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

/// The examples, by their folders.
const EXAMPLES: [&str; 3] = ["01-amphibian", "02-river-launch", "03-press"];

/// The text of an example's plan.
fn plan_text(example: &str) -> String {
    let path = format!("{}/examples/{example}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    String::from_utf8(std::fs::File::open(path).map(read_all).unwrap()).unwrap()
}

fn read_all(mut file: std::fs::File) -> Vec<u8> {
    let mut bytes = Vec::new();
    std::io::Read::read_to_end(&mut file, &mut bytes).unwrap();
    bytes
}

/// A plan that is assessed, with its tables.
fn assessed(text: &str) -> (Assessment, Tables) {
    let tables = Tables::builtin();
    let assessment = read_and_assess(&SourceText::new("plan.toml", text), &tables).unwrap();
    (assessment, tables)
}

/// The section of the book of a plan.
fn section(text: &str, id: &str, look: Look) -> String {
    let (assessment, tables) = assessed(text);
    let whole = html(&Book { assessment: &assessment, tables: &tables, text, look });
    let from = whole.find(&format!("<section class=\"part\" id=\"{id}\"")).unwrap();
    let length = whole[from..].find("</section>").unwrap();
    whole[from..from + length].to_owned()
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
