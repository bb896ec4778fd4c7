//! What is blank before the record can be handed to an inspector.

use super::Signed;
use super::line::{LineState, Stage};
use crate::finding::{Finding, Verdict};

impl Signed {
    /// What is missing or wrong, each in a sentence; nothing where the record is complete.
    ///
    /// # Notes
    /// Complete means that every blank is filled in by somebody. Whether that is enough is for the inspector.
    pub fn missing(&self, findings: &[Finding]) -> Vec<String> {
        let mut missing = Vec::new();
        if !self.is_whole() {
            missing.push("the record does not hold: see log verify".to_owned());
        }
        let fails = findings.iter().filter(|f| f.verdict == Verdict::Fail);
        missing.extend(fails.map(|f| format!("{}: {} fails: {}", f.place, f.code, f.message)));
        missing.extend(self.lapsed().map(|lapsed| {
            let entry = lapsed.entry;
            let place = [&entry.line, &entry.joint, &entry.test].into_iter().flatten().next();
            let place = place.map_or("record", String::as_str);
            format!("{place}: entry {}, \"{}\", is void: {}", entry.number, entry.what, lapsed.void)
        }));
        missing.extend(self.lines.iter().flat_map(of_line));
        let open = self.tests.iter().filter(|t| t.made.is_none());
        missing.extend(open.map(|t| format!("test {}: nobody has written down what came", t.name)));
        missing
    }
}

fn of_line(line: &LineState) -> Vec<String> {
    let id = &line.id;
    let blank: Vec<&str> = line.blank().map(super::Reading::word).collect();
    let mut missing = Vec::new();
    if !blank.is_empty() {
        missing.push(format!("{id}: not measured: {}", blank.join(", ")));
    }
    let open = Stage::ALL.into_iter().filter(|s| *s != Stage::Cut && !line.done.contains_key(s));
    let steps: Vec<&str> = open.filter(|s| *s != Stage::Inspected).map(Stage::word).collect();
    if !steps.is_empty() {
        missing.push(format!("{id}: not signed: {}", steps.join(", ")));
    }
    if !line.done.contains_key(&Stage::Inspected) {
        missing.push(match (&line.double, line.inspectors.is_empty()) {
            (Some(why), false) => {
                format!("{id}: no second person has inspected it ({})", why.value)
            }
            (Some(why), true) => {
                format!("{id}: not inspected as it is now, by a second person ({})", why.value)
            }
            (None, _) => format!("{id}: not inspected as it is now"),
        });
    }
    missing
}
