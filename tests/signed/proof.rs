//! What a line was tested at, held against what its proof test asks now.

use hosewright::check::run_on_record;
use hosewright::finding::{Finding, Verdict};
use hosewright::record::Kind;
use hosewright::signed::Hoses;
use hosewright::table::Tables;
use hosewright::trial::proof::asked;

use super::{Done, Machine, record};
use crate::house::read;

/// A press whose lines were tested as its plan stood then, and as the plan stands now.
struct Press {
    tables: Tables,
    signed: Machine,
    now: Machine,
}

type Values<'v> = &'v [(&'v str, &'v str)];

impl Press {
    fn with(change: Option<(&str, &str)>) -> Self {
        let tables = Tables::builtin();
        let text = read("examples/03-press/corrected.toml");
        let later = change.map_or_else(|| text.clone(), |(from, to)| text.replacen(from, to, 1));
        assert_eq!(later == text, change.is_none());
        let [signed, now] = [&text, &later].map(|text| Machine::of(text, &tables, false).unwrap());
        Self { tables, signed, now }
    }

    /// What is found of a line that was made and then tested so often.
    fn found(&self, line: &str, tests: &[Values<'_>]) -> Option<Finding> {
        let key = format!("line {line}");
        let done = |(what, values)| Done { what, key: &key, by: "A. Builder", values };
        let mut all = vec![done((Kind::Made, &[][..]))];
        all.extend(tests.iter().map(|values| done((Kind::Tested, *values))));
        self.judged(line, &all)
    }

    fn judged(&self, line: &str, done: &[Done<'_>]) -> Option<Finding> {
        let read = record(&self.signed.subjects(&self.tables), done);
        let held = self.now.signed(&self.tables, read);
        let (plan, facts) = (&self.now.assessment.plan, &self.now.assessment.facts);
        let hoses =
            Hoses::on("2026-05-01".parse().unwrap(), plan, &self.tables, &held.read.entries);
        let proofs = asked(plan, facts, &self.tables, |_| true);
        let found = run_on_record(&held, &hoses, &proofs);
        let mut own = found.into_iter().filter(|f| f.code == "record.proof" && f.place == line);
        let first = own.next();
        assert!(own.next().is_none(), "one finding a line");
        first
    }

    fn verdict(&self, line: &str, tests: &[Values<'_>]) -> Option<Verdict> {
        self.found(line, tests).map(|f| f.verdict)
    }
}

#[test]
fn the_highest_pressure_of_its_tests_counts() {
    let press = Press::with(None);
    // A tube is tested at twice its highest pressure, 437 bar.
    let at = |text| press.verdict("P2", &[&[("pressure", text)]]);
    assert_eq!(at("440 bar"), Some(Verdict::Ok));
    assert_eq!(at("43700 kPa"), Some(Verdict::Ok));
    assert_eq!(at("420 bar"), Some(Verdict::Fail));
    // A gauge that may read 20 bar wrong proves neither.
    assert_eq!(at("440 bar ± 20 bar"), Some(Verdict::Caution));
    assert_eq!(at("420 bar ± 5 bar"), Some(Verdict::Fail));
    // Above what the tube stands.
    assert_eq!(at("800 bar"), Some(Verdict::Fail));
    // The leak test that comes after it is no proof, and takes none away.
    let both: [Values<'_>; 2] = [&[("pressure", "440 bar")], &[("Pressure", "0.2 bar")]];
    assert_eq!(press.verdict("P2", &both), Some(Verdict::Ok));
    assert_eq!(press.verdict("P2", &both[1..]), Some(Verdict::Fail));
}

#[test]
fn what_is_not_written_down_or_no_pressure_is_open() {
    let press = Press::with(None);
    assert_eq!(press.verdict("P2", &[&[("torque", "12 N m")]]), Some(Verdict::Open));
    assert_eq!(press.verdict("P2", &[&[("pressure", "12 N m")]]), Some(Verdict::Open));
    assert_eq!(press.verdict("P2", &[&[("pressure", "440 bar abs")]]), Some(Verdict::Open));
    // Nothing was tested, or the line is open to the air.
    assert_eq!(press.verdict("P2", &[]), None);
    assert_eq!(press.verdict("P9", &[&[("pressure", "1 bar")]]), None);
}

#[test]
fn a_pressure_that_rises_in_the_plan_finds_the_test_that_was_made_too_low() {
    let values: Values<'_> = &[("pressure", "437 bar")];
    let before = Press::with(None).found("P2", &[values]).unwrap();
    assert_eq!(before.verdict, Verdict::Ok, "{before:?}");
    let raised = Press::with(Some(("opens_at = \"210 bar\"", "opens_at = \"240 bar\"")));
    let after = raised.found("P2", &[values]).unwrap();
    assert_eq!(after.verdict, Verdict::Fail, "{after:?}");
    assert_eq!(after.value, Some(43_700.0));
    // Twice some 248 bar, by the rule for tubes that are made in a shop.
    let wanted = after.limit.unwrap();
    assert!((48_000.0..51_000.0).contains(&wanted), "{wanted}");
    assert!(after.message.contains("tested at 437.0 bar"), "{}", after.message);
}

#[test]
fn a_piece_that_was_made_again_was_not_tested_yet() {
    let press = Press::with(None);
    let values: Values<'_> = &[("pressure", "440 bar")];
    let entries = [(Kind::Made, &[][..]), (Kind::Tested, values), (Kind::Made, &[][..])];
    let done = entries.map(|(what, values)| Done { what, key: "line P2", by: "A", values });
    assert_eq!(press.judged("P2", &done).map(|f| f.verdict), None);
    assert_eq!(press.judged("P2", &done[..2]).map(|f| f.verdict), Some(Verdict::Ok));
}
