//! Every command that the README shows runs as it is written, in the order of the page.

use std::process::Command;

use crate::house::read;

/// The commands of the page: indented lines that begin with the program's name, joined where a line
/// ends in a backslash, without their comments.
fn commands(page: &str) -> Vec<String> {
    let joined = page.replace("\\\n", " ");
    let shown = joined.lines().filter_map(|line| line.strip_prefix("    hosewright "));
    shown.map(|line| line.split(" # ").next().unwrap_or_default().trim().to_owned()).collect()
}

/// Words of a command; blanks inside double quotes do not part them.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for letter in command.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(std::mem::take(&mut word)),
            _ => word.push(letter),
        }
    }
    words.push(word);
    words.retain(|word| !word.is_empty());
    words
}

#[test]
fn the_commands_of_the_readme_run_as_written() {
    let folder = tempfile::tempdir().expect("a folder to run in");
    let all = commands(&read("README.md"));
    assert!(all.len() >= 10, "{all:?}");
    for command in all {
        let run = Command::new(env!("CARGO_BIN_EXE_hosewright"))
            .args(words(&command))
            .current_dir(folder.path())
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&run.stderr);
        assert_eq!(run.status.code(), Some(0), "{command}: {said}");
        assert!(!run.stdout.is_empty(), "{command}");
    }
}

#[test]
fn the_report_in_the_readme_is_part_of_the_real_one() {
    let page = read("README.md");
    let shown = page.split("```text\nMarsh Heron").nth(1).and_then(|t| t.split("```").next());
    let shown = format!("Marsh Heron{}", shown.expect("the page shows a report"));
    let run = Command::new(env!("CARGO_BIN_EXE_hosewright"))
        .args(["check", "examples/01-amphibian/plan.toml"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let real = String::from_utf8_lossy(&run.stdout);
    for line in shown.lines().filter(|line| !line.is_empty()) {
        assert!(real.lines().any(|l| l == line), "no longer printed: {line}");
    }
}
