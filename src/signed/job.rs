//! What to do next, in a sensible order.

use super::line::{LineState, Recheck, Stage};
use super::{Signed, people};

/// Something to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// Where: a line, a test, or the record.
    pub place: String,
    /// What.
    pub work: Work,
}

/// What there is to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Work {
    /// The record does not hold.
    Record,
    /// Fetch the new card, destroy the old one, look whether the piece is still right, and sign again.
    Again(Vec<u64>),
    /// Settle what fails before anything is cut.
    Settle,
    /// The next step of a line.
    Step(Stage),
    /// A second person inspects: nobody but those who worked on it has.
    Second(String),
    /// Look again: work was done after the inspection.
    Look(u64),
    /// Make a test.
    Test,
}

impl Work {
    /// In words.
    pub fn words(&self) -> String {
        let numbers = |list: &[u64]| {
            let list: Vec<String> = list.iter().map(u64::to_string).collect();
            list.join(", ")
        };
        match self {
            Self::Record => "find out what happened to the record: log verify".to_owned(),
            Self::Again(list) => format!(
                "print the new card and destroy the old one; see that the piece is what it says, and sign \
                 again (void: {})",
                numbers(list)
            ),
            Self::Settle => "settle what fails in check, before it is cut".to_owned(),
            Self::Step(Stage::Cut) => "cut it, and write down the length as sawn".to_owned(),
            Self::Step(Stage::Made) => "make it, and cap its ends".to_owned(),
            Self::Step(Stage::Tested) => "test it".to_owned(),
            Self::Step(Stage::Fitted) => "fit it".to_owned(),
            Self::Step(Stage::Tightened) => "tighten both joints".to_owned(),
            Self::Step(Stage::Inspected) => "have it inspected".to_owned(),
            Self::Second(why) => {
                format!("have it inspected by somebody who did not work on it ({why})")
            }
            Self::Look(number) => {
                format!("inspect it again: it was worked on afterwards (entry {number})")
            }
            Self::Test => "make this test, and write down what came".to_owned(),
        }
    }

    /// Where it stands in the order of the work.
    fn rank(&self) -> usize {
        match self {
            Self::Record => 0,
            Self::Again(_) => 1,
            Self::Settle => 2,
            Self::Step(stage) => 3 + *stage as usize,
            Self::Second(_) | Self::Look(_) => 3 + Stage::Inspected as usize,
            Self::Test => 4 + Stage::Inspected as usize,
        }
    }
}

impl Signed {
    /// What to do next, one job a line: first what was signed by an old card, then step by step. `fails` tells
    /// whether something fails in check on a line.
    ///
    /// # Notes
    /// Lines at the same step are worked on together, as a bench does; a flow test comes when nothing else is left to
    /// do on any line.
    pub fn jobs(&self, fails: impl Fn(&str) -> bool) -> Vec<Job> {
        let mut jobs = Vec::new();
        if !self.is_whole() {
            jobs.push(Job { place: "record".to_owned(), work: Work::Record });
        }
        for line in &self.lines {
            jobs.extend(
                next(line, fails(&line.id)).map(|work| Job { place: line.id.clone(), work }),
            );
        }
        if jobs.is_empty() {
            let open = self.tests.iter().filter(|t| t.made.is_none());
            jobs.extend(open.map(|t| Job { place: t.name.clone(), work: Work::Test }));
        }
        jobs.sort_by_key(|job| job.work.rank());
        jobs
    }
}

fn next(line: &LineState, fails: bool) -> Option<Work> {
    match (&line.recheck, line.next()) {
        (Some(Recheck::Lapsed(list)), _) => Some(Work::Again(list.clone())),
        (_, Some(Stage::Cut | Stage::Made)) if fails => Some(Work::Settle),
        (_, Some(Stage::Inspected)) => Some(match (&line.recheck, &line.double) {
            (Some(Recheck::WorkedOn(number)), _) if line.inspectors.is_empty() => {
                Work::Look(*number)
            }
            (_, Some(why)) if only_workers(line) => Work::Second(why.value.clone()),
            _ => Work::Step(Stage::Inspected),
        }),
        (_, Some(step)) => Some(Work::Step(step)),
        (_, None) => None,
    }
}

/// Whether it was inspected, but by nobody who did not work on it.
fn only_workers(line: &LineState) -> bool {
    let worked = |name: &String| line.workers.iter().any(|w| people::same_person(w, name));
    !line.inspectors.is_empty() && line.inspectors.iter().all(worked)
}
