//! Every command that README and guide show runs as it is written, in the order of the page.
#![expect(
    clippy::disallowed_methods,
    clippy::expect_used,
    reason = "these tests lay out folders, and a command that cannot be tried fails its test"
)]

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
    run_all("README.md", 10);
}

#[test]
fn the_commands_of_the_guide_run_as_written() {
    run_all("docs/first-machine.md", 10);
}

#[test]
fn the_commands_of_the_other_pages_run_as_written() {
    run_all("docs/plan.md", 2);
    run_all("docs/workshop.md", 10);
    run_all("docs/record.md", 8);
}

/// Runs the commands of a page, at least so many, in a folder that holds the plan of the guide, and the plans that the
/// page does not begin by itself.
fn run_all(page: &str, least: usize) {
    let folder = tempfile::tempdir().expect("a folder to run in");
    let text = read(page);
    let put = |name: &str, plan: &str| {
        std::fs::write(folder.path().join(name), plan).expect("the plan is written");
    };
    put("heater-cart.toml", &read("docs/heater-cart.toml"));
    let amphibian = "examples/01-amphibian";
    std::fs::create_dir_all(folder.path().join(amphibian)).expect("a folder for the example");
    for name in ["corrected.toml", "pile.toml"] {
        let place = format!("{amphibian}/{name}");
        put(&place, &read(&place));
    }
    for name in ["my-machine.toml", "as-drawn.toml"] {
        if !text.contains(&format!("hosewright new {name}")) {
            put(name, hosewright::plan::starter::STARTER);
        }
    }
    let all = commands(&text);
    assert!(all.len() >= least, "{all:?}");
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

/// The reports that a page shows, each as its lines.
fn reports(page: &str) -> Vec<Vec<String>> {
    let blocks = page.split("```text\n").skip(1).filter_map(|block| block.split("```").next());
    blocks.map(|block| block.lines().map(str::to_owned).collect()).collect()
}

/// What a command prints about a plan.
fn printed(arguments: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_hosewright"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    String::from_utf8_lossy(&run.stdout).into_owned()
}

fn holds_all(real: &str, shown: &[String]) {
    for line in shown.iter().filter(|line| !line.is_empty()) {
        assert!(real.lines().any(|l| l == line), "no longer printed: {line}");
    }
}

#[test]
fn the_report_in_the_readme_is_part_of_the_real_one() {
    let all = reports(&read("README.md"));
    let shown = all.iter().find(|lines| lines[0].starts_with("Marsh Heron"));
    let real = printed(&["check", "examples/01-amphibian/plan.toml"]);
    holds_all(&real, shown.expect("the page shows a report"));
}

#[test]
fn the_reports_in_the_guide_are_parts_of_the_real_ones() {
    let all = reports(&read("docs/first-machine.md"));
    let [first, cut] = &all[..] else { panic!("the guide shows two reports") };
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("heater-cart.toml");
    let text = read("docs/heater-cart.toml").replace("[680, 90, 400]", "[680, 90, 370]");
    std::fs::write(&plan, text.replace("\"7 %\"", "\"5 %\"")).expect("the plan is written");
    holds_all(&printed(&["check", &plan.to_string_lossy()]), first);
    holds_all(&printed(&["cut", "docs/heater-cart.toml"]), cut);
}

#[test]
fn the_dip_marks_on_the_page_of_the_bench_are_those_of_the_example() {
    let all = reports(&read("docs/workshop.md"));
    let [marks] = &all[..] else { panic!("the page shows one report") };
    let real = printed(&["dip", "examples/01-amphibian/corrected.toml", "OT", "--volumes", "1L"]);
    holds_all(&real, marks);
}

#[test]
fn the_hose_the_end_and_the_fluid_on_the_page_of_the_plan_are_understood() {
    let page = read("docs/plan.md");
    let after = page.split("The figures here are invented:").nth(1).unwrap_or_default();
    let block = after.split("```toml\n").nth(1).and_then(|b| b.split("```").next());
    let block = block.expect("the page shows a block");
    assert!(["[[hose]]", "[[end]]", "[[fluid]]"].iter().all(|part| block.contains(part)));
    let starter = hosewright::plan::starter::STARTER;
    let mut plan = format!("{starter}\n{block}");
    for (old, new) in [
        ("hose    = \"demo-oil-braid\"", "hose    = \"grey-braid-10\""),
        ("size    = \"-6\"\nend_a", "end_a"),
        ("end_a   = \"demo-flare-straight\"", "end_a   = \"grey-straight-8\""),
        ("end_b   = \"demo-flare-straight\"", "end_b   = \"grey-straight-8\""),
        ("fluid   = \"diesel\"", "fluid   = \"chain-oil\""),
    ] {
        assert!(plan.contains(old), "{old}");
        plan = plan.replacen(old, new, 1);
    }
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("own.toml");
    std::fs::write(&file, plan).expect("the plan is written");
    let report = printed(&["check", &file.to_string_lossy()]);
    assert!(report.contains("grey-braid-10"), "{report}");
}
