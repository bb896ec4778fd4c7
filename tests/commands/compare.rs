//! `compare`: what changed between two plans, on one screen and in full.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::{Bench, EXAMPLES, example};

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

/// The starter, and another edition of it beside it.
fn edited(edits: &[(&str, &str)]) -> Bench {
    let bench = Bench::new();
    let mut text = STARTER.to_owned();
    for (old, new) in edits {
        assert!(text.contains(old), "the starter does not say {old}");
        text = text.replace(old, new);
    }
    bench.write("new.toml", &text);
    bench
}

fn says(bench: &Bench) -> Vec<String> {
    let run = bench.run("compare plan.toml new.toml --format json");
    let value = run.json();
    list(&value, "plan").iter().filter_map(|c| c["says"].as_str().map(str::to_owned)).collect()
}

#[test]
fn the_same_plan_has_changed_in_nothing() {
    let bench = edited(&[]);
    let run = bench.run("compare plan.toml new.toml");
    assert_eq!(run.status, 0, "{}", run.err);
    assert!(run.words().contains("nothing changed:"), "{}", run.out);
    let value = bench.run("compare plan.toml new.toml --format json").json();
    for part in ["plan", "findings", "figures", "order", "cards"] {
        assert_eq!(list(&value, part), &[] as &[Value], "{part}");
    }
    for part in ["plan", "findings", "lengths", "flows", "order", "cards"] {
        assert!(value["same"][part].as_u64() > Some(0), "{part} is not counted: {}", value["same"]);
    }
    // Another unit, another blank, another comment are no change.
    let bench = edited(&[("\"3 mm\"", "\"0.3 cm\""), ("# --- lines", "# --- all lines")]);
    assert_eq!(says(&bench), [""; 0]);
}

#[test]
fn each_change_is_said_in_the_words_of_the_plan() {
    let bench = edited(&[
        ("[650, 150, 300]", "[650, 162, 300]"),
        ("[650, -80, 320]]", "[650, -75, 320], [650, 50, 310]]"),
        ("\"90 L/h\"", "\"95 L/h\""),
        ("length = \"3000 mm\"", "length = \"2000 mm\""),
        ("zone    = \"open\"\n", ""),
    ]);
    let said = says(&bench);
    for wanted in [
        "port PUMP.IN moved 12.0 mm by (0, 12, 0)",
        "line F1, clip 2 moved 5.0 mm by (0, 5, 0)",
        "line F1: clip 3 added (at (650, 50, 310))",
        "line F1, duty 1: flow 90 L/h -> 95 L/h",
        "stock, piece demo-oil-braid -6: length 3000 mm -> 2000 mm",
        "line F1: zone removed (open)",
    ] {
        assert!(said.iter().any(|s| s == wanted), "{wanted}: {said:#?}");
    }
    assert_eq!(said.len(), 6, "{said:#?}");
}

#[test]
fn lines_and_components_with_other_names_are_known_by_their_ends_and_places() {
    let bench = edited(&[
        ("\"PUMP\"", "\"LIFT\""),
        ("PUMP.IN", "LIFT.IN"),
        ("id      = \"F1\"", "id      = \"F9\""),
        ("level, sea level", "at rest"),
    ]);
    let value = bench.run("compare plan.toml new.toml --format json").json();
    assert_eq!(value["renamed"]["lines"]["F1"], "F9");
    assert_eq!(value["renamed"]["components"]["PUMP"], "LIFT");
    assert_eq!(value["renamed"]["cases"]["level, sea level"], "at rest");
    // Under other names everything is the same; only the card says the names.
    assert_eq!(
        (list(&value, "findings").len(), list(&value, "figures").len()),
        (0, 0),
        "{value:#}"
    );
    assert_eq!(list(&value, "cards").len(), 1);
    let said = says(&bench);
    assert_eq!(said.len(), 3, "{said:#?}");
    assert!(said.contains(&"line F9 was F1".to_owned()), "{said:#?}");
}

#[test]
fn results_are_those_that_each_plan_gives_alone() {
    let bench = edited(&[("[650, 150, 300]", "[650, 162, 300]"), ("\"90 L/h\"", "\"120 L/h\"")]);
    let value = bench.run("compare plan.toml new.toml --format json").json();
    let of = |plan: &str| bench.run(&format!("check {plan} --format json")).json();
    let (old, new) = (of("plan.toml"), of("new.toml"));
    let figure = |what: &str| {
        let mut found = list(&value, "figures").iter().filter(|f| f["what"] == what);
        let one = found.next().unwrap_or_else(|| panic!("no {what} in {value:#}"));
        (one["old"].as_f64(), one["new"].as_f64())
    };
    let cut = |check: &Value| list(check, "lines")[0]["cut_mm"].as_f64();
    assert_eq!(figure("cut"), (cut(&old), cut(&new)));
    let drop = |check: &Value| list(&list(check, "cases")[0], "lines")[0]["drop_kpa"].as_f64();
    assert_eq!(figure("drop"), (drop(&old), drop(&new)));
    let moved = list(&value, "findings").iter().find(|f| f["new"]["code"] == "hydraulics.velocity");
    let velocity = |check: &Value| {
        let found = list(check, "findings").iter().find(|f| f["code"] == "hydraulics.velocity");
        found.map(|f| f["value"].clone())
    };
    let moved = moved.unwrap_or_else(|| panic!("{value:#}"));
    assert_eq!(Some(moved["old"]["value"].clone()), velocity(&old));
    assert_eq!(Some(moved["new"]["value"].clone()), velocity(&new));
    assert_eq!(moved["became"], "less margin");
    // Whatever did not change is counted, and nothing is lost.
    let findings = list(&value, "findings").iter().filter(|f| !f["new"].is_null()).count() as u64;
    let all = findings + value["same"]["findings"].as_u64().unwrap();
    assert_eq!(all, list(&new, "findings").len() as u64);
}

#[test]
fn the_summary_fits_on_one_screen_and_the_worst_comes_first() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        let [plan, corrected] = ["plan.toml", "corrected.toml"].map(|p| example(folder, p));
        for (args, status) in [([&plan, &corrected], 0), ([&corrected, &plan], 1)] {
            let run = bench.run_args(&["compare", args[0], args[1]]);
            assert_eq!(run.status, status, "{folder}: {}{}", run.out, run.err);
            assert!(run.out.lines().count() <= 24, "{folder}:\n{}", run.out);
            assert!(run.out.lines().all(|l| l.chars().count() <= 80), "{folder}:\n{}", run.out);
            assert!(run.out.contains("--all lists every change"), "{folder}:\n{}", run.out);
        }
        let worse = bench.run_args(&["compare", &corrected, &plan]);
        let findings = worse.out.split("Findings").nth(1).unwrap_or_default();
        let first = findings.lines().nth(1).unwrap_or_default();
        assert!(first.trim_start().starts_with("fail, was"), "{folder}: {}", worse.out);
        let all = bench.run_args(&["compare", &corrected, &plan, "--all"]);
        assert!(all.out.lines().count() > 100 && !all.out.contains("..."), "{folder}");
    }
}

#[test]
fn no_line_is_wider_than_asked() {
    let bench = edited(&[("[650, 150, 300]", "[650, 162, 300]"), ("\"90 L/h\"", "\"120 L/h\"")]);
    for width in [30, 60, 120] {
        for (all, units) in [("", "metric"), (" --all", "both")] {
            let line = format!("compare plan.toml new.toml{all} --width {width} --units {units}");
            let run = bench.run(&line);
            let widest = run.out.lines().map(|l| l.chars().count()).max().unwrap_or_default();
            assert!(widest <= width, "{line}: {widest}\n{}", run.out);
        }
    }
}

#[test]
fn one_of_both_may_come_from_standard_input() {
    let bench = edited(&[("[650, 150, 300]", "[650, 162, 300]")]);
    let named = bench.run("compare plan.toml new.toml --format json").out;
    let piped = bench.run_with(&["compare", "-", "new.toml", "--format", "json"], STARTER);
    assert_eq!((piped.status, piped.out), (0, named));
    let both = bench.run("compare - -");
    assert_eq!(both.status, 2);
    assert!(both.err.contains("both plans cannot come from standard input"), "{}", both.err);
    bench.write("broken.toml", "[plan]\nname = 3\n");
    let broken = bench.run("compare broken.toml plan.toml");
    assert_eq!(broken.status, 2);
    assert!(broken.err.contains("broken.toml:2"), "{}", broken.err);
}

#[test]
fn a_spreadsheet_has_a_row_for_each_change() {
    let bench = edited(&[("[650, 150, 300]", "[650, 162, 300]"), ("\"10 %\"", "\"60 %\"")]);
    let rows = bench.run("compare plan.toml new.toml --format csv").csv();
    let value = bench.run("compare plan.toml new.toml --format json").json();
    let parts = ["plan", "findings", "figures", "order", "cards"];
    let changes: usize = parts.iter().map(|p| list(&value, p).len()).sum();
    assert_eq!(rows.len(), changes + 1);
    for part in ["plan", "finding", "figure", "order", "card"] {
        assert!(rows.iter().any(|r| r[0] == part), "{part}: {rows:?}");
    }
}

#[test]
fn a_table_with_other_figures_is_a_change_too() {
    let bench = Bench::new();
    for (folder, radius) in [("a", 1), ("b", 2)] {
        bench.folder(&format!("{folder}/tables/limit"));
        let table = crate::house::read("tables/limit/clearance.toml");
        bench.write(
            &format!("{folder}/tables/limit/clearance.toml"),
            &format!("{table}# {radius}\n"),
        );
        bench.write(&format!("{folder}/plan.toml"), STARTER);
    }
    let run = bench.run("compare a/plan.toml b/plan.toml --format json");
    assert_eq!(run.status, 0, "{}", run.err);
    // The starter has nothing that comes near anything, so that no result rests on the table: nothing is said.
    let rests = bench.run("check a/plan.toml --format json").json();
    let used = list(&rests, "tables").iter().any(|t| t["id"] == "limit/clearance");
    assert_eq!(list(&run.json(), "plan").is_empty(), !used, "{}", run.out);
}
