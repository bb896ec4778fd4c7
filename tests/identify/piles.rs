//! Pile files that are not: every fault with its place, nothing that stops the program.
#![expect(
    clippy::disallowed_methods,
    reason = "these tests write the files that are to be refused"
)]

use crate::commands::Bench;
use crate::house::read;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("plan.toml", &read("tests/stories/identify/plan.toml"));
    bench
}

fn refused(pile: &str) -> String {
    let bench = bench();
    bench.write("pile.toml", pile);
    let run = bench.run("identify plan.toml pile.toml");
    assert_eq!(run.status, 2, "{pile}: {}", run.out);
    assert!(run.out.is_empty() && run.err.starts_with("error: "), "{}", run.err);
    run.err
}

/// The pile of the story with one text for another.
fn altered(from: &str, to: &str) -> String {
    let pile = read("tests/stories/identify/pile.toml");
    assert!(pile.contains(from), "the pile has no {from}");
    pile.replacen(from, to, 1)
}

#[test]
fn every_fault_is_told_with_its_place() {
    for (from, to, said) in [
        ("length  = \"315 mm\"", "length  = \"315 bar\"", "pile.toml:8:"),
        ("length  = \"315 mm\"", "length  = 315", "text with a unit"),
        ("length  = \"315 mm\"", "lenght  = \"315 mm\"", "did you mean \"length\"?"),
        ("length  = \"315 mm\"", "length  = \"NaN mm\"", "length"),
        ("length  = \"315 mm\"", "length  = \"-315 mm\"", "length must be greater than zero"),
        (
            "length  = \"315 mm\"",
            "length  = \"315 mm ± 0 mm\"",
            "nothing is measured without error",
        ),
        ("length  = \"315 mm\"", "length  = \"315 mm ± -1 mm\"", "not negative"),
        ("id      = \"b\"", "id      = \"a\"", "pipe \"a\" stands twice"),
        ("id      = \"b\"", "id      = \"b\"\nlabel = \"O9\"", "line \"O9\" is not known"),
        ("length = \"3 mm\", ", "", "it is not said by how much length may be wrong"),
        ("error = {", "strangers = \"0 %\"\nerror = {", "more than 0 %"),
        ("error = {", "strangers = \"100 %\"\nerror = {", "less than 100 %"),
        ("thread = \"3/4-16\"", "thread = \"fine\"", "thread \"fine\" is not one"),
        ("thread = \"3/4-16\"", "pitch = \"fine\"", "pitch \"fine\" cannot be read"),
        ("angle = \"0 deg\"", "angle = \"200 deg\"", "from 0 to 180 deg"),
        ("cone = \"37 deg\"", "cone = \"\"", "cone"),
        ("[pile]", "[pil]", "did you mean \"pile\"?"),
        ("length = \"3 mm\", ", "length = \"3 bar\", ", "1 problem;"),
        ("sleeved = false", "sleeved = \"no\"", "sleeved"),
    ] {
        let told = refused(&altered(from, to));
        assert!(told.contains(said), "{to}: {told}");
        assert!(told.contains("pile.toml:"), "{to}: {told}");
    }
}

#[test]
fn all_faults_are_told_at_once() {
    let pile = altered("length  = \"315 mm\"", "length  = \"315 bar\"")
        .replacen("bore    = \"11.0 mm\"", "bore    = 11.0", 1)
        .replacen("thread = \"7/8-14\"", "thread = \"\"", 1);
    let told = refused(&pile);
    assert!(told.contains("3 problems"), "{told}");
}

#[test]
fn what_is_no_pile_is_refused() {
    for empty in [
        "",
        "\n",
        "[pile]\nname = \"x\"\n",
        "pipe = []\n[pile]\nname = \"x\"\n",
        "pipe = 3",
        "[[pipe]",
        "\u{0}",
    ] {
        refused(empty);
    }
    let bench = bench();
    std::fs::write(bench.path("pile.toml"), [b'[', 0xff, 0xfe]).unwrap();
    let run = bench.run("identify plan.toml pile.toml");
    assert!(run.status == 2 && run.err.contains("not UTF-8"), "{}", run.err);
    for (line, said) in [
        ("identify plan.toml none.toml", "there is no file none.toml"),
        ("identify plan.toml .", "is a folder, not a pile"),
        ("identify - -", "only one"),
        ("identify plan.toml", "required"),
    ] {
        let run = bench.run(line);
        assert!(run.status == 2 && run.err.contains(said), "{line}: {}", run.err);
    }
}

#[test]
fn a_huge_pile_is_refused_and_a_large_one_is_told_apart_the_same_twice() {
    let pipes = |number: usize| {
        let one = |i: usize| {
            format!("[[pipe]]\nid = \"p{i}\"\nlength = \"{} mm ± 40 mm\"\n", 130 + i * 9)
        };
        let all: String = (0..number).map(one).collect();
        format!("[pile]\nname = \"many\"\n{all}")
    };
    assert!(refused(&pipes(20_000)).contains("more than the 300"));
    let bench = bench();
    bench.write("pile.toml", &pipes(300));
    let run = bench.run("identify plan.toml pile.toml --format json");
    assert_eq!(run.status, 0, "{}", run.err);
    assert_eq!(run.out, bench.run("identify plan.toml pile.toml --format json").out);
}

#[test]
fn a_pile_comes_by_standard_input() {
    let bench = bench();
    let pile = read("tests/stories/identify/pile.toml");
    bench.write("pile.toml", &pile);
    let piped = bench.run_with(&["identify", "plan.toml", "-"], &pile);
    assert_eq!(piped.out, bench.run("identify plan.toml pile.toml").out);
}
