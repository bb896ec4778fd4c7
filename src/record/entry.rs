//! What an entry says, and the line that says it.

use core::fmt::{self, Write};
use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::chain::LONGEST_LINE;
use super::digest::{DIGITS, Digest};
use super::moment::Moment;

/// What was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A piece was cut, bent or put together.
    Made,
    /// Something was measured.
    Measured,
    /// A cap or a plug was taken off an opening.
    CapRemoved,
    /// A piece was put in its place.
    Fitted,
    /// A joint was tightened.
    Tightened,
    /// Something was tested, under pressure as a rule.
    Tested,
    /// A can was timed, or a flow was read.
    FlowMeasured,
    /// Somebody looked at it.
    Inspected,
    /// A piece took the place of another.
    Replaced,
    /// Anything worth telling.
    Note,
    /// A picture was taken.
    Photo,
}

impl Kind {
    /// Every kind, in the order of the work.
    pub const ALL: [Self; 11] = [
        Self::Made,
        Self::Measured,
        Self::CapRemoved,
        Self::Fitted,
        Self::Tightened,
        Self::Tested,
        Self::FlowMeasured,
        Self::Inspected,
        Self::Replaced,
        Self::Note,
        Self::Photo,
    ];

    /// The word in the file and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Made => "made",
            Self::Measured => "measured",
            Self::CapRemoved => "cap-removed",
            Self::Fitted => "fitted",
            Self::Tightened => "tightened",
            Self::Tested => "tested",
            Self::FlowMeasured => "flow-measured",
            Self::Inspected => "inspected",
            Self::Replaced => "replaced",
            Self::Note => "note",
            Self::Photo => "photo",
        }
    }

    /// Whether it means nothing without the thing that it was done to.
    fn needs_place(self) -> bool {
        !matches!(self, Self::Tested | Self::FlowMeasured | Self::Inspected)
            && !matches!(self, Self::Note | Self::Photo)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.word())
    }
}

/// An entry as it is handed over, before it has its number and its place in the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// When it was done, or written down.
    pub time: Moment,
    /// Who did it.
    pub by: String,
    /// What was done.
    pub what: Kind,
    /// Id of the line that it was done to.
    pub line: Option<String>,
    /// The clip of that line that it was done to, counted from 1 as the plan lists them.
    pub clip: Option<u32>,
    /// The joint that it was done to: a port, as `COMPONENT.PORT`.
    pub joint: Option<String>,
    /// Id of the component that it was done to.
    pub component: Option<String>,
    /// Name of the test that was made.
    pub test: Option<String>,
    /// What was read, each as a name and a text with its unit.
    pub values: BTreeMap<String, String>,
    /// Free text.
    pub note: Option<String>,
    /// Names of pictures with the digests of their files.
    pub photos: BTreeMap<String, Digest>,
    /// Digests of the content of the plan that it covers, under names that the caller chooses.
    pub covers: BTreeMap<String, Digest>,
    /// The words that it covers, one statement each, so that they can be shown when the plan says others.
    pub said: Vec<String>,
}

impl Draft {
    /// A draft that says no more than what, when and by whom.
    pub fn new(what: Kind, time: Moment, by: impl Into<String>) -> Self {
        Self {
            time,
            by: by.into(),
            what,
            line: None,
            clip: None,
            joint: None,
            component: None,
            test: None,
            values: BTreeMap::new(),
            note: None,
            photos: BTreeMap::new(),
            covers: BTreeMap::new(),
            said: Vec::new(),
        }
    }

    /// Whether it says what its kind has to say, in text that can be shown.
    pub(super) fn check(&self) -> Result<(), Unfit> {
        let named = [&self.line, &self.joint, &self.component, &self.test, &self.note];
        let pairs = self.values.iter().flat_map(|(name, value)| [name, value]);
        let texts = named.into_iter().flatten().chain(pairs);
        let texts = texts.chain(self.photos.keys()).chain(self.covers.keys());
        let mut texts = texts.chain(&self.said);
        if self.by.trim().is_empty() {
            return Err(Unfit::NoName);
        }
        if let Some(text) = texts.find(|t| t.trim().is_empty() || t.contains(char::is_control)) {
            return Err(if text.trim().is_empty() { Unfit::Empty } else { Unfit::Control });
        }
        if self.by.contains(char::is_control) {
            return Err(Unfit::Control);
        }
        if self.clip.is_some_and(|clip| clip == 0 || self.line.is_none()) {
            return Err(Unfit::NoClip);
        }
        let placed = self.line.is_some() || self.joint.is_some() || self.component.is_some();
        match self.what {
            what if what.needs_place() && !placed => Err(Unfit::NoPlace(what)),
            what @ (Kind::Measured | Kind::FlowMeasured) if self.values.is_empty() => {
                Err(Unfit::NoValue(what))
            }
            Kind::Note if self.note.is_none() => Err(Unfit::NoNote),
            Kind::Photo if self.photos.is_empty() => Err(Unfit::NoPhoto),
            _ => Ok(()),
        }
    }
}

/// Why a draft cannot become an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Nobody is named.
    #[error("an entry says who did it")]
    NoName,
    /// A text is empty.
    #[error("a text of the entry is empty")]
    Empty,
    /// A text holds a control character.
    #[error("a text of the entry holds a control character or a line break")]
    Control,
    /// The thing is missing that it was done to.
    #[error("\"{0}\" says of what: a line, a clip, a joint or a component")]
    NoPlace(Kind),
    /// A clip of no line, or a clip 0.
    #[error("a clip is one of a line, counted from 1")]
    NoClip,
    /// A measurement without what was read.
    #[error("\"{0}\" says what was read, with its unit")]
    NoValue(Kind),
    /// A note without text.
    #[error("\"note\" has a text")]
    NoNote,
    /// A photo without its file.
    #[error("\"photo\" has a picture")]
    NoPhoto,
    /// The line would be too long.
    #[error("an entry has at most {LONGEST_LINE} bytes as it is written, and this one has {0}")]
    TooLong(usize),
}

/// An entry of the record, in the order in which a line says it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Counted from 1, without a gap.
    pub number: u64,
    /// When it was done, or written down.
    pub time: Moment,
    /// Who did it.
    pub by: String,
    /// What was done.
    pub what: Kind,
    /// Id of the line that it was done to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// The clip of that line that it was done to, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clip: Option<u32>,
    /// The joint that it was done to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<String>,
    /// Id of the component that it was done to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub component: Option<String>,
    /// Name of the test that was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test: Option<String>,
    /// What was read, each as a name and a text with its unit.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub values: BTreeMap<String, String>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Names of pictures with the digests of their files.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub photos: BTreeMap<String, Digest>,
    /// Digests of the content of the plan that it covers.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub covers: BTreeMap<String, Digest>,
    /// The words that it covers, one statement each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub said: Vec<String>,
    /// Digest of the entry before; zeros in the first.
    pub before: Digest,
    /// Digest of this entry.
    pub digest: Digest,
}

impl Entry {
    /// The line that it was done to as a whole: not to a joint at its end, nor to one of its clips.
    pub fn whole_line(&self) -> Option<&str> {
        self.line.as_deref().filter(|_| self.joint.is_none() && self.clip.is_none())
    }

    /// The entry that a draft becomes behind another, and its line with the line end.
    pub(super) fn follow(
        draft: &Draft,
        number: u64,
        before: Digest,
    ) -> Result<(Self, String), Unfit> {
        draft.check()?;
        let draft = draft.clone();
        let mut entry = Self {
            number,
            time: draft.time,
            by: draft.by,
            what: draft.what,
            line: draft.line,
            clip: draft.clip,
            joint: draft.joint,
            component: draft.component,
            test: draft.test,
            values: draft.values,
            note: draft.note,
            photos: draft.photos,
            covers: draft.covers,
            said: draft.said,
            before,
            digest: Digest::NONE,
        };
        // Text, numbers and maps with text as their keys can always be written.
        let mut line = serde_json::to_string(&entry).unwrap_or_default();
        // The digest is the last field, so what it is taken of is the line without its end.
        let kept = line.len().saturating_sub(DIGITS + r#","digest":""}"#.len());
        line.truncate(kept);
        entry.digest = Digest::of_parts(&[line.as_bytes(), b"}"]);
        let _ = write!(line, r#","digest":"{}"}}"#, entry.digest);
        if line.len() > LONGEST_LINE {
            return Err(Unfit::TooLong(line.len()));
        }
        line.push('\n');
        Ok((entry, line))
    }
}
