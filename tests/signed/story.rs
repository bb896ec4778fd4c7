//! A port moves after everything was signed: the cards that depend on it are void, and no others.

use std::collections::BTreeSet;

use hosewright::book::{Look, html};
use hosewright::signed::{Bond, LineState};
use hosewright::table::Tables;

use super::{Machine, all_signed, example};
use crate::commands::Bench;

/// The radiator 15 mm farther back and 8 mm lower, every one of its ports.
fn moved() -> String {
    let mut text = example("01-amphibian");
    for (old, new) in [
        ("at = [2180, -160, 1640]", "at = [2195, -160, 1632]"),
        ("at = [2180, 160, 1340]", "at = [2195, 160, 1332]"),
        ("at = [2180, -180, 1660]", "at = [2195, -180, 1652]"),
    ] {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    text
}

#[test]
fn a_radiator_moves_and_its_three_lines_are_void_with_their_joints() {
    let tables = Tables::builtin();
    let before = Machine::of(&example("01-amphibian"), &tables, false).unwrap();
    let after = Machine::of(&moved(), &tables, false).unwrap();
    let subjects = before.subjects(&tables);
    let held = after.signed(&tables, all_signed(&subjects));
    let void = subjects.iter().zip(&held.bonds).filter(|(_, bond)| **bond != Bond::Holds);
    let void: BTreeSet<&str> = void.map(|(subject, _)| subject.key.as_str()).collect();
    let touched = [
        "line C1",
        "joint TH.MAIN",
        "joint RAD.IN",
        "line C2",
        "joint RAD.OUT",
        "joint WP.IN",
        "line C7",
        "joint RAD.BLEED",
        "joint XT.VENT1",
    ];
    assert_eq!(void, BTreeSet::from(touched));
    let due: Vec<&str> = held
        .lines
        .iter()
        .filter(|line| line.word() == "re-check due")
        .map(|line| line.id.as_str())
        .collect();
    assert_eq!(due, ["C1", "C2", "C7"]);
    // The other lines of the same circuit were solved again, and stay as they were signed.
    assert_eq!(held.line("C3").map(LineState::word), Some("made"));
    let codes = |machine: &Machine| {
        let look = Look { changed: true, ..Look::default() };
        let book = machine.book(&tables, look);
        html(&hosewright::book::Book { signed: Some(&held), ..book })
    };
    let page = codes(&after);
    assert_eq!(page.matches("<section class=\"slip\">").count(), 3);
    assert_eq!(page.matches("<article class=\"card\"").count(), 3);
    assert_eq!(page.matches("Destroy the old card").count(), 3);
    for line in ["C1", "C2", "C7"] {
        assert!(page.contains(&format!("VOID: the card of {line} with code")), "{line}");
        assert!(page.contains(&format!("What changed: {line}")), "{line}");
    }
    assert!(page.contains("<li class=\"changed\">was: <del>CUT "), "old words are crossed");
    assert!(page.contains("<li class=\"changed\">now: <ins>CUT "), "new words are shown");
}

/// The press with its cooler 15 mm farther right and 8 mm lower.
fn cooler_moved(text: &str) -> String {
    let mut text = text.to_owned();
    for (old, new) in [("[60, 460, 520]", "[75, 460, 512]"), ("[60, 460, 300]", "[75, 460, 292]")] {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    text
}

#[test]
fn the_same_by_the_command_line() {
    let bench = Bench::new();
    let text = example("03-press");
    bench.write("plan.toml", &text);
    assert_eq!(bench.run("check plan.toml --format csv").out.matches("record.").count(), 0);
    for place in ["P5", "P5.A", "P6", "P6.B", "P4", "P4.B", "P1"] {
        let what = if place.contains('.') { "tightened" } else { "made" };
        let args = ["log", "add", "plan.toml", what, place, "--by", "A. Builder"];
        assert_eq!(bench.run_args(&args).status, 0, "{place}");
    }
    let old = bench.run("book plan.toml --out - --pocket").out;
    let shown = bench.run("log show plan.toml --format json").json();
    assert_eq!(shown["void"], serde_json::json!([]));
    let none = bench.run("book plan.toml --out - --changed").out;
    assert!(none.contains("No card that was signed has changed"), "{none}");
    bench.write("plan.toml", &cooler_moved(&text));
    let shown = bench.run("log show plan.toml --format json").json();
    let void = shown["void"].as_array().unwrap().iter().map(|v| v["number"].as_u64().unwrap());
    assert_eq!(void.collect::<Vec<_>>(), [1, 2, 3, 4]);
    let said = bench.run("log show plan.toml");
    assert!(said.out.contains("made VOID"), "{}", said.out);
    assert!(said.words().contains("what is printed of line P5 has changed since"), "{}", said.out);
    let findings = bench.run("check plan.toml --format csv").csv();
    let of_void = findings.iter().filter(|row| row.iter().any(|c| c == "record.void")).count();
    assert_eq!(of_void, 4);
    let page = bench.run("book plan.toml --out - --changed").out;
    let new = bench.run("book plan.toml --out - --pocket").out;
    let code = |book: &str, line: &str| {
        let row = book.split(&format!(">{line}</a>")).nth(1).unwrap().to_owned();
        row.split("<code>").nth(1).unwrap().split("</code>").next().unwrap().to_owned()
    };
    for line in ["P5", "P6"] {
        let slip = page.split(&format!("VOID: the card of {line} with code")).nth(1).unwrap();
        let slip = slip.split("</section>").next().unwrap();
        assert!(slip.contains(&code(&old, line)) && slip.contains(&code(&new, line)), "{slip}");
    }
    assert_eq!(page.matches("<section class=\"slip\">").count(), 2);
    for line in ["P1", "P4"] {
        assert_eq!(code(&old, line), code(&new, line));
        assert!(!page.contains(&format!("the card of {line} ")), "{line}");
    }
    // Signed again by the new card, nothing is void that nobody has signed again.
    for (what, place) in [("made", "P5"), ("tightened", "CLR.IN"), ("tightened", "FLT.OUT")] {
        let args = ["log", "add", "plan.toml", what, place, "--by", "A. Builder"];
        assert_eq!(bench.run_args(&args).status, 0, "{place}");
    }
    let left = bench.run("log left plan.toml --format json").json();
    let state = |id: &str| {
        let lines = left["lines"].as_array().unwrap().iter();
        lines.clone().find(|l| l["line"] == id).unwrap()["state"].clone()
    };
    assert_eq!((state("P5"), state("P6")), ("tightened".into(), "re-check due".into()));
}
