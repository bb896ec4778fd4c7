//! The record: what its chain finds, and what happens to its file when writers are killed or many.
#![expect(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "these tests damage files on purpose and say why, or that, they cannot"
)]

mod chain;
mod file;
mod writers;

use std::path::{Path, PathBuf};

use hosewright::record::{Broken, CardHead, Draft, Kind, Moment, Verified, add, load, verify};

/// A record in a folder of its own.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// In memory where the system has a folder for that: what is tried there does not hang on the disk.
    fn new() -> Self {
        let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir());
        Self { folder: folder.unwrap_or_else(|e| panic!("no folder: {e}")) }
    }

    fn on_disk() -> Self {
        Self { folder: tempfile::tempdir().unwrap_or_else(|e| panic!("no folder: {e}")) }
    }

    fn log(&self) -> PathBuf {
        self.folder.path().join("plan.log")
    }

    fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Adds so many entries.
    fn filled(entries: u32) -> Self {
        let bench = Self::new();
        for number in 1..=entries {
            added(&bench.log(), &draft(number));
        }
        bench
    }

    fn bytes(&self) -> Vec<u8> {
        load(&self.log()).unwrap_or_else(|e| panic!("{e}"))
    }

    fn write(&self, bytes: &[u8]) {
        std::fs::write(self.log(), bytes).unwrap_or_else(|e| panic!("{e}"));
    }

    fn verified(&self) -> Verified {
        verify(&self.bytes(), None)
    }

    /// Names of the files beside the record.
    fn others(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).unwrap_or_else(|e| panic!("{e}"));
        let names = entries.flatten().map(|e| e.file_name().to_string_lossy().into_owned());
        let mut names: Vec<String> = names.filter(|n| n != "plan.log").collect();
        names.sort();
        names
    }
}

fn added(path: &Path, draft: &Draft) -> hosewright::record::Added {
    add(path, draft).unwrap_or_else(|e| panic!("{e}"))
}

fn moment(seconds: u64) -> Moment {
    Moment::from_unix(seconds).unwrap_or_else(|e| panic!("{e}"))
}

/// A draft that uses every field now and then.
fn draft(number: u32) -> Draft {
    let what = Kind::ALL[number as usize % Kind::ALL.len()];
    let mut draft = Draft::new(what, moment(1_777_644_202 + 61 * u64::from(number)), "A. Builder");
    draft.line = Some(format!("F{}", number % 7));
    draft.joint = number.is_multiple_of(3).then(|| "TANK.OUT".to_owned());
    draft.values.insert("cut".into(), format!("{} mm", 400 + number));
    draft.note = Some(format!("\"nut\" turned by hand \\ 90\u{b0}, \u{2713} {number}"));
    draft.photos.insert("IMG_1.jpg".into(), hosewright::record::Digest::of(&number.to_le_bytes()));
    draft
}

/// Line and kind of every fault.
fn faults(bytes: &[u8]) -> Vec<(usize, Broken)> {
    verify(bytes, None).faults.into_iter().map(|f| (f.line, f.what)).collect()
}

fn card(text: &str) -> CardHead {
    text.parse().unwrap_or_else(|e| panic!("{e}"))
}

/// A row of numbers, the same in every run.
struct Numbers(u64);

impl Numbers {
    /// A number below a bound.
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (self.0 >> 33) % bound
    }
}

/// Whether the long form of a test is asked for, as in `.ci/run`.
fn full() -> bool {
    std::env::var_os("FULL").is_some_and(|v| v == "1")
}
