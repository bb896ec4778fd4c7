//! `record.second-person`: what is vital was looked at by somebody who did not work on it.

use crate::check::{About, Recorded};
use crate::finding::Finding;
use crate::signed::LineState;
use crate::source::{Cite, Standing};

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.second-person",
    looks_at: "lines of fuel, of oil under pressure, of brakes and of steering that somebody worked on by the record",
    why: "nobody sees the own mistake, and on these lines it can kill",
    number: "whether one of those who inspected the line as it is now did not make, fit or tighten it; names are compared without capitals and blanks",
    limit_from: "common practice of duplicate inspection; national rules decide which items need it and who may sign, and nothing here is a legal sign-off",
    open_when: "nobody has inspected the line as it is now",
    remedy: "have another person look at it with the card in the hand, and write that down as inspected",
};

/// Judges the lines that two people look at; a line that nobody touched has nothing to say.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    recorded.signed.lines.iter().filter_map(|line| one(*recorded, line)).collect()
}

fn one(recorded: Recorded<'_>, line: &LineState) -> Option<Finding> {
    let why = line.double?;
    if line.workers.is_empty() && line.inspectors.is_empty() {
        return None;
    }
    let source = Cite::new(
        "common practice of duplicate inspection; national rules decide",
        Standing::CommonPractice,
    );
    let draft = recorded.draft(&ABOUT, &line.id).source(&source);
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
