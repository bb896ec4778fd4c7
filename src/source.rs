//! Where a figure comes from: a citation, how far it is to be trusted, and a value that carries both.

use core::fmt;
use std::collections::BTreeSet;
use std::sync::Arc;

use serde::{Serialize, Serializer};

/// How a figure reached the table, from best to worst.
///
/// ```
/// use hosewright::source::Standing;
/// assert_eq!(Standing::from_word("from-memory"), Some(Standing::FromMemory));
/// assert!(Standing::FromMemory.is_weak());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Two independent documents agree.
    CrossChecked,
    /// The document itself was read once.
    Read,
    /// Typed in by the builder, in the plan.
    Plan,
    /// Read in another text that quotes the document.
    QuotedElsewhere,
    /// A habit of the trade without one document behind it.
    CommonPractice,
    /// Remembered, and not found again in a document.
    FromMemory,
    /// Invented for an example machine.
    Demo,
}

impl Standing {
    /// Every standing with the word that stands for it in tables and reports.
    pub const WORDS: [(Self, &'static str); 7] = [
        (Self::CrossChecked, "cross-checked"),
        (Self::Read, "read"),
        (Self::Plan, "plan"),
        (Self::QuotedElsewhere, "quoted-elsewhere"),
        (Self::CommonPractice, "common-practice"),
        (Self::FromMemory, "from-memory"),
        (Self::Demo, "demo"),
    ];

    /// The standing that a word names.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(_, w)| *w == word).map(|(s, _)| *s)
    }

    /// The word for this standing.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(s, _)| *s == self).map_or("", |(_, w)| w)
    }

    /// Whether `--strict` turns a result that rests on it into a caution.
    pub fn is_weak(self) -> bool {
        matches!(self, Self::FromMemory | Self::Demo)
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl Serialize for Standing {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// A citation short enough to print beside a number.
///
/// ```
/// use hosewright::source::{Cite, Standing};
/// let cite = Cite::new("FAA AC 43.13-1B, table 9-3", Standing::Read);
/// assert_eq!(cite.to_string(), "FAA AC 43.13-1B, table 9-3 (read)");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cite {
    /// Document, edition and place, and the table of ours that carries the figure.
    pub text: Arc<str>,
    /// How far to trust it.
    pub standing: Standing,
}

impl Cite {
    /// A citation from its text and standing.
    pub fn new(text: impl Into<Arc<str>>, standing: Standing) -> Self {
        Self { text: text.into(), standing }
    }

    /// The citation of something the builder typed.
    pub fn plan(what: &str) -> Self {
        Self::new(format!("the plan: {what}"), Standing::Plan)
    }

    /// Both citations as one; the worse standing counts.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let text = if self.text == other.text {
            Arc::clone(&self.text)
        } else {
            format!("{}; {}", self.text, other.text).into()
        };
        Self { text, standing: self.standing.max(other.standing) }
    }

    /// Many citations in short: each table by its name in brackets, once; the worst standing counts.
    ///
    /// ```
    /// use hosewright::source::{Cite, Standing};
    /// let bore = Cite::new("A label, page 2 [hose/mine]", Standing::Read);
    /// let fluid = Cite::new("A book [fluid/diesel]", Standing::FromMemory);
    /// let both = Cite::in_short([&bore, &fluid, &bore]);
    /// assert_eq!(&*both.text, "[fluid/diesel] [hose/mine]");
    /// assert_eq!(both.standing, Standing::FromMemory);
    /// ```
    pub fn in_short<'c>(cites: impl IntoIterator<Item = &'c Self>) -> Self {
        let mut names = BTreeSet::new();
        let mut standing = Standing::CrossChecked;
        for cite in cites {
            standing = standing.max(cite.standing);
            let before = names.len();
            names.extend(tables_named(&cite.text).map(|t| format!("[{t}]")));
            if names.len() == before && !cite.text.contains('[') {
                names.insert(cite.text.to_string());
            }
        }
        Self::new(names.into_iter().collect::<Vec<_>>().join(" "), standing)
    }
}

/// The tables that a citation names in brackets, as `kind/name`.
pub fn tables_named(text: &str) -> impl Iterator<Item = &str> {
    let bracketed = text.split('[').skip(1).filter_map(|part| part.split(']').next());
    bracketed.filter(|id| id.contains('/'))
}

impl fmt::Display for Cite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.text, self.standing)
    }
}

/// A value that never travels without its citation.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub cite: Cite,
}

impl<T> Sourced<T> {
    /// A value with its citation.
    pub fn new(value: T, cite: Cite) -> Self {
        Self { value, cite }
    }

    /// The same citation on a value made from this one.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Sourced<U> {
        Sourced { value: f(self.value), cite: self.cite }
    }
}
