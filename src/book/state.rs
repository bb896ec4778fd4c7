//! How far every line is, by the record beside the plan.

use maud::{Markup, html};

use super::{Book, mark};
use crate::finding::Verdict;
use crate::report::left::{NO_APPROVAL, counts, fails};
use crate::signed::{Signed, Stage};

/// The table of states, what is next, and what it is not.
pub fn table(book: &Book<'_>, signed: &Signed) -> Markup {
    let findings = &book.assessment.findings;
    let jobs = signed.jobs(|line| fails(findings, line));
    html! {
        h3 #done { "What is done, by the record" }
        @if !signed.is_whole() {
            p .stop { (mark::verdict(Verdict::Fail)) " The record does not hold: nothing below can be relied on." }
        }
        p { (counts(signed)) }
        div .scroll tabindex="0" { table .states {
            caption { "Numbers are those of the entries" }
            thead { tr {
                th scope="col" { "line" } th scope="col" { "state" }
                @for stage in Stage::ALL { th scope="col" .number { (stage.word()) } }
            } }
            tbody { @for line in &signed.lines { tr {
                th scope="row" { (line.id) }
                td { (line.word()) @if line.double.is_some() { " (two people)" } }
                @for stage in Stage::ALL { td .number {
                    @match line.done.get(&stage).and_then(|at| signed.read.entries.get(*at)) {
                        Some(entry) => (entry.number),
                        None => "\u{2610}",
                    }
                } }
            } } }
        } }
        @if !jobs.is_empty() {
            p { "What is next:" }
            ol .next { @for job in &jobs { li { b { (job.place) } ": " (job.work.words()) } } }
        }
        p .source { (NO_APPROVAL) }
    }
}
