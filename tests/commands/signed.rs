//! `log left`, `log pack`, `book --changed` and what `check` says of a record.

use super::{Bench, Run};

const TIME: &str = "2026-05-01T14:03:22Z";

fn add(bench: &Bench, by: &str, args: &[&str]) -> Run {
    let run = bench
        .run_args(&[&["log", "add", "plan.toml"], args, &["--by", by, "--time", TIME]].concat());
    assert_eq!(run.status, 0, "{args:?}: {}", run.err);
    run
}

/// Ids of the lines, of the starter plan.
fn lines(bench: &Bench) -> Vec<String> {
    let cut = bench.run("check plan.toml --format json").json();
    let lines = cut["lines"].as_array().cloned().unwrap_or_default();
    lines.iter().map(|l| l["id"].as_str().unwrap_or_default().to_owned()).collect()
}

/// What the report of what is left asks to be measured of a line, each with a value that is right.
fn measured(bench: &Bench, line: &str) -> Vec<String> {
    let left = bench.run("log left plan.toml --format json").json();
    let lines = left["lines"].as_array().cloned().unwrap_or_default();
    let line = lines.iter().find(|l| l["line"] == line).cloned().unwrap_or_default();
    let readings = line["readings"].as_array().cloned().unwrap_or_default();
    let value = |reading: &serde_json::Value| {
        let what = reading["what"].as_str().unwrap_or_default().to_owned();
        let right = reading["right"].as_str().unwrap_or_default().to_owned();
        let first = right.split(' ').find(|w| w.parse::<f64>().is_ok()).unwrap_or("0").to_owned();
        match what.as_str() {
            "caps on" | "caps off" => format!("{what}=2 caps"),
            "clock" => format!("{what}={first} deg"),
            _ => format!("{what}={first} mm"),
        }
    };
    readings.iter().map(value).collect()
}

/// Everything done on every line of the starter plan, and its tests.
fn finished(bench: &Bench, inspector: &str) {
    add(bench, "A. Builder", &["note", "--note", "begun"]);
    for line in lines(bench) {
        let values = measured(bench, &line);
        assert!(values.len() >= 4, "{values:?}");
        let values: Vec<&str> = values.iter().flat_map(|v| ["--value", v.as_str()]).collect();
        add(bench, "A. Builder", &[&["made", &line][..], &values].concat());
        for what in ["tested", "fitted", "tightened"] {
            add(bench, "A. Builder", &[what, &line]);
        }
        add(bench, inspector, &["inspected", &line]);
    }
    let left = bench.run("log left plan.toml --format json").json();
    for test in left["tests"].as_array().into_iter().flatten() {
        let name = test["test"].as_str().unwrap_or_default();
        let name = format!("test:{name}");
        add(bench, "A. Builder", &["flow-measured", &name, "--value", "time=40 s"]);
    }
}

#[test]
fn the_pack_is_refused_while_anything_is_blank_and_written_when_nothing_is() {
    let bench = Bench::new();
    add(&bench, "A. Builder", &["note", "--note", "begun"]);
    let refused = bench.run("log pack plan.toml --out pack.html");
    assert_eq!(refused.status, 1, "{}", refused.out);
    for words in ["The pack is not written", "caps on", "not inspected", "no legal sign-off"] {
        assert!(refused.words().contains(words), "{words}: {}", refused.out);
    }
    assert!(!bench.path("pack.html").exists());
    let done = Bench::new();
    finished(&done, "<b>B & \"Friend\"</b>");
    let left = done.run("log left plan.toml");
    assert!(left.words().contains("Nothing is left that the record knows of"), "{}", left.out);
    let written = done.run("log pack plan.toml --out pack.html");
    assert_eq!(written.status, 0, "{}{}", written.out, written.err);
    let page = done.read("pack.html");
    let last = done.read("plan.log").lines().last().map(str::to_owned).unwrap_or_default();
    let head =
        last.rsplit("\"digest\":\"").next().and_then(|d| d.get(..64)).unwrap_or("none").to_owned();
    assert!(page.contains(&head), "{head}");
    assert!(page.contains("&lt;b&gt;B &amp; ") && !page.contains("<b>B &"), "names are escaped");
    assert!(page.contains("no legal sign-off"));
    // A pack goes over a pack, and over nothing else.
    assert_eq!(done.run("log pack plan.toml --out pack.html").status, 0);
    assert_eq!(done.run("log pack plan.toml --out plan.toml").status, 2);
    // One cap that nobody counted, and it is refused again.
    add(&done, "A. Builder", &["replaced", &lines(&done)[0], "--value", "caps on=2 caps"]);
    let refused = done.run("log pack plan.toml --out pack.html --format json");
    assert_eq!(refused.status, 1);
    assert!(refused.json()["missing"].to_string().contains("caps off"), "{}", refused.out);
}

#[test]
fn a_builder_who_inspects_his_own_fuel_line_gets_no_pack() {
    let bench = Bench::new();
    finished(&bench, "a. builder ");
    let refused = bench.run("log pack plan.toml --out pack.html");
    assert_eq!(refused.status, 1, "{}", refused.out);
    assert!(refused.words().contains("no second person has inspected it"), "{}", refused.out);
    let check = bench.run("check plan.toml --format csv").csv();
    let row = check.iter().find(|row| row.iter().any(|c| c == "record.second-person"));
    assert!(row.is_some_and(|row| row.iter().any(|c| c == "caution")), "{row:?}");
}

#[test]
fn a_test_at_too_little_fails_until_it_is_made_again() {
    let bench = Bench::new();
    let line = lines(&bench)[0].clone();
    let proof = bench.run("test proof plan.toml --format csv").csv();
    let asked: f64 = proof[1][3].parse().unwrap_or_else(|e| panic!("{e}: {:?}", proof[1]));
    let verdict = || {
        let rows = bench.run("check plan.toml --format csv").csv();
        let row = rows.into_iter().find(|row| row.iter().any(|cell| cell == "record.proof"));
        row.map(|row| ["ok", "fail", "open"].into_iter().find(|v| row.iter().any(|c| c == v)))
    };
    let tested = |value: &str| add(&bench, "A. Builder", &["tested", &line, "--value", value]);
    add(&bench, "A. Builder", &["made", &line]);
    assert_eq!(verdict(), None);
    add(&bench, "A. Builder", &["tested", &line]);
    assert_eq!(verdict(), Some(Some("open")));
    tested(&format!("pressure={} bar", 0.8 * asked));
    assert_eq!(verdict(), Some(Some("fail")));
    tested(&format!("pressure={asked} bar"));
    assert_eq!(verdict(), Some(Some("ok")));
}

#[test]
fn without_a_record_nothing_speaks_of_it() {
    let bench = Bench::new();
    assert!(!bench.run("check plan.toml --all").out.contains("record."));
    assert!(!bench.run("book plan.toml --out -").out.contains("What is done, by the record"));
    for line in ["log left plan.toml", "log pack plan.toml --out x.html"] {
        let run = bench.run(line);
        assert_eq!(run.status, 2, "{}", run.out);
        assert!(run.err.contains("there is no record"), "{}", run.err);
    }
    let changed = bench.run("book plan.toml --changed");
    assert_eq!(changed.status, 2);
    assert!(changed.err.contains("there is no record"), "{}", changed.err);
}

#[test]
fn a_record_that_does_not_hold_fails_in_check_and_on_the_front_page() {
    let bench = Bench::new();
    let line = lines(&bench)[0].clone();
    add(&bench, "A. Builder", &["made", &line]);
    add(&bench, "A. Builder", &["fitted", &line]);
    assert_eq!(bench.run("check plan.toml").status, 0);
    assert!(bench.run("book plan.toml --out -").out.contains("What is done, by the record"));
    bench.write("plan.log", &bench.read("plan.log").replacen("A. Builder", "B. Builder", 1));
    let check = bench.run("check plan.toml");
    assert_eq!(check.status, 1);
    assert!(check.out.contains("record.chain"), "{}", check.out);
    assert_eq!(bench.run("log left plan.toml").status, 1);
    assert!(bench.run("book plan.toml --out -").out.contains("The record does not hold"));
}

#[test]
fn what_is_left_fits_the_width_in_every_format() {
    let bench = Bench::new();
    let line = lines(&bench)[0].clone();
    add(&bench, "A. Builder", &["made", &line, "--value", "cut=462 mm"]);
    let end = format!("{line}.A");
    add(&bench, "A. Builder", &["tightened", &end]);
    for width in [40, 60, 80, 120] {
        for command in
            ["log left plan.toml", "log pack plan.toml --out x.html", "log show plan.toml"]
        {
            let run = bench.run(&format!("{command} --width {width}"));
            let wide = run
                .out
                .lines()
                .filter(|l| l.chars().count() > width && l.split_whitespace().count() > 1);
            assert_eq!(wide.collect::<Vec<_>>(), Vec::<&str>::new(), "{command}");
        }
    }
    let rows = bench.run("log left plan.toml --format csv").csv();
    assert_eq!(rows.len(), lines(&bench).len() + 1);
    assert_eq!(rows[1][1], "made");
    // A plan that cannot be understood still lets its record be shown.
    bench.write("plan.toml", "[plan]\n");
    let shown = bench.run("log show plan.toml");
    assert_eq!(shown.status, 0);
    assert!(shown.words().contains("which entries are void is not told"), "{}", shown.out);
}
