//! The command line from outside: every command in every format, widths, exit status, files.
#![expect(
    clippy::disallowed_methods,
    clippy::panic,
    reason = "these tests lay out folders, look at what was written, and say why when they cannot"
)]

mod bench;
mod bend;
mod book;
mod built;
mod compare;
mod contract;
mod dip;
mod figures;
mod fill;
mod fleet;
mod flow_test;
mod joints;
mod layout;
mod leak_test;
mod life;
mod log;
mod packaging;
mod proof_test;
mod refusals;
mod route;
mod signed;
mod sizes;
mod steps;
mod strap;
mod verdicts;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use crate::house::root;

/// What a run of the program gave back.
pub struct Run {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// A folder with the starter plan in it; the program runs there, away from the project's tables.
pub struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("no folder: {e}"));
        let bench = Self { folder };
        bench.write("plan.toml", STARTER);
        bench
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap_or_else(|e| panic!("{name}: {e}"));
    }

    /// Lays out a folder with those above it.
    pub fn folder(&self, name: &str) {
        std::fs::create_dir_all(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Runs the program with arguments that blanks divide.
    pub fn run(&self, line: &str) -> Run {
        let args: Vec<&str> = line.split_whitespace().collect();
        self.run_args(&args)
    }

    pub fn run_args(&self, args: &[&str]) -> Run {
        finish(self.command(args).output())
    }

    /// Runs the program with a text on standard input.
    pub fn run_with(&self, args: &[&str], input: &str) -> Run {
        let mut command = self.command(args);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap_or_else(|e| panic!("{args:?}: {e}"));
        if let Some(mut stdin) = child.stdin.take() {
            stdin.write_all(input.as_bytes()).unwrap_or_else(|e| panic!("{args:?}: {e}"));
        }
        finish(child.wait_with_output())
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_hosewright"));
        command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        // The surroundings of whoever runs the tests must not decide.
        for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
            command.env_remove(name);
        }
        command
    }
}

pub fn finish(output: std::io::Result<Output>) -> Run {
    let output = output.unwrap_or_else(|e| panic!("the program did not run: {e}"));
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap_or_else(|e| panic!("{e}"));
    let run = Run {
        status: output.status.code().unwrap_or(-1),
        out: text(output.stdout),
        err: text(output.stderr),
    };
    assert!(!run.err.contains("panicked"), "{}", run.err);
    run
}

impl Run {
    /// The answer as data.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e} in {}", self.out))
    }

    /// The answer as a spreadsheet: its head and its rows, all of the same width.
    pub fn csv(&self) -> Vec<Vec<String>> {
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).from_reader(self.out.as_bytes());
        let row = |r: Result<csv::StringRecord, csv::Error>| {
            let record = r.unwrap_or_else(|e| panic!("{e} in {}", self.out));
            record.iter().map(str::to_owned).collect()
        };
        reader.records().map(row).collect()
    }

    /// All that was printed, colours taken off, in single blanks: what a reader reads.
    pub fn words(&self) -> String {
        self.out.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// A figure of an answer.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// A figure of an answer is what was expected, within a share of it.
pub fn near(what: &str, found: &Value, expected: f64, share: f64) {
    let found = number(found);
    assert!((found - expected).abs() <= share * expected.abs(), "{what}: {found}, {expected}");
}

/// The example machines: folder and whether its first plan is written with faults.
pub const EXAMPLES: [&str; 3] = ["01-amphibian", "02-river-launch", "03-press"];

pub fn example(folder: &str, plan: &str) -> String {
    let path = root().join("examples").join(folder).join(plan);
    path.to_string_lossy().into_owned()
}

/// Every command that answers in every format, with the starter plan beside it.
pub const COMMANDS: &[&[&str]] = &[
    &["check", "plan.toml"],
    &["check", "plan.toml", "--all"],
    &["size", "plan.toml"],
    &["test", "proof", "plan.toml"],
    &["test", "leak", "plan.toml"],
    &["cut", "plan.toml"],
    &["fill", "plan.toml"],
    &["mass", "plan.toml"],
    &["order", "plan.toml"],
    &["order", "plan.toml", "--alternates"],
    &["joints", "plan.toml"],
    &["steps", "plan.toml", "F1"],
    &["tables"],
    &["tables", "hose"],
    &["tables", "hose", "mil-h-8794"],
    &["tables", "limit", "installation"],
    &["tables", "torque", "flare-37-army"],
    &["explain"],
    &["explain", "geometry.bend-radius"],
    &["quick", "friction", "--reynolds", "50000", "--roughness-ratio", "0.001"],
    &["quick", "friction", "--reynolds", "3000"],
    &[
        "quick",
        "drop",
        "--bore",
        "8 mm",
        "--length",
        "2 m",
        "--flow",
        "3 L/min",
        "--fluid",
        "water",
        "--temperature",
        "20 degC",
    ],
    &[
        "quick",
        "bore",
        "--drop",
        "5 kPa",
        "--length",
        "2 m",
        "--flow",
        "3 L/min",
        "--density",
        "870 kg/m3",
        "--kinematic",
        "46 mm2/s",
    ],
    &["quick", "derate", "--hose", "sae-100r1at -8", "--temperature", "60 degC"],
    &["quick", "length", "--path", "486 mm", "--cut-off-a", "24 mm", "--cut-off-b", "24 mm"],
    &["quick", "thread", "--outside", "19.0 mm", "--error", "0.1 mm", "--pitch", "16 tpi"],
    &["quick", "stiffness", "--overhang", "600 mm", "--mass", "0.35 kg/m", "--droop", "150 mm"],
];

#[test]
fn every_command_answers_in_every_format() {
    let bench = Bench::new();
    for command in COMMANDS {
        let text = bench.run_args(command);
        assert_eq!(text.status, 0, "{command:?}: {}", text.err);
        assert!(text.out.len() > 20 && text.err.is_empty(), "{command:?}");

        let json = bench.run_args(&[command, &["--format", "json"][..]].concat());
        assert_eq!(json.status, 0, "{command:?}: {}", json.err);
        let value = json.json();
        assert!(value.as_object().is_some_and(|o| !o.is_empty()), "{command:?}");

        let csv = bench.run_args(&[command, &["--format", "csv"][..]].concat());
        assert_eq!(csv.status, 0, "{command:?}: {}", csv.err);
        let rows = csv.csv();
        assert!(rows.len() >= 2, "{command:?}: {}", csv.out);
        // A list in plain text would read as a table of one column.
        assert!(rows.iter().all(|r| r.len() == rows[0].len() && r.len() >= 2), "{command:?}");
    }
}

#[test]
fn the_format_may_stand_before_or_behind_the_command() {
    let bench = Bench::new();
    let behind = bench.run("check plan.toml --format json");
    let before = bench.run("--format json check plan.toml");
    assert_eq!(behind.out, before.out);
}

#[test]
fn help_and_version_are_answers_and_no_arguments_are_a_misuse() {
    let bench = Bench::new();
    for line in ["--help", "--version", "help quick", "check --help", "quick drop --help"] {
        assert_eq!(bench.run(line).status, 0, "{line}");
    }
    assert_eq!(bench.run("").status, 2);
    assert_eq!(bench.run("chekc plan.toml").status, 2);
}

#[test]
fn the_same_question_gives_the_same_bytes() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        let plan = example(folder, "plan.toml");
        for format in ["text", "json", "csv"] {
            for command in ["check", "cut", "order"] {
                let args = [command, plan.as_str(), "--format", format];
                let (first, second) = (bench.run_args(&args), bench.run_args(&args));
                assert!(!first.out.is_empty(), "{args:?}: {}", first.err);
                assert_eq!(first.out, second.out, "{args:?}");
            }
        }
    }
}

#[test]
fn a_plan_with_planted_faults_exits_with_1_and_its_corrected_form_with_0() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        for (plan, status) in [("plan.toml", 1), ("corrected.toml", 0)] {
            let run = bench.run_args(&["check", &example(folder, plan)]);
            assert_eq!(run.status, status, "{folder}/{plan}\n{}{}", run.out, run.err);
        }
    }
}

#[test]
fn strict_calls_what_rests_on_invented_figures_a_caution_and_exits_with_1() {
    let bench = Bench::new();
    assert_eq!(bench.run("check plan.toml").status, 0);
    let strict = bench.run("check plan.toml --strict --format json");
    assert_eq!(strict.status, 1);
    let value = strict.json();
    let findings = value["findings"].as_array().cloned().unwrap_or_default();
    let weak = |f: &&Value| matches!(f["standing"].as_str(), Some("demo" | "from-memory"));
    assert!(findings.iter().filter(weak).count() > 3);
    assert!(findings.iter().filter(weak).all(|f| f["verdict"] != "ok"));
}

#[test]
fn new_writes_a_plan_and_its_schema_and_never_over_a_file() {
    let bench = Bench::new();
    let run = bench.run("new fresh.toml");
    assert_eq!(run.status, 0, "{}", run.err);
    assert_eq!(bench.read("fresh.toml"), STARTER);
    let schema: Value = serde_json::from_str(&bench.read("plan.schema.json")).unwrap();
    assert_eq!(schema, hosewright::plan::schema::schema());
    assert_eq!(bench.run("check fresh.toml").status, 0);

    bench.write("fresh.toml", "mine");
    let again = bench.run("new fresh.toml");
    assert_eq!(again.status, 2);
    assert!(again.err.contains("fresh.toml is there already"), "{}", again.err);
    assert_eq!(bench.read("fresh.toml"), "mine");

    bench.write("plan.schema.json", "mine too");
    assert_eq!(bench.run("new other.toml").status, 0);
    assert_eq!(bench.read("plan.schema.json"), "mine too");
}

#[test]
fn new_leaves_nothing_behind_where_it_cannot_write() {
    let bench = Bench::new();
    assert_eq!(bench.run("new nowhere/fresh.toml").status, 2);
    assert!(!Path::new(&bench.path("nowhere")).exists());
    let names: Vec<_> = std::fs::read_dir(bench.path("")).unwrap().flatten().collect();
    assert_eq!(names.len(), 1, "{names:?}");
}

#[test]
fn a_dash_prints_the_starter_and_reads_standard_input() {
    let bench = Bench::new();
    assert_eq!(bench.run("new -").out, STARTER);
    let piped = bench.run_with(&["check", "-", "--format", "json"], STARTER);
    assert_eq!(piped.status, 0, "{}", piped.err);
    assert_eq!(piped.out, bench.run("check plan.toml --format json").out);
    let broken = bench.run_with(&["check", "-"], "[plan]\nname = 3\n");
    assert_eq!(broken.status, 2);
    assert!(broken.err.contains("<stdin>:2"), "{}", broken.err);
}

#[test]
fn explain_tells_all_six_parts_of_every_check() {
    let bench = Bench::new();
    for about in hosewright::check::abouts() {
        let words = bench.run_args(&["explain", about.code]).words();
        let parts = [about.looks_at, about.why, about.number, about.limit_from, about.open_when];
        for part in parts.into_iter().chain([about.remedy, about.code]) {
            assert!(words.contains(part), "{}: {part}", about.code);
        }
    }
}
