//! An assessment for a person at a terminal: summary, worst first, then the tables.

use core::fmt::Write;

use super::Layout;
use super::caution::cautions;
use super::grid::{Grid, wrapped};
use super::units::{flow, in_units, length, pressure, temperature, value, velocity};
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::solve::LineFacts;
use crate::solve::hydraulics::{DutyFacts, regime_word};
use crate::units::System;

/// How much of the findings is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Detail {
    /// Fails, cautions and what is open.
    #[default]
    Normal,
    /// Every finding, also when all is well.
    All,
}

/// The report of `check`.
pub fn check(assessment: &Assessment, layout: Layout, detail: Detail) -> String {
    let mut out = String::new();
    summary(&mut out, assessment, layout.width);
    for verdict in Verdict::WORST_FIRST {
        if verdict == Verdict::Ok && detail == Detail::Normal {
            continue;
        }
        section(&mut out, assessment, verdict, layout, detail);
    }
    lines(&mut out, assessment, layout);
    cases(&mut out, assessment, layout);
    sources(&mut out, assessment, layout.width);
    closing(&mut out, assessment, layout.width);
    out
}

/// A verdict in words and, where the terminal shows it, in colour.
fn painted(verdict: Verdict) -> String {
    let code = match verdict {
        Verdict::Fail => "1;31",
        Verdict::Caution => "1;33",
        Verdict::Open => "1;36",
        Verdict::Ok => "1;32",
    };
    format!("\u{1b}[{code}m{}\u{1b}[0m", verdict.word())
}

fn summary(out: &mut String, assessment: &Assessment, width: usize) {
    let plan = &assessment.plan;
    let revision = plan.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
    let heading =
        format!("{}{revision}: {} lines, {} cases", plan.name, plan.lines.len(), plan.cases.len());
    out.push_str(&wrapped(&heading, width, 0));
    let counts =
        Verdict::WORST_FIRST.map(|v| format!("{} {}", painted(v), assessment.count(v))).join("   ");
    let _ = writeln!(out, "{counts}");
    let failing: Vec<&str> = assessment
        .plan
        .lines
        .iter()
        .map(|l| l.id.as_str())
        .filter(|id| {
            assessment
                .findings
                .iter()
                .any(|f| f.verdict == Verdict::Fail && f.place.split(',').next() == Some(*id))
        })
        .collect();
    if !failing.is_empty() {
        out.push_str(&wrapped(&format!("do not build yet: {}", failing.join(", ")), width, 0));
    }
}

fn section(
    out: &mut String,
    assessment: &Assessment,
    verdict: Verdict,
    layout: Layout,
    detail: Detail,
) {
    let findings: Vec<&Finding> =
        assessment.findings.iter().filter(|f| f.verdict == verdict).collect();
    if findings.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{} ({})", painted(verdict), findings.len());
    if detail == Detail::Normal && verdict == Verdict::Open {
        return grouped(out, &findings, layout);
    }
    let joined = over_cases(&findings);
    for (finding, cases) in joined {
        one(out, finding, &cases, layout);
    }
}

/// The same words on the same place in several cases are said once.
fn over_cases<'f>(findings: &[&'f Finding]) -> Vec<(&'f Finding, Vec<&'f str>)> {
    let mut joined: Vec<(&Finding, Vec<&str>)> = Vec::new();
    for finding in findings {
        let same = |f: &Finding| {
            f.code == finding.code && f.place == finding.place && f.message == finding.message
        };
        match joined.iter_mut().find(|(f, _)| same(f)) {
            Some((_, cases)) => cases.extend(finding.case.as_deref()),
            None => joined.push((finding, finding.case.as_deref().into_iter().collect())),
        }
    }
    joined
}

fn one(out: &mut String, finding: &Finding, cases: &[&str], layout: Layout) {
    let case = if cases.is_empty() { String::new() } else { format!("  in {}", cases.join("; ")) };
    let head = format!("{}  {}{case}", finding.code, finding.place);
    out.push_str(&wrapped(&head, layout.width, 2));
    let message = in_units(&finding.message, layout.system);
    out.push_str(&wrapped(&message, layout.width, 4));
    if let (Some(number), Some(limit)) = (finding.value, finding.limit) {
        let shown = |n: f64| value(n, finding.unit, layout.system);
        let margin = finding.margin.map_or(String::new(), |m| {
            // A margin is a difference: a temperature must not be moved to another zero.
            match finding.unit {
                "degC" => format!(", margin {m:.0} K"),
                unit => format!(", margin {}", value(m, unit, layout.system)),
            }
        });
        let text = format!(
            "{} against {}{margin}: {} ({})",
            shown(number),
            shown(limit),
            finding.source,
            finding.standing
        );
        out.push_str(&wrapped(&text, layout.width, 4));
    } else if !finding.source.is_empty() {
        out.push_str(&wrapped(
            &format!("{} ({})", finding.source, finding.standing),
            layout.width,
            4,
        ));
    }
    if !finding.remedy.is_empty() {
        out.push_str(&wrapped(&format!("do: {}", finding.remedy), layout.width, 4));
    }
}

/// What is open, once for each reason: the same thing is usually missing on many lines.
fn grouped(out: &mut String, findings: &[&Finding], layout: Layout) {
    let mut groups: Vec<(&Finding, String, Vec<String>)> = Vec::new();
    for finding in findings {
        let reason = reason(&finding.message);
        let place = finding.place.clone();
        match groups.iter_mut().find(|(f, r, _)| f.code == finding.code && *r == reason) {
            Some((_, _, places)) => {
                if !places.contains(&place) {
                    places.push(place);
                }
            }
            None => groups.push((finding, reason, vec![place])),
        }
    }
    for (finding, reason, places) in groups {
        out.push_str(&wrapped(finding.code, layout.width, 2));
        out.push_str(&wrapped(&places.join("; "), layout.width, 4));
        out.push_str(&wrapped(&in_units(&reason, layout.system), layout.width, 4));
        if !finding.remedy.is_empty() {
            out.push_str(&wrapped(&format!("do: {}", finding.remedy), layout.width, 4));
        }
    }
}

/// A message without the number it begins with, so that lines with the same lack fall together.
fn reason(message: &str) -> String {
    let numbers = |text: &str| text.chars().next().is_some_and(|c| c.is_ascii_digit());
    match message.split_once("; ").or_else(|| message.split_once(", and ")) {
        Some((head, tail)) if numbers(head) => tail.to_owned(),
        _ => message.to_owned(),
    }
}

fn lines(out: &mut String, assessment: &Assessment, layout: Layout) {
    let head = ["line", "of", "path", "cut", "assembly", "slack", "tightest", "allowed"];
    let mut grid = Grid::new(&head, &[2, 3, 4, 5, 6, 7]);
    for line in &assessment.facts.lines {
        grid.rows.push(line_row(line, layout.system));
    }
    if !grid.rows.is_empty() {
        out.push_str("\nLines\n");
        out.push_str(&grid.to_text(layout.width));
    }
}

fn line_row(line: &LineFacts, system: System) -> Vec<String> {
    let geometry = line.geometry.as_ref().ok();
    let makeup = line.makeup.as_ref().ok();
    let mm = |value: Option<f64>| value.map_or("-".to_owned(), |v| length(v, system));
    let slack = makeup.filter(|m| m.slack_least.is_some()).map(|m| m.cut.slack_percent);
    vec![
        line.id.clone(),
        line.carrier.clone(),
        mm(geometry.map(|g| g.route.length_mm)),
        mm(makeup.map(|m| m.cut.cut_mm)),
        mm(makeup.map(|m| m.cut.assembly_mm)),
        slack.map_or("-".to_owned(), |s| format!("{s:.1} %")),
        mm(geometry.and_then(|g| g.bends.iter().map(|b| b.radius_mm).reduce(f64::min))),
        mm(geometry.and_then(|g| g.allowed.as_ref()).map(|a| a.sure_mm)),
    ]
}

fn cases(out: &mut String, assessment: &Assessment, layout: Layout) {
    for (index, case) in assessment.facts.cases.iter().enumerate() {
        let head =
            ["line", "flow", "velocity", "regime", "drop", "from abs", "to abs", "over vapour"];
        let mut grid = Grid::new(&head, &[1, 2, 4, 5, 6, 7]);
        let duties = assessment
            .facts
            .lines
            .iter()
            .filter_map(|l| Some((l, l.duties.iter().find(|d| d.case == index)?)));
        for (line, duty) in duties {
            grid.rows.push(duty_row(&line.id, duty, layout.system));
        }
        if !grid.rows.is_empty() {
            let heading = format!(
                "Case \"{}\", air at {} abs",
                case.name,
                pressure(case.ambient_pa, layout.system)
            );
            out.push('\n');
            out.push_str(&wrapped(&heading, layout.width, 0));
            out.push_str(&grid.to_text(layout.width));
        }
    }
}

fn duty_row(id: &str, duty: &DutyFacts, system: System) -> Vec<String> {
    let mut row = vec![id.to_owned(), flow(duty.flow_m3_s, system)];
    match &duty.flow {
        Err(_) => {
            let hot = temperature(duty.temperature_k, system);
            row.extend([
                "-".into(),
                format!("open at {hot}"),
                "-".into(),
                "-".into(),
                "-".into(),
                "-".into(),
            ]);
        }
        Ok(facts) => {
            let regime = facts.friction.map_or("still", |f| regime_word(f.regime));
            let absolute = |p: Option<f64>| p.map_or("-".to_owned(), |p| pressure(p, system));
            let ends = facts.pressures.as_ref();
            row.push(velocity(facts.velocity_m_s, system));
            row.push(regime.to_owned());
            row.push(pressure(facts.losses.drop_pa(), system));
            row.push(absolute(ends.map(|p| p.from_pa)));
            row.push(absolute(ends.map(|p| p.to_pa)));
            row.push(absolute(ends.zip(facts.vapour_pa).map(|(p, v)| p.lowest_pa - v)));
        }
    }
    row
}

fn sources(out: &mut String, assessment: &Assessment, width: usize) {
    if assessment.tables.is_empty() {
        return;
    }
    out.push_str("\nTables used (hosewright tables KIND NAME shows their sources)\n");
    for table in &assessment.tables {
        let hides = if table.hides_builtin { ", in place of the built-in one" } else { "" };
        let own = if table.origin.starts_with("<builtin>") {
            String::new()
        } else {
            format!(" from {}{hides}", table.origin)
        };
        out.push_str(&wrapped(&format!("{}{own}  {}", table.id, table.checksum), width, 2));
    }
}

/// The cautions at the foot of a report.
pub fn closing(out: &mut String, assessment: &Assessment, width: usize) {
    out.push('\n');
    for caution in cautions(&assessment.plan, &assessment.facts) {
        out.push_str(&wrapped(caution, width, 0));
    }
}
