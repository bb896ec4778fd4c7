//! What an entry is bound to, and whether that is still so.

use std::collections::BTreeMap;

use super::subject::Subject;
use crate::record::{Digest, Entry, Kind};

/// Name of the plan's text among the content that an entry covers.
pub const PLAN: &str = "plan";

/// What an entry is bound to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bond {
    /// Nothing that is printed: a note, a picture, work on a component or on the machine as a whole.
    Free,
    /// Words that the plan still says.
    Holds,
    /// Words that the plan does not say any more.
    Void(Void),
}

/// Why an entry does not hold any more.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Void {
    /// The words are others now.
    #[error("what is printed of {0} has changed since")]
    Changed(String),
    /// There is nothing of that name any more.
    #[error("the plan has no {0} any more")]
    Gone(String),
    /// It names the plan's text alone, and that is another.
    #[error("the plan has changed since, and the entry does not say what its card said")]
    Unbound,
}

/// Whether an entry of this kind signs for what it was done to.
///
/// ```
/// use hosewright::{record::Kind, signed::signs};
/// assert!(signs(Kind::Inspected) && !signs(Kind::Note));
/// ```
pub fn signs(what: Kind) -> bool {
    !matches!(what, Kind::Note | Kind::Photo)
}

/// What an entry is bound to, by the digests of all that is printed now.
pub(super) fn of(entry: &Entry, now: &BTreeMap<&str, Digest>, plan_now: Digest) -> Bond {
    let placed = entry.line.is_some() || entry.joint.is_some() || entry.test.is_some();
    if !signs(entry.what) || !placed {
        return Bond::Free;
    }
    let mut words = entry.covers.iter().filter(|(key, _)| *key != PLAN).peekable();
    if words.peek().is_none() {
        let same = entry.covers.get(PLAN) == Some(&plan_now);
        return if same { Bond::Holds } else { Bond::Void(Void::Unbound) };
    }
    // Words that the entry keeps must be those that it covers: they are what was read when it was signed.
    let kept = (!entry.said.is_empty()).then(|| Subject::digest_of(&entry.said));
    for (key, digest) in words {
        match now.get(key.as_str()) {
            None => return Bond::Void(Void::Gone(key.clone())),
            Some(now) if now != digest || kept.is_some_and(|k| k != *digest) => {
                return Bond::Void(Void::Changed(key.clone()));
            }
            Some(_) => {}
        }
    }
    Bond::Holds
}
