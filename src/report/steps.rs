//! The steps of a line for a person at the bench, and for a spreadsheet.

use std::collections::BTreeSet;

use super::Layout;
use super::caution::{STEPS, cautions};
use super::grid::wrapped;
use super::joints::between;
use super::spreadsheet;
use super::units::{gauge, length};
use crate::assess::Assessment;
use crate::solve::steps::{Number, Step, StepsFacts, Unit};
use crate::source::Cite;
use crate::units::System;

/// The steps of a line.
pub fn text(assessment: &Assessment, line: usize, facts: &StepsFacts, layout: Layout) -> String {
    let plan = &assessment.plan;
    let planned = &plan.lines[line];
    let mut out = String::new();
    let mut say = |text: &str, indent: usize| out.push_str(&wrapped(text, layout.width, indent));
    let name = planned.name.as_deref().map_or(String::new(), |n| format!(", {n}"));
    say(&format!("{}{name}: {} of {}", planned.id, planned.carrier.label(), plan.name), 0);
    say(STEPS, 0);
    for group in &facts.groups {
        let of = group.of.as_deref().map_or(String::new(), |of| format!(": {of}"));
        out.push('\n');
        let mut say =
            |text: &str, indent: usize| out.push_str(&wrapped(text, layout.width, indent));
        say(&format!("{}{of}", group.name), 0);
        match &group.steps {
            Err(why) => say(&format!("open: {why}"), 2),
            Ok(steps) => {
                for (index, step) in steps.iter().enumerate() {
                    say(&format!("{} [ ] {}", index + 1, step.text.value), 2);
                    for line in beneath(step, layout.system) {
                        say(&line, 8);
                    }
                }
            }
        }
    }
    out.push_str("\nSources\n");
    for source in sources(facts) {
        out.push_str(&wrapped(&source, layout.width, 2));
    }
    out.push('\n');
    for caution in cautions(plan, &assessment.facts) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

/// What stands under a step: the figure with a blank for what was measured, and the sources in short.
fn beneath(step: &Step, system: System) -> Vec<String> {
    let (figure, cites) = match &step.number {
        None => (None, vec![&step.text.cite]),
        Some(Err(why)) => (Some(format!("open: {why}")), vec![&step.text.cite]),
        Some(Ok(number)) => {
            let figure = number_words(number, system);
            let figure = format!("{}: {figure}; measured: ____", number.name);
            (Some(figure), vec![&number.cite, &step.text.cite])
        }
    };
    figure.into_iter().chain([Cite::in_short(cites).to_string()]).collect()
}

/// Every source of the steps in full, once.
fn sources(facts: &StepsFacts) -> BTreeSet<String> {
    let steps = facts.groups.iter().filter_map(|g| g.steps.as_ref().ok()).flatten();
    let numbers = |step: &Step| {
        step.number.as_ref().and_then(|n| n.as_ref().ok()).map(|n| n.cite.to_string())
    };
    steps.flat_map(|s| [Some(s.text.cite.to_string()), numbers(s)]).flatten().collect()
}

/// A figure with the range in which it is accepted.
pub fn number_words(number: &Number, system: System) -> String {
    let word = |value: f64| match number.unit {
        Unit::Millimetre => length(value, system),
        Unit::Degree => format!("{value:.0} deg"),
        Unit::Count => format!("{value:.0}"),
        Unit::Bar => gauge(value * 1e5, system),
    };
    let aim = number.aim.map(word);
    let range = match (number.least, number.most) {
        (Some(least), Some(most)) if least < most && number.unit == Unit::Millimetre => {
            let coarse = (word(least), word(most));
            let (least, most) = if coarse.0 == coarse.1 {
                (fine(least, system), fine(most, system))
            } else {
                coarse
            };
            Some(format!("accept {}", between(&least, &most)))
        }
        (Some(least), Some(most)) if least < most => {
            Some(format!("accept {}", between(&word(least), &word(most))))
        }
        // What is aimed at is the least itself.
        (Some(least), None) if number.aim == Some(least) => Some("no less".to_owned()),
        (Some(least), None) => Some(format!("at least {}", word(least))),
        (None, Some(most)) => Some(format!("at most {}", word(most))),
        (None, None) if number.aim.is_some() && number.unit != Unit::Count => {
            Some("no range is given".to_owned())
        }
        _ => None,
    };
    aim.into_iter().chain(range).chain(number.with.clone()).collect::<Vec<_>>().join(", ")
}

/// A length of which the rounded words would not tell two bounds apart.
fn fine(mm: f64, system: System) -> String {
    let (metric, inch) = (format!("{mm:.2} mm"), format!("{:.3} in", mm / 25.4));
    match system {
        System::Metric => metric,
        System::Inch => inch,
        System::Both => format!("{metric} ({inch})"),
    }
}

/// The steps for a spreadsheet.
pub fn csv(assessment: &Assessment, line: usize, facts: &StepsFacts) -> String {
    let id = &assessment.plan.lines[line].id;
    let head = [
        "line",
        "group",
        "step",
        "what",
        "number",
        "unit",
        "aim",
        "least",
        "most",
        "open",
        "source",
        "standing",
        "number_source",
        "with",
    ];
    let of = |group: &str, at: usize, step: &Step| -> Vec<String> {
        let number = step.number.as_ref().and_then(|n| n.as_ref().ok());
        let open = step.number.as_ref().and_then(|n| n.as_ref().err());
        let figure = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
        vec![
            id.clone(),
            group.to_owned(),
            (at + 1).to_string(),
            step.text.value.clone(),
            number.map_or(String::new(), |n| n.name.clone()),
            number.map_or("", |n| unit_word(n.unit)).to_owned(),
            figure(number.and_then(|n| n.aim)),
            figure(number.and_then(|n| n.least)),
            figure(number.and_then(|n| n.most)),
            open.cloned().unwrap_or_default(),
            step.text.cite.text.to_string(),
            step.text.cite.standing.to_string(),
            number.map_or(String::new(), |n| n.cite.to_string()),
            number.and_then(|n| n.with.clone()).unwrap_or_default(),
        ]
    };
    let mut rows = Vec::new();
    for group in &facts.groups {
        match &group.steps {
            Ok(steps) => {
                rows.extend(steps.iter().enumerate().map(|(at, s)| of(&group.name, at, s)));
            }
            Err(why) => {
                let mut row = vec![String::new(); head.len()];
                row[0].clone_from(id);
                row[1].clone_from(&group.name);
                row[9].clone_from(why);
                rows.push(row);
            }
        }
    }
    spreadsheet::rows(&head, rows.into_iter())
}

/// The word of a unit.
pub fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Millimetre => "mm",
        Unit::Degree => "deg",
        Unit::Count => "",
        Unit::Bar => "bar",
    }
}
