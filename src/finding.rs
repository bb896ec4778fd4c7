//! What a check says of one thing: verdict, number, limit, source, and what to do.

use core::fmt;
use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Serialize, Serializer};

use crate::source::{Cite, Standing};

/// The four verdicts, best first.
///
/// ```
/// use hosewright::finding::Verdict;
/// assert!(Verdict::Fail > Verdict::Open);
/// assert_eq!(Verdict::Open.to_string(), "open");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Within the limit.
    Ok,
    /// Cannot be judged; the message says what is missing.
    Open,
    /// Within the limit but close to it, or outside a rule of thumb.
    Caution,
    /// Outside the limit.
    Fail,
}

impl Verdict {
    /// All verdicts, worst first.
    pub const WORST_FIRST: [Self; 4] = [Self::Fail, Self::Caution, Self::Open, Self::Ok];

    /// The word printed for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Caution => "caution",
            Self::Fail => "fail",
            Self::Open => "open",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl Serialize for Verdict {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// One judgement on one thing in one case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// What was examined, as `subject.what`.
    pub code: &'static str,
    /// The line, and the end or bend where it matters.
    #[serde(rename = "where")]
    pub place: String,
    /// The operating case, when the number depends on one.
    pub case: Option<String>,
    /// Whether that case is the worst of all combinations.
    pub governing: bool,
    /// The judgement.
    pub verdict: Verdict,
    /// The number that was judged.
    pub value: Option<f64>,
    /// The limit it was held against.
    pub limit: Option<f64>,
    /// Distance to the limit, negative beyond it.
    pub margin: Option<f64>,
    /// The unit of all three.
    pub unit: &'static str,
    /// Where the limit comes from.
    pub source: Arc<str>,
    /// How far that source is to be trusted.
    pub standing: Standing,
    /// The judgement in words.
    pub message: String,
    /// What the builder can do.
    #[serde(rename = "do")]
    pub remedy: String,
}

impl Finding {
    /// What it is about as a whole: the line or the component, without the end, bend or port of it.
    pub fn subject(&self) -> &str {
        self.place.split(", ").next().unwrap_or_default()
    }

    /// Whether it is about this line or component, or about a part of it.
    pub fn is_about(&self, id: &str) -> bool {
        let rest = self.place.strip_prefix(id);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(", "))
    }

    /// Adds the figures that its number was calculated from; the worse standing counts. `joined` is the
    /// text of both where another finding already has it.
    pub fn rest_on(&mut self, figures: &Cite, joined: Option<&Arc<str>>) {
        let join = if self.source.is_empty() { "figures of" } else { "; figures of" };
        let text = || format!("{}{join} {}", self.source, figures.text).into();
        self.source = joined.map_or_else(text, Arc::clone);
        self.standing = self.standing.max(figures.standing);
    }
}

/// Findings, or references to them, with a key in common, in the order in which the keys come.
pub fn gathered<F, K: Ord + Clone>(
    findings: impl IntoIterator<Item = F>,
    key: impl Fn(&F) -> K,
) -> Vec<(K, Vec<F>)> {
    let mut places: BTreeMap<K, usize> = BTreeMap::new();
    let mut all: Vec<(K, Vec<F>)> = Vec::new();
    for finding in findings {
        let key = key(&finding);
        let index = *places.entry(key.clone()).or_insert(all.len());
        if index == all.len() {
            all.push((key, Vec::new()));
        }
        all[index].1.push(finding);
    }
    all
}
