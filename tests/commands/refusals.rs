//! What the program does not understand: exit status 2, the reason, and the nearest thing it knows.

use super::Bench;

/// Arguments, and what the message must hold.
const UNKNOWN: &[(&[&str], &str, &str)] = &[
    (&["explain", "geometry.bend-radios"], "no check", "geometry.bend-radius"),
    (&["tables", "hoose"], "no kind of table", "hose"),
    (&["tables", "hose", "mil-h-8974"], "no hose table", "mil-h-8794"),
    (&["tables", "thread", "flare-73"], "no thread table", "flare-37"),
    (
        &["quick", "derate", "--hose", "demo-fuel 10mm", "--temperature", "20 degC"],
        "no size in demo-fuel",
        "10 mm",
    ),
    (
        &["quick", "derate", "--hose", "sae-100r1ta -8", "--temperature", "20 degC"],
        "no hose table",
        "sae-100r1at",
    ),
    (
        &[
            "quick",
            "drop",
            "--bore",
            "8 mm",
            "--length",
            "1 m",
            "--flow",
            "1 L/min",
            "--fluid",
            "watre",
            "--temperature",
            "20 degC",
        ],
        "no fluid table",
        "water",
    ),
    (
        &[
            "quick",
            "drop",
            "--bore",
            "8 mm",
            "--length",
            "1 m",
            "--flow",
            "1 L/min",
            "--fluid",
            "engine-oil 15W-5",
            "--temperature",
            "20 degC",
        ],
        "no grade",
        "15W-50",
    ),
];

#[test]
fn an_unknown_name_is_refused_with_the_nearest_known_one() {
    let bench = Bench::new();
    for (args, message, nearest) in UNKNOWN {
        let run = bench.run_args(args);
        assert_eq!(run.status, 2, "{args:?}");
        assert!(run.out.is_empty(), "{args:?}: {}", run.out);
        assert!(run.err.contains(message), "{args:?}: {}", run.err);
        let hint = format!("did you mean \"{nearest}\"");
        assert!(run.err.contains(&hint), "{args:?}: {}", run.err);
    }
}

#[test]
fn an_unknown_name_is_data_when_data_is_asked_for() {
    let bench = Bench::new();
    let run = bench.run("tables hose mil-h-8974 --format json");
    assert_eq!(run.status, 2);
    let problem = &run.json()["problems"][0];
    assert!(problem["message"].as_str().is_some_and(|m| m.contains("mil-h-8974")));
    assert!(problem["help"][0].as_str().is_some_and(|h| h.contains("mil-h-8794")));
}

/// Arguments that are understood as words but not as engineering.
const IMPOSSIBLE: &[&[&str]] = &[
    &["quick", "friction", "--reynolds", "-5"],
    &["quick", "friction", "--reynolds", "nan"],
    &["quick", "friction", "--reynolds", "5000", "--roughness-ratio", "2"],
    &[
        "quick",
        "drop",
        "--bore",
        "0 mm",
        "--length",
        "1 m",
        "--flow",
        "1 L/min",
        "--density",
        "1000 kg/m3",
        "--viscosity",
        "1 cP",
    ],
    &[
        "quick",
        "drop",
        "--bore",
        "8 mm",
        "--length",
        "1 m",
        "--flow",
        "1 gal/min",
        "--fluid",
        "water",
        "--temperature",
        "20 degC",
    ],
    &[
        "quick",
        "drop",
        "--bore",
        "8 mm",
        "--length",
        "1 m",
        "--flow",
        "1 L/min",
        "--fluid",
        "water",
        "--temperature",
        "150 degC",
    ],
    &[
        "quick",
        "drop",
        "--bore",
        "8 mm",
        "--length",
        "1 m",
        "--flow",
        "1 L/min",
        "--fluid",
        "engine-oil",
        "--temperature",
        "20 degC",
    ],
    &["quick", "length", "--path", "30 mm", "--cut-off-a", "24 mm", "--cut-off-b", "24 mm"],
    &["quick", "length", "--path", "486 mm", "--cut-off-a", "24", "--cut-off-b", "24 mm"],
    &["quick", "derate", "--temperature", "20 degC"],
    &["check", "missing.toml"],
    &["check", "empty"],
    &["check", "plan.toml", "--width", "10"],
    &["check", "plan.toml", "--format", "xml"],
];

#[test]
fn impossible_arguments_are_refused_in_words_and_nothing_is_printed_as_an_answer() {
    let bench = Bench::new();
    bench.folder("empty");
    for args in IMPOSSIBLE {
        let run = bench.run_args(args);
        assert_eq!(run.status, 2, "{args:?}: {}", run.out);
        assert!(run.out.is_empty(), "{args:?}: {}", run.out);
        assert!(run.err.len() > 20, "{args:?}: {}", run.err);
    }
}

#[test]
fn a_table_beside_the_plan_hides_the_built_in_one_and_the_report_says_so() {
    let bench = Bench::new();
    let folder = bench.path("tables/hose");
    std::fs::create_dir_all(&folder).unwrap();
    let own = crate::house::read("tables/hose/demo-oil-braid.toml");
    bench.write("tables/hose/demo-oil-braid.toml", &own.replace("INVENTED", "MY OWN"));
    let run = bench.run("check plan.toml --format json");
    let tables = run.json()["tables"].as_array().cloned().unwrap_or_default();
    let hides: Vec<_> = tables.iter().filter(|t| t["hides_builtin"] == true).collect();
    assert_eq!(hides.len(), 1, "{tables:?} {}", run.err);
    assert_eq!(hides[0]["id"], "hose/demo-oil-braid");
    let text = bench.run("check plan.toml").words();
    assert!(text.contains("in place of the built-in one"), "{text}");
}

#[test]
fn a_pile_in_the_place_of_the_plan_is_told_the_order() {
    let bench = Bench::new();
    let [plan, pile] = ["corrected.toml", "pile.toml"].map(|f| super::example("01-amphibian", f));
    let run = bench.run_args(&["identify", &pile, &plan]);
    assert_eq!(run.status, 2);
    assert!(run.err.contains("the plan comes first"), "{}", run.err);
}
