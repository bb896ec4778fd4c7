//! The book: everything a builder prints, holds and writes on, as one HTML file that needs no network.
//!
//! A [`Book`] is looked at part by part: [`parts`] gives each as markup with a heading of its own, and [`html`]
//! the whole file. A drawing is a [`canvas::Canvas`], in millimetres of paper; what must come out of the
//! printer at full size is a [`crate::report::drawing::Drawing`].
//!
//! ```
//! use hosewright::book::{Book, Look, html};
//! use hosewright::{assess::read_and_assess, diagnostic::SourceText, table::Tables};
//! let tables = Tables::builtin();
//! let file = SourceText::new("plan.toml", hosewright::plan::starter::STARTER);
//! let assessment = read_and_assess(&file, &tables).unwrap();
//! let look = Look::default();
//! let book = Book::of(&assessment, &tables, &file.text, Look::default());
//! assert!(html(&book).starts_with("<!DOCTYPE html>"));
//! ```

pub mod canvas;
pub mod card;
mod changed;
pub mod circuit;
mod fill;
mod front;
mod joint;
mod mark;
mod order;
pub mod pack;
pub mod plot;
pub mod sheet;
mod source;
mod state;
mod stock;
pub mod test_sheet;
pub mod view;

use maud::{DOCTYPE, Markup, PreEscaped, html as markup};
use rayon::prelude::*;

use crate::assess::Assessment;
use crate::record::Digest;
use crate::report::caution::cautions;
use crate::report::drawing::sheet::Paper;
use crate::signed::Signed;
use crate::table::Tables;
use crate::trial::flow::FlowTrial;
use crate::trial::proof::ProofTrial;
use crate::units::System;

/// How the pages look; the same everywhere.
pub const STYLE: &str = include_str!("style.css");

/// What every book says of itself, and nothing else does.
pub const GENERATOR: &str = "<meta name=\"generator\" content=\"hosewright book\">";

/// Digits of the short form of a digest: enough to tell two editions apart, few enough to copy by hand.
const SHORT: usize = 12;

/// What a book is made of.
#[derive(Clone, Copy, Debug)]
pub struct Book<'a> {
    /// The plan and all that was found out about it.
    pub assessment: &'a Assessment,
    /// The tables it was found out with.
    pub tables: &'a Tables,
    /// The digest of the plan's text, which every card names.
    pub edition: Digest,
    /// Flow tests, where they were planned.
    pub flow_trial: Option<&'a FlowTrial>,
    /// Proof tests, where they were planned.
    pub proof_trial: Option<&'a ProofTrial>,
    /// What was done by the record beside the plan, where there is one.
    pub signed: Option<&'a Signed>,
    /// How it is written.
    pub look: Look,
}

/// How a book is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// Metric, inch or both.
    pub system: System,
    /// What it is printed on.
    pub paper: Paper,
    /// Whether the type is large, for the weak of sight.
    pub large: bool,
    /// Whether it is the cards alone, for the pocket.
    pub pocket: bool,
    /// Whether it is what changed since it was signed, alone.
    pub changed: bool,
}

/// A part of the book, with a heading of its own.
#[derive(Clone, Debug)]
pub struct Part {
    /// What a link to it says.
    pub id: String,
    /// Its name in the list of contents.
    pub title: String,
    /// What it says.
    pub body: Markup,
}

impl Part {
    /// A part by its id, its title and its body.
    pub fn new(id: impl Into<String>, title: impl Into<String>, body: Markup) -> Self {
        Self { id: id.into(), title: title.into(), body }
    }
}

impl<'a> Book<'a> {
    /// A book without tests and without a record.
    pub fn of(assessment: &'a Assessment, tables: &'a Tables, text: &'a str, look: Look) -> Self {
        let edition = Digest::of(text.as_bytes());
        Self {
            assessment,
            tables,
            edition,
            flow_trial: None,
            proof_trial: None,
            signed: None,
            look,
        }
    }
}

impl<'a> Book<'a> {
    /// The card of a line.
    pub fn card(&self, line: usize) -> card::Card<'a> {
        let Assessment { plan, facts, .. } = self.assessment;
        card::Card { plan, tables: self.tables, lines: &facts.lines, line }
    }

    /// Its cards, in the order of the plan.
    pub fn cards(&self) -> impl Iterator<Item = card::Card<'a>> + use<'a> {
        card::cards(&self.assessment.plan, self.tables, &self.assessment.facts.lines)
    }

    /// The digest of the plan's text, short: what every page of one edition has in common.
    pub fn edition(&self) -> String {
        shortened(self.edition)
    }

    /// Name, revision and digest of the plan, as they stand on every card.
    pub fn imprint(&self) -> String {
        let plan = &self.assessment.plan;
        let revision =
            plan.revision.as_deref().map_or_else(String::new, |r| format!(", revision {r}"));
        format!("{}{revision}, plan {}", plan.name, self.edition())
    }
}

/// The first digits of the digest of a text.
pub fn short_digest(text: &str) -> String {
    shortened(Digest::of(text.as_bytes()))
}

fn shortened(digest: Digest) -> String {
    format!("{:.SHORT$}", digest.to_string())
}

/// The parts of the book, in the order of the work.
pub fn parts(book: &Book<'_>) -> Vec<Part> {
    if book.look.changed {
        return book.signed.map(|signed| changed::part(book, signed)).into_iter().collect();
    }
    if book.look.pocket {
        return vec![card::part(book)];
    }
    // Each part rests on the assessment alone, so that they are made on all cores; their order stays.
    let makers: [fn(&Book<'_>) -> Option<Part>; 12] = [
        |book| Some(front::part(book)),
        |book| Some(circuit::part(book)),
        |book| Some(view::part(book)),
        |book| Some(plot::part(book)),
        |book| Some(card::part(book)),
        |book| Some(stock::part(book)),
        |book| Some(order::part(book)),
        |book| Some(joint::part(book)),
        |book| Some(fill::part(book)),
        test_sheet::part,
        |book| Some(sheet::part(book)),
        |book| Some(source::part(book)),
    ];
    makers.par_iter().filter_map(|make| make(book)).collect()
}

/// The whole book as one file.
pub fn html(book: &Book<'_>) -> String {
    let parts = parts(book);
    page(book, &parts).into_string()
}

fn page(book: &Book<'_>, parts: &[Part]) -> Markup {
    let plan = &book.assessment.plan;
    let class = match book.look {
        Look { pocket: true, .. } => "pocket",
        Look { large: true, .. } => "large",
        _ => "usual",
    };
    markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // Nothing leaves this file, whatever a name in the plan looks like.
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; style-src 'unsafe-inline'; img-src data:";
                (PreEscaped(GENERATOR))
                title { (plan.name) ": the book" }
                style { (PreEscaped(STYLE)) (PreEscaped(paper_rule(book.look))) }
            }
            body class=(class) {
                a .skip href="#main" { "To the text" }
                (contents(parts))
                main #main {
                    @for part in parts {
                        section .part id=(part.id) aria-labelledby=(format!("{}-title", part.id)) {
                            (part.body)
                        }
                    }
                }
                (foot(book))
            }
        }
    }
}

/// The size of paper that a print comes out on; margins leave room for punched holes, sheets at full size have
/// their own. A pocket card is A6, or 4 x 6 in.
fn paper_rule(look: Look) -> &'static str {
    match (look.paper, look.pocket) {
        (Paper::A4, true) => "@page{size:105mm 148mm;margin:6mm}",
        (Paper::Letter, true) => "@page{size:4in 6in;margin:6mm}",
        (Paper::A4, false) => concat!(
            "@page{size:A4;margin:13mm}@page wide{size:A4 landscape;margin:13mm}",
            "@page lengthwise{size:A4 landscape;margin:0}@page standing{size:A4;margin:13mm}@page upright{size:A4;margin:0}"
        ),
        (Paper::Letter, false) => concat!(
            "@page{size:letter;margin:13mm}@page wide{size:letter landscape;margin:13mm}",
            "@page lengthwise{size:letter landscape;margin:0}@page standing{size:letter;margin:13mm}@page upright{size:letter;margin:0}"
        ),
    }
}

fn contents(parts: &[Part]) -> Markup {
    markup! {
        nav .contents aria-label="Contents" {
            ol {
                @for part in parts {
                    li { a href=(format!("#{}", part.id)) { (part.title) } }
                }
            }
        }
    }
}

fn foot(book: &Book<'_>) -> Markup {
    markup! {
        footer {
            p .imprint { (book.imprint()) }
            @for caution in cautions(&book.assessment.plan, &book.assessment.facts) {
                p { (caution) }
            }
        }
    }
}

/// The heading of a part; the section it stands in is named by it.
pub(crate) fn heading(id: &str, title: &str) -> Markup {
    markup! { h2 id=(format!("{id}-title")) { (title) } }
}
