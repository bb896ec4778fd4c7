//! What goes with the program: completions, manual pages, schemas.

use clap::CommandFactory;
use hosewright::cli::args::Args;
use serde_json::Value;

use super::{Bench, EXAMPLES, example};
use crate::house::files_below;
use crate::house::fit::fit;

/// Every command below the first, by its words.
fn commands(command: &clap::Command, before: &str, all: &mut Vec<String>) {
    for below in command.get_subcommands().filter(|c| c.get_name() != "help") {
        let name = format!("{before} {}", below.get_name());
        commands(below, &name, all);
        all.push(name);
    }
}

fn every_command() -> Vec<String> {
    let mut all = Vec::new();
    commands(&Args::command(), "hosewright", &mut all);
    all
}

#[test]
fn every_command_has_a_manual_page_and_a_second_run_replaces_them() {
    let bench = Bench::new();
    bench.folder("man");
    for _ in 0..2 {
        let run = bench.run("manual man");
        assert_eq!(run.status, 0, "{}", run.err);
    }
    let all = every_command();
    assert!(all.len() > 30, "only {all:?}");
    for name in &all {
        let file = format!("man/{}.1", name.replace(' ', "-"));
        let page = bench.read(&file);
        assert!(page.contains(".TH hosewright") && page.contains("SYNOPSIS"), "{file}");
    }
    let pages = std::fs::read_dir(bench.path("man")).unwrap().count();
    assert_eq!(pages, all.len() + 1, "one page for each command and one for all");
    assert!(bench.read("man/hosewright.1").contains("local codes"), "the caution is missing");
}

#[test]
fn a_manual_page_of_somebody_else_is_not_overwritten() {
    let bench = Bench::new();
    bench.folder("man");
    bench.write("man/hosewright.1", "mine");
    let run = bench.run("manual man");
    assert_eq!((run.status, bench.read("man/hosewright.1").as_str()), (2, "mine"));
    assert_eq!(bench.run("manual nowhere").status, 2);
}

#[test]
fn every_shell_gets_completions_that_name_every_command() {
    let bench = Bench::new();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let run = bench.run(&format!("complete {shell}"));
        assert_eq!(run.status, 0, "{}", run.err);
        for name in every_command() {
            let last = name.rsplit(' ').next().unwrap_or_default();
            assert!(run.out.contains(last), "{shell} does not know {name}");
        }
    }
}

#[test]
fn a_shell_can_read_its_completions() {
    let bench = Bench::new();
    bench.write("completions", &bench.run("complete bash").out);
    let checked =
        std::process::Command::new("bash").arg("-n").arg(bench.path("completions")).output();
    // A machine without that shell cannot tell.
    if let Ok(output) = checked {
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn schemas_are_printed_as_they_stand_beside_the_examples() {
    let bench = Bench::new();
    for (of, file) in [("plan", "examples/plan.schema.json"), ("pile", "examples/pile.schema.json")]
    {
        assert_eq!(bench.run(&format!("schema {of}")).out, crate::house::read(file), "{of}");
    }
    assert_eq!(bench.run("schema").out, bench.run("schema plan").out);
}

fn report_schema() -> Value {
    Bench::new().run("schema report").json()
}

/// Reports of all examples, of all good plans, and of what only an option shows.
fn reports() -> Vec<(String, Value)> {
    let bench = Bench::new();
    let mut runs: Vec<Vec<String>> = Vec::new();
    for folder in EXAMPLES {
        runs.extend(["plan.toml", "corrected.toml"].map(|p| vec![example(folder, p)]));
    }
    let whole = |path: &String| crate::house::root().join(path).to_string_lossy().into_owned();
    let good = files_below("tests/plans/good");
    runs.extend(good.iter().map(|path| vec![whole(path)]));
    let story = whole(&"tests/stories/short/plan.toml".to_owned());
    runs.push(vec![story, "--short".into(), "H1=5 mm".into()]);
    let bench_plan = hosewright::plan::starter::STARTER
        .replace("\"90 L/h\"", "\"90 L/h ± 10 %\"")
        .replace("\"30 degC\"", "\"30 degC ± 400 K\"");
    bench.write("uncertain.toml", &bench_plan);
    runs.push(["uncertain.toml", "--spread", "--samples", "20"].map(str::to_owned).to_vec());
    let report = |args: Vec<String>| {
        let mut all = vec!["check", "--format", "json"];
        all.extend(args.iter().map(String::as_str));
        let run = bench.run_args(&all);
        assert!(run.status < 2, "{args:?}: {}", run.out);
        (args.join(" "), run.json())
    };
    runs.into_iter().map(report).collect()
}

#[test]
fn every_report_fits_its_schema_and_every_key_of_the_schema_is_described_by_one() {
    let schema = report_schema();
    let mut seen = Vec::new();
    for (name, report) in reports() {
        let mut found = Vec::new();
        fit(&report, &schema, "", &mut found);
        assert_eq!(found, Vec::<String>::new(), "{name}");
        say(&report, "", &mut seen);
    }
    let mut described = Vec::new();
    keys(&schema, "", &mut described);
    let unseen: Vec<&String> = described.iter().filter(|key| !seen.contains(key)).collect();
    // No plan of the project has a run that is not solved.
    let rare = "/spread/runs_not_solved/[]/";
    let unseen: Vec<&&String> = unseen.iter().filter(|key| !key.starts_with(rare)).collect();
    assert!(unseen.is_empty(), "no report has {unseen:?}");
}

#[test]
fn a_report_that_says_otherwise_does_not_fit() {
    let (_, report) = reports().swap_remove(0);
    let schema = report_schema();
    let broken = |change: fn(&mut Value)| {
        let mut other = report.clone();
        change(&mut other);
        let mut found = Vec::new();
        fit(&other, &schema, "", &mut found);
        found.join("\n")
    };
    let verdict = broken(|r| r["findings"][0]["verdict"] = "good".into());
    assert_eq!(verdict, "/findings/0/verdict: not one of the choices");
    assert!(broken(|r| r["lines"][0]["cut_mm"] = "462".into()).contains("not a number or a null"));
    assert!(broken(|r| r["more"] = 1.into()).contains("key more is not known"));
    let lost = broken(|r| drop(r.as_object_mut().and_then(|m| m.remove("tables"))));
    assert!(lost.contains("key tables is missing"), "{lost}");
}

/// Every place of a value that is there, with list places in one.
fn say(value: &Value, at: &str, seen: &mut Vec<String>) {
    let mut put = |place: String, inner: &Value| {
        say(inner, &place, seen);
        if !seen.contains(&place) {
            seen.push(place);
        }
    };
    match value {
        Value::Object(map) => map.iter().for_each(|(key, inner)| put(format!("{at}/{key}"), inner)),
        Value::Array(list) => list.iter().for_each(|inner| put(format!("{at}/[]"), inner)),
        _ => {}
    }
}

fn keys(schema: &Value, at: &str, all: &mut Vec<String>) {
    for (key, inner) in schema["properties"].as_object().into_iter().flatten() {
        all.push(format!("{at}/{key}"));
        keys(inner, &format!("{at}/{key}"), all);
    }
    if let Some(items) = schema.get("items") {
        keys(items, &format!("{at}/[]"), all);
    }
}
