//! The file: torn ends, full disks, things that are no file, and drafts that are no entry.

use std::fmt::Write as _;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::process::Command;

use hosewright::record::{
    Broken, Digest, Draft, Kind, LARGEST_BYTES, LONGEST_LINE, Moment, Refusal, Repair, Unfit, add,
    entries, load,
};

use super::{Bench, added, draft, faults, moment};

fn refused(bench: &Bench) -> Refusal {
    let before = std::fs::read(bench.log()).ok();
    let refusal = add(&bench.log(), &draft(1)).expect_err("it is refused");
    assert_eq!(std::fs::read(bench.log()).ok(), before, "nothing was touched");
    refusal
}

#[test]
fn a_line_that_breaks_off_at_any_byte_is_set_aside_and_the_entry_before_it_stays() {
    let whole = Bench::filled(3).bytes();
    let two = whole.split_inclusive(|b| *b == b'\n').take(2).map(<[u8]>::len).sum::<usize>();
    for end in two + 1..whole.len() {
        let bench = Bench::new();
        bench.write(&whole[..end]);
        let last = faults(&bench.bytes());
        let added = added(&bench.log(), &draft(7));
        assert_eq!(bench.verified().faults, [], "cut at byte {end}");
        if end == whole.len() - 1 {
            assert_eq!(last, [(3, Broken::NoLineEnd)]);
            assert_eq!((added.repair, added.entry.number), (Some(Repair::Completed), 4));
            assert_eq!(bench.others(), [] as [&str; 0]);
            continue;
        }
        assert_eq!(last, [(3, Broken::Torn(end - two))]);
        let file = bench.beside("plan.log.torn-1");
        assert_eq!(std::fs::read(&file).unwrap(), whole[two..end]);
        let repair = Repair::SetAside { bytes: end - two, file };
        assert_eq!((added.repair, added.entry.number), (Some(repair), 3));
        assert_eq!(bench.bytes()[..two], whole[..two]);
    }
}

#[test]
fn the_first_line_can_be_torn_and_so_can_the_repair() {
    let whole = Bench::filled(1).bytes();
    let bench = Bench::new();
    bench.write(&whole[..100]);
    // A writer that was killed while it kept the torn end, and one that had kept it.
    std::fs::write(bench.beside("plan.log.torn-1"), &whole[..40]).unwrap();
    std::fs::write(bench.beside("plan.log.torn-2"), &whole[..100]).unwrap();
    let first = added(&bench.log(), &draft(1));
    let file = bench.beside("plan.log.torn-2");
    assert_eq!(first.repair, Some(Repair::SetAside { bytes: 100, file }));
    assert_eq!(bench.others(), ["plan.log.torn-1", "plan.log.torn-2"]);
    assert_eq!((first.entry.number, first.entry.before), (1, Digest::NONE));
    // Zeros are what a power cut can leave of a block.
    let torn = [&b"{\"number\":2,\"time\":\"2026-05-"[..], &[0; 500]].concat();
    bench.write(&[bench.bytes(), torn.clone()].concat());
    let file = bench.beside("plan.log.torn-3");
    let repair = added(&bench.log(), &draft(2)).repair;
    assert_eq!(repair, Some(Repair::SetAside { bytes: torn.len(), file: file.clone() }));
    assert_eq!(std::fs::read(file).unwrap(), torn);
    assert_eq!(bench.others().len(), 3);
    assert_eq!(bench.verified().faults, []);
}

#[test]
fn what_is_no_broken_entry_is_left_alone() {
    let bench = Bench::filled(2);
    let good = bench.bytes();
    let with = |more: &[u8]| {
        bench.write(&[&good, more].concat());
        refused(&bench)
    };
    assert!(matches!(with(b"my own notes"), Refusal::ForeignEnd { line: 3 }));
    assert!(matches!(with(b"{\"number\":9,\"time\":\"2"), Refusal::ForeignEnd { line: 3 }));
    let long = vec![b'x'; 3 * LONGEST_LINE];
    assert!(matches!(with(&long), Refusal::ForeignEnd { .. }));
    let last = with(b"my own notes\n");
    assert!(matches!(last, Refusal::LastEntry { line: 3, column: 1, what: Broken::NoEntry(_) }));
    assert_eq!(last.place(), Some((3, 1)));
    let latin = with(b"caf\xe9\n");
    assert!(matches!(latin, Refusal::LastEntry { line: 3, column: 4, what: Broken::NotText }));
    assert!(matches!(with(b"\n"), Refusal::LastEntry { line: 3, .. }));
    bench.write(String::from_utf8_lossy(&good).replace("402 mm", "403 mm").as_bytes());
    let changed = refused(&bench);
    assert!(matches!(changed, Refusal::LastEntry { line: 2, what: Broken::Changed, .. }));
    bench.write(b"my own notes");
    assert!(matches!(refused(&bench), Refusal::ForeignEnd { line: 1 }));
    assert_eq!(bench.others(), [] as [&str; 0]);
}

#[test]
fn what_is_no_file_is_refused() {
    let bench = Bench::new();
    assert!(matches!(load(&bench.log()), Err(Refusal::Missing)));
    std::fs::create_dir(bench.log()).unwrap();
    assert!(matches!(refused(&bench), Refusal::Folder));
    assert!(matches!(load(&bench.log()), Err(Refusal::Folder)));

    let bench = Bench::new();
    let outside = Bench::filled(1);
    for target in [outside.log(), outside.beside("not-there-yet")] {
        std::os::unix::fs::symlink(&target, bench.log()).unwrap();
        let before = std::fs::read(&target).ok();
        assert!(matches!(add(&bench.log(), &draft(1)), Err(Refusal::SymbolicLink)));
        assert!(matches!(load(&bench.log()), Err(Refusal::SymbolicLink)));
        assert_eq!(std::fs::read(&target).ok(), before);
        std::fs::remove_file(bench.log()).unwrap();
    }
    let full = std::path::Path::new("/dev/full");
    assert!(matches!(add(full, &draft(1)), Err(Refusal::Special)));

    let huge = std::fs::File::create(bench.log()).unwrap();
    huge.set_len(LARGEST_BYTES + 1).unwrap();
    assert!(matches!(add(&bench.log(), &draft(1)), Err(Refusal::TooLarge(_))));
    assert!(matches!(load(&bench.log()), Err(Refusal::TooLarge(_))));
    huge.set_len(LARGEST_BYTES).unwrap();
    assert!(matches!(add(&bench.log(), &draft(1)), Err(Refusal::ForeignEnd { line: 1 })));
}

/// User and group that own nothing.
const NOBODY: u32 = 65_534;

/// What the writer of these tests says of one entry, without the rights of root.
fn unprivileged(bench: &Bench, log: &std::path::Path, is_root: bool) -> String {
    let writer = super::writers::command(log, 1, 0);
    let run = |program: &std::ffi::OsStr| {
        let mut command = Command::new(program);
        command.args(writer.get_args()).current_dir("/");
        for (name, value) in writer.get_envs() {
            command.env(name, value.unwrap_or_default());
        }
        if is_root {
            command.uid(NOBODY).gid(NOBODY);
        }
        command.output()
    };
    // Where the build stands in a folder of root's own, nobody gets a copy.
    let ended = run(writer.get_program()).unwrap_or_else(|_| {
        let copy = bench.beside("writer");
        std::fs::copy(writer.get_program(), &copy).unwrap();
        run(copy.as_os_str()).unwrap()
    });
    String::from_utf8_lossy(&ended.stdout).into_owned()
}

#[test]
fn a_folder_that_cannot_be_written_is_told() {
    let bench = Bench::new();
    let allow = |path: &std::path::Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    allow(bench.log().parent().unwrap(), 0o755);
    let locked = bench.beside("locked");
    std::fs::create_dir(&locked).unwrap();
    let log = locked.join("plan.log");
    allow(&locked, 0o555);
    let is_root = std::fs::File::create(locked.join("probe")).is_ok();
    let told = |out: String| assert!(out.contains("could not be opened for writing"), "{out}");
    told(unprivileged(&bench, &log, is_root));
    assert!(!log.exists());
    // A record that may be read and not written stays as it is.
    allow(&locked, 0o777);
    let said = unprivileged(&bench, &log, is_root);
    assert_eq!(super::writers::acknowledged(&said).len(), 1, "{said}");
    let kept = std::fs::read(&log).unwrap();
    allow(&log, 0o444);
    allow(&locked, 0o555);
    told(unprivileged(&bench, &log, is_root));
    assert_eq!((std::fs::read(&log).unwrap(), faults(&kept)), (kept, vec![]));
    allow(&locked, 0o755);
    // Nobody, root neither, can make a file where there is no folder.
    for place in ["nowhere/plan.log", "plan.log/plan.log"] {
        std::fs::write(bench.log(), "").unwrap();
        let refusal = add(&bench.beside(place), &draft(1)).expect_err("there is no folder");
        assert!(matches!(refusal, Refusal::System { .. } | Refusal::Replaced), "{refusal}");
    }
}

/// Runs the writer of these tests in a shell that first limits the size of files.
fn limited(bench: &Bench, blocks: u64, before: &str) -> std::process::Output {
    let writer = super::writers::command(&bench.log(), 1000, 0);
    let program = writer.get_program().to_owned();
    let mut shell = Command::new("sh");
    shell.arg("-c").arg(format!("{before} ulimit -f {blocks}; exec \"$0\" \"$@\"")).arg(program);
    shell.args(writer.get_args());
    for (name, value) in writer.get_envs() {
        shell.env(name, value.unwrap_or_default());
    }
    shell.output().unwrap()
}

#[test]
fn an_entry_that_no_longer_fits_is_taken_back() {
    let mut partial = 0;
    for blocks in 20..30 {
        let bench = Bench::new();
        let ended = limited(&bench, blocks, "trap '' XFSZ;");
        let out = String::from_utf8_lossy(&ended.stdout);
        assert!(out.contains("could not be written") && out.contains("as it was before"), "{out}");
        let bytes = bench.bytes();
        assert_eq!(faults(&bytes), [], "{blocks} blocks");
        let acknowledged = super::writers::acknowledged(&out);
        let kept: Vec<String> = entries(&bytes).0.iter().map(|e| e.digest.to_string()).collect();
        assert_eq!(acknowledged, kept);
        partial += usize::from(!(bytes.len() as u64).is_multiple_of(512));
        // With room again it goes on as if nothing had been.
        let next = added(&bench.log(), &draft(1));
        assert_eq!((next.repair, next.entry.number), (None, kept.len() as u64 + 1));
    }
    assert!(partial > 5, "{partial} of 10 ended in the middle of a block");
}

#[test]
fn a_torn_end_that_cannot_be_kept_is_left_where_it_is() {
    let bench = Bench::filled(3);
    let whole = bench.bytes();
    bench.write(&whole[..whole.len() - 9]);
    let ended = limited(&bench, 0, "trap '' XFSZ;");
    let out = String::from_utf8_lossy(&ended.stdout);
    assert!(out.contains("could not be set aside into"), "{out}");
    assert_eq!(bench.bytes(), whole[..whole.len() - 9]);
    assert_eq!(bench.others(), [] as [&str; 0]);
    let next = added(&bench.log(), &draft(4));
    assert!(matches!(next.repair, Some(Repair::SetAside { .. })));
    assert_eq!((next.entry.number, bench.verified().faults), (3, vec![]));
}

#[test]
fn a_writer_that_the_system_ends_in_the_middle_of_a_line_leaves_a_torn_end() {
    let mut torn = 0;
    for blocks in 20..30 {
        let bench = Bench::new();
        let ended = limited(&bench, blocks, "");
        let out = String::from_utf8_lossy(&ended.stdout);
        let found = faults(&bench.bytes());
        let end = |b: &Broken| matches!(b, Broken::Torn(_));
        assert!(found.is_empty() || (found.len() == 1 && end(&found[0].1)), "{found:?}");
        torn += found.len();
        let count = super::writers::acknowledged(&out).len();
        assert!(count > 5, "{out}");
        let next = added(&bench.log(), &draft(1));
        assert_eq!(
            (next.repair.is_some(), next.entry.number),
            (found.len() == 1, count as u64 + 1)
        );
        assert_eq!(faults(&bench.bytes()), []);
    }
    assert!(torn > 5, "{torn} of 10 broke off");
}

#[test]
fn a_draft_says_what_its_kind_has_to_say() {
    let bench = Bench::new();
    let unfit = |change: &dyn Fn(&mut Draft)| {
        let mut draft = draft(1);
        change(&mut draft);
        match add(&bench.log(), &draft) {
            Err(Refusal::Unfit(unfit)) => unfit,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(unfit(&|d| d.by = " ".into()), Unfit::NoName);
    assert_eq!(unfit(&|d| d.by = "A\u{1b}[2J".into()), Unfit::Control);
    assert_eq!(unfit(&|d| d.note = Some("two\nlines".into())), Unfit::Control);
    assert_eq!(unfit(&|d| d.note = Some(String::new())), Unfit::Empty);
    assert_eq!(unfit(&|d| drop(d.values.insert("gap".into(), "1 mm\0".into()))), Unfit::Control);
    assert_eq!(unfit(&|d| (d.line, d.clip) = (None, Some(1))), Unfit::NoClip);
    assert_eq!(unfit(&|d| (d.line, d.clip) = (Some("F1".into()), Some(0))), Unfit::NoClip);
    let bare = |what| move |d: &mut Draft| *d = Draft::new(what, moment(0), "me");
    for what in Kind::ALL {
        let expected = match what {
            Kind::Tested | Kind::Inspected => continue,
            Kind::FlowMeasured => Unfit::NoValue(what),
            Kind::Note => Unfit::NoNote,
            Kind::Photo => Unfit::NoPhoto,
            _ => Unfit::NoPlace(what),
        };
        assert_eq!(unfit(&bare(what)), expected);
    }
    let long = |d: &mut Draft| d.note = Some("x".repeat(LONGEST_LINE));
    assert!(matches!(unfit(&long), Unfit::TooLong(_)));
    assert!(!bench.log().exists(), "nothing was written");
    // The longest entry that there can be is read back.
    let mut longest = draft(1);
    longest.note = Some(String::new());
    let room = |bytes: usize| LONGEST_LINE - bytes;
    longest.note = Some("x".into());
    let short = added(&bench.log(), &longest).entry;
    let line = bench.bytes().len() - 1;
    longest.note = Some("x".repeat(room(line) + 1));
    assert_eq!((short.number, added(&bench.log(), &longest).entry.number), (1, 2));
    assert_eq!(added(&bench.log(), &draft(2)).entry.number, 3);
    assert_eq!(bench.verified().faults, []);
}

#[test]
fn the_line_is_what_the_documentation_says() {
    let bench = Bench::new();
    let mut draft = Draft::new(Kind::CapRemoved, moment(1_777_644_202), "A. \"B\"");
    draft.joint = Some("TANK.OUT".into());
    draft.covers.insert("plan".into(), Digest::of(b"abc"));
    let first = added(&bench.log(), &draft).entry;
    let mut body = String::from(
        r#"{"number":1,"time":"2026-05-01T14:03:22Z","by":"A. \"B\"","what":"cap-removed","joint":"TANK.OUT","covers":{"plan":""#,
    );
    let _ = write!(body, "{}\"}},\"before\":\"{}\"", Digest::of(b"abc"), "0".repeat(64));
    let digest = Digest::of(format!("{body}}}").as_bytes());
    assert_eq!(first.digest, digest);
    let line = format!("{body},\"digest\":\"{digest}\"}}\n");
    assert_eq!(String::from_utf8(bench.bytes()).unwrap(), line);
    // The command of the documentation, where its tools are there.
    let command =
        "sed -n 1p \"$0\" | sed 's/,\"digest\":\"[0-9a-f]*\"}$/}/' | tr -d '\\n' | sha256sum";
    let counted = Command::new("sh").arg("-c").arg(command).arg(bench.log()).output().unwrap();
    let counted = String::from_utf8_lossy(&counted.stdout).into_owned();
    if counted.is_empty() {
        eprintln!("no sha256sum here: the command of the documentation is not tried");
    } else {
        assert!(counted.starts_with(&digest.to_string()), "{counted}");
    }
}

#[test]
fn moments_are_those_of_the_calendar() {
    // Counted by Python's datetime: int(datetime(..., tzinfo=utc).timestamp()).
    for (seconds, text) in [
        (0, "1970-01-01T00:00:00Z"),
        (68_255_999, "1972-02-29T23:59:59Z"),
        (946_684_799, "1999-12-31T23:59:59Z"),
        (951_868_800, "2000-03-01T00:00:00Z"),
        (1_777_644_202, "2026-05-01T14:03:22Z"),
        (4_107_542_400, "2100-03-01T00:00:00Z"),
        (253_402_300_799, "9999-12-31T23:59:59Z"),
    ] {
        assert_eq!(moment(seconds).to_string(), text);
        assert_eq!(text.parse::<Moment>(), Ok(moment(seconds)));
    }
    // Every day of four centuries has its own text, and back.
    let mut before = String::new();
    for day in 0..146_097 {
        let text = moment(day * 86_400 + 45_296).to_string();
        assert!(text > before && text.ends_with("T12:34:56Z"), "{text}");
        assert_eq!(text.parse::<Moment>(), Ok(moment(day * 86_400 + 45_296)));
        before = text;
    }
    for text in [
        "1969-12-31T23:59:59Z",
        "2026-00-01T00:00:00Z",
        "2026-13-01T00:00:00Z",
        "2026-04-31T00:00:00Z",
        "2026-02-29T00:00:00Z",
        "2026-05-01T24:00:00Z",
        "2026-05-01T00:60:00Z",
        "2026-05-01T00:00:60Z",
        "2026-05-01t00:00:00Z",
        "2026-05-01T00:00:00",
        "2026-05-01T00:00:00+02:00",
        "+026-05-01T00:00:00Z",
        "",
    ] {
        assert!(text.parse::<Moment>().is_err(), "{text}");
    }
    assert!(Moment::from_unix(253_402_300_800).is_err());
}
