//! A problem in a file the user wrote: where it stands, what is wrong, what would be right.

use core::ops::Range;
use std::sync::Arc;

use serde::Serialize;

/// A text with the name it goes by in messages.
#[derive(Debug, PartialEq, Eq)]
pub struct SourceText {
    /// The path as the user gave it, `<stdin>` for standard input.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl SourceText {
    /// A named text that diagnostics can share.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into() })
    }

    /// Line and column of a byte offset, both counted from 1, columns in characters.
    pub fn position(&self, offset: usize) -> (usize, usize) {
        let mut end = offset.min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let before = &self.text[..end];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |tail| tail.chars().count()) + 1;
        (line, column)
    }
}

/// One problem with its place in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// The file.
    pub file: Arc<SourceText>,
    /// The bytes at fault.
    pub span: Range<usize>,
    /// What is wrong, in one sentence.
    pub message: String,
    /// The few words under the caret.
    pub label: String,
    /// What would be right.
    pub help: Vec<String>,
}

/// A diagnostic as machines read it.
#[derive(Debug, Serialize)]
pub struct Placed<'a> {
    /// The file.
    pub file: &'a str,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub message: &'a str,
    /// What would be right.
    pub help: &'a [String],
}

impl Diagnostic {
    /// The diagnostic with line and column.
    pub fn placed(&self) -> Placed<'_> {
        let (line, column) = self.file.position(self.span.start);
        Placed { file: &self.file.name, line, column, message: &self.message, help: &self.help }
    }
}

/// The problems of one text, gathered while it is read.
#[derive(Debug)]
pub struct Problems {
    file: Arc<SourceText>,
    list: Vec<Diagnostic>,
}

impl Problems {
    /// An empty list for a text.
    pub fn new(file: Arc<SourceText>) -> Self {
        Self { file, list: Vec::new() }
    }

    /// Adds a problem.
    pub fn add(
        &mut self,
        span: Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: Vec<String>,
    ) {
        let diagnostic = Diagnostic {
            file: Arc::clone(&self.file),
            span,
            message: message.into(),
            label: label.into(),
            help,
        };
        if !self.list.contains(&diagnostic) {
            self.list.push(diagnostic);
        }
    }

    /// Whether nothing was found so far.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The text they belong to.
    pub fn file(&self) -> &Arc<SourceText> {
        &self.file
    }

    /// The problems in the order of the text.
    pub fn into_sorted(mut self) -> Vec<Diagnostic> {
        self.list.sort_by_key(|d| (d.span.start, d.span.end));
        self.list
    }
}

/// "did you mean": the known name nearest to what was written, when it is near enough.
///
/// ```
/// use hosewright::diagnostic::nearest;
/// assert_eq!(nearest("presure", ["pressure", "return"]), Some("pressure"));
/// assert_eq!(nearest("xyz", ["pressure", "return"]), None);
/// ```
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A hostile name of many kilobytes is not worth a comparison.
    if written.len() > 200 {
        return None;
    }
    let wanted = written.to_lowercase();
    let allowed = (wanted.chars().count() / 3).clamp(1, 4);
    known
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(&wanted, &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= allowed)
        .min_by_key(|(distance, name)| (*distance, *name))
        .map(|(_, name)| name)
}
