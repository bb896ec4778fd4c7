//! Verdicts as a word and a shape, so that neither colour nor print decides whether they are seen.

use maud::{Markup, html};

use crate::finding::Verdict;

/// The shape that stands before the word of a verdict.
pub fn shape(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Ok => "\u{25cf}",
        Verdict::Open => "\u{25c7}",
        Verdict::Caution => "\u{25b2}",
        Verdict::Fail => "\u{25a0}",
    }
}

/// Shape and word of a verdict.
pub fn verdict(verdict: Verdict) -> Markup {
    html! {
        span class=(format!("verdict {}", verdict.word())) {
            span aria-hidden="true" { (shape(verdict)) } " " (verdict.word())
        }
    }
}
