//! Time of following the chain of a record, as a ratio to the digest of its bytes alone.
#![expect(clippy::disallowed_macros, reason = "a bench is a program: it prints its table")]

mod fastest;
mod row;

use std::io::Write as _;
use std::path::Path;
use std::time::Instant;

use fastest::fastest;
use hosewright::record::{Digest, Draft, Kind, Moment, add, entries, load, verify};

/// Entries of the record.
const ENTRIES: u64 = 100_000;
/// Entries that are added one by one for the clock.
const ADDED: u32 = 200;
/// Runs, of which the fastest counts.
const RUNS: usize = 5;

fn draft(number: u64) -> Option<Draft> {
    let time = Moment::from_unix(1_777_644_202 + number).ok()?;
    let mut draft = Draft::new(Kind::Made, time, "A. Builder");
    draft.line = Some(format!("F{}", number % 40));
    draft.values.insert("cut".into(), format!("{} mm", 400 + number % 100));
    draft.note = Some("cut square, deburred, blown out, both ends capped".into());
    draft.covers.insert("plan".into(), Digest::of(&number.to_le_bytes()));
    Some(draft)
}

/// A record of so many entries, without waiting for the disk at each of them.
fn record() -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let mut before = Digest::NONE;
    for number in 1..=ENTRIES {
        let draft = draft(number)?;
        let note = draft.note?;
        let (time, line, by) = (draft.time, draft.line?, draft.by);
        let (cut, plan) = (&draft.values["cut"], &draft.covers["plan"]);
        let body = format!(
            r#"{{"number":{number},"time":"{time}","by":"{by}","what":"made","line":"{line}","values":{{"cut":"{cut}"}},"note":"{note}","covers":{{"plan":"{plan}"}},"before":"{before}""#
        );
        before = Digest::of(format!("{body}}}").as_bytes());
        writeln!(bytes, r#"{body},"digest":"{before}"}}"#).ok()?;
    }
    Some(bytes)
}

/// Seconds for one entry, on the disk before it is answered.
fn added() -> Option<f64> {
    let folder = tempfile::tempdir().ok()?;
    let log = folder.path().join("plan.log");
    let start = Instant::now();
    for number in 1..=ADDED {
        add(Path::new(&log), &draft(u64::from(number))?).ok()?;
    }
    let seconds = start.elapsed().as_secs_f64() / f64::from(ADDED);
    assert!(verify(&load(&log).ok()?, None).faults.is_empty());
    Some(seconds)
}

fn main() {
    let Some(bytes) = record() else { return println!("no record could be made") };
    let verified = verify(&bytes, None);
    assert!(verified.faults.is_empty() && verified.entries == ENTRIES, "{verified:?}");
    let (digest, _) = fastest(RUNS, || Digest::of(&bytes));
    let (chain, _) = fastest(RUNS, || verify(&bytes, None));
    let (read, _) = fastest(RUNS, || entries(&bytes));
    println!("{} entries, {} bytes", ENTRIES, bytes.len());
    println!("{:40} {:>9} {:>9}", "record", "ms", "x digest");
    for (name, time) in [("one digest of all", digest), ("verify", chain), ("read all", read)] {
        println!("{name:40} {:9.2} {:9.2}", time * 1e3, time / digest);
    }
    row::row(
        &format!("a record of {ENTRIES} entries verified"),
        chain,
        "one digest of its bytes",
        digest,
    );
    if let Some(time) = added() {
        println!("{:40} {:9.2}", "add one, with the disk", time * 1e3);
    }
}
