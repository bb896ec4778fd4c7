//! `log built`: a small record written by the program itself, fed back into its plan.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::flow_test::BY_HEIGHT;
use super::{Bench, Run};

fn add(bench: &Bench, args: &[&str]) -> Run {
    let run = bench.run_args(
        &[
            &["log", "add", "plan.toml"],
            args,
            &["--by", "A. Builder", "--time", "2026-05-01T14:03:22Z"],
        ]
        .concat(),
    );
    assert_eq!(run.status, 0, "{args:?}: {}{}", run.out, run.err);
    run
}

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn built(bench: &Bench) -> Value {
    bench.run("log built plan.toml --format json").json()
}

fn drift<'v>(value: &'v Value, of: &str, what: &str) -> &'v Value {
    let mut found =
        list(&value["built"], "drift").iter().filter(|d| d["of"] == of && d["what"] == what);
    found.next().unwrap_or_else(|| panic!("no {what} of {of} in {value:#}"))
}

/// Finding of a code after what was built is known, in whatever way that changed it.
fn changed<'v>(value: &'v Value, code: &str) -> &'v Value {
    let all = list(&value["changes"], "findings");
    let found = all.iter().find(|f| f["new"]["code"] == code);
    &found.unwrap_or_else(|| panic!("no {code} in {all:#?}"))["new"]
}

/// The starter with the tolerances of a workshop.
fn workshop() -> Bench {
    let bench = Bench::new();
    let tolerances = "cut_step    = \"1 mm\"\ncut_tolerance = \"2 mm\"\ncut_off_tolerance = \"0.5 mm\"\nport_tolerance = \"3 mm\"";
    let text = STARTER.replace("cut_step    = \"1 mm\"", tolerances);
    assert_ne!(text, STARTER);
    bench.write("plan.toml", &text);
    bench
}

#[test]
fn a_hose_that_came_out_short_is_judged_as_check_short_judges_it() {
    let bench = workshop();
    let planned = bench.run("check plan.toml --format json").json();
    let cut = list(&planned, "lines")[0]["cut_mm"].as_f64().unwrap();
    add(&bench, &["made", "F1", "--value", &format!("cut={} mm ± 1 mm", cut - 12.0)]);
    let run = bench.run("log built plan.toml --format json");
    assert_eq!(run.status, 1, "{}{}", run.out, run.err);
    let value = run.json();
    let found = drift(&value, "F1", "cut");
    assert_eq!((&found["difference"], &found["verdict"]), (&(-12.0).into(), &"fail".into()));
    let short = bench.run("check plan.toml --short F1=12mm --format json").json();
    for code in ["geometry.slack", "makeup.reach"] {
        let same = list(&short, "findings").iter().find(|f| f["code"] == code);
        assert_eq!(Some(changed(&value, code)), same, "{code}");
    }
}

#[test]
fn a_longer_hose_has_the_slack_that_it_was_measured_to_have() {
    let bench = workshop();
    let planned = bench.run("check plan.toml --format json").json();
    let line = &list(&planned, "lines")[0];
    let number = |key: &str| line[key].as_f64().unwrap();
    let assembly = number("assembly_mm") + 9.0;
    // The cut is there as well, and what was measured seat to seat goes before it.
    let read = format!("assembly={assembly} mm");
    add(&bench, &["made", "F1", "--value", "cut=700 mm", "--value", &read]);
    let value = built(&bench);
    let slack = 100.0 * (assembly - number("path_mm")) / assembly;
    let found = changed(&value, "geometry.slack")["value"].as_f64().unwrap();
    assert!((found - slack).abs() < 1e-9, "{found} against {slack}");
    let window = drift(&value, "F1", "assembly");
    assert_eq!(window["least"], line["assembly_shortest_mm"]);
    assert_eq!(window["most"], line["assembly_longest_mm"]);
    assert_eq!(window["verdict"], "ok");
}

#[test]
fn a_port_that_stands_elsewhere_moves_the_route_as_if_the_plan_said_so() {
    let bench = workshop();
    let at = [
        "--value",
        "x=652 mm ± 0.5 mm",
        "--value",
        "y=156 mm ± 0.5 mm",
        "--value",
        "z=300 mm ± 0.5 mm",
    ];
    add(&bench, &[&["measured", "PUMP.IN"], &at[..]].concat());
    let value = built(&bench);
    let found = drift(&value, "PUMP.IN", "place");
    let off = 40.0_f64.sqrt();
    assert!((found["difference"].as_f64().unwrap() - off).abs() < 1e-12, "{found}");
    // 6.3 mm off by a reading good to 0.5 mm, where 3 mm were allowed.
    assert_eq!(found["verdict"], "fail");
    let text = bench.read("plan.toml").replace("[650, 150, 300]", "[652, 156, 300]");
    bench.write("moved.toml", &text);
    let moved = bench.run("check moved.toml --format json").json();
    let path = list(&value["changes"], "figures").iter().find(|f| f["what"] == "path").unwrap();
    assert_eq!(path["new"], list(&moved, "lines")[0]["path_mm"]);
    assert!(list(&value["changes"], "plan").iter().any(|c| c["of"] == "port PUMP.IN"));
}

#[test]
fn an_error_that_reaches_over_the_limit_is_a_caution() {
    let bench = workshop();
    let planned = bench.run("check plan.toml --format json").json();
    let cut = list(&planned, "lines")[0]["cut_mm"].as_f64().unwrap();
    for (more, error, verdict) in [
        (2.0, 0.0, "ok"),
        (1.5, 1.0, "caution"),
        (2.5, 1.0, "caution"),
        (3.5, 1.0, "fail"),
        (0.5, 1.0, "ok"),
    ] {
        add(&bench, &["measured", "F1", "--value", &format!("cut={} mm ± {error} mm", cut + more)]);
        let value = built(&bench);
        assert_eq!(drift(&value, "F1", "cut")["verdict"], verdict, "{more} ± {error}");
    }
}

#[test]
fn a_new_piece_begins_anew_and_what_cannot_be_used_is_told() {
    let bench = workshop();
    add(&bench, &["made", "F1", "--value", "cut=700 mm"]);
    add(&bench, &["replaced", "F1"]);
    add(&bench, &["tightened", "F1.A", "--value", "torque=12 N m"]);
    add(&bench, &["measured", "PUMP.IN", "--value", "x=1 mm"]);
    add(&bench, &["flow-measured", "TANK", "--value", "time=40 s"]);
    let value = built(&bench);
    let all = list(&value["built"], "drift");
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!((&all[0]["what"], &all[0]["verdict"]), (&"torque".into(), &"open".into()));
    let why: Vec<&str> =
        list(&value["built"], "not_used").iter().filter_map(|n| n["why"].as_str()).collect();
    assert_eq!(why.len(), 2, "{why:?}");
    assert!(
        why[0].contains("x, y and z belong together") && why[1].contains("without its can"),
        "{why:?}"
    );
    let run = bench.run("log built plan.toml");
    assert_eq!(run.status, 0, "{}", run.out);
    for words in ["torque", "Not used", "entry 4: PUMP.IN", "nothing changed"] {
        assert!(run.words().contains(words), "{words}: {}", run.out);
    }
    assert_eq!(bench.run("log built plan.toml --format csv").csv().len(), 2);
}

#[test]
fn a_timed_can_and_a_poured_volume_are_those_of_test_flow_and_fill() {
    let bench = Bench::new();
    bench.write("plan.toml", BY_HEIGHT);
    let time = ["--value", "can=1 L", "--value", "time=90 s ± 1 s"];
    add(&bench, &[&["flow-measured", "T"], &time[..]].concat());
    add(&bench, &["measured", "T", "--value", "poured=0.02 L ± 0.001 L"]);
    let value = built(&bench);
    let args = "test flow plan.toml --can 1L --measured T=90s --error 1s --format json";
    let test = bench.run(args).json();
    let test = &list(&test, "tests")[0];
    let found = drift(&value, "T", "flow");
    let near = |a: &Value, b: &Value| {
        let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
        assert!((a - b).abs() < 1e-9, "{a} and {b} in {found:#}");
    };
    near(&found["built"], &test["measured"]["flow_l_min"]);
    near(&found["planned"], &test["expected_l_min"]);
    near(&found["least"], &0.75.into());
    assert_eq!(found["verdict"], "fail");
    let poured = list(&value["built"], "drift").iter().find(|d| d["what"] == "poured").unwrap();
    let filled = bench.run("fill plan.toml --poured fuel=0.02L --format json").json();
    near(&poured["planned"], &list(&filled, "systems")[0]["charge_l"]);
    assert_eq!(poured["verdict"], "caution");
}

#[test]
fn a_record_that_does_not_hold_is_said_and_is_no_ok() {
    let bench = workshop();
    add(&bench, &["made", "F1", "--value", "cut=867 mm"]);
    bench.write("plan.log", &bench.read("plan.log").replace("867", "868"));
    for command in ["log built plan.toml", "log life plan.toml --at 2026-05-01"] {
        let run = bench.run(command);
        assert_eq!(run.status, 1, "{}", run.out);
        assert!(run.words().contains("the record does not hold"), "{}", run.out);
    }
}

/// The starter with a torque table.
fn tightened_by(table: &str) -> Bench {
    let bench = workshop();
    let head = format!("torque = \"{table}\"\ncut_step");
    let text = bench.read("plan.toml").replacen("cut_step", &head, 1);
    bench.write("plan.toml", &text);
    bench
}

#[test]
fn a_torque_is_held_against_the_band_of_the_chosen_table() {
    let bench = tightened_by("flare-37-army");
    let joints = bench.run("joints plan.toml --format json").json();
    let tighten = &list(&joints, "joints")[0]["tighten"];
    let [least, most] = ["torque_least_nm", "torque_most_nm"].map(|k| tighten[k].as_f64().unwrap());
    for (torque, error, verdict) in [
        (least, 0.0, "ok"),
        (most, 0.0, "ok"),
        (least - 0.5, 1.0, "caution"),
        (most + 0.5, 1.0, "caution"),
        (least - 0.5, 0.1, "fail"),
        (most + 2.0, 1.0, "fail"),
    ] {
        let read = format!("torque={torque} N m ± {error} N m");
        add(&bench, &["tightened", "F1.A", "--value", &read]);
        let run = bench.run("log built plan.toml --format json");
        let value = run.json();
        let found = drift(&value, "TANK.OUT", "torque");
        assert_eq!(found["verdict"], verdict, "{torque} ± {error}");
        assert_eq!(found["least"].as_f64(), Some(least));
        assert_eq!(found["most"].as_f64(), Some(most));
        assert_eq!(run.status, i32::from(verdict == "fail"));
    }
    let words = bench.run("log built plan.toml").words();
    assert!(words.contains("by torque/flare-37-army"), "{words}");
    // A piece that was made anew is joined anew.
    add(&bench, &["replaced", "F1"]);
    assert!(list(&built(&bench)["built"], "drift").iter().all(|d| d["what"] != "torque"));
}

#[test]
fn a_torque_that_no_table_can_judge_is_open_and_says_why() {
    for (bench, why) in
        [(tightened_by("flats-from-seated"), "counts flats"), (workshop(), "the plan chooses none")]
    {
        add(&bench, &["tightened", "F1.A", "--value", "torque=12 N m"]);
        let value = built(&bench);
        let found = drift(&value, "TANK.OUT", "torque");
        assert_eq!(found["verdict"], "open", "{found:#}");
        assert!(found["note"].as_str().unwrap().contains(why), "{found:#}");
    }
}

#[test]
fn a_clip_that_sits_elsewhere_moves_the_route_as_if_the_plan_said_so() {
    let bench = workshop();
    let values = ["--value", "x=336 mm", "--value", "y=8 mm", "--value", "z=380 mm"];
    let run = add(&bench, &[&["measured", "F1 clip 1"], &values[..]].concat());
    assert!(run.out.contains("F1, clip 1"), "{}", run.out);
    let value = built(&bench);
    let found = drift(&value, "F1, clip 1", "place");
    assert!((found["difference"].as_f64().unwrap() - 10.0).abs() < 1e-9, "{found}");
    assert_eq!(found["verdict"], "open", "the plan has no tolerance for a clip");
    let text = bench.read("plan.toml").replace("[[330, 0, 380]", "[[336, 8, 380]");
    assert_ne!(text, bench.read("plan.toml"));
    bench.write("moved.toml", &text);
    let moved = bench.run("check moved.toml --format json").json();
    let path = list(&value["changes"], "figures").iter().find(|f| f["what"] == "path").unwrap();
    assert_eq!(path["new"], list(&moved, "lines")[0]["path_mm"]);
    // However it is written, it is the same clip; another is not.
    for name in ["F1, clip 2", "F1.clip2", "clip:F1 clip 2"] {
        add(&bench, &[&["measured", name], &values[..]].concat());
    }
    let (csv, value) = (bench.run("log show plan.toml --format csv").csv(), built(&bench));
    assert_eq!(
        csv.iter().skip(1).map(|row| row[16].as_str()).collect::<Vec<_>>(),
        ["1", "2", "2", "2"]
    );
    assert_eq!(list(&value["built"], "drift").len(), 2);
    let wrong = bench.run_args(&["log", "add", "plan.toml", "inspected", "F1 clip 9", "--by", "A"]);
    assert!(wrong.status == 2 && wrong.err.contains("F1, clip"), "{}", wrong.err);
    // Work on a clip is none on the hose.
    add(&bench, &["fitted", "F1 clip 1"]);
    let left = bench.run("log left plan.toml --format json").json();
    assert_eq!(list(&left, "lines")[0]["entries"]["fitted"], Value::Null);
}

#[test]
fn a_tube_that_was_sawn_too_short_does_not_reach() {
    let bench = Bench::new();
    bench.write("plan.toml", include_str!("../../examples/03-press/plan.toml"));
    let checked = bench.run("check plan.toml --format json").json();
    let line = list(&checked, "lines").iter().find(|l| l["id"] == "P2").unwrap();
    let cut = line["cut_mm"].as_f64().unwrap();
    let reach = |by: f64| {
        add(&bench, &["made", "P2", "--value", &format!("cut={} mm", cut - by)]);
        let value = built(&bench);
        let all = list(&value["changes"], "findings");
        let of = |f: &&Value| f["new"]["code"] == "makeup.reach" && f["new"]["where"] == "P2";
        let found = all.iter().find(of).map(|f| f["new"]["verdict"].clone());
        (drift(&value, "P2", "cut")["verdict"].clone(), found)
    };
    assert_eq!(reach(6.0), ("fail".into(), Some("fail".into())));
    assert_eq!(reach(-6.0), ("fail".into(), Some("fail".into())));
    assert_eq!(reach(0.5).0, "ok");
    assert_ne!(reach(0.5).1, Some("fail".into()));
}

#[test]
fn a_reading_of_the_wrong_thing_is_not_used_and_is_said() {
    let bench = workshop();
    add(&bench, &["tightened", "F1", "--value", "torque=12 N m"]);
    add(&bench, &["measured", "F1.A", "--value", "cut=867 mm"]);
    add(&bench, &["measured", "F1", "--value", "poured=2 L"]);
    let value = built(&bench);
    assert_eq!(list(&value["built"], "drift").len(), 0);
    let why: Vec<&str> =
        list(&value["built"], "not_used").iter().filter_map(|n| n["why"].as_str()).collect();
    assert_eq!(why.len(), 3, "{why:?}");
    assert!(why[0].contains("such as F1.A") && why[2].contains("a component"), "{why:?}");
}
