//! Problems of a file as text with the line and a caret, or as data.

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use serde_json::{Value, json};

use crate::diagnostic::Diagnostic;

/// So many problems are shown; a file that is no plan at all would fill the screen.
const MOST_SHOWN: usize = 100;
/// So many bytes of a line are handed on at either side of a fault; what is shown is less.
const AROUND: usize = 8000;
/// Columns in front of a help text: a line number of up to four digits, and the word.
const BEFORE_HELP: usize = 14;
/// A help text is not squeezed narrower than this.
const NARROWEST_HELP: usize = 30;

/// All problems as text, with a count at the end.
pub fn to_text(problems: &[Diagnostic], width: usize) -> String {
    let renderer = Renderer::styled().term_width(width);
    let mut out = String::new();
    for problem in problems.iter().take(MOST_SHOWN) {
        out.push_str(&one(&renderer, problem, width));
        out.push_str("\n\n");
    }
    let more = match problems.len().saturating_sub(MOST_SHOWN) {
        0 => String::new(),
        hidden => format!("... and {hidden} more\n"),
    };
    let noun = if problems.len() == 1 { "problem" } else { "problems" };
    out + &more + &format!("{} {noun}; nothing was calculated\n", problems.len())
}

fn one(renderer: &Renderer, problem: &Diagnostic, width: usize) -> String {
    let (line, column) = problem.file.position(problem.span.start);
    let shown = Shown::new(problem);
    let name = problem.file.name.as_str();
    let title = Level::ERROR.primary_title(problem.message.as_str());
    let mut report = if shown.is_whole && !shown.text.is_empty() {
        title.element(snippet(&shown, problem, line).path(name))
    } else {
        // The renderer counts columns in what it is given, so a part of a line has its place apart.
        let place = Origin::path(name).line(line).char_column(column);
        let group = Group::with_title(title).element(place);
        if shown.text.is_empty() { group } else { group.element(snippet(&shown, problem, line)) }
    };
    for help in &problem.help {
        let room = width.saturating_sub(BEFORE_HELP).max(NARROWEST_HELP);
        report = report.element(Level::HELP.message(folded(help, room)));
    }
    renderer.render(&[report])
}

fn snippet<'a>(
    shown: &Shown<'a>,
    problem: &'a Diagnostic,
    line: usize,
) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
    let span = shown.from..shown.to;
    let caret = AnnotationKind::Primary.span(span).label(problem.label.as_str());
    Snippet::source(shown.text).line_start(line).annotation(caret)
}

/// The first line of a fault, or the part of it around the fault.
struct Shown<'a> {
    text: &'a str,
    from: usize,
    to: usize,
    is_whole: bool,
}

impl<'a> Shown<'a> {
    fn new(problem: &'a Diagnostic) -> Self {
        let text = problem.file.text.as_str();
        let at = text.floor_char_boundary(problem.span.start);
        let (before, behind) = text.split_at(at);
        let start = before.rfind('\n').map_or(0, |i| i + 1);
        let end = behind.find('\n').map_or(text.len(), |i| at + i);
        let line = text.get(start..end).unwrap_or_default();
        let end = start + line.trim_end_matches('\r').len();
        let at = at.min(end);
        let fault_end = text.ceil_char_boundary(problem.span.end).clamp(at, end);
        let left = text.ceil_char_boundary(at.saturating_sub(AROUND)).max(start);
        let right = text.floor_char_boundary(fault_end.saturating_add(AROUND)).min(end);
        let right = right.min(text.floor_char_boundary(at.saturating_add(2 * AROUND)));
        Self {
            text: text.get(left..right).unwrap_or_default(),
            from: at - left,
            to: fault_end.min(right) - left,
            is_whole: left == start && right == end,
        }
    }
}

/// A help text in lines of a width, broken at blanks that stand in no quotes or brackets.
fn folded(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut column = 0;
    for word in unbroken(text) {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > width {
            out.push('\n');
            column = 0;
        } else if !out.is_empty() {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

/// The words of a text; what is quoted or in square brackets is one word.
fn unbroken(text: &str) -> Vec<&str> {
    let mut words = Vec::new();
    let (mut start, mut depth, mut quoted) = (0, 0_usize, None);
    for (at, letter) in text.char_indices() {
        match letter {
            '"' | '`' if quoted == Some(letter) => quoted = None,
            '"' | '`' if quoted.is_none() => quoted = Some(letter),
            '[' => depth += 1,
            ']' => depth = depth.saturating_sub(1),
            ' ' if depth == 0 && quoted.is_none() => {
                words.extend(text.get(start..at));
                start = at + 1;
            }
            _ => {}
        }
    }
    words.extend(text.get(start..));
    words
}

/// All problems as data.
pub fn to_json(problems: &[Diagnostic]) -> Value {
    let placed: Vec<_> = problems.iter().map(Diagnostic::placed).collect();
    json!({ "problems": placed })
}

#[cfg(test)]
mod tests {
    use super::folded;

    #[test]
    fn a_help_text_is_broken_at_blanks_only() {
        assert_eq!(folded("known: mm, cm, m, in", 10), "known: mm,\ncm, m, in");
        assert_eq!(folded("a-word-longer-than-the-line b", 10), "a-word-longer-than-the-line\nb");
        assert_eq!(folded("write \"0 m\" or \"12 mm\"", 10), "write\n\"0 m\" or\n\"12 mm\"");
        assert_eq!(folded("", 10), "");
    }
}
