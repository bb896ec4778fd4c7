//! A problem in a file the user wrote: where it stands, what is wrong, what would be right.

use core::fmt;
use core::ops::Range;
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use serde::Serialize;

/// So many problems of one file are kept; a file that is no plan at all has millions.
const MOST_KEPT: usize = 1000;

/// A text with the name it goes by in messages.
pub struct SourceText {
    /// The path as the user gave it, `<stdin>` for standard input.
    pub name: String,
    /// The whole text.
    pub text: String,
    line_starts: OnceLock<Vec<usize>>,
}

impl fmt::Debug for SourceText {
    /// The name and how long the text is: the text itself may be a whole book.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("SourceText")
            .field("name", &self.name)
            .field("bytes", &self.text.len())
            .finish_non_exhaustive()
    }
}

impl PartialEq for SourceText {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name && self.text == other.text
    }
}

impl Eq for SourceText {}

impl SourceText {
    /// A named text that diagnostics can share.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into(), line_starts: OnceLock::new() })
    }

    /// Line and column of a byte offset, both counted from 1, columns in characters.
    ///
    /// ```
    /// use hosewright::diagnostic::SourceText;
    /// let file = SourceText::new("plan.toml", "id = 1\nname = 2\n");
    /// assert_eq!(file.position(7), (2, 1));
    /// assert_eq!(file.position(99), (3, 1));
    /// ```
    pub fn position(&self, offset: usize) -> (usize, usize) {
        let end = self.text.floor_char_boundary(offset);
        let starts = self.line_starts();
        let line = starts.partition_point(|start| *start <= end).max(1);
        let start = starts.get(line - 1).copied().unwrap_or(0);
        let before = self.text.get(start..end).unwrap_or_default();
        (line, before.chars().count() + 1)
    }

    fn line_starts(&self) -> &[usize] {
        self.line_starts.get_or_init(|| {
            let ends = self.text.match_indices('\n').map(|(at, _)| at + 1);
            core::iter::once(0).chain(ends).collect()
        })
    }
}

/// Whether a character is not seen itself but changes what is: control characters, which a terminal
/// obeys, and marks that turn the direction of the writing around.
pub fn hides(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A text as it can be shown in one line of a terminal.
///
/// ```
/// use hosewright::diagnostic::visible;
/// assert_eq!(visible("a\u{1b}[31m\u{202e}b"), "a\u{fffd}[31m\u{fffd}b");
/// ```
pub fn visible(text: &str) -> String {
    text.chars().map(|c| if hides(c) { '\u{fffd}' } else { c }).collect()
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
    seen: BTreeSet<(usize, usize, String)>,
    more: bool,
}

impl Problems {
    /// An empty list for a text.
    pub fn new(file: Arc<SourceText>) -> Self {
        Self { file, list: Vec::new(), seen: BTreeSet::new(), more: false }
    }

    /// Adds a problem.
    pub fn add(
        &mut self,
        span: Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: Vec<String>,
    ) {
        if self.is_full() {
            self.more = true;
            return;
        }
        let message = visible(&message.into());
        if self.seen.insert((span.start, span.end, message.clone())) {
            self.list.push(Diagnostic {
                file: Arc::clone(&self.file),
                span,
                message,
                label: visible(&label.into()),
                help: help.into_iter().map(|h| visible(&h)).collect(),
            });
        }
    }

    /// Whether so many problems are kept that no more are taken.
    pub fn is_full(&self) -> bool {
        self.list.len() >= MOST_KEPT
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
        if self.more {
            let end = self.file.text.len();
            self.list.push(Diagnostic {
                file: Arc::clone(&self.file),
                span: end..end,
                message: format!("more than {MOST_KEPT} problems; the others are not listed"),
                label: String::new(),
                help: vec!["is this the right file?".to_owned()],
            });
        }
        self.list
    }
}

/// "did you mean": the known name nearest to what was written, when it is near enough.
///
/// ```
/// use hosewright::diagnostic::nearest;
/// assert_eq!(nearest("presure", ["pressure", "return"]), Some("pressure"));
/// assert_eq!(nearest("xyz", ["pressure", "return"]), None);
/// assert_eq!(nearest("-7", ["-6", "-8"]), None);
/// ```
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A hostile name of many kilobytes is not worth a comparison, and of two numbers one is as near
    // as the other.
    if written.len() > 200 || !written.contains(char::is_alphabetic) {
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
