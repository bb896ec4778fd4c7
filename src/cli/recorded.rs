//! The record beside a plan, held against it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::Trouble;
use super::args::Day;
use super::day::day;
use super::file::printable;
use super::test::usual;
use crate::assess::Assessment;
use crate::book::card::subjects;
use crate::check::run_on_record;
use crate::diagnostic::{SourceText, visible};
use crate::finding::Finding;
use crate::plan::Plan;
use crate::record::{self, Digest, Refusal};
use crate::signed::{Hoses, Read, Signed, Subject, signed};
use crate::solve::{Facts, LineFacts};
use crate::table::Tables;
use crate::trial::flow::{FlowTrial, flow};
use crate::trial::proof::asked;

/// A plan with its lines, as far as its cards need them.
#[derive(Clone, Copy)]
pub struct Drawn<'a> {
    pub file: &'a Arc<SourceText>,
    pub tables: &'a Tables,
    pub plan: &'a Plan,
    pub lines: &'a [LineFacts],
}

impl<'a> Drawn<'a> {
    /// Out of a plan that was assessed.
    pub fn of(
        file: &'a Arc<SourceText>,
        tables: &'a Tables,
        Assessment { plan, facts, .. }: &'a Assessment,
    ) -> Self {
        Self { file, tables, plan, lines: &facts.lines }
    }

    /// The flow tests of the plan before anything was measured.
    pub fn trial(&self) -> Result<FlowTrial, Trouble> {
        flow(self.plan, self.tables, &usual()?).map_err(|why| Trouble::plain(visible(&why)))
    }

    /// All that can be signed, with its words.
    pub fn subjects(&self, flow_trial: Option<&FlowTrial>) -> Vec<Subject> {
        subjects(self.plan, self.tables, self.lines, flow_trial)
    }

    /// The record held against the plan.
    pub fn signed(&self, read: Read, flow_trial: Option<&FlowTrial>) -> Signed {
        let text = &self.file.text;
        signed(self.plan, self.tables, self.lines, text, &self.subjects(flow_trial), read)
    }

    /// What the checks say of a record on a day; nothing where there is none. `facts` are those of the plan.
    pub fn judged(
        &self,
        facts: &Facts,
        signed: Option<&Signed>,
        on: &Day,
    ) -> Result<Vec<Finding>, Trouble> {
        let Some(signed) = signed else { return Ok(Vec::new()) };
        let was_tested = |line: usize| signed.lines.get(line).is_some_and(|l| !l.tests.is_empty());
        let proofs = asked(self.plan, facts, self.tables, was_tested);
        let hoses = Hoses::on(day(on.at.as_deref())?, self.plan, self.tables, &signed.read.entries);
        Ok(run_on_record(signed, &hoses, &proofs))
    }

    /// The record beside a plan held against it, where there is one. Flow tests are planned only if an entry is of one.
    pub fn signed_beside(&self, path: &Path) -> Result<Option<Signed>, Trouble> {
        let Some(read) = read_beside(path)? else { return Ok(None) };
        let tested = read.entries.iter().any(|e| e.test.is_some());
        let trial = tested.then(|| self.trial()).transpose()?;
        Ok(Some(self.signed(read, trial.as_ref())))
    }
}

/// Where the record of a plan stands; none for standard input and for what is a record itself.
fn place(plan: &Path) -> Option<PathBuf> {
    let is_log = plan.extension().is_some_and(|e| e == "log");
    (plan.as_os_str() != "-" && !is_log).then(|| plan.with_extension("log"))
}

/// The record beside a plan, where there is one.
pub fn read_beside(plan: &Path) -> Result<Option<Read>, Trouble> {
    let Some(path) = place(plan) else { return Ok(None) };
    match record::load(&path) {
        Ok(bytes) => Ok(Some(of_bytes(&bytes))),
        Err(Refusal::Missing) => Ok(None),
        Err(refusal) => {
            let message = visible(&format!("{}: {refusal}", printable(&path)));
            Err(Trouble::hint(message, "the record beside the plan has this name"))
        }
    }
}

/// What tells one state of the record beside a plan from another; empty where there is none.
pub fn state(plan: &Path) -> String {
    match place(plan).map(|path| record::load(&path)) {
        None | Some(Err(Refusal::Missing)) => String::new(),
        Some(Ok(bytes)) => Digest::of(&bytes).to_string(),
        Some(Err(refusal)) => refusal.to_string(),
    }
}

/// Entries and chain of a record.
pub fn of_bytes(bytes: &[u8]) -> Read {
    let (entries, unread) = record::entries(bytes);
    Read { entries, unread: unread.len(), verified: record::verify(bytes, None) }
}
