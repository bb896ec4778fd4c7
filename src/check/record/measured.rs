//! `record.measured`: what was measured on a finished line is what its card calls right.

use crate::check::{About, Recorded};
use crate::finding::Finding;
use crate::signed::{LineState, Reading, Right};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "record.measured",
    looks_at: "values that were written down of a line by its present card: cut, assembly, clock, caps on, caps off",
    why: "a hose that was sawn too short is found on the bench, not in the machine; a cap that was not taken off is found by the first start",
    number: "the value, and the room that the card gives it",
    limit_from: "the card: cut length with the plan's tolerance, lengths of assembly between least and most slack, clock angle; as many caps off as on",
    open_when: "the plan gives no tolerance, or the value is not what it should be, such as a count without its word (2 caps)",
    remedy: "measure again; a piece outside its room is made anew, or the plan is changed and its card signed again",
};

/// Judges what was measured; what was not has nothing to say here.
pub fn check(recorded: &Recorded<'_>) -> Vec<Finding> {
    let of_line = |line| of_line(*recorded, line);
    recorded.signed.lines.iter().flat_map(of_line).collect()
}

fn of_line(recorded: Recorded<'_>, line: &LineState) -> Vec<Finding> {
    let text = |reading: Reading| line.readings.get(&reading).map(|(_, text)| text.as_str());
    let one = |right: &Right| {
        let read = text(right.reading)?;
        let draft = recorded.draft(&ABOUT, &line.id).at(right.reading.word());
        let draft = draft.source(&Cite::plan("what the card of the line calls right"));
        let words = format!("{read}, right is {}", right.words());
        Some(match right.holds(read, text(Reading::CapsOn)) {
            Some(true) => draft.ok(words),
            Some(false) => draft.fail(words, ABOUT.remedy),
            None => draft.open(format!("cannot be told: {words}"), ABOUT.remedy),
        })
    };
    line.rights.iter().filter_map(one).collect()
}
