//! `record.chain`: the record is what was written.

use crate::check::{About, Recorded};
use crate::finding::Finding;
use crate::source::{Cite, Standing};

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.chain",
    looks_at: "the chain of digests of the record beside the plan",
    why: "an entry that was changed, lost or moved says nothing of the machine any more",
    number: "faults of the chain, and lines that cannot be read as an entry; none is right",
    limit_from: "how the record is written: each entry carries the digest of the one before",
    open_when: "never; entries cut off at the end are found with the digits on the card alone",
    remedy: "hosewright log verify names each fault; go back to a copy of the record that holds",
};

/// Judges the record as a whole.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    let read = &recorded.signed.read;
    let source = Cite::new("the record: its digests", Standing::Read);
    let draft = recorded.draft(&ABOUT, "record").source(&source);
    let faults = read.verified.faults.len() + read.verified.more;
    let entries = read.entries.len();
    let counted =
        |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    vec![if recorded.signed.is_whole() {
        draft.ok(format!("the chain holds over {}", counted(entries, "entry", "entries")))
    } else {
        let faults = counted(faults, "fault", "faults");
        let unread = counted(read.unread, "line", "lines");
        draft.fail(
            format!("the record does not hold: {faults}, {unread} that cannot be read"),
            ABOUT.remedy,
        )
    }]
}
