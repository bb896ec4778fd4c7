//! Many writers at once, and writers that are killed: no entry that was acknowledged is lost.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use hosewright::record::{Broken, add, entries, verify};

use super::{Bench, Numbers, added, draft, faults, full};

/// What stands before the digest of an entry that a writer was told is safe.
const SAFE: &str = "safe ";

/// Runs this test binary again as a writer of so many entries, with notes of up to so many letters.
pub fn command(log: &Path, count: u32, letters: u64) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["record::writers::a_writer", "--exact", "--ignored", "--test-threads=1"]);
    command.env("RECORD_LOG", log).env("RECORD_COUNT", count.to_string());
    command.env("RECORD_LETTERS", letters.to_string());
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// The digests that a writer was told are safe.
pub fn acknowledged(out: &str) -> Vec<String> {
    out.lines().filter_map(|line| line.strip_prefix(SAFE)).map(str::to_owned).collect()
}

#[test]
#[ignore = "a program of its own, which the tests beside it start and kill"]
fn a_writer() {
    let text = |name| std::env::var_os(name).map(|v| v.to_string_lossy().into_owned());
    let number = |name| text(name).and_then(|t| t.parse::<u64>().ok()).unwrap_or(0);
    let Some(log) = text("RECORD_LOG") else { return };
    let mut numbers = Numbers(u64::from(std::process::id()));
    let mut out = std::io::stdout().lock();
    for count in 1..=number("RECORD_COUNT") {
        let mut draft = draft(u32::try_from(count).unwrap());
        draft.by = format!("writer {}", std::process::id());
        let letters = numbers.below(number("RECORD_LETTERS") + 1);
        draft.note = Some("x".repeat(1 + usize::try_from(letters).unwrap()));
        let said = match add(Path::new(&log), &draft) {
            Ok(added) => format!("\n{SAFE}{}\n", added.entry.digest),
            Err(refusal) => format!("\nrefused: {refusal}\n"),
        };
        out.write_all(said.as_bytes()).and_then(|()| out.flush()).unwrap();
        if said.contains("refused") {
            return;
        }
    }
}

#[test]
fn eight_writers_at_once_all_get_in() {
    let each: u32 = if full() { 1000 } else { 60 };
    let bench = Bench::on_disk();
    let start = |_| command(&bench.log(), each, 100).spawn().unwrap();
    let writers: Vec<_> = (0..8).map(start).collect();
    let mut all = Vec::new();
    for writer in writers {
        let ended = writer.wait_with_output().unwrap();
        let safe = acknowledged(&String::from_utf8_lossy(&ended.stdout));
        assert_eq!(safe.len(), each as usize, "{}", String::from_utf8_lossy(&ended.stdout));
        all.extend(safe);
    }
    let bytes = bench.bytes();
    assert_eq!(faults(&bytes), []);
    let (read, unread) = entries(&bytes);
    assert_eq!((read.len(), unread.len()), (8 * each as usize, 0));
    let mut kept: Vec<String> = read.iter().map(|e| e.digest.to_string()).collect();
    kept.sort();
    all.sort();
    assert_eq!(kept, all);
    // They took turns: a lock that one writer kept would have put its entries in one row.
    let turns = read.windows(2).filter(|two| two[0].by != two[1].by).count();
    assert!(turns >= 8, "{turns}");
    assert_eq!(bench.others(), [] as [&str; 0]);
}

#[test]
fn a_writer_killed_at_any_instant_loses_no_acknowledged_entry() {
    let kills = if full() { 1000 } else { 100 };
    let mut numbers = Numbers(17);
    let (mut bench, mut safe) = (Bench::on_disk(), Vec::new());
    let (mut repairs, mut written) = (0, 0);
    for kill in 0..kills {
        // A new record now and then, so that the first entry is hit as well.
        if kill % 10 == 0 {
            (bench, safe) = (Bench::on_disk(), Vec::new());
        }
        safe.extend(killed(&bench, &mut numbers, kill % 3 != 0));
        let bytes = if bench.log().exists() { bench.bytes() } else { Vec::new() };
        let found = faults(&bytes);
        let ends = |b: &Broken| matches!(b, Broken::Torn(_) | Broken::NoLineEnd);
        assert!(found.is_empty() || (found.len() == 1 && ends(&found[0].1)), "{found:?}");
        // The next writer finds what it needs and puts the end right.
        let next = added(&bench.log(), &draft(1));
        assert_eq!(next.repair.is_some(), !found.is_empty());
        safe.push(next.entry.digest.to_string());
        let bytes = bench.bytes();
        assert_eq!(verify(&bytes, None).faults, []);
        let kept: Vec<String> = entries(&bytes).0.iter().map(|e| e.digest.to_string()).collect();
        // In their order, and at most one a kill that was written but not yet acknowledged.
        let mut rest = kept.iter();
        assert!(safe.iter().all(|s| rest.any(|k| k == s)), "an acknowledged entry is lost");
        assert!(kept.len() <= safe.len() + kill % 10 + 1, "{} {}", kept.len(), safe.len());
        repairs += found.len();
        written += bytes.len();
    }
    assert!(written > 0);
    eprintln!("{kills} writers killed, {repairs} torn ends put right");
}

/// Starts a writer and kills it, from the beginning or once it has written; what it was told is safe.
fn killed(bench: &Bench, numbers: &mut Numbers, once_written: bool) -> Vec<String> {
    let mut writer = command(&bench.log(), 10_000, 30_000).spawn().unwrap();
    let mut out = BufReader::new(writer.stdout.take().unwrap());
    let mut said = String::new();
    while once_written && !said.contains(SAFE) {
        assert!(out.read_line(&mut said).unwrap() > 0, "the writer ended by itself: {said}");
    }
    std::thread::sleep(Duration::from_micros(numbers.below(12_000)));
    writer.kill().unwrap();
    writer.wait().unwrap();
    // What was said before the end is still in the pipe.
    out.read_to_string(&mut said).unwrap();
    // A line of which the end is missing is no acknowledgement; pipes take short lines whole.
    acknowledged(&said)
}
