//! `log`: entries beside the plan, what they are about, and what becomes of a damaged record.

use std::process::Stdio;
use std::time::Duration;

use hosewright::plan::starter::STARTER;
use hosewright::record::{Digest, entries, verify};
use serde_json::Value;

use super::{Bench, Run};

const TIME: &str = "2026-05-01T14:03:22Z";

/// Adds an entry with arguments behind the plan.
fn add(bench: &Bench, args: &[&str]) -> Run {
    bench.run_args(
        &[&["log", "add", "plan.toml"], args, &["--by", "A. Builder", "--time", TIME]].concat(),
    )
}

fn filled() -> Bench {
    let bench = Bench::new();
    for args in [
        &["made", "F1", "--value", "cut=462 mm", "--note", "capped"][..],
        &["cap-removed", "F1.A"],
        &["tightened", "PUMP.IN", "--value", "torque=12 N m"],
        &["inspected", "TANK"],
        &["note", "--note", "rain all day"],
    ] {
        let run = add(&bench, args);
        assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    }
    bench
}

fn holds(bench: &Bench) -> u64 {
    let bytes = bench.read("plan.log");
    let verified = verify(bytes.as_bytes(), None);
    assert_eq!(verified.faults, []);
    verified.entries
}

#[test]
fn entries_are_added_shown_and_verified() {
    let bench = filled();
    let shown = bench.run("log show plan.toml");
    assert_eq!(shown.status, 0);
    for words in [
        "plan.log: 5 entries",
        "made F1 A. Builder cut 462 mm capped",
        "2026-05-01 14:03:22",
        "F1, TANK.OUT",
        "rain all day",
        "the chain holds",
    ] {
        let words: Vec<&str> = words.split(' ').collect();
        assert!(words.iter().all(|w| shown.out.contains(w)), "{words:?}: {}", shown.out);
    }
    let verified = bench.run("log verify plan.toml");
    assert_eq!(verified.status, 0);
    assert!(verified.words().contains("Entries cut off at the end"), "{}", verified.out);
    let run = bench.run("log show plan.toml --format json").json();
    let first = &run["entries"][0];
    assert_eq!((&first["line"], &first["values"]["cut"]), (&"F1".into(), &"462 mm".into()));
    // What an entry covers is the plan as it stood.
    assert_eq!(first["covers"]["plan"], Digest::of(STARTER.as_bytes()).to_string());
    assert_eq!(
        (&run["entries"][1]["line"], &run["entries"][1]["joint"]),
        (&"F1".into(), &"TANK.OUT".into())
    );
    assert_eq!(
        (&run["entries"][2]["line"], &run["entries"][2]["joint"]),
        (&Value::Null, &"PUMP.IN".into())
    );
    assert_eq!(run["entries"][3]["component"], "TANK");
    assert_eq!(run["faults"], serde_json::json!([]));
    let rows = bench.run("log show plan.toml --format csv").csv();
    assert_eq!((rows.len(), rows[3][7].as_str()), (6, "torque=12 N m"));
    // The pump's inlet is the end of the line.
    let of_line = bench.run("log show plan.toml --line F1 --format json").json();
    let numbers: Vec<u64> = of_line["entries"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|e| e["number"].as_u64())
        .collect();
    assert_eq!(numbers, [1, 2, 3]);
}

#[test]
fn the_card_finds_what_was_cut_off_and_the_chain_what_was_changed() {
    let bench = filled();
    let last = add(&bench, &["fitted", "F1"]);
    let card = last.out.split("on the card: entry 6, ").nth(1).unwrap().trim().to_owned();
    let digest = last.out.split("digest ").nth(1).unwrap().split('\n').next().unwrap().to_owned();
    assert!(digest.replace(' ', "").starts_with(&card.replace(' ', "")));
    let whole = bench.read("plan.log");
    let check = |head: &str| bench.run_args(&["log", "verify", "plan.toml", "--head", head]);
    for head in [&card, &digest] {
        let run = check(head);
        assert_eq!(run.status, 0, "{}", run.out);
        assert!(run.out.contains("on the card: entry 6, the last there is"), "{}", run.out);
    }
    add(&bench, &["note", "--note", "later"]);
    assert!(check(&card).out.contains("on the card: entry 6, 1 entry since"));
    let five: String = whole.split_inclusive('\n').take(5).collect();
    bench.write("plan.log", &five);
    assert_eq!(bench.run("log verify plan.toml").status, 0);
    let cut = check(&card);
    assert_eq!(cut.status, 1);
    assert!(cut.words().contains("line 6, column 1: no entry has the digest"), "{}", cut.out);
    bench.write("plan.log", &whole.replace("462 mm", "426 mm"));
    for command in ["verify", "show"] {
        let run = bench.run(&format!("log {command} plan.toml"));
        assert_eq!(run.status, 1);
        assert!(run.words().contains("line 1, column 1: the entry was changed"), "{}", run.out);
        let data = bench.run(&format!("log {command} plan.toml --format json"));
        assert_eq!((data.status, &data.json()["faults"][0]["line"]), (1, &1.into()));
    }
    let rows = bench.run("log verify plan.toml --format csv").csv();
    assert_eq!(rows[1][..2], ["1", "1"]);
    assert_eq!(check("1234").status, 2);
    assert!(check("1234").err.contains("16 to 64 digits"));
}

#[test]
fn a_torn_line_is_set_aside_with_a_message() {
    let bench = filled();
    let whole = bench.read("plan.log");
    bench.write("plan.log", &whole[..whole.len() - 30]);
    let shown = bench.run("log show plan.toml");
    assert_eq!(shown.status, 1);
    assert!(shown.words().contains("the line breaks off after"), "{}", shown.out);
    let run = add(&bench, &["note", "--note", "again"]);
    assert!(run.words().contains("plan.log was repaired: its last line broke off"), "{}", run.out);
    assert!(run.words().contains("they are in plan.log.torn-1 now"), "{}", run.out);
    let torn = whole.split_inclusive('\n').nth(4).unwrap();
    assert_eq!(bench.read("plan.log.torn-1"), torn[..torn.len() - 30]);
    assert_eq!(holds(&bench), 5);
    let whole = bench.read("plan.log");
    bench.write("plan.log", whole.trim_end());
    let run = add(&bench, &["note", "--note", "once more"]);
    assert!(run.words().contains("lacked the end of its line"), "{}", run.out);
    assert_eq!(holds(&bench), 6);
}

#[test]
fn a_picture_is_known_by_its_digest() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("pictures")).unwrap();
    std::fs::write(bench.path("pictures/one.jpg"), vec![7; 200_000]).unwrap();
    let run = add(&bench, &["photo", "F1", "--photo", "pictures/one.jpg"]);
    assert_eq!(run.status, 0, "{}", run.err);
    let photos = &bench.run("log show plan.toml --format json").json()["entries"][0]["photos"];
    assert_eq!(photos["one.jpg"], Digest::of(&vec![7; 200_000]).to_string());
    for (file, words) in
        [("pictures", "is a folder, not a picture"), ("pictures/two.jpg", "could not be read")]
    {
        let run = add(&bench, &["photo", "F1", "--photo", file]);
        assert_eq!(run.status, 2);
        assert!(run.err.contains(words), "{}", run.err);
    }
    let twice = ["photo", "--photo", "pictures/one.jpg", "--photo", "./pictures/one.jpg"];
    assert!(add(&bench, &twice).err.contains("two pictures are called one.jpg"));
}

#[test]
fn what_cannot_be_understood_is_refused_and_nothing_is_written() {
    let bench = Bench::new();
    let says = |args: &[&str], words: &str| {
        let run = add(&bench, args);
        assert_eq!(run.status, 2, "{args:?}: {}", run.out);
        assert!(run.err.contains(words), "{args:?}: {}", run.err);
        assert!(!bench.path("plan.log").exists(), "{args:?}");
    };
    says(&["mode", "F1"], "made");
    says(&["made", "F11"], "did you mean \"F1\"?");
    says(&["made", "PUMP.INN"], "did you mean \"PUMP.IN\"?");
    says(&["made", "TANKS"], "did you mean \"TANK\"?");
    says(&["made", "???"], "known: F1");
    says(&["made", "line:TANK"], "the plan has no line \"TANK\"");
    says(&["made"], "says of what");
    says(&["measured", "F1"], "says what was read");
    says(&["note"], "\"note\" has a text");
    says(&["photo"], "\"photo\" has a picture");
    says(&["made", "F1", "--value", "462 mm"], "is not NAME=QUANTITY");
    says(&["made", "F1", "--value", "=462 mm"], "lacks its name");
    says(&["made", "F1", "--value", "cut=462"], "\"462\" has no unit");
    says(&["made", "F1", "--value", "cut=462 mmm"], "is no quantity");
    says(&["made", "F1", "--value", "a=1 mm", "--value", "a=2 mm"], "stands twice");
    says(&["note", "--note", "a\u{1b}[2Jb"], "another character that is not seen");
    says(&["note", "--note", "a\u{202e}b"], "another character that is not seen");
    says(&["note", "--note", " "], "--note is empty");
    says(&["note", "--note", &"x".repeat(100_000)], "at most 65536 bytes");
    let run = bench.run_args(&[
        "log",
        "add",
        "plan.toml",
        "note",
        "--note",
        "a",
        "--by",
        "b",
        "--time",
        "today",
    ]);
    assert!(run.status == 2 && run.err.contains("2026-05-01T14:03:22Z"), "{}", run.err);
    bench.write("broken.toml", "[plan]\nname = 3\n");
    let run = bench.run_args(&["log", "add", "broken.toml", "note", "--note", "a", "--by", "b"]);
    assert!(run.status == 2 && run.err.contains("broken.toml:2"), "{}", run.err);
    for (line, words) in [
        ("log show plan.toml", "there is no record plan.log"),
        ("log verify plan.toml", "there is no record plan.log"),
        ("log verify -", "standard input has no place"),
        ("log verify plan.log", "plan.log is a record, not a plan"),
    ] {
        let run = bench.run(line);
        assert!(run.status == 2 && run.err.contains(words), "{line}: {}", run.err);
    }
    let bench = filled();
    let run = bench.run("log show plan.toml --line F11");
    assert!(run.status == 2 && run.err.contains("did you mean \"F1\"?"), "{}", run.err);
}

#[test]
fn a_name_that_two_things_bear_is_asked_about() {
    let bench = Bench::new();
    let text = STARTER.replace("\"TANK\"", "\"F1\"").replace("TANK.OUT", "F1.OUT");
    bench.write("plan.toml", &text);
    let run = add(&bench, &["made", "F1"]);
    assert_eq!(run.status, 2);
    assert!(run.err.contains("\"line:F1\" or \"component:F1\""), "{}", run.err);
    assert_eq!(add(&bench, &["made", "line:F1"]).status, 0);
    assert_eq!(add(&bench, &["inspected", "component:F1"]).status, 0);
    let data = bench.run("log show plan.toml --format json").json();
    assert_eq!(
        (&data["entries"][0]["line"], &data["entries"][1]["component"]),
        (&"F1".into(), &"F1".into())
    );
    // The line is gone from the plan, and its entries are still there.
    bench.write("plan.toml", &text.replace("id      = \"F1\"", "id      = \"F2\""));
    let data = bench.run("log show plan.toml --line F1 --format json").json();
    assert_eq!(data["entries"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_record_that_is_no_record_is_told_with_its_place() {
    let bench = filled();
    let whole = std::fs::read(bench.path("plan.log")).unwrap();
    let says = |more: &[u8], place: &str, words: &str| {
        let bytes = [&whole, more].concat();
        std::fs::write(bench.path("plan.log"), &bytes).unwrap();
        let run = add(&bench, &["note", "--note", "a"]);
        assert_eq!(run.status, 2);
        assert!(run.err.contains(place) && run.err.contains(words), "{}", run.err);
        assert_eq!(std::fs::read(bench.path("plan.log")).unwrap(), bytes);
        let data = bench.run_args(&["log", "show", "plan.toml", "--format", "json"]);
        assert_eq!((data.status, &data.json()["faults"][0]["line"]), (1, &6.into()));
    };
    says(b"caf\xe9\n", "plan.log:6:4", "not UTF-8");
    says(b"my notes\n", "plan.log:6:1", "does not begin with");
    says(b"my notes", "plan.log:6:1", "no entry that was broken off");
    std::fs::write(bench.path("plan.log"), [b"caf\xe9\n", &whole[..]].concat()).unwrap();
    let shown = bench.run("log show plan.toml");
    assert!(
        shown.words().contains("line 1, column 4: the line is not UTF-8 text"),
        "{}",
        shown.out
    );
    std::fs::remove_file(bench.path("plan.log")).unwrap();
    bench.folder("plan.log");
    for command in ["show plan.toml", "verify plan.toml", "add plan.toml note --by me --note a"] {
        let run = bench.run(&format!("log {command}"));
        assert!(run.status == 2 && run.err.contains("plan.log: this is a folder"), "{}", run.err);
    }
}

#[test]
fn an_entry_that_somebody_else_wrote_cannot_reach_the_terminal() {
    let bench = Bench::new();
    let body = format!(
        "{{\"number\":1,\"time\":\"{TIME}\",\"by\":\"=1+1\",\"what\":\"note\",\"note\":\"a\\u001b[2Jb\u{202e}c\",\"before\":\"{}\"",
        Digest::NONE
    );
    let digest = Digest::of(format!("{body}}}").as_bytes());
    bench.write("plan.log", &format!("{body},\"digest\":\"{digest}\"}}\n"));
    for format in ["text", "csv", "json"] {
        let run = bench.run(&format!("log show plan.toml --format {format}"));
        assert_eq!(run.status, 0, "{}", run.err);
        assert!(!run.out.contains('\u{1b}'), "{}", run.out);
        assert!(format == "json" || !run.out.contains('\u{202e}'), "{}", run.out);
    }
    assert_eq!(bench.run("log show plan.toml --format csv").csv()[1][2], "'=1+1");
    // A word that this program does not know is told, not left out.
    let body = body.replace("\"note\",", "\"dreamt\",");
    let digest = Digest::of(format!("{body}}}").as_bytes());
    bench.write("plan.log", &format!("{body},\"digest\":\"{digest}\"}}\n"));
    let run = bench.run("log show plan.toml");
    assert_eq!(run.status, 1);
    assert!(run.words().contains("cannot be read: unknown variant `dreamt`"), "{}", run.out);
}

#[test]
fn commands_at_once_all_get_in_and_killed_ones_lose_nothing() {
    let bench = Bench::new();
    let start = |number: u32| {
        let by = format!("builder {number}");
        let args = ["log", "add", "plan.toml", "made", "F1", "--by", &by, "--format", "json"];
        bench.command(&args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let mut safe = Vec::new();
    for round in 0..5 {
        let running: Vec<_> = (0..8).map(start).collect();
        for child in running {
            let run = super::finish(child.wait_with_output());
            assert_eq!(run.status, 0, "{}", run.err);
            safe.push(run.json()["added"]["digest"].as_str().unwrap().to_owned());
        }
        assert_eq!(holds(&bench), 8 * (round + 1));
    }
    let before = safe.len() as u64;
    let kills = 60;
    for kill in 0..kills {
        let mut child = start(100 + kill);
        std::thread::sleep(Duration::from_micros(u64::from(kill * 7919 % 60) * 500));
        child.kill().unwrap();
        let out = child.wait_with_output().unwrap();
        let data: Option<Value> = serde_json::from_slice(&out.stdout).ok();
        safe.extend(data.and_then(|d| d["added"]["digest"].as_str().map(str::to_owned)));
    }
    add(&bench, &["note", "--note", "the last"]);
    let number = holds(&bench);
    assert!((before + 1..=before + u64::from(kills) + 1).contains(&number), "{number}");
    let bytes = bench.read("plan.log");
    let kept: Vec<String> =
        entries(bytes.as_bytes()).0.iter().map(|e| e.digest.to_string()).collect();
    assert!(safe.iter().all(|digest| kept.contains(digest)), "an acknowledged entry is lost");
}
