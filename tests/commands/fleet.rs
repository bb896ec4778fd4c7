//! Many plans in one check, and one plan with values varied.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::{Bench, Run};

/// A plan that cannot be understood, one that fails, and the starter plan.
fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("broken.toml", &STARTER.replace("\"90 L/h\"", "\"90 mm\""));
    bench.write("tight.toml", &STARTER.replace("[650, -80, 320]", "[650, 145, 310]"));
    bench
}

fn lines(run: &Run) -> Vec<Value> {
    let read = |line: &str| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}"));
    run.out.lines().map(read).collect()
}

fn column(rows: &[Vec<String>], name: &str) -> Vec<String> {
    let at = rows[0].iter().position(|h| h == name).unwrap_or_else(|| panic!("no {name}"));
    rows[1..].iter().map(|row| row[at].clone()).collect()
}

#[test]
fn many_plans_come_out_in_the_order_given_and_a_bad_one_in_its_place() {
    let bench = bench();
    let names = ["tight.toml", "broken.toml", "none.toml", "plan.toml"];
    let run = bench.run("check tight.toml broken.toml none.toml plan.toml --format json");
    assert_eq!(run.status, 2, "{}", run.err);
    let found = lines(&run);
    let plans: Vec<&str> = found.iter().filter_map(|l| l["plan"].as_str()).collect();
    assert_eq!(plans, names);
    let verdicts: Vec<&str> = found.iter().filter_map(|l| l["verdict"].as_str()).collect();
    assert_eq!(verdicts[..3], ["fail", "not-understood", "not-understood"]);
    assert_eq!(found[1]["problems"][0]["file"], "broken.toml");
    assert!(found[1]["problems"][0]["line"].is_u64() && found[2]["problems"][0]["line"].is_null());
    // What is said of each is what is said of it alone.
    for name in ["tight.toml", "plan.toml"] {
        let alone = bench.run(&format!("check {name} --format json")).json();
        let line = found.iter().find(|l| l["plan"] == name);
        assert_eq!(line.map(|l| &l["report"]), Some(&alone), "{name}");
    }
}

#[test]
fn as_a_spreadsheet_no_finding_and_no_problem_is_lost() {
    let bench = bench();
    let run = bench.run("check plan.toml broken.toml tight.toml --format csv");
    assert_eq!(run.status, 2);
    let rows = run.csv();
    let plans = column(&rows, "plan");
    for name in ["plan.toml", "tight.toml"] {
        let alone = bench.run(&format!("check {name} --format csv")).csv();
        let here: Vec<&[String]> =
            rows[1..].iter().filter(|row| row[0] == name).map(|row| &row[1..]).collect();
        let there: Vec<&[String]> = alone[1..].iter().map(Vec::as_slice).collect();
        assert_eq!(here, there, "{name}");
    }
    let at = plans.iter().position(|p| p == "broken.toml").unwrap();
    assert_eq!(column(&rows, "verdict")[at], "not-understood");
    assert!(column(&rows, "where")[at].starts_with("broken.toml:"), "{}", run.out);
    assert!(!column(&rows, "do")[at].is_empty());
}

#[test]
fn the_exit_status_is_that_of_the_worst() {
    let bench = bench();
    assert_eq!(bench.run("check plan.toml plan.toml").status, 0);
    assert_eq!(bench.run("check plan.toml tight.toml").status, 1);
    assert_eq!(bench.run("check plan.toml plan.toml --strict").status, 1);
    let run = bench.run("check plan.toml broken.toml tight.toml");
    assert_eq!(run.status, 2);
    for word in ["plan.toml", "tight.toml", "broken.toml", "not-understood", "3 checked:"] {
        assert!(run.words().contains(word), "{word}: {}", run.out);
    }
    assert!(run.words().contains("local codes"), "the caution is missing");
}

#[test]
fn a_folder_stands_for_its_plans_in_the_order_of_their_names() {
    let bench = bench();
    for folder in ["b", "tables/hose", ".hidden", "a/deeper"] {
        bench.folder(folder);
    }
    for name in ["b/plan.toml", ".hidden/plan.toml", "a/deeper/plan.toml"] {
        bench.write(name, STARTER);
    }
    bench.write("b/pile.toml", "[pile]\nname = \"x\"\n");
    bench.write("b/NOTES.md", "[plan]");
    let run = bench.run("check . --format json");
    let names: Vec<String> =
        lines(&run).iter().map(|l| l["plan"].as_str().unwrap_or_default().to_owned()).collect();
    let wanted = ["./a/deeper/plan.toml", "./b/plan.toml", "./broken.toml", "./plan.toml"];
    assert_eq!(names, [&wanted[..], &["./tight.toml"]].concat());
    assert!(run.err.contains("passed over") && run.err.contains("pile.toml"), "{}", run.err);
    bench.folder("empty");
    let empty = bench.run("check empty");
    assert_eq!(empty.status, 2);
    assert!(empty.err.contains("empty is a folder without a plan"), "{}", empty.err);
}

#[test]
fn what_is_for_one_plan_is_refused_for_many() {
    let bench = bench();
    for line in ["--all", "--spread", "--short F1=5mm"] {
        let run = bench.run(&format!("check plan.toml tight.toml {line}"));
        assert_eq!(run.status, 2, "{line}");
        assert!(run.err.contains("are for one plan"), "{line}: {}", run.err);
    }
    assert!(bench.run("check - -").err.contains("one plan only"));
}

#[test]
fn a_sweep_gives_every_combination_once_with_what_each_plan_says_alone() {
    let bench = bench();
    let args = [
        "sweep",
        "plan.toml",
        "--vary",
        "line.F1.size=-6,-8",
        "--vary",
        "line.F1.duty.1.flow=60 L/h,90 L/h,1200 L/h",
        "--format",
        "csv",
    ];
    let run = bench.run_args(&args);
    let rows = run.csv();
    assert_eq!(rows.len(), 7, "{}", run.out);
    let sizes = column(&rows, "line.F1.size");
    assert_eq!(sizes, ["-6", "-6", "-6", "-8", "-8", "-8"]);
    let flows = column(&rows, "line.F1.duty.1.flow");
    assert_eq!(flows[..3], ["60 L/h", "90 L/h", "1200 L/h"]);
    // The plan as it stands is one of them.
    let alone = bench.run("check plan.toml --format json").json();
    let count = |verdict: &str| {
        let all = alone["findings"].as_array().map(Vec::as_slice).unwrap_or_default();
        all.iter().filter(|f| f["verdict"] == verdict).count().to_string()
    };
    for verdict in ["fail", "caution", "open", "ok"] {
        assert_eq!(column(&rows, verdict)[1], count(verdict), "{verdict}");
    }
    // Thirteen times the flow cannot pass as well.
    assert_ne!(column(&rows, "verdict")[2], column(&rows, "verdict")[1]);
}

#[test]
fn a_sweep_of_one_check_gives_its_numbers() {
    let bench = bench();
    let vary = "line.F1.duty.1.flow=60 L/h,120 L/h";
    let code = "hydraulics.velocity";
    let args = ["sweep", "plan.toml", "--vary", vary, "--code", code, "--format", "csv"];
    let rows = bench.run_args(&args).csv();
    assert!(column(&rows, "code").iter().all(|c| c == code));
    let values: Vec<f64> = column(&rows, "value").iter().filter_map(|v| v.parse().ok()).collect();
    assert_eq!(values.len(), 2, "{rows:?}");
    assert!((values[1] / values[0] - 2.0).abs() < 1e-12, "{values:?}");
    let unknown = bench.run_args(&["sweep", "plan.toml", "--vary", vary, "--code", "hydraulic.x"]);
    assert_eq!(unknown.status, 2);
}

#[test]
fn a_variant_that_is_not_understood_is_told_in_its_row() {
    let bench = bench();
    let vary = "component.TANK.ports.OUT.end.bore=7.5 mm,7.5 bar,8 mm";
    let run = bench.run_args(&["sweep", "plan.toml", "--vary", vary, "--format", "json"]);
    assert_eq!(run.status, 2, "{}", run.err);
    let found = lines(&run);
    assert_eq!(found.len(), 3);
    assert_eq!(found[1]["verdict"], "not-understood");
    assert_eq!(found[1]["varied"][0]["value"], "7.5 bar");
    assert!(found[1]["problems"][0]["message"].as_str().is_some_and(|m| m.contains("bar")));
    assert_ne!(found[2]["verdict"], "not-understood");
}

#[test]
fn a_place_that_is_not_in_the_plan_is_refused_before_anything_is_written() {
    let bench = bench();
    let wrong = [
        ("line.F9.size=-6", "the plan says nothing at line.F9"),
        ("line.F1.colour=red", "the plan says nothing at line.F1.colour"),
        ("line.F1.clips.9=[0, 0, 0]", "the plan says nothing at line.F1.clips.9"),
        ("line.F1.clips.1=straight", "is of the kind \"array\" in the plan"),
        ("line.F1.size", "is not PLACE=VALUES"),
        ("line.F1.size=-6,,-8", "a value is missing"),
        ("line.F 1.size=-6", "is no place"),
    ];
    for (vary, message) in wrong {
        let run = bench.run_args(&["sweep", "plan.toml", "--vary", vary, "--format", "csv"]);
        assert_eq!(run.status, 2, "{vary}");
        assert!(run.out.is_empty() && run.err.contains(message), "{vary}: {}", run.err);
    }
    let twice = "line.F1.size=-6";
    let run = bench.run_args(&["sweep", "plan.toml", "--vary", twice, "--vary", twice]);
    assert!(run.err.contains("is varied twice"), "{}", run.err);
    let many: Vec<String> = (0..400).map(|i| format!("{i} mm")).collect();
    let of = |key: &str| format!("component.{key}={}", many.join(","));
    let (tank, pump) = (of("TANK.ports.OUT.tolerance"), of("PUMP.ports.IN.tolerance"));
    let run = bench.run_args(&["sweep", "plan.toml", "--vary", &tank, "--vary", &pump]);
    assert!(run.err.contains("160000 variants; 100000 at most"), "{}", run.err);
}
