//! `log life`: a small record over years, written by the program itself.

use serde_json::Value;

use super::flow_test::BY_HEIGHT;
use super::{Bench, Run};

fn add(bench: &Bench, day: &str, args: &[&str]) -> Run {
    let time = format!("{day}T10:00:00Z");
    let rest = ["--by", "A. Builder", "--time", &time];
    let run = bench.run_args(&[&["log", "add", "plan.toml"], args, &rest].concat());
    assert_eq!(run.status, 0, "{args:?}: {}{}", run.out, run.err);
    run
}

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn life(bench: &Bench, more: &[&str]) -> Value {
    let args = [&["log", "life", "plan.toml", "--format", "json"], more].concat();
    let run = bench.run_args(&args);
    assert!(run.status < 2, "{more:?}: {}", run.err);
    run.json()
}

/// The starter with a hose of rubber, and its record: cured, made, fitted, tightened.
fn kept() -> Bench {
    let bench = Bench::new();
    let text = bench.read("plan.toml").replace("demo-oil-braid", "mil-h-8794");
    bench.write("plan.toml", &text);
    let dates = ["--value", "cure=3Q2018", "--value", "batch=7A"];
    add(&bench, "2020-02-29", &[&["made", "F1"], &dates[..]].concat());
    add(&bench, "2020-03-10", &["fitted", "F1", "--value", "hours=10 h"]);
    add(
        &bench,
        "2020-03-10",
        &["tightened", "F1.A", "--value", "torque=12 N m", "--value", "hours=10 h"],
    );
    bench
}

fn due<'v>(value: &'v Value, rule: &str) -> &'v Value {
    let found = list(value, "due").iter().find(|d| d["rule"] == rule);
    found.unwrap_or_else(|| panic!("no {rule} in {:#}", value["due"]))
}

#[test]
fn without_a_rule_all_stand_side_by_side_and_none_is_a_verdict() {
    let bench = kept();
    let value = life(&bench, &["--at", "2040-01-01", "--hours", "300 h"]);
    let all = list(&value, "due");
    assert!(all.len() >= 8, "{all:#?}");
    assert!(all.iter().all(|d| d["verdict"] == "open" && d["standing"].is_string()), "{all:#?}");
    // Each is what the rule says, by the calendar.
    for (rule, from, day) in [
        ("navy-storage", "2018-07-01", "2026-07-01"),
        ("navy-service", "2020-03-10", "2027-03-10"),
        ("usaf-service", "2020-03-10", "2030-03-10"),
        ("iso-hose-storage", "2018-07-01", "2022-07-01"),
        ("iso-assembly", "2020-02-29", "2022-02-28"),
        ("din-total", "2020-02-29", "2026-02-28"),
        ("five-year-change", "2020-03-10", "2025-03-10"),
    ] {
        let found = due(&value, rule);
        assert_eq!((&found["since"], &found["due"]), (&from.into(), &day.into()), "{rule}");
    }
    assert_eq!(due(&value, "proof-tag")["since"], Value::Null);
    assert!(!all.iter().any(|d| d["rule"] == "ptfe-storage"), "a hose of rubber");
    let hose = &list(&value, "hoses")[0];
    assert_eq!((&hose["batch"], &hose["service_hours"]), (&"7A".into(), &290.0.into()));
    let run = bench.run("log life plan.toml --at 2021-01-01");
    assert_eq!(run.status, 0, "{}", run.out);
    assert!(run.words().contains("no rule is chosen"), "{}", run.out);
}

#[test]
fn a_chosen_rule_is_ok_then_near_then_past_its_day() {
    let bench = kept();
    let at = |day: &str, rule: &str| {
        let args = ["log", "life", "plan.toml", "--at", day, "--rule", rule, "--format", "json"];
        let run = bench.run_args(&args);
        let value = run.json();
        let found = due(&value, rule);
        (run.status, found["verdict"].clone(), found["days_left"].as_i64())
    };
    assert_eq!(at("2026-03-10", "navy-service"), (0, "ok".into(), Some(365)));
    assert_eq!(at("2027-01-10", "navy-service"), (0, "caution".into(), Some(59)));
    assert_eq!(at("2027-03-10", "navy-service"), (0, "caution".into(), Some(0)));
    assert_eq!(at("2027-03-11", "navy-service"), (1, "fail".into(), Some(-1)));
    // A storage rule ends with the fitting: 2020-03-10 to 2026-07-01.
    assert_eq!(at("2040-01-01", "navy-storage"), (0, "ok".into(), Some(2304)));
    assert_eq!(at("2040-01-01", "proof-tag"), (0, "open".into(), None));
    let wrong = bench.run("log life plan.toml --rule navy");
    assert!(wrong.status == 2 && wrong.err.contains("navy-storage"), "{}", wrong.err);
    let wrong = bench.run("log life plan.toml --at 2026-02-30");
    assert!(wrong.status == 2 && wrong.err.contains("is no date"), "{}", wrong.err);
}

#[test]
fn a_plan_that_chooses_a_rule_is_judged_by_it_in_every_command() {
    let bench = kept();
    let chosen = "hose_life = [\"navy-service\", \"proof-tag\"]\ncut_step";
    bench.write("plan.toml", &bench.read("plan.toml").replacen("cut_step", chosen, 1));
    let rules = |more: &[&str]| {
        let value = life(&bench, &[&["--at", "2026-03-10"], more].concat());
        let mut rules: Vec<Value> = list(&value, "due").iter().map(|d| d["rule"].clone()).collect();
        rules.sort_by_key(ToString::to_string);
        rules
    };
    assert_eq!(rules(&[]), ["navy-service", "proof-tag"]);
    // A rule that is asked for goes before those of the plan.
    assert_eq!(rules(&["--rule", "usaf-service"]), ["usaf-service"]);
    let judged = |day: &str| {
        let run = bench.run_args(&["check", "plan.toml", "--at", day, "--format", "json"]);
        let value = run.json();
        let of = |rule: &str| {
            let place = format!("F1, {rule}");
            let all = list(&value, "findings").iter();
            let mut found =
                all.filter(|f| f["code"] == "record.hose-life" && f["where"] == place.as_str());
            found.next().unwrap_or_else(|| panic!("no {rule} in {value:#}"))["verdict"].clone()
        };
        (run.status, of("navy-service"), of("proof-tag"))
    };
    assert_eq!(judged("2026-03-10"), (0, "ok".into(), "open".into()));
    assert_eq!(judged("2027-01-10"), (0, "caution".into(), "open".into()));
    assert_eq!(judged("2027-03-11"), (1, "fail".into(), "open".into()));
    let run = bench.run("check plan.toml --at 2027-03-11");
    let words = "fitted 2020-03-10, due 2027-03-10: 1 day overdue on 2027-03-11";
    assert!(run.words().contains(words), "{}", run.out);
    let run = bench.run("log pack plan.toml --out pack.html --at 2027-03-11");
    assert!(run.status == 1 && run.words().contains("overdue"), "{}", run.out);
    let wrong = bench.run("check plan.toml --at tomorrow");
    assert!(wrong.status == 2 && wrong.err.contains("is no date"), "{}", wrong.err);
}

#[test]
fn a_plan_without_a_rule_on_hoses_that_were_fitted_is_open_once() {
    let bench = kept();
    let value = bench.run("check plan.toml --at 2060-01-01 --format json").json();
    let all = list(&value, "findings").iter().filter(|f| f["code"] == "record.hose-life");
    let found: Vec<&Value> = all.collect();
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0]["verdict"], "open");
    // A rule that speaks of other liners leaves a hose open as well.
    let chosen = "hose_life = [\"cpe-storage\"]\ncut_step";
    bench.write("plan.toml", &bench.read("plan.toml").replacen("cut_step", chosen, 1));
    let run = bench.run("check plan.toml --at 2060-01-01");
    assert!(
        run.words().contains("no rule that the plan chooses speaks of this hose"),
        "{}",
        run.out
    );
    let run = bench.run("log life plan.toml --at 2060-01-01");
    assert!(run.words().contains("no rule that is chosen speaks of these hoses"), "{}", run.out);
}

#[test]
fn a_replaced_hose_begins_anew_and_its_batch_is_still_found() {
    let bench = kept();
    let new = [
        "replaced",
        "F1",
        "--value",
        "batch=9B",
        "--value",
        "cure=2025-Q1",
        "--value",
        "hours=200 h",
    ];
    add(&bench, "2026-01-15", &new);
    let value = life(&bench, &["--at", "2026-05-01", "--hours", "220 h"]);
    let hose = &list(&value, "hoses")[0];
    assert_eq!((&hose["fitted"], &hose["batch"]), (&"2026-01-15".into(), &"9B".into()));
    assert_eq!(hose["service_hours"], 20.0);
    assert_eq!(list(&value, "hoses").len(), 1);
    let old = life(&bench, &["--at", "2026-05-01", "--batch", "7A"]);
    let hose = &list(&old, "hoses")[0];
    assert_eq!((&hose["line"], &hose["replaced"]), (&"F1".into(), &"2026-01-15".into()));
    let wrong = bench.run("log life plan.toml --batch 7B");
    assert!(wrong.status == 2 && wrong.err.contains("known: 7A, 9B"), "{}", wrong.err);
}

#[test]
fn joints_are_due_by_hours_until_somebody_looked() {
    let bench = kept();
    let verdicts = |hours: &str| {
        let value = life(&bench, &["--at", "2020-04-01", "--hours", hours]);
        let all = list(&value, "joints").to_vec();
        let of = |rule: &str| {
            let found = all.iter().find(|j| j["rule"] == rule);
            found.map_or(Value::Null, |j| j["verdict"].clone())
        };
        (of("first-run"), of("25-hours"))
    };
    assert_eq!(verdicts("10.5 h"), ("ok".into(), "ok".into()));
    assert_eq!(verdicts("12 h"), ("fail".into(), "ok".into()));
    add(&bench, "2020-03-12", &["inspected", "F1.A", "--value", "hours=11.5 h"]);
    assert_eq!(verdicts("12 h"), ("ok".into(), "ok".into()));
    assert_eq!(verdicts("35 h"), ("ok".into(), "fail".into()));
    // Looking at the line is looking at its joints.
    add(&bench, "2020-05-12", &["inspected", "F1", "--value", "hours=36 h"]);
    assert_eq!(verdicts("40 h"), ("ok".into(), "ok".into()));
    let value = life(&bench, &["--at", "2020-04-01"]);
    let joint = &list(&value, "joints")[0];
    assert_eq!((&joint["joint"], &joint["due_hours"]), (&"TANK.OUT".into(), &11.0.into()));
}

/// Slope, its error and the intercept are those of `scipy.stats.linregress` 1.17.1 over days / 365.2425.
#[test]
fn a_flow_that_falls_year_by_year_is_told_from_one_that_only_scatters() {
    let days = ["2022-05-01", "2023-05-03", "2024-04-28", "2025-05-02", "2026-05-01"];
    for (flows, slope, error, sure) in [
        (
            [2.00, 1.97, 1.91, 1.88, 1.84],
            -0.040_992_937_523_224_485,
            0.002_579_470_271_458_354,
            true,
        ),
        (
            [2.00, 1.97, 2.01, 1.96, 2.00],
            -0.001_033_518_245_792_299_7,
            0.007_894_598_928_292_178,
            false,
        ),
    ] {
        let bench = Bench::new();
        for (day, flow) in days.iter().zip(flows) {
            add(&bench, day, &["flow-measured", "TANK", "--value", &format!("flow={flow} L/min")]);
        }
        let value = life(&bench, &["--at", "2026-06-01"]);
        let found = &list(&value, "flows")[0];
        let near = |key: &str, wanted: f64| {
            let found = found[key].as_f64().unwrap_or_else(|| panic!("{key} of {found:#}"));
            assert!((found - wanted).abs() < 1e-12, "{key}: {found}, not {wanted}");
        };
        near("slope_l_min_per_year", slope);
        near("slope_error_l_min_per_year", error);
        near("lost_percent", 100.0 * (flows[0] - flows[4]) / flows[0]);
        assert_eq!(found["sure"], sure);
        // The starter has no need, so that nothing says how much must come.
        assert_eq!((&found["limit_l_min"], &found["falls_to_limit"]), (&Value::Null, &Value::Null));
        assert_eq!(found["verdict"], if sure { "caution" } else { "open" });
        let words = if sure { "more than chance" } else { "no more than chance" };
        assert!(bench.run("log life plan.toml").words().contains(words));
    }
}

#[test]
fn a_flow_of_a_machine_with_a_need_is_held_against_its_flow_test() {
    let bench = Bench::new();
    bench.write("plan.toml", BY_HEIGHT);
    let flows = [("2022-05-01", "1.00"), ("2023-05-01", "0.95"), ("2024-05-01", "0.899")];
    for (day, flow) in flows.into_iter().chain([("2025-05-01", "0.851")]) {
        add(&bench, day, &["flow-measured", "T", "--value", &format!("flow={flow} L/min")]);
    }
    let value = life(&bench, &["--at", "2026-06-01"]);
    let found = &list(&value, "flows")[0];
    // 30 L/h, and half as much again where fuel falls by height.
    let limit = found["limit_l_min"].as_f64().unwrap_or_else(|| panic!("{found:#}"));
    assert!((limit - 0.75).abs() < 1e-12, "{found:#}");
    // By linregress 0.75 L/min are reached 60.2 months after the first reading.
    assert_eq!(found["falls_to_limit"], "2027-05-01");
    assert_eq!(found["verdict"], "caution");
    // A can and its time are a flow as well: 1 L in 90 s is less than must come.
    add(
        &bench,
        "2026-05-01",
        &["flow-measured", "T", "--value", "can=1 L", "--value", "time=90 s"],
    );
    let run = bench.run("log life plan.toml --at 2026-06-01");
    assert_eq!(run.status, 1, "{}", run.out);
    assert!(run.words().contains("Flow at T: fail"), "{}", run.out);
}

#[test]
fn dates_and_batches_are_read_as_such() {
    let bench = Bench::new();
    let refused = |value: &str, words: &str| {
        let args = ["log", "add", "plan.toml", "made", "F1", "--by", "me", "--value", value];
        let run = bench.run_args(&args);
        assert_eq!(run.status, 2, "{value}: {}", run.out);
        assert!(run.err.contains(words), "{value}: {}", run.err);
    };
    refused("cure=3Q24", "four digits");
    refused("cure=2024-02-30", "is no date");
    refused("made=12 mm", "is no date");
    refused("bach=7A", "is no quantity");
    let csv = kept().run("log life plan.toml --at 2026-05-01 --format csv").csv();
    assert!(csv.len() > 8 && csv.iter().all(|r| r.len() == csv[0].len()), "{csv:?}");
}
