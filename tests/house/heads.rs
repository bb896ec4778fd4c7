//! Every source file says what it is for, and no file or function grows beyond what one can hold in mind.

use super::{read, rust_files};

const FOLDERS: &[&str] = &["src", "tests", "benches", "fuzz"];

/// Lines of a file beyond which it should be taken apart.
const LONGEST_FILE: usize = 450;
/// Lines of a function, from its head to its closing brace.
const LONGEST_FUNCTION: usize = 60;

/// Longer files, each with the reason why it stays whole.
const LONG_FILES: &[(&str, &str)] = &[
    (
        "src/document.rs",
        "one reader for every section, key and kind of value: half of it is messages",
    ),
    ("src/geometry/route.rs", "one kernel with its formula, its refusals and its long examples"),
    ("src/plan/shape.rs", "every key of the plan file with the sentence that explains it: a list"),
    ("tests/hostile.rs", "one list of hostile inputs"),
    ("tests/routes.rs", "one list of cases on one kernel"),
    ("tests/units.rs", "one list of cases on one reader"),
];

/// Longer functions, as file and name, each with the reason.
const LONG_FUNCTIONS: &[(&str, &str, &str)] = &[
    ("src/cli/quick.rs", "hose_share", "one refusal after the other, each with its own hint"),
    ("src/plan/line.rs", "read_line", "one key of a line after the other"),
    (
        "src/solve/hydraulics/mod.rs",
        "flow",
        "every loss of a line in the order in which they add up",
    ),
];

/// Name and number of lines of every function of a formatted source text.
fn functions(text: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let named =
        |(at, line): (usize, &&str)| Some((name_of(line)?.to_owned(), length(&lines[at..])));
    lines.iter().enumerate().filter_map(named).collect()
}

/// Lines from the head of a function to its closing brace, or to the semicolon of a declaration.
fn length(lines: &[&str]) -> usize {
    let head = lines.first().copied().unwrap_or_default();
    let closing = format!("{}}}", &head[..head.len() - head.trim_start().len()]);
    let mut open = false;
    for (number, line) in lines.iter().enumerate() {
        open |= line.ends_with('{');
        let ended = if open { *line == closing } else { line.ends_with([';', '}']) };
        if ended {
            return number + 1;
        }
    }
    lines.len()
}

fn name_of(line: &str) -> Option<&str> {
    let mut rest = line.trim_start();
    for word in ["pub(crate) ", "pub(super) ", "pub ", "const ", "async ", "unsafe "] {
        rest = rest.strip_prefix(word).unwrap_or(rest);
    }
    let name = rest.strip_prefix("fn ")?;
    name.split(|c: char| !c.is_alphanumeric() && c != '_').next()
}

#[test]
fn every_source_file_begins_with_what_it_is_for() {
    let mut wrong = Vec::new();
    for file in rust_files(FOLDERS) {
        let text = read(&file);
        let first = text.lines().next().unwrap_or_default();
        let says = first.strip_prefix("//! ").is_some_and(|s| s.trim().len() > 5);
        if !says {
            wrong.push(file);
        }
    }
    assert!(wrong.is_empty(), "no `//!` sentence on the first line: {wrong:?}");
}

#[test]
fn no_file_grows_beyond_its_measure_without_a_reason() {
    let mut wrong = Vec::new();
    for file in rust_files(FOLDERS) {
        let lines = read(&file).lines().count();
        let excused = LONG_FILES.iter().any(|(path, _)| *path == file);
        if lines > LONGEST_FILE && !excused {
            wrong.push(format!("{file}: {lines} lines"));
        }
    }
    assert!(wrong.is_empty(), "longer than {LONGEST_FILE} lines:\n{}", wrong.join("\n"));
}

#[test]
fn no_function_grows_beyond_its_measure_without_a_reason() {
    let mut wrong = Vec::new();
    for file in rust_files(FOLDERS) {
        for (name, lines) in functions(&read(&file)) {
            let excused = LONG_FUNCTIONS.iter().any(|(path, n, _)| *path == file && *n == name);
            if lines > LONGEST_FUNCTION && !excused {
                wrong.push(format!("{file}: {name} has {lines} lines"));
            }
        }
    }
    assert!(wrong.is_empty(), "longer than {LONGEST_FUNCTION} lines:\n{}", wrong.join("\n"));
}

#[test]
fn every_excuse_names_a_file_that_exists_and_gives_a_reason() {
    let files = rust_files(FOLDERS);
    let long = LONG_FILES.iter().map(|(path, reason)| (*path, *reason));
    let functions = LONG_FUNCTIONS.iter().map(|(path, _, reason)| (*path, *reason));
    for (path, reason) in long.chain(functions) {
        assert!(files.iter().any(|f| f == path), "{path} is excused but not there");
        assert!(reason.len() > 10, "{path} is excused without a reason");
    }
}

#[test]
fn functions_are_measured_from_head_to_brace() {
    let text = "fn one() -> u8 { 1 }\n\npub fn many(\n    a: u8,\n) -> u8 {\n    a\n}\n\
                trait T {\n    fn declared();\n    pub(crate) const fn two() {\n    }\n}\n";
    let found: Vec<(String, usize)> = functions(text);
    let named = |n: &str, l: usize| (n.to_owned(), l);
    assert_eq!(found, [named("one", 1), named("many", 5), named("declared", 1), named("two", 2)]);
}
