//! `record.second-person`: what is vital was looked at by somebody who did not work on it.

use crate::check::{About, Recorded};
use crate::finding::Finding;
use crate::signed::LineState;

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.second-person",
    looks_at: "lines that limit/second-person names, such as those of fuel, of brakes and of steering, that somebody worked on by the record",
    why: "nobody sees the own mistake, and on these lines it can kill",
    number: "whether one of those who inspected the line as it is now did not make, fit or tighten it; names are compared without capitals and blanks",
    limit_from: "limit/second-person: common practice of duplicate inspection; national rules decide which items need it and who may sign, and nothing here is a legal sign-off",
    open_when: "nobody has inspected the line as it is now",
    remedy: "have another person look at it with the card in the hand, and write that down as inspected",
};

/// Judges the lines that two people look at; a line that nobody touched has nothing to say.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    recorded.signed.lines.iter().filter_map(|line| one(*recorded, line)).collect()
}

fn one(recorded: Recorded<'_>, line: &LineState) -> Option<Finding> {
    let double = line.double.as_ref()?;
    let why = &double.value;
    if line.workers.is_empty() && line.inspectors.is_empty() {
        return None;
    }
    let draft = recorded.draft(&ABOUT, &line.id).source(&double.cite);
    Some(if line.inspectors.is_empty() {
        draft.open(format!("{why}: nobody has inspected it as it is now"), ABOUT.remedy)
    } else if line.workers.is_empty() {
        draft.open(format!("{why}: the record does not say who made it"), ABOUT.remedy)
    } else if line.has_second_person() {
        draft.ok(format!("{why}: inspected by somebody who did not work on it"))
    } else {
        let names = line.inspectors.join(", ");
        let message = format!("{why}: inspected by {names} alone, who worked on it");
        draft.caution(message, ABOUT.remedy)
    })
}
