//! Input that nobody would write by hand: the program answers with a message and exit status 2, soon.
#![expect(
    clippy::disallowed_methods,
    clippy::expect_used,
    reason = "these tests write the files that the program is to refuse, and may fail"
)]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use hosewright::plan::starter::STARTER;

/// A debug build on a busy machine needs a few seconds for the largest of these files; a calculation
/// that grows with the square of the lines would need hours.
const SOON: Duration = Duration::from_mins(1);

/// A folder with one file in it.
struct Case {
    folder: tempfile::TempDir,
}

impl Case {
    fn new(plan: impl AsRef<[u8]>) -> Self {
        let case = Self { folder: tempfile::tempdir().expect("a folder for the test") };
        case.write("plan.toml", plan);
        case
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.folder.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, text).expect("a file for the test");
    }

    /// Runs the program in the folder, so that messages hold short paths.
    fn run(&self, arguments: &[&str]) -> Output {
        run_in(self.folder.path(), arguments, b"")
    }
}

fn run_in(folder: &Path, arguments: &[&str], input: &[u8]) -> Output {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_hosewright"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that has seen enough closes its input.
    let _ = child.stdin.take().expect("an input").write_all(input);
    let output = child.wait_with_output().expect("the program ends");
    assert!(start.elapsed() < SOON, "{:?} for {arguments:?}", start.elapsed());
    output
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("answers are UTF-8")
}

/// The message of a refusal; anything but a message and exit status 2 fails.
fn refusal(output: &Output) -> String {
    let message = text(&output.stderr);
    assert!(!message.contains("panicked"), "{message}");
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(message.starts_with("error: "), "{message}");
    assert!(output.stdout.is_empty(), "{}", text(&output.stdout));
    message
}

fn refused(plan: impl AsRef<[u8]>) -> String {
    refusal(&Case::new(plan).run(&["check", "plan.toml"]))
}

/// The starter plan with one text for another.
fn altered(from: &str, to: &str) -> String {
    assert!(STARTER.contains(from), "the starter plan has no {from}");
    STARTER.replacen(from, to, 1)
}

/// The problems as data, after the same file has been refused as text.
fn problems(plan: &str) -> Vec<serde_json::Value> {
    let case = Case::new(plan);
    refusal(&case.run(&["check", "plan.toml"]));
    let output = case.run(&["check", "plan.toml", "--format", "json"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stderr.is_empty(), "{}", text(&output.stderr));
    let data: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    data["problems"].as_array().expect("a list of problems").clone()
}

#[test]
fn a_file_that_is_not_utf8_is_refused_at_its_first_bad_byte() {
    let mut bytes = b"[plan]\nname = \"".to_vec();
    bytes.extend([0xff, 0xfe, b'"', b'\n']);
    let message = refused(&bytes);
    assert!(message.contains("not UTF-8") && message.contains("plan.toml:2:9"), "{message}");
    let wide: Vec<u8> = STARTER.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let marked: Vec<u8> = [0xff, 0xfe].into_iter().chain(wide).collect();
    assert!(refused(&marked).contains("not UTF-8"));
}

#[test]
fn an_empty_file_lacks_the_section_plan() {
    for empty in ["", "\n", " \t\r\n\r\n", "# nothing\n", "\u{feff}"] {
        let message = refused(empty);
        assert!(message.contains("needs the key \"plan\""), "{empty:?}: {message}");
        assert!(message.contains("plan.toml:1:1"), "{empty:?}: {message}");
    }
}

#[test]
fn a_byte_order_mark_and_carriage_returns_change_nothing() {
    let answer = |plan: &str| {
        let output = Case::new(plan).run(&["check", "plan.toml"]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        text(&output.stdout)
    };
    let plain = answer(STARTER);
    assert_eq!(answer(&format!("\u{feff}{STARTER}")), plain);
    assert_eq!(answer(&STARTER.replace('\n', "\r\n")), plain);
    let fault = altered("hose    =", "hoes    =");
    let message = refused(&fault);
    assert_eq!(refused(format!("\u{feff}{fault}")), message);
    assert_eq!(refused(fault.replace('\n', "\r\n")), message);
}

#[test]
fn one_line_of_five_megabytes_is_refused_in_few_words() {
    let long = "x".repeat(5_000_000);
    let lines = [
        format!("name = \"{long}\"\n"),
        format!("{long} = 1\n"),
        format!("# {long}\n"),
        format!("name = \"{long}\n"),
        long.clone(),
        format!("a = [{}]\n", "1, ".repeat(1_600_000)),
        format!("a = {{{}}}\n", "1, ".repeat(1_600_000)),
    ];
    for line in lines {
        let message = refused(&line);
        assert!(message.len() < 60_000, "{} bytes about {:.20}", message.len(), line);
    }
}

#[test]
fn a_hundred_thousand_lines_are_read_soon_and_their_problems_cut_short() {
    let line = STARTER.split("[[line]]").nth(1).and_then(|s| s.split("# ---").next());
    let line = format!("[[line]]{}", line.expect("the line of the starter plan"));
    let same = format!("{STARTER}\n{}", line.repeat(100_000));
    let message = refused(&same);
    assert!(message.contains("line \"F1\" stands twice"), "{message:.500}");
    assert!(message.contains("... and 901 more"), "{message:.500}");
    let every = Case::new(&same).run(&["check", "plan.toml", "--format", "json"]);
    let data: serde_json::Value = serde_json::from_slice(&every.stdout).expect("JSON");
    let list = data["problems"].as_array().expect("a list of problems");
    assert_eq!(list.len(), 1001);
    let last = list.last().and_then(|p| p["message"].as_str()).unwrap_or_default();
    assert!(last.contains("more than 1000 problems"), "{last}");
}

#[test]
fn a_million_clips_are_counted_and_refused_at_once() {
    let clips = (0..1_000_000).map(|i| format!("[{}, {}, 380]", 330 + i % 7, i % 5));
    let clips: Vec<String> = clips.collect();
    let plan = altered("[[330, 0, 380], [650, -80, 320]]", &format!("[{}]", clips.join(",")));
    let message = refused(plan);
    assert!(message.contains("1000000 clips on one line; 500 at most"), "{message:.300}");
}

#[test]
fn a_hundred_thousand_unknown_names_are_read_soon() {
    let component = |i: usize| format!("[[component]]\nid = \"C{i}\"\nkind = \"tank\"\n");
    let line = |i: usize| format!("[[line]]\nid = \"L{i}\"\nfluid = \"F{i}\"\nfrom = \"D{i}.A\"\n");
    let many: String = (0..100_000).map(|i| component(i) + &line(i)).collect();
    assert!(refused(format!("{STARTER}\n{many}")).contains("problems; nothing was calculated"));
}

#[test]
fn a_component_with_fifty_thousand_paths_and_states_is_read_soon() {
    use std::fmt::Write as _;
    let mut text = format!("{STARTER}\n[[component]]\nid = \"MANY\"\nkind = \"valve\"\n");
    for i in 0..50_000 {
        let at = "at = [0, 0, 0], faces = [1, 0, 0]";
        let end = "end = { family = \"flare-37\", size = \"-6\", gender = \"male\" }";
        let _ = writeln!(text, "ports.P{i} = {{ {at}, {end} }}");
    }
    for i in 0..49_999 {
        let ends = format!("from = \"P{i}\"\nto = \"P{}\"", i + 1);
        let _ = writeln!(text, "[[component.path]]\n{ends}\nfree = true");
        let shut = format!("shut = [\"P{i}-P{}\", \"P0-P1\"]", i + 1);
        let _ = writeln!(text, "[[component.state]]\nname = \"s{i}\"\n{shut}\nspeed = \"1 %\"");
    }
    let _ = writeln!(text, "[matrix]\naltitude = [\"0 m\"]\nwithout = [");
    for i in 0..50_000 {
        let _ = writeln!(text, "  {{ MANY = \"s{i}\" }},");
    }
    let message = refused(text + "]\n");
    assert!(message.contains("no path of this component is a pump"), "{message:.500}");
}

#[test]
fn a_hundred_thousand_syntax_faults_are_read_soon() {
    assert!(refused("a b c\n".repeat(100_000)).contains("the equals sign is missing"));
    assert!(refused("[[[\n".repeat(100_000)).contains("problems; nothing was calculated"));
}

#[test]
fn deep_nesting_is_refused() {
    const DEEP: usize = 10_000;
    let nested = [
        format!("a = {}{}\n", "[".repeat(DEEP), "]".repeat(DEEP)),
        format!("a = {}\n", "[".repeat(DEEP)),
        format!("a = {}1{}\n", "{ a = ".repeat(DEEP), " }".repeat(DEEP)),
        format!("a{} = 1\n", ".a".repeat(DEEP)),
        format!("[a{}]\n", ".a".repeat(DEEP)),
        format!("[[a{}]]\n", ".a".repeat(DEEP)),
    ];
    for plan in nested {
        let message = refused(&plan);
        assert!(message.len() < 20_000, "{} bytes about {:.20}", message.len(), plan);
    }
}

#[test]
fn a_text_of_too_many_signs_is_not_even_parsed() {
    let units =
        [("\n", 32_000_001), ("[[line]]\n", 6_400_001), ("a=1\n", 16_000_001), ("x, ", 16_000_001)];
    for (unit, times) in units {
        let message = refused(unit.repeat(times));
        assert!(message.contains("blanks, line ends and signs; at most"), "{unit:?}: {message}");
        assert!(message.contains("\n1 problem; nothing was"), "{unit:?}: {message}");
    }
}

#[test]
fn huge_numbers_are_refused_where_they_stand() {
    let digits = "9".repeat(5000);
    let numbers = ["1e400", "-1e400", "1e300", "inf", "-inf", "nan", "0xffff_ffff_ffff", &digits];
    for number in numbers {
        let plan = altered("[650, 150, 300]", &format!("[650, {number}, 300]"));
        let message = refused(&plan);
        assert!(message.contains("three finite numbers"), "{number:.20}: {message}");
    }
    for flow in ["1e400 L/h", "9e999999999 L/h", &format!("{digits} L/h")] {
        let message = refused(altered("\"90 L/h\"", &format!("\"{flow}\"")));
        assert!(message.contains("flow"), "{flow:.20}: {message}");
    }
    let count = refused(altered("length = \"3000 mm\"", "length = \"3 m\"\ncount = 4294967296"));
    assert!(count.contains("count needs a whole number"), "{count}");
}

#[test]
fn numbers_at_the_edge_of_reason_never_end_in_a_panic() {
    let plans = [
        altered("[650, 150, 300]", "[9e11, 1e-300, 300]"),
        altered("\"90 L/h\"", "\"1e308 L/h\""),
        altered("\"90 L/h\"", "\"1e-200 L/h\""),
        altered("\"30 degC\"", "\"1e30 degC\""),
        altered("\"0 bar\"", "\"-1e30 bar\""),
        altered("\"3000 mm\"", "\"1e-30 mm\""),
        altered("cut_step    = \"1 mm\"", "cut_step    = \"1e-30 mm\""),
        altered("cut_step    = \"1 mm\"", "cut_step    = \"1e30 m\""),
        altered("kerf     = \"3 mm\"", "kerf     = \"1e30 m\""),
        altered("spares = \"10 %\"", "spares = \"1e300 %\""),
        altered("faces = [1, 0, 0]", "faces = [1e-200, 0, 0]"),
        altered("faces = [1, 0, 0]", "faces = [1e11, 1e-11, 0]"),
    ];
    for plan in plans {
        for command in ["check", "cut", "order"] {
            let output = Case::new(&plan).run(&[command, "plan.toml", "--format", "json"]);
            let (out, err) = (text(&output.stdout), text(&output.stderr));
            assert!(output.status.code().is_some_and(|c| c <= 2), "{err}");
            assert!(!err.contains("panicked"), "{err}");
            let _: serde_json::Value = serde_json::from_str(&out).expect("JSON");
            assert!(!out.contains("NaN") && !out.contains("inf,"), "{out}");
        }
    }
}

#[test]
fn names_of_ten_kilobytes_are_cut_short_in_messages() {
    let long = "n".repeat(10_000);
    let plans = [
        altered("id      = \"F1\"", &format!("id      = \"{long}\"")),
        altered("\"TANK.OUT\"", &format!("\"TANK.{long}\"")),
        altered("\"TANK.OUT\"", &format!("\"{long}.OUT\"")),
        altered("\"suction\"", &format!("\"{long}\"")),
        altered("\"90 L/h\"", &format!("\"90 {long}\"")),
        altered("zone    =", &format!("{long} =")),
        altered("[component.ports.OUT]", &format!("[component.ports.{long}]")),
        altered("\"demo-flare-straight\"", &format!("\"demo-flare-straight {long}\"")),
    ];
    for plan in plans {
        let message = refused(&plan);
        assert!(message.len() < 4000, "{} bytes: {message:.400}", message.len());
        for problem in problems(&plan) {
            assert!(problem["message"].as_str().is_some_and(|m| m.len() < 400), "{problem}");
        }
    }
}

#[test]
fn marks_that_turn_the_writing_around_reach_no_terminal() {
    let turned = ['\u{202e}', '\u{2066}', '\u{200f}'];
    for mark in turned {
        let plans = [
            altered("my machine", &format!("my {mark}machine")),
            altered("id      = \"F1\"", &format!("id      = \"F{mark}1\"")),
            altered("zone    =", &format!("\"zo{mark}ne\" =")),
            altered("\"90 L/h\"", &format!("\"90 {mark}L/h\"")),
            altered("\"suction\"", &format!("\"suc{mark}tion\"")),
        ];
        for plan in plans {
            let words: Vec<String> = problems(&plan).iter().map(ToString::to_string).collect();
            assert!(!words.is_empty() && !words.concat().contains(mark), "{words:?}");
        }
    }
}

#[test]
fn escape_sequences_of_a_terminal_reach_no_terminal() {
    let plans = [
        altered("my machine", "my \\u001b[31mmachine"),
        altered("zone    =", "\"\\u001b]0;x\\u0007\" ="),
        altered("\"90 L/h\"", "\"90 \\u001b[2J\""),
        altered("\"90 L/h\"", "\"90 \u{1b}[2J\""),
        altered("\"suction\"", "\"\\u001b[31m\""),
        altered("\"TANK.OUT\"", "\"TANK.\\u009b31m\""),
    ];
    for plan in plans {
        let message = refused(&plan);
        assert!(!message.contains(['\u{1b}', '\u{7}', '\u{9b}']), "{message:?}");
    }
}

#[test]
fn letters_of_any_script_and_markup_are_just_words() {
    for name in ["أنبوب الوقود", "燃料タンク", "<script>alert(1)</script>", "\\\"; drop'"]
    {
        let plan = altered("\"fuel tank\"", &format!("\"{name}\""));
        let output = Case::new(&plan).run(&["check", "plan.toml", "--format", "json"]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let _: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    }
    let message = refused(altered("id      = \"F1\"", "id      = \"<script>\""));
    assert!(message.contains("\"<script>\" cannot be a name"), "{message}");
}

#[test]
fn a_folder_and_a_missing_file_are_no_plans() {
    let case = Case::new("");
    let folder = refusal(&case.run(&["check", "."]));
    assert!(folder.contains("is a folder without a plan"), "{folder}");
    let missing = refusal(&case.run(&["check", "none.toml"]));
    assert!(missing.contains("there is no file none.toml"), "{missing}");
    let below = refusal(&case.run(&["check", "plan.toml/none.toml"]));
    assert!(below.contains("plan.toml/none.toml"), "{below}");
    let strange = refusal(&case.run(&["check", "no\u{1b}[31m.toml"]));
    assert!(!strange.contains('\u{1b}'), "{strange:?}");
}

#[test]
fn problems_outside_any_line_parse_as_data_too() {
    let case = Case::new("");
    let output = case.run(&["check", "none.toml", "--format", "json"]);
    assert_eq!(output.status.code(), Some(2));
    let data: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert!(data["problems"][0]["message"].as_str().is_some_and(|m| m.contains("none.toml")));
    assert!(data["problems"][0]["line"].is_null());
}

#[test]
fn problems_as_data_name_file_line_and_column() {
    let found = problems(&altered("\"90 L/h\"", "\"90 mm\""));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["file"], "plan.toml");
    let line = STARTER.lines().position(|l| l.contains("\"90 L/h\"")).expect("the flow") + 1;
    assert_eq!(found[0]["line"].as_u64(), u64::try_from(line).ok());
    assert_eq!(found[0]["column"], 21);
}

#[test]
fn standard_input_is_refused_under_its_own_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let message = refusal(&run_in(folder.path(), &["check", "-"], b"[plan\n"));
    assert!(message.contains("<stdin>:1:"), "{message}");
    let bytes = refusal(&run_in(folder.path(), &["check", "-"], &[0, 159, 146, 150]));
    assert!(bytes.contains("not UTF-8"), "{bytes}");
}

/// A user's table as short as one can be.
const TABLE: &str = r#"[table]
kind    = "hose"
name    = "demo-oil-braid"
title   = "My own hose of that name"
key     = ["size"]
between = "exact"

[columns]
size = "text"
bore = "mm"

[[source]]
id       = "label"
document = "printed on the hose"
standing = "demo"

[rows]
list = [
  { size = "-6", bore = 8.7, source = "label" },
]
"#;

#[test]
fn a_users_table_hides_the_built_in_one() {
    let case = Case::new(STARTER);
    let before = case.run(&["check", "plan.toml"]);
    case.write("tables/hose/demo-oil-braid.toml", TABLE);
    let after = case.run(&["check", "plan.toml"]);
    assert!(after.status.code().is_some_and(|c| c < 2), "{}", text(&after.stderr));
    assert_ne!(before.stdout, after.stdout);
}

#[test]
fn a_broken_table_is_named_with_its_line() {
    let broken = [
        (TABLE.replace("bore = \"mm\"", "bore = \"furlong\""), "demo-oil-braid.toml:10:"),
        (TABLE.replace("[rows]", "[rows"), "demo-oil-braid.toml:17:"),
        (TABLE.replace("source = \"label\"", "source = \"lable\""), "demo-oil-braid.toml:19:"),
        (TABLE.replace("title ", "titel "), "demo-oil-braid.toml:4:"),
        (TABLE.replace("bore = 8.7", "boer = 8.7"), "demo-oil-braid.toml:19:"),
        (String::new(), "demo-oil-braid.toml:1:1"),
    ];
    for (table, place) in broken {
        let case = Case::new(STARTER);
        case.write("tables/hose/demo-oil-braid.toml", &table);
        let message = refusal(&case.run(&["check", "plan.toml"]));
        assert!(message.contains(place), "{place}: {message}");
    }
}

#[test]
fn a_table_that_cannot_be_read_is_named() {
    let case = Case::new(STARTER);
    case.write("tables/hose/odd.toml", [0xff, 0x00]);
    let message = refusal(&case.run(&["check", "plan.toml"]));
    assert!(message.contains("odd.toml") && message.contains("not UTF-8"), "{message}");
    let other = Case::new(STARTER);
    other.write("tables/hose/folder.toml/inside.txt", "");
    let message = refusal(&other.run(&["check", "plan.toml"]));
    assert!(message.contains("folder.toml is a folder"), "{message}");
    assert!(!message.contains("starter plan"), "{message}");
}

#[test]
fn a_table_in_the_folder_of_another_kind_is_refused() {
    let case = Case::new(STARTER);
    case.write("tables/tube/demo-oil-braid.toml", TABLE);
    let message = refusal(&case.run(&["check", "plan.toml"]));
    assert!(message.contains("does not match the folder \"tube\""), "{message}");
    assert!(message.contains("demo-oil-braid.toml:2:"), "{message}");
}

#[test]
fn what_is_no_table_beside_the_plan_does_not_disturb() {
    let case = Case::new(STARTER);
    case.write("tables/README.md", "# mine");
    case.write("tables/hose/note.txt", "not a table");
    assert_eq!(case.run(&["check", "plan.toml"]).status.code(), Some(0));
    let file = Case::new(STARTER);
    file.write("tables", "a file of that name");
    assert_eq!(file.run(&["check", "plan.toml"]).status.code(), Some(0));
}
