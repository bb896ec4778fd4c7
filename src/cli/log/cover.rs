//! What an entry covers: the plan, and the words that are printed for what it was done to.

use std::mem::ManuallyDrop;
use std::path::Path;

use super::Trouble;
use crate::book::card::name_of_test;
use crate::cli::file::{read_plan, tables_beside};
use crate::cli::recorded::{Drawn, of_bytes};
use crate::diagnostic::visible;
use crate::plan::Plan;
use crate::record::{Digest, Draft, Kind};
use crate::signed::{Bond, PLAN, Subject, signs};
use crate::solve::lines;
use crate::trial::flow::named;

/// Words beyond this size are covered by their digest alone, so that an entry stays within its limit.
const MOST_KEPT_BYTES: usize = 32 * 1024;

/// Puts into a draft what it covers; `test` names a flow test, if it was done to one.
pub fn cover(draft: &mut Draft, plan: Drawn<'_>, test: Option<&str>) -> Result<(), Trouble> {
    let trial = test.map(|_| plan.trial()).transpose()?;
    if let (Some(name), Some(trial)) = (test, &trial) {
        if !matches!(draft.what, Kind::Tested | Kind::FlowMeasured | Kind::Note | Kind::Photo) {
            let message = format!("\"{}\" is not done to a test", draft.what);
            return Err(Trouble::hint(message, "write flow-measured or tested"));
        }
        let machine = plan.plan;
        let names: Vec<String> =
            trial.rows.iter().map(|row| name_of_test(machine, trial, row)).collect();
        let exact = names.iter().position(|n| n == name.trim());
        let index = exact.map_or_else(|| named(machine, &trial.rows, name), Ok);
        let index = index.map_err(|why| Trouble::plain(visible(&why)))?;
        draft.test = names.get(index).cloned();
    }
    draft.covers.insert(PLAN.to_owned(), Digest::of(plan.file.text.as_bytes()));
    let key = match (&draft.test, &draft.joint, &draft.line) {
        (Some(test), _, _) => Subject::test_key(test),
        (None, Some(joint), _) => Subject::joint_key(joint),
        (None, None, Some(line)) => Subject::line_key(line),
        (None, None, None) => return Ok(()),
    };
    if !signs(draft.what) {
        return Ok(());
    }
    if let Some(subject) = plan.subjects(trial.as_ref()).into_iter().find(|s| s.key == key) {
        draft.covers.insert(key, subject.digest());
        let size: usize = subject.said.iter().map(String::len).sum();
        if size <= MOST_KEPT_BYTES {
            draft.said = subject.said;
        }
    }
    Ok(())
}

/// What each entry of a record is bound to; none where the plan cannot be understood.
pub fn bonds(plan: &Path, bytes: &[u8]) -> Option<Vec<Bond>> {
    let file = read_plan(plan).ok()?;
    let tables = ManuallyDrop::new(tables_beside(plan).ok()?);
    let plan = Plan::read(&file, &tables).ok()?;
    let drawn = Drawn { file: &file, tables: &tables, plan: &plan, lines: &lines(&plan, &tables) };
    let read = of_bytes(bytes);
    let tested = read.entries.iter().any(|e| e.test.is_some());
    let trial = if tested { Some(drawn.trial().ok()?) } else { None };
    Some(drawn.signed(read, trial.as_ref()).bonds)
}
