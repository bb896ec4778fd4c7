//! Plans with faults and without: how many problems, on which lines, in which words.
//!
//! A bad plan begins with `# problems: N`. Its faulty lines end in `# <- here`; where no comment can
//! stand, the first line names them: `# problems: 1 on 31`. The words are stored beside the plan and
//! rewritten with `UPDATE=1 cargo test`.

#![expect(clippy::expect_used, clippy::panic, reason = "a plan that says nothing fails its test")]

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use hosewright::diagnostic::{Diagnostic, SourceText};
use hosewright::plan::{Plan, starter};
use hosewright::report::problem;
use hosewright::table::Tables;

use crate::house::{assert_stored, files_below, read, updating};

/// The mark at the end of a faulty line.
const MARK: &str = "# <- here";
/// The width the messages are stored in: that of a pipe.
const WIDTH: usize = 80;

/// A plan with faults and what its first line says about them.
struct Bad {
    path: String,
    text: String,
    count: usize,
    lines: BTreeSet<usize>,
}

impl Bad {
    fn new(path: String) -> Self {
        let text = read(&path);
        let head = text.lines().next().and_then(|l| l.strip_prefix("# problems: "));
        let head = head.unwrap_or_else(|| panic!("{path} does not begin with # problems: N"));
        let (count, on) = head.split_once(" on ").unwrap_or((head, ""));
        let named = on.split(", ").filter(|n| !n.is_empty());
        let mut lines: BTreeSet<usize> = named.map(|n| n.parse().expect(head)).collect();
        let marked = text.lines().enumerate().filter(|(_, l)| l.contains(MARK));
        lines.extend(marked.map(|(i, _)| i + 1));
        Self { count: count.parse().expect(head), lines, path, text }
    }

    fn problems(&self) -> Vec<Diagnostic> {
        let name = self.path.rsplit('/').next().unwrap_or_default();
        problems(name, &self.text)
    }
}

fn problems(name: &str, text: &str) -> Vec<Diagnostic> {
    let file: Arc<SourceText> = SourceText::new(name, text);
    Plan::read(&file, &Tables::builtin()).err().unwrap_or_default()
}

fn plain(problems: &[Diagnostic], width: usize) -> String {
    anstream::adapter::strip_str(&problem::to_text(problems, width)).to_string()
}

fn ends_in(path: &str, ending: &str) -> bool {
    Path::new(path).extension().is_some_and(|e| e == ending)
}

fn plans(folder: &str) -> Vec<String> {
    files_below(folder).into_iter().filter(|p| ends_in(p, "toml")).collect()
}

fn bad_plans() -> Vec<Bad> {
    plans("tests/plans/bad").into_iter().map(Bad::new).collect()
}

#[test]
fn there_are_many_plans_with_one_fault_and_some_with_several() {
    let bad = bad_plans();
    let single = bad.iter().filter(|b| b.count == 1).count();
    assert!(single >= 30, "{single} plans with one fault");
    assert!(bad.len() - single >= 5, "{} plans with several faults", bad.len() - single);
}

#[test]
fn every_bad_plan_has_as_many_problems_as_it_says() {
    for bad in bad_plans() {
        let found = bad.problems();
        assert_eq!(found.len(), bad.count, "{}\n{}", bad.path, plain(&found, WIDTH));
    }
}

#[test]
fn problems_point_at_the_faulty_lines_and_at_no_other() {
    for bad in bad_plans() {
        assert!(!bad.lines.is_empty(), "{} marks no line", bad.path);
        let found: BTreeSet<usize> = bad.problems().iter().map(|p| p.placed().line).collect();
        assert_eq!(found, bad.lines, "{}", bad.path);
    }
}

#[test]
fn the_words_about_a_bad_plan_are_those_stored() {
    for bad in bad_plans() {
        let stored = bad.path.replace(".toml", ".txt");
        assert_stored(&stored, &plain(&bad.problems(), WIDTH));
    }
}

#[test]
fn every_stored_answer_belongs_to_a_bad_plan() {
    let files: BTreeSet<String> = files_below("tests/plans/bad").into_iter().collect();
    for answer in files.iter().filter(|f| ends_in(f, "txt")) {
        assert!(files.contains(&answer.replace(".txt", ".toml")), "{answer} has no plan");
    }
    let plans = files.iter().filter(|f| ends_in(f, "toml")).count();
    assert!(updating() || files.len() == 2 * plans, "a plan has no stored answer");
}

#[test]
fn every_problem_says_what_is_wrong_and_stays_in_its_text() {
    for bad in bad_plans() {
        for problem in bad.problems() {
            let known = !problem.message.is_empty() && !problem.message.contains("not TOML");
            assert!(known, "{}: {}", bad.path, problem.message);
            assert!(problem.span.start <= problem.span.end, "{}: {:?}", bad.path, problem.span);
            assert!(problem.span.end <= bad.text.len(), "{}: {:?}", bad.path, problem.span);
        }
    }
}

#[test]
fn good_plans_and_the_starter_have_no_problem() {
    let mut texts: Vec<(String, String)> =
        plans("tests/plans/good").into_iter().map(|p| (p.clone(), read(&p))).collect();
    assert!(texts.len() >= 3, "{} good plans", texts.len());
    texts.push(("the starter".into(), starter::STARTER.into()));
    for (name, text) in texts {
        let found = problems(&name, &text);
        assert!(found.is_empty(), "{}", plain(&found, WIDTH));
    }
}

#[test]
fn a_good_plan_with_carriage_returns_has_no_problem() {
    for path in plans("tests/plans/good") {
        let found = problems(&path, &read(&path).replace('\n', "\r\n"));
        assert!(found.is_empty(), "{}", plain(&found, WIDTH));
    }
}

#[test]
fn carriage_returns_do_not_move_a_problem() {
    for bad in bad_plans() {
        let places = |found: &[Diagnostic]| -> Vec<(usize, usize)> {
            found.iter().map(|p| (p.placed().line, p.placed().column)).collect()
        };
        let with_returns = problems("plan.toml", &bad.text.replace('\n', "\r\n"));
        assert_eq!(places(&with_returns), places(&bad.problems()), "{}", bad.path);
    }
}

#[test]
fn the_caret_stands_under_the_fault_in_a_line_of_any_length() {
    for blanks in [0, 10, 100, 1000, 100_000] {
        let text = format!("[plan]\nname = \"bench\"\n{}colour = 1\n", " ".repeat(blanks));
        let found = problems("plan.toml", &text);
        let shown = plain(&found, WIDTH);
        let place = format!("--> plan.toml:3:{}\n", blanks + 1);
        assert!(shown.contains(&place), "{place}{shown}");
        let lines: Vec<&str> = shown.lines().collect();
        let caret = lines.iter().position(|l| l.contains("^^^^^^ unknown key")).expect(&shown);
        let under = lines.get(caret).and_then(|l| l.find("^^^^^^"));
        let above = lines.get(caret - 1).and_then(|l| l.find("colour"));
        assert_eq!(under, above, "{shown}");
    }
}

#[test]
fn a_known_name_is_offered_for_a_slip_but_no_size_for_another() {
    let bad = |name: &str| Bad::new(format!("tests/plans/bad/{name}.toml")).problems();
    let help = |name: &str| bad(name).iter().map(|p| p.help.join("\n")).collect::<String>();
    assert!(help("unknown-hose").contains("did you mean \"demo-oil-braid\"?"));
    assert!(help("unknown-key").contains("did you mean \"slack\"?"));
    assert!(!help("unknown-size").contains("did you mean"));
}
