//! Words that no file of the project may bear, and the schema that editors read.

use std::path::Path;

use hosewright::pile;
use hosewright::plan::{schema, starter};
use serde_json::Value;

use super::fit::fit;
use super::{assert_stored, files_below, read, root};

const FOLDERS: &[&str] =
    &["src", "tests", "tables", "examples", "benches", ".ci", ".github", "fuzz"];
const TOP: &[&str] = &[
    "Cargo.toml",
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "REFERENCE.md",
    "clippy.toml",
    "rustfmt.toml",
    "deny.toml",
    ".editorconfig",
    ".gitignore",
];

/// Words to keep out, in two halves each so that this file does not contain them.
const KEPT_OUT: &[(&str, &str)] = &[
    ("sha", "red/"),
    ("se", "ed"),
    ("trans", "cript"),
    ("hel", "per"),
    ("ses", "sion"),
    ("sand", "box"),
    ("ut", "il.rs"),
];

/// Names of a file that say nothing of what is in it.
const EMPTY_NAMES: &[(&str, &str)] =
    &[("ut", "il"), ("ut", "ils"), ("com", "mon"), ("hel", "per"), ("hel", "pers"), ("mi", "sc")];

/// Where the second kept-out word means the start of a search, with the reason.
const EXCUSED: &[(&str, &str)] = &[
    ("src/hydraulics/sizing.rs", "the first estimate that a search for the flow starts from"),
    ("tests/oracle/generate.py", "says that the random rows are the same in every run"),
];

/// Names of the property-test library and of a switch of the browser, which are not ours to choose.
const FOREIGN: &[(&str, &str)] = &[("rng_se", "ed"), ("rngse", "ed"), ("--no-sand", "box")];

fn whole((a, b): &(&str, &str)) -> String {
    format!("{a}{b}")
}

/// Every file whose words are ours, with its text; a file that is not text is none.
fn our_files() -> Vec<(String, String)> {
    let top = TOP.iter().filter(|f| root().join(f).is_file()).map(|f| (*f).to_owned());
    // What cargo-fuzz builds and finds is not of the project.
    let foreign =
        |p: &String| ["target/", "artifacts/"].iter().any(|f| p.starts_with(&format!("fuzz/{f}")));
    let ours = FOLDERS.iter().flat_map(|f| files_below(f)).filter(|p| !foreign(p));
    let paths = ours.chain(top);
    paths.map(|p| (p.clone(), read(&p))).collect()
}

/// A line without the names that a library of others brings along.
fn ours(line: &str) -> String {
    FOREIGN.iter().map(whole).fold(line.to_owned(), |line, name| line.replace(&name, ""))
}

#[test]
fn no_file_holds_a_word_that_is_kept_out() {
    let mut wrong = Vec::new();
    for (path, text) in our_files() {
        for (number, line) in text.lines().enumerate() {
            let small = ours(&line.to_lowercase());
            for word in KEPT_OUT.iter().map(whole).filter(|w| small.contains(w.as_str())) {
                let excused =
                    word == whole(&KEPT_OUT[1]) && EXCUSED.iter().any(|(p, _)| *p == path);
                if !excused {
                    wrong.push(format!("{path}:{}: \"{word}\"", number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_file_has_a_name_that_says_nothing() {
    for (path, _) in our_files() {
        let stem = Path::new(&path).file_stem().map(|s| s.to_string_lossy().to_lowercase());
        let empty = EMPTY_NAMES.iter().any(|n| stem.as_deref() == Some(whole(n).as_str()));
        assert!(!empty, "{path} has a name that says nothing");
    }
}

#[test]
fn every_excused_file_still_needs_its_excuse() {
    for (path, reason) in EXCUSED {
        assert!(reason.len() > 10, "{path}");
        assert!(read(path).to_lowercase().contains(&whole(&KEPT_OUT[1])), "{path} needs no excuse");
    }
}

#[test]
fn the_schema_beside_the_examples_is_the_one_the_reader_gives() {
    assert_stored("examples/plan.schema.json", &format!("{:#}\n", schema::schema()));
}

#[test]
fn the_schema_of_a_pile_is_the_one_its_reader_gives_and_the_example_fits_it() {
    assert_stored("examples/pile.schema.json", &format!("{:#}\n", pile::schema()));
    let text = read("examples/01-amphibian/pile.toml");
    assert_eq!(departs(&text, &pile::schema()), Vec::<String>::new());
    let wrong = text.replacen("length", "lenght", 1);
    assert_ne!(text, wrong);
    let found = departs(&wrong, &pile::schema());
    assert!(found.iter().any(|f| f.contains("key lenght is not known")), "{found:?}");
}

#[test]
fn the_starter_plan_fits_the_schema() {
    assert_eq!(misfits(starter::STARTER), Vec::<String>::new());
}

#[test]
fn every_example_plan_fits_the_schema() {
    let is_plan = |p: &String| p.ends_with("plan.toml") || p.ends_with("corrected.toml");
    let plans: Vec<String> = files_below("examples").into_iter().filter(is_plan).collect();
    assert!(plans.len() >= 6, "only {plans:?}");
    for plan in plans {
        assert_eq!(misfits(&read(&plan)), Vec::<String>::new(), "{plan}");
    }
}

#[test]
fn every_good_plan_fits_the_schema() {
    for plan in files_below("tests/plans/good") {
        assert_eq!(misfits(&read(&plan)), Vec::<String>::new(), "{plan}");
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let wrong = [
        ("name        = \"my machine\"", "nmae = \"my machine\"", "/plan: key nmae is not known"),
        ("kind = \"tank\"", "kind = \"bucket\"", "/component/0/kind: not one of the choices"),
        (
            "at    = [0, 0, 400]",
            "at = [0, 400]",
            "/component/0/ports/OUT/at: wrong number of items",
        ),
        ("flow          = \"90 L/h\"", "flow = 90", "/line/0/duty/0/flow: not a string"),
    ];
    for (right, broken, message) in wrong {
        let text = starter::STARTER.replace(right, broken);
        assert_ne!(text, starter::STARTER, "{right}");
        let found = misfits(&text);
        assert!(found.iter().any(|m| m == message), "{broken}: {found:?}");
    }
}

/// Where a plan's text departs from the schema.
fn misfits(plan: &str) -> Vec<String> {
    departs(plan, &schema::schema())
}

fn departs(text: &str, schema: &Value) -> Vec<String> {
    let Ok(table) = toml::from_str::<toml::Table>(text) else { return vec!["not TOML".into()] };
    let Ok(value) = serde_json::to_value(table) else { return vec!["not data".into()] };
    let mut found = Vec::new();
    fit(&value, schema, "", &mut found);
    found
}
