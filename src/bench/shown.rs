//! What the page shows, and which of it a page that has seen an earlier state still needs.

use std::sync::Arc;

use serde_json::{Value, json};

use super::counts;
use crate::assess::Assessment;
use crate::book::{Book, Part, parts, short_digest};

/// The state of the page.
#[derive(Debug)]
pub struct Shown {
    /// Counts up with every change.
    pub number: u64,
    /// The book of the last plan that was understood; none before.
    pub book: Option<Arc<BookShown>>,
    /// What is wrong with the file on the disk; the book is then that of the last good one.
    pub problems: Vec<Value>,
}

impl Shown {
    /// The state for a page that has seen another one: parts that have not changed since are only named.
    pub fn told(&self, seen: u64) -> Value {
        json!({
            "number": self.number, "problems": self.problems,
            "book": self.book.as_ref().map(|book| book.told(seen)),
        })
    }
}

/// A book, part by part.
#[derive(Debug)]
pub struct BookShown {
    name: String,
    edition: String,
    counts: Value,
    parts: Vec<PartShown>,
}

#[derive(Debug)]
struct PartShown {
    id: String,
    title: String,
    digest: String,
    html: Arc<str>,
    /// The state of the page in which it became what it is.
    since: u64,
}

impl PartShown {
    fn new(part: Part, number: u64, before: Option<&BookShown>) -> Self {
        let html: Arc<str> = part.body.into_string().into();
        let digest = short_digest(&html);
        let old = before.and_then(|b| b.parts.iter().find(|old| old.id == part.id));
        let since = old.filter(|old| old.digest == digest).map_or(number, |old| old.since);
        Self { id: part.id, title: part.title, digest, html, since }
    }
}

impl BookShown {
    /// A book that is shown as a state of the page, after another one.
    pub fn new(book: &Book<'_>, number: u64, before: Option<&Self>) -> Self {
        let assessment: &Assessment = book.assessment;
        let parts = parts(book).into_iter();
        Self {
            name: assessment.plan.name.clone(),
            edition: book.edition(),
            counts: counts(assessment),
            parts: parts.map(|part| PartShown::new(part, number, before)).collect(),
        }
    }

    /// The book as data; of a part that a page has seen as it is, only what it is called.
    pub fn told(&self, seen: u64) -> Value {
        let parts = self.parts.iter().map(|part| {
            let mut told = json!({ "id": part.id, "title": part.title, "digest": part.digest });
            if part.since > seen {
                told["html"] = part.html.as_ref().into();
            }
            told
        });
        json!({
            "name": self.name, "edition": self.edition, "counts": self.counts,
            "parts": parts.collect::<Vec<_>>(),
        })
    }
}
