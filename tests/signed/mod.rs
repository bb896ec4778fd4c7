//! The record held against the plan: what is void when a plan changes, who counts as a second person, what is next.
#![expect(
    clippy::disallowed_methods,
    clippy::panic,
    clippy::unwrap_used,
    reason = "these tests write records into folders of their own, and say why or that they cannot"
)]

mod changed;
mod mutations;
mod proof;
mod story;
mod words;
mod work;

use std::collections::BTreeMap;
use std::sync::Arc;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::book::{Book, Look, card::subjects};
use hosewright::diagnostic::SourceText;
use hosewright::record::{Digest, Draft, Kind, add, entries, load, verify};
use hosewright::signed::{Read, Signed, Subject, signed};
use hosewright::table::Tables;
use hosewright::trial::flow::{Asked, FlowTrial, flow};
use hosewright::units::{Quantity, Time, Volume};

use crate::house::read;

/// A plan with all that is printed of it.
pub struct Machine {
    pub file: Arc<SourceText>,
    pub assessment: Assessment,
    pub trial: Option<FlowTrial>,
}

impl Machine {
    /// None where the plan is refused.
    pub fn of(text: &str, tables: &Tables, with_tests: bool) -> Option<Self> {
        let file = SourceText::new("plan.toml", text);
        let assessment = read_and_assess(&file, tables).ok()?;
        let trial = with_tests.then(|| flow(&assessment.plan, tables, &asked()));
        let trial = trial.transpose().ok()?;
        Some(Self { file, assessment, trial })
    }

    pub fn book<'a>(&'a self, tables: &'a Tables, look: Look) -> Book<'a> {
        Book {
            flow_trial: self.trial.as_ref(),
            ..Book::of(&self.assessment, tables, &self.file.text, look)
        }
    }

    pub fn subjects(&self, tables: &Tables) -> Vec<Subject> {
        let Assessment { plan, facts, .. } = &self.assessment;
        subjects(plan, tables, &facts.lines, self.trial.as_ref())
    }

    pub fn signed(&self, tables: &Tables, read: Read) -> Signed {
        let Assessment { plan, facts, .. } = &self.assessment;
        signed(plan, tables, &facts.lines, &self.file.text, &self.subjects(tables), read)
    }
}

/// Flow tests with the usual cans, before anything was measured.
pub fn asked() -> Asked {
    Asked {
        nose_up_rad: None,
        open: false,
        temperature: None,
        cans: vec![Volume::from_si(1e-3), Volume::from_si(3.785_411_784e-3)],
        measured: Vec::new(),
        error: Time::from_si(0.0),
    }
}

/// The text of an example's plan.
pub fn example(folder: &str) -> String {
    read(&format!("examples/{folder}/plan.toml"))
}

/// What is done, on what, by whom, with which values.
pub struct Done<'d> {
    pub what: Kind,
    pub key: &'d str,
    pub by: &'d str,
    pub values: &'d [(&'d str, &'d str)],
}

/// A record in which things were done by the cards of a machine.
pub fn record(subjects: &[Subject], done: &[Done<'_>]) -> Read {
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let path = folder.path().join("plan.log");
    for Done { what, key, by, values } in done {
        let subject = subjects.iter().find(|s| s.key == *key);
        let subject = subject.unwrap_or_else(|| panic!("nothing is called {key}"));
        let mut draft = Draft::new(*what, "2026-05-01T14:03:22Z".parse().unwrap(), *by);
        let (word, name) = key.split_once(' ').unwrap();
        let name = Some(name.to_owned());
        match word {
            "line" => draft.line = name,
            "joint" => draft.joint = name,
            _ => draft.test = name,
        }
        draft.covers = BTreeMap::from([
            ("plan".to_owned(), Digest::of(b"the plan as it stood")),
            ((*key).to_owned(), subject.digest()),
        ]);
        draft.said.clone_from(&subject.said);
        draft.values = values.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect();
        add(&path, &draft).unwrap_or_else(|e| panic!("{key}: {e}"));
    }
    let bytes = if done.is_empty() { Vec::new() } else { load(&path).unwrap() };
    let (entries, unread) = entries(&bytes);
    Read { entries, unread: unread.len(), verified: verify(&bytes, None) }
}

/// Every subject signed once, as what it is.
pub fn all_signed(subjects: &[Subject]) -> Read {
    let kind = |key: &str| match key.split(' ').next() {
        Some("line") => Kind::Made,
        Some("joint") => Kind::Tightened,
        _ => Kind::Tested,
    };
    let done: Vec<Done<'_>> = subjects
        .iter()
        .map(|s| Done { what: kind(&s.key), key: &s.key, by: "A. Builder", values: &[] })
        .collect();
    record(subjects, &done)
}

/// Whether the long form of a test is asked for, as in `.ci/run`.
pub fn full() -> bool {
    std::env::var_os("FULL").is_some_and(|v| v == "1")
}
