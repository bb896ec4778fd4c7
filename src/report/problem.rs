//! Problems of a file as text with the line and a caret, or as data.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde_json::{Value, json};

use crate::diagnostic::Diagnostic;

/// So many problems are shown; a file that is no plan at all would fill the screen.
const MOST_SHOWN: usize = 100;
/// A line of a file is shown up to this many bytes around the fault.
const LONGEST_LINE: usize = 400;

/// All problems as text, with a count at the end.
pub fn to_text(problems: &[Diagnostic], width: usize) -> String {
    let renderer = Renderer::styled().term_width(width);
    let mut out = String::new();
    for problem in problems.iter().take(MOST_SHOWN) {
        out.push_str(&one(&renderer, problem));
        out.push_str("\n\n");
    }
    if problems.len() > MOST_SHOWN {
        out.push_str(&format!("... and {} more\n", problems.len() - MOST_SHOWN));
    }
    let noun = if problems.len() == 1 { "problem" } else { "problems" };
    out.push_str(&format!("{} {noun}; nothing was calculated\n", problems.len()));
    out
}

fn one(renderer: &Renderer, problem: &Diagnostic) -> String {
    let (line, column) = problem.file.position(problem.span.start);
    let (text, start) = line_of(problem);
    let from = problem.span.start.saturating_sub(start).min(text.len());
    let to = problem.span.end.saturating_sub(start).clamp(from, text.len());
    let shown = text.len() <= LONGEST_LINE && !text.is_empty();
    let mut group = Level::ERROR.primary_title(problem.message.as_str());
    let path = format!("{}:{line}:{column}", problem.file.name);
    let mut report = if shown {
        group.element(
            Snippet::source(text)
                .line_start(line)
                .path(problem.file.name.as_str())
                .annotation(AnnotationKind::Primary.span(from..to).label(problem.label.as_str())),
        )
    } else {
        group = group.id("");
        group.element(Level::NOTE.message(format!("at {path}")))
    };
    for help in &problem.help {
        report = report.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[report])
}

/// The first line of the fault and where it begins.
fn line_of(problem: &Diagnostic) -> (&str, usize) {
    let text = problem.file.text.as_str();
    let mut at = problem.span.start.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let end = text[at..].find('\n').map_or(text.len(), |i| at + i);
    (text[start..end].trim_end_matches('\r'), start)
}

/// All problems as data.
pub fn to_json(problems: &[Diagnostic]) -> Value {
    let placed: Vec<_> = problems.iter().map(Diagnostic::placed).collect();
    json!({ "problems": placed })
}
