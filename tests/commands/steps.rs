//! `steps`: few steps a group, each with its figure and accept range, or with what is missing.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::{Bench, EXAMPLES, example};

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn group<'v>(report: &'v Value, name: &str) -> &'v Value {
    let found = list(report, "groups").iter().find(|g| g["group"] == name);
    found.unwrap_or_else(|| panic!("no group {name} in {report}"))
}

/// A step by its group and key.
fn step<'v>(report: &'v Value, of: &str, key: &str) -> &'v Value {
    let found = list(group(report, of), "steps").iter().find(|s| s["step"] == key);
    found.unwrap_or_else(|| panic!("no step {key} in {}", group(report, of)))
}

fn number(step: &Value, key: &str) -> f64 {
    step["number"][key].as_f64().unwrap_or_else(|| panic!("no {key} in {step}"))
}

fn near(found: f64, known: f64) {
    assert!((found - known).abs() < 1e-9, "{found} is not {known}");
}

fn steps(bench: &Bench, plan: &str, line: &str) -> Value {
    bench.run_args(&["steps", plan, line, "--format", "json"]).json()
}

/// The starter plan with another hose, and ends whose bore no table tells.
fn with_hose(hose: &str, size: &str) -> Bench {
    let bench = Bench::new();
    let wanted = "hose    = \"demo-oil-braid\"";
    assert!(STARTER.contains(wanted), "{STARTER}");
    let plan = STARTER
        .replace(wanted, &format!("hose    = \"{hose}\""))
        .replace("demo-flare-straight", "rubber-flare-straight-ms24587")
        .replace("size    = \"-6\"", &format!("size    = \"{size}\""))
        .replace("size = \"-6\"", &format!("size = \"{size}\""));
    bench.write("plan.toml", &plan);
    bench
}

#[test]
fn no_group_has_more_than_seven_steps_and_no_step_only_says_check() {
    let bench = Bench::new();
    let mut seen = 0;
    for folder in EXAMPLES {
        let plan = example(folder, "corrected.toml");
        let cut = bench.run_args(&["check", &plan, "--format", "json"]).json();
        // One line of each kind is enough: each hose, tube and pair of ends once.
        let mut kinds = Vec::new();
        for line in list(&cut, "lines") {
            let kind = (line["of"].to_string(), line["cutoff_a_mm"].to_string());
            if kinds.contains(&kind) {
                continue;
            }
            kinds.push(kind);
            let report = steps(&bench, &plan, line["id"].as_str().unwrap_or_default());
            for group in list(&report, "groups") {
                let steps = list(group, "steps");
                assert!(steps.len() <= 7, "{group}");
                for step in steps {
                    let what = step["what"].as_str().unwrap_or_default();
                    let bare = ["check", "look", "inspect", "make sure", "verify"];
                    assert!(!bare.iter().any(|b| what.to_lowercase().starts_with(b)), "{what}");
                    assert!(what.split_whitespace().count() >= 5, "{what}");
                    assert!(step["source"].as_str().is_some_and(|s| !s.is_empty()), "{step}");
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 200, "only {seen} steps");
}

#[test]
fn the_cut_length_has_the_builders_tolerance_or_that_of_the_handbook() {
    let bench = Bench::new();
    let plan = example("01-amphibian", "corrected.toml");
    let cut = step(&steps(&bench, &plan, "O2"), "cut", "cut").clone();
    near(number(&cut, "most") - number(&cut, "aim"), 1.0);
    near(number(&cut, "aim") - number(&cut, "least"), 1.0);
    // RMA IP-2, Table 4-8: to 36 in, 1/4 in either way. The starter plan says no tolerance.
    let report = steps(&bench, "plan.toml", "F1");
    let cut = step(&report, "cut", "cut");
    let aim = number(cut, "aim");
    assert!((609.6..=914.4).contains(&aim), "{aim}");
    near(number(cut, "most") - aim, 6.35);
    assert!(cut["number"]["source"].as_str().is_some_and(|s| s.contains("RMA IP-2")), "{cut}");
    // Bores up to 3/4 in: 1/16 in off square.
    near(number(step(&report, "cut", "square"), "most"), 25.4 / 16.0);
}

#[test]
fn the_ball_is_that_of_the_specification_of_the_hose() {
    // MIL-DTL-8788F: 0.260 in at -6.
    let bench = with_hose("mil-h-8788", "-6");
    let report = steps(&bench, "plan.toml", "F1");
    near(number(step(&report, "finish", "ball"), "aim"), 0.260 * 25.4);
    // At -12 fittings have a bore of 0.568 in, which the ball of 0.575 in does not pass: MIL-DTL-8789F, 4.9.2, takes one
    // that is 0.001 to 0.002 in smaller than that bore.
    let report = steps(&with_hose("mil-h-8788", "-12"), "plan.toml", "F1");
    let ball = step(&report, "finish", "ball");
    near(number(ball, "least"), 0.566 * 25.4);
    near(number(ball, "most"), 0.567 * 25.4);
    // Another hose has no ball of its own: only what holds it back is known.
    let report = steps(&Bench::new(), "plan.toml", "F1");
    let ball = step(&report, "finish", "ball");
    assert!(ball["number"]["aim"].is_null() && number(ball, "most") > 0.0, "{ball}");
}

#[test]
fn each_kind_of_end_has_its_own_steps() {
    let bench = Bench::new();
    let report = steps(&bench, "plan.toml", "F1");
    // TM 1-1500-204-23-2: 1/16 in between hexagon and socket; NAVEDTRA 14315: 0.005 to 0.031 in to run free.
    near(number(step(&report, "end A", "nipple"), "most"), 25.4 / 16.0);
    near(number(step(&report, "end B", "swivel"), "least"), 0.005 * 25.4);
    assert!(step(&report, "end A", "depth")["open"].is_string());
    let plan = example("01-amphibian", "corrected.toml");
    let spigot = steps(&bench, &plan, "C1");
    near(number(step(&spigot, "end A", "mark"), "aim"), 40.0);
    near(number(step(&spigot, "end A", "clip"), "least"), 1.5 * 25.0);
    let tube = steps(&bench, &plan, "F1");
    near(number(step(&tube, "end A", "stand-out"), "most"), 25.4 / 8.0);
    assert!(list(group(&tube, "end A"), "steps").iter().all(|s| s["step"] != "nipple"));
    assert!(list(group(&tube, "finish"), "steps").iter().all(|s| s["step"] != "proof"));
}

#[test]
fn soft_aluminium_up_to_half_an_inch_is_flared_double_as_the_table_says() {
    let bench = Bench::new();
    let tube = |material: &str, outside: &str| {
        let plan = STARTER
            .replace("hose    = \"demo-oil-braid\"", &format!("tube    = \"{material}\""))
            .replace(
                "size    = \"-6\"",
                &format!("outside = \"{outside}\"\nwall    = \"0.035 in\""),
            )
            .replace("demo-flare-straight", "demo-tube-nut -6");
        bench.write("tube.toml", &plan);
        let run = bench.run_args(&["steps", "tube.toml", "F1", "--format", "json"]);
        assert_eq!(run.status, 0, "{}", run.err);
        let report = run.json();
        list(group(&report, "end A"), "steps").iter().any(|s| s["step"] == "double")
    };
    // US Army AL0907, page 50: 5052 of half an inch and less.
    assert!(tube("5052-o", "3/8 in"));
    assert!(tube("5052-o", "1/2 in"));
    assert!(!tube("5052-o", "5/8 in"));
    assert!(!tube("6061-t6", "3/8 in"));
}

#[test]
fn the_proof_step_has_the_pressure_of_the_proof_test() {
    let bench = Bench::new();
    let plan = example("03-press", "corrected.toml");
    let tests = bench.run_args(&["test", "proof", &plan, "--format", "json"]).json();
    let mut seen = 0;
    for line in list(&tests, "lines") {
        let (id, verdict) = (line["id"].as_str().unwrap_or_default(), line["verdict"].as_str());
        let report = steps(&bench, &plan, id);
        let finish = list(group(&report, "finish"), "steps");
        let proof =
            finish.iter().find(|s| s["step"].as_str().is_some_and(|s| s.starts_with("proof")));
        let Some(wanted) = line["test"]["pressure_bar"].as_f64() else {
            assert!(proof.is_none_or(|p| p["open"].is_string()), "{id}: {proof:?}");
            continue;
        };
        let proof = proof.unwrap_or_else(|| panic!("{id} has no proof step"));
        if verdict == Some("ok") {
            near(number(proof, "least"), wanted);
            let with = proof["number"]["with"].as_str().unwrap_or_default();
            assert!(with.contains("held 120 s") && with.contains("never with gas"), "{with}");
            seen += 1;
        }
    }
    assert!(seen > 2, "{tests:#}");
}

#[test]
fn an_end_that_does_not_say_how_it_is_put_on_has_no_steps() {
    let bench = Bench::new();
    let own = "[[end]]\nid = \"MINE\"\nfamily = \"flare-37\"\nsize = \"-6\"\ngender = \"female\"\n\
               cut_off = \"20 mm\"\nsource = \"measured\"\n";
    let from =
        STARTER.find("end_a").and_then(|at| STARTER[at..].lines().next()).unwrap_or_default();
    let plan =
        |attached: &str| format!("{}\n{own}{attached}", STARTER.replace(from, "end_a = \"MINE\""));
    bench.write("plan.toml", &plan(""));
    let report = steps(&bench, "plan.toml", "F1");
    let open = &group(&report, "end A")["open"];
    assert!(open.as_str().is_some_and(|o| o.contains("how MINE is put on is not known")), "{open}");
    assert!(group(&report, "end B")["open"].is_null());
    bench.write("plan.toml", &plan("attached = \"pressed\"\n"));
    let report = steps(&bench, "plan.toml", "F1");
    let open = &step(&report, "end A", "press")["open"];
    assert!(open.as_str().is_some_and(|o| o.contains("the maker")), "{open}");
    bench.write("plan.toml", &plan("attached = \"glued\"\n"));
    assert_eq!(bench.run("steps plan.toml F1").status, 2);
}

#[test]
fn a_line_that_is_not_there_is_refused() {
    let run = Bench::new().run("steps plan.toml F99");
    assert_eq!(run.status, 2);
    assert!(
        run.err.contains("the plan has no line \"F99\"") && run.err.contains("F1"),
        "{}",
        run.err
    );
}
