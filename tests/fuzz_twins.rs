//! Twins of the fuzz targets that always run: what was committed for them, changed at random.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests read the bytes that the targets begin with"
)]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use crate::feed;
use crate::house::{files_below, root};

/// One change to a text of bytes.
#[derive(Clone, Debug)]
enum Change {
    Put(prop::sample::Index, u8),
    Take(prop::sample::Index, usize),
    Repeat(prop::sample::Index, usize),
    Insert(prop::sample::Index, &'static str),
}

/// Letters that mean something to TOML or to a quantity, so that changes reach deeper than the parser.
const TOKENS: &[&str] = &[
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\n",
    "\r",
    "\\",
    "-",
    "e9",
    "0",
    "1e308",
    "nan",
    "inf",
    " mm",
    " bar",
    " degC",
    "\u{fc}",
    "\u{202e}",
    "\u{0}",
    "[[line]]\n",
    "TANK.OUT",
    " ± 5 %",
    "[[component.path]]\n",
    "[matrix]\n",
];

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        (any::<prop::sample::Index>(), any::<u8>()).prop_map(|(at, byte)| Change::Put(at, byte)),
        (any::<prop::sample::Index>(), 1..40_usize).prop_map(|(at, n)| Change::Take(at, n)),
        (any::<prop::sample::Index>(), 1..200_usize).prop_map(|(at, n)| Change::Repeat(at, n)),
        (any::<prop::sample::Index>(), prop::sample::select(TOKENS))
            .prop_map(|(at, token)| Change::Insert(at, token)),
    ]
}

fn change_bytes(bytes: &mut Vec<u8>, change: &Change) {
    let end = |at: usize, n: usize, length: usize| (at + n).min(length);
    match change {
        Change::Put(at, byte) => {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        Change::Take(at, n) => {
            let at = at.index(bytes.len());
            bytes.drain(at..end(at, *n, bytes.len()));
        }
        Change::Repeat(at, n) => {
            let at = at.index(bytes.len());
            let part = bytes[at..end(at, *n, bytes.len())].to_vec();
            bytes.splice(at..at, part);
        }
        Change::Insert(at, token) => {
            let at = at.index(bytes.len());
            bytes.splice(at..at, token.bytes());
        }
    }
}

fn drawn() -> ProptestConfig {
    ProptestConfig {
        cases: 256,
        rng_seed: RngSeed::Fixed(7),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// The bytes that a target begins with.
fn corpus(target: &str) -> Vec<Vec<u8>> {
    let mut files = files_below(&format!("fuzz/corpus/{target}"));
    assert!(!files.is_empty(), "{target} begins with nothing");
    if ["plan", "assess"].contains(&target) {
        files.extend(files_below("tests/plans/good"));
    }
    files.iter().map(|path| std::fs::read(root().join(path)).unwrap_or_default()).collect()
}

/// Feeds what was committed as it is, then changed at random, then bytes that mean nothing.
fn twin(target: &str, cases: u32, feed: fn(&[u8])) {
    let corpus = corpus(target);
    for bytes in &corpus {
        feed(bytes);
    }
    let config = ProptestConfig { cases, ..drawn() };
    let changed = (prop::sample::select(corpus), prop::collection::vec(change(), 1..8));
    let changed = changed.prop_map(|(mut bytes, changes)| {
        for change in &changes {
            // A place in nothing cannot be drawn.
            if bytes.is_empty() {
                bytes.push(b'\n');
            }
            change_bytes(&mut bytes, change);
        }
        bytes
    });
    let nothing = prop::collection::vec(any::<u8>(), 0..60);
    let strategy = prop_oneof![9 => changed, 1 => nothing];
    let mut runner = proptest::test_runner::TestRunner::new(config);
    let outcome = runner.run(&strategy, |bytes| {
        feed(&bytes);
        Ok(())
    });
    assert!(outcome.is_ok(), "{target}: {outcome:?}");
}

#[test]
fn quantities_are_read_or_refused() {
    twin("units", 2000, feed::units::feed);
}

#[test]
fn plans_are_read_or_refused() {
    twin("plan", 400, feed::plan::feed);
}

#[test]
fn what_reads_as_a_plan_is_assessed_and_written() {
    twin("assess", 60, feed::assess::feed);
}

#[test]
fn tables_are_read_or_refused() {
    twin("table", 1000, feed::table::feed);
}

#[test]
fn records_are_read_or_refused() {
    twin("record", 1000, feed::record::feed);
}

#[test]
fn points_are_read_or_refused() {
    twin("points", 1000, feed::points::feed);
}
