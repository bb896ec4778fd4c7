//! How answers look: units, widths, colours, and nothing lost where it is narrow.

use hosewright::report::units::in_units;
use hosewright::units::System;

use serde_json::Value;

use super::{Bench, COMMANDS, EXAMPLES, example, finish};

/// Lines that are wider than asked, except a single word that cannot be broken, such as an address.
fn too_wide(text: &str, width: usize) -> Vec<&str> {
    let wide = |line: &&str| line.chars().count() > width && line.split_whitespace().count() > 1;
    text.lines().filter(wide).collect()
}

#[test]
fn no_line_is_wider_than_asked() {
    let bench = Bench::new();
    let plans = EXAMPLES.map(|e| example(e, "plan.toml"));
    let mut commands: Vec<Vec<&str>> = COMMANDS.iter().map(|c| c.to_vec()).collect();
    for plan in &plans {
        commands.extend([vec!["check", plan, "--all"], vec!["cut", plan], vec!["order", plan]]);
        commands.push(vec!["check", plan, "--units", "both"]);
    }
    let mut wrong = Vec::new();
    for width in [40, 60, 80, 120] {
        for command in &commands {
            let asked = width.to_string();
            let run = bench.run_args(&[&command[..], &["--width", asked.as_str()]].concat());
            assert!(!run.out.is_empty(), "{command:?}: {}", run.err);
            let wide = too_wide(&run.out, width);
            wrong.extend(wide.iter().map(|line| format!("{command:?} at {width}: {line}")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_word_of_a_finding_is_lost_where_it_is_narrow() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        let plan = example(folder, "plan.toml");
        let value = bench.run_args(&["check", &plan, "--format", "json"]).json();
        let narrow = bench.run_args(&["check", &plan, "--all", "--width", "40"]).words();
        let findings = value["findings"].as_array().cloned().unwrap_or_default();
        assert!(findings.len() > 50, "{folder}");
        for finding in findings {
            for key in ["code", "where", "case", "message", "source", "do"] {
                let Some(text) = finding[key].as_str() else { continue };
                // The text shows every quantity as a person writes it: 60 mm for 60.0 mm.
                let shown = in_units(text, System::Metric);
                let text = shown.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(narrow.contains(&text), "{folder}: lost of {key}: {text}");
            }
        }
    }
}

#[test]
fn no_figure_of_a_line_is_lost_where_it_is_narrow() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        let plan = example(folder, "corrected.toml");
        let cells = |width: &str| bench.run_args(&["check", &plan, "--width", width]).words();
        let value = bench.run_args(&["check", &plan, "--format", "json"]).json();
        for width in ["40", "120", "200"] {
            let text = cells(width);
            for line in value["lines"].as_array().into_iter().flatten() {
                let id = line["id"].as_str().unwrap_or_default();
                assert!(text.contains(id), "{folder}: {id} at {width}");
                if let Some(cut) = line["cut_mm"].as_f64().filter(|c| *c < 1000.0) {
                    // The unit stands behind the number or in the head of the column.
                    let shown = [format!(" {cut} "), format!(" {cut:.1} ")];
                    let there = shown.iter().any(|s| text.contains(s));
                    assert!(there, "{folder}: {id} is cut at {cut} mm, at {width}");
                }
            }
        }
    }
}

/// Words of a text that are a unit standing alone behind a number.
fn has_unit(text: &str, unit: &str) -> bool {
    let words: Vec<&str> =
        text.split(|c: char| c.is_whitespace() || "│,;:()".contains(c)).collect();
    let number = |w: &str| {
        w.ends_with(|c: char| c.is_ascii_digit())
            && w.chars().all(|c| c.is_ascii_digit() || "+-./".contains(c))
    };
    words.windows(2).any(|w| w[1] == unit && number(w[0]))
}

#[test]
fn units_of_the_answer_are_those_that_were_asked_for() {
    let bench = Bench::new();
    let of = |system: &str| {
        bench.run_args(&["cut", "plan.toml", "--units", system, "--width", "200"]).out
    };
    let (metric, inch, both) = (of("metric"), of("inch"), of("both"));
    assert!(has_unit(&metric, "mm") && has_unit(&both, "mm") && has_unit(&both, "in"));
    assert!(has_unit(&inch, "in"));
    let check = |system: &str| {
        bench.run_args(&["check", "plan.toml", "--all", "--units", system, "--width", "200"]).out
    };
    let (metric, inch, both) = (check("metric"), check("inch"), check("both"));
    for unit in ["mm", "kPa", "m/s", "degC"] {
        assert!(has_unit(&metric, unit) || unit == "degC", "metric has no {unit}");
        let lines: Vec<&str> = inch.lines().filter(|l| has_unit(l, unit)).collect();
        assert!(lines.is_empty(), "{unit} in an inch report:\n{}", lines.join("\n"));
    }
    for unit in ["in", "psi", "ft/s"] {
        assert!(has_unit(&inch, unit), "inch has no {unit}");
        assert!(!has_unit(&metric, unit), "{unit} in a metric report");
    }
    assert!(has_unit(&both, "mm") && has_unit(&both, "in") && has_unit(&both, "psi"));
}

#[test]
fn units_never_touch_the_data() {
    let bench = Bench::new();
    for format in ["json", "csv"] {
        let of = |system: &str| {
            bench.run_args(&["check", "plan.toml", "--format", format, "--units", system]).out
        };
        assert_eq!(of("metric"), of("inch"), "{format}");
        assert_eq!(of("metric"), of("both"), "{format}");
    }
}

#[test]
fn a_pipe_and_no_color_give_no_escape_bytes() {
    let bench = Bench::new();
    let plan = example(EXAMPLES[0], "plan.toml");
    let run = |name: Option<(&str, &str)>, args: &[&str]| {
        let mut command = bench.command(args);
        command.envs(name);
        finish(command.output())
    };
    let check = ["check", plan.as_str()];
    assert!(!run(None, &check).out.contains('\u{1b}'));
    assert!(!run(Some(("NO_COLOR", "1")), &check).out.contains('\u{1b}'));
    // Asked for by force there are colours, so that the two lines above can fail.
    assert!(run(Some(("CLICOLOR_FORCE", "1")), &check).out.contains("\u{1b}["));
    for args in [&["check", "missing.toml"][..], &["explain", "nothing"], &["quick", "friction"]] {
        assert!(!run(None, args).err.contains('\u{1b}'), "{args:?}");
        assert!(!run(Some(("NO_COLOR", "1")), args).err.contains('\u{1b}'), "{args:?}");
    }
    let json = ["check", plan.as_str(), "--format", "json"];
    assert!(!run(Some(("CLICOLOR_FORCE", "1")), &json).out.contains('\u{1b}'));
}

#[test]
fn every_report_ends_with_the_caution() {
    let bench = Bench::new();
    for command in COMMANDS.iter().filter(|c| ["check", "cut", "order", "quick"].contains(&c[0])) {
        let text = bench.run_args(command).words();
        assert!(text.ends_with("nothing here is an approval."), "{command:?}");
        let json = bench.run_args(&[command, &["--format", "json"][..]].concat()).json();
        let cautions = json["cautions"].as_array().cloned().unwrap_or_default();
        let last = cautions.last().and_then(Value::as_str).unwrap_or_default();
        assert!(last.contains("nothing here is an approval"), "{command:?}");
    }
}
