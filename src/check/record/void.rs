//! `record.void`: what was signed is what is printed now.

use crate::check::{About, Recorded};
use crate::finding::Finding;
use crate::signed::Lapsed;
use crate::source::{Cite, Standing};

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.void",
    looks_at: "entries of the record, each held against the words that are printed for its line, joint or test now",
    why: "a piece that was made and signed by an old card may be wrong by the new one",
    number: "the digest of the words that were signed, and that of the words that are printed now",
    limit_from: "the record: the field `covers` of the entry",
    open_when: "never; an entry that keeps no words is void as soon as the plan's text changes",
    remedy: "print what changed with hosewright book --changed, destroy the old card, see that the piece is what the new one says, and sign again",
};

/// Judges every entry that nobody has signed again; one finding that all is well where none is void.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    let source = Cite::new("the record: covers", Standing::Read);
    let one = |lapsed: Lapsed<'_>| {
        let entry = lapsed.entry;
        let place = [&entry.line, &entry.joint, &entry.test].into_iter().flatten().next();
        let place = place.map_or("record", String::as_str);
        let draft = recorded.draft(&ABOUT, place).at(&format!("entry {}", entry.number));
        let message = format!("\"{}\" by {} is void: {}", entry.what, entry.by, lapsed.void);
        draft.source(&source).caution(message, ABOUT.remedy)
    };
    let found: Vec<Finding> = recorded.signed.lapsed().map(one).collect();
    if found.is_empty() {
        let draft = recorded.draft(&ABOUT, "record").source(&source);
        return vec![draft.ok("all that was signed is what is printed now, or was signed again")];
    }
    found
}
