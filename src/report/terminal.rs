//! An assessment for a person at a terminal: summary, worst first, then the tables.

use core::fmt::Write;
use std::collections::BTreeMap;

use super::caution::cautions;
use super::grid::{Grid, wrapped};
use super::summary::painted;
use super::units::{Column, in_units, pressure, temperature, value};
use super::{Layout, run, short, summary, uncertainty};
use crate::assess::Assessment;
use crate::assess::spread::Spread;
use crate::finding::{Finding, Verdict};
use crate::solve::geometry::AllowedRadius;
use crate::solve::hydraulics::{DutyFacts, regime_word};
use crate::solve::{CaseFacts, LineFacts};
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

/// The report of `check`, with what the `±` of the plan do to it if that was asked for; of one line alone, with a
/// picture of it.
pub fn check(
    assessment: &Assessment,
    spread: Option<&Spread>,
    layout: Layout,
    detail: Detail,
    only: Option<usize>,
) -> String {
    let mut out = String::new();
    out.push_str(&summary::text(assessment, layout, only.is_none()));
    if let Some(line) = only {
        out.push_str(&run::text(assessment, line, layout));
    }
    out.push_str(&short::text(assessment, layout));
    for verdict in Verdict::WORST_FIRST {
        if verdict == Verdict::Ok && detail == Detail::Normal {
            continue;
        }
        section(&mut out, assessment, verdict, layout, detail);
    }
    lines(&mut out, assessment, layout, only);
    match detail {
        Detail::Normal => worst_cases(&mut out, assessment, layout, only),
        Detail::All => cases(&mut out, assessment, layout, only),
    }
    if let Some(spread) = spread {
        out.push_str(&uncertainty::text(spread, layout, detail));
    }
    sources(&mut out, assessment, layout.width);
    closing(&mut out, assessment, layout.width);
    out
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
    let brief = detail == Detail::Normal && verdict == Verdict::Open;
    let waits = |f: &&Finding| brief && f.remedy.starts_with("see ");
    let (waiting, speaking): (Vec<&Finding>, Vec<&Finding>) = findings.into_iter().partition(waits);
    for entry in joined(&speaking, brief) {
        one(out, &entry, layout, brief);
    }
    waiting_lines(out, &waiting, layout.width);
}

/// Checks that only wait for another finding, counted by line and by what they wait for.
fn waiting_lines(out: &mut String, waiting: &[&Finding], width: usize) {
    let mut counts: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for finding in waiting {
        let line = finding.subject();
        *counts.entry((line, finding.remedy.trim_start_matches("see "))).or_default() += 1;
    }
    for ((line, code), count) in counts {
        let (checks, wait) = match count {
            1 => ("1 more check".to_owned(), "waits"),
            many => (format!("{many} more checks"), "wait"),
        };
        let text = format!("{checks} of {line} {wait} for {code}");
        out.push_str(&wrapped(&text, width, 2));
    }
}

/// Findings that say the same.
struct Entry<'f> {
    finding: &'f Finding,
    says: String,
    places: Vec<&'f str>,
    cases: Vec<&'f str>,
}

/// The same words are said once: for several cases of one place, and, where no number belongs to
/// them, for several places. What is open is joined by its reason.
fn joined<'f>(findings: &[&'f Finding], brief: bool) -> Vec<Entry<'f>> {
    let mut entries: Vec<Entry<'f>> = Vec::new();
    let mut known: BTreeMap<(&str, String, &str, bool), usize> = BTreeMap::new();
    for finding in findings {
        let says = if brief { reason(&finding.message) } else { finding.message.clone() };
        let numberless = brief || finding.value.is_none();
        let place = if numberless { "" } else { finding.place.as_str() };
        let key = (finding.code, says.clone(), place, finding.governing);
        let index = *known.entry(key).or_insert(entries.len());
        if index == entries.len() {
            entries.push(Entry { finding, says, places: Vec::new(), cases: Vec::new() });
        }
        let entry = &mut entries[index];
        if entry.places.last() != Some(&finding.place.as_str()) {
            entry.places.push(&finding.place);
        }
        let case = finding.case.as_deref().filter(|c| !entry.cases.contains(c));
        entry.cases.extend(case);
    }
    entries
}

fn one(out: &mut String, entry: &Entry<'_>, layout: Layout, brief: bool) {
    let finding = entry.finding;
    let cases = if entry.cases.is_empty() || brief {
        String::new()
    } else {
        let how = if finding.governing { "governed by" } else { "in" };
        format!("  {how} {}", entry.cases.join("; "))
    };
    let places = in_units(&entry.places.join("; "), layout.system);
    let head = format!("{}  {places}{cases}", finding.code);
    out.push_str(&wrapped(&head, layout.width, 2));
    out.push_str(&wrapped(&in_units(&entry.says, layout.system), layout.width, 4));
    if !brief {
        numbers(out, finding, layout);
    }
    if !finding.remedy.is_empty() {
        let remedy = in_units(&finding.remedy, layout.system);
        out.push_str(&wrapped(&format!("do: {remedy}"), layout.width, 4));
    }
}

/// Number, limit, margin and source of a finding.
fn numbers(out: &mut String, finding: &Finding, layout: Layout) {
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
        let source = format!("{} ({})", finding.source, finding.standing);
        out.push_str(&wrapped(&source, layout.width, 4));
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

/// The lines of the plan, or the one that is shown alone.
fn shown(assessment: &Assessment, only: Option<usize>) -> &[LineFacts] {
    let lines = &assessment.facts.lines[..];
    only.map_or(lines, |line| lines.get(line..=line).unwrap_or_default())
}

fn lines(out: &mut String, assessment: &Assessment, layout: Layout, only: Option<usize>) {
    let length = |name: &str| Column::Length.head(name, layout.system);
    let mut head = vec!["line".to_owned(), "of".to_owned()];
    head.extend(["path", "cut", "assembly"].map(length));
    head.push("slack %".to_owned());
    head.extend(["tightest", "allowed"].map(length));
    let mut grid = Grid::new(&[], &[2, 3, 4, 5, 6, 7]);
    grid.rows.extend(shown(assessment, only).iter().map(|l| line_row(l, layout.system)));
    if !grid.rows.is_empty() {
        out.push_str("\nLines\n");
        out.push_str(&grid.to_text_with(&head, layout.width));
    }
}

fn line_row(line: &LineFacts, system: System) -> Vec<String> {
    let geometry = line.geometry.as_ref().ok();
    let makeup = line.makeup.as_ref().ok();
    let mm =
        |value: Option<f64>| value.map_or("-".to_owned(), |v| Column::Length.number(v, system));
    let slack = makeup.filter(|m| m.slack_least.is_some()).map(|m| m.cut.slack_percent);
    vec![
        line.id.clone(),
        line.carrier.clone(),
        mm(geometry.map(|g| g.route.length_mm)),
        mm(makeup.map(|m| m.cut.cut_mm)),
        mm(makeup.map(|m| m.cut.assembly_mm)),
        slack.map_or("-".to_owned(), |s| format!("{s:.1}")),
        mm(geometry.and_then(|g| g.bends.iter().map(|b| b.radius_mm).reduce(f64::min))),
        mm(geometry.and_then(|g| g.allowed.as_ref()).map(AllowedRadius::drawn_mm)),
    ]
}

/// Heads of the tables of flow and pressure.
fn flow_head(system: System) -> Vec<String> {
    let pressure = |name: &str| Column::Pressure.head(name, system);
    let mut head = vec!["line".to_owned()];
    head.push(Column::Flow.head("flow", system));
    head.push(Column::Velocity.head("velocity", system));
    head.push("regime".to_owned());
    head.extend(["drop", "abs at A", "abs at B", "over vapour"].map(pressure));
    head
}

/// Columns of them that hold numbers.
const FLOW_NUMBERS: [usize; 6] = [1, 2, 4, 5, 6, 7];

/// Each line in the case that is worst for it, with the case by its letter.
fn worst_cases(out: &mut String, assessment: &Assessment, layout: Layout, only: Option<usize>) {
    let mut grid = Grid::new(&[], &FLOW_NUMBERS.map(|c| c + 1));
    let worst = shown(assessment, only).iter().filter_map(|line| {
        let worst = line.duties.iter().min_by(|a, b| severity(a).total_cmp(&severity(b)))?;
        Some((line, worst))
    });
    let worst: Vec<(&LineFacts, &DutyFacts)> = worst.collect();
    // Named cases are all listed; of the combined ones those that stand in the table.
    let cases = assessment.facts.cases.iter().enumerate();
    let named = |c: &CaseFacts| !c.combined && only.is_none();
    let listed = cases.filter(|(i, c)| named(c) || worst.iter().any(|(_, d)| d.case == *i));
    let listed: Vec<usize> = listed.map(|(i, _)| i).collect();
    for (line, duty) in worst {
        let place = listed.iter().position(|i| *i == duty.case).unwrap_or_default();
        let mut row = vec![letter(place)];
        row.extend(duty_row(&line.id, duty, layout.system));
        grid.rows.push(row);
    }
    if grid.rows.is_empty() {
        return;
    }
    let heading = "Flow and pressure, each line in its worst case (--all shows every case)";
    out.push('\n');
    out.push_str(&wrapped(heading, layout.width, 0));
    for (place, index) in listed.iter().enumerate() {
        let case = &assessment.facts.cases[*index];
        let air = pressure(case.ambient_pa, layout.system);
        let text = format!("{}: {}, air at {air} abs", letter(place), case.name);
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    let mut head = flow_head(layout.system);
    head.insert(0, "case".to_owned());
    out.push_str(&grid.to_text_with(&head, layout.width));
}

/// Small where a case is bad: what could not be computed, then the margin over the vapour pressure,
/// else the lowest pressure, else the greatest drop, Pa.
fn severity(duty: &DutyFacts) -> f64 {
    let Ok(flow) = &duty.flow else { return f64::NEG_INFINITY };
    let lowest = flow.pressures.as_ref().map(|p| p.lowest_pa);
    let margin = lowest.map(|lowest| lowest - flow.vapour_pa.unwrap_or(0.0));
    margin.unwrap_or(-flow.losses.drop_pa())
}

/// a, b, c ... for the cases; beyond 26, their number.
fn letter(case: usize) -> String {
    let letters = "abcdefghijklmnopqrstuvwxyz";
    letters.chars().nth(case).map_or_else(|| (case + 1).to_string(), String::from)
}

fn cases(out: &mut String, assessment: &Assessment, layout: Layout, only: Option<usize>) {
    for (index, case) in assessment.facts.cases.iter().enumerate() {
        let mut grid = Grid::new(&[], &FLOW_NUMBERS);
        let duties = shown(assessment, only)
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
            out.push_str(&grid.to_text_with(&flow_head(layout.system), layout.width));
        }
    }
}

fn duty_row(id: &str, duty: &DutyFacts, system: System) -> Vec<String> {
    let mut row = vec![id.to_owned(), Column::Flow.number(duty.flow_m3_s, system)];
    let Ok(facts) = &duty.flow else {
        let hot = temperature(duty.temperature_k, system);
        row.extend(["-".to_owned(), format!("open at {hot}")]);
        row.extend(["-"; 4].map(str::to_owned));
        return row;
    };
    let ends = facts.pressures.as_ref();
    let number = |p: Option<f64>| p.map_or("-".to_owned(), |p| Column::Pressure.number(p, system));
    row.push(Column::Velocity.number(facts.velocity_m_s, system));
    row.push(facts.friction.map_or("still", |f| regime_word(f.regime)).to_owned());
    row.push(number(Some(facts.losses.drop_pa())));
    row.push(number(ends.map(|p| p.from_pa)));
    row.push(number(ends.map(|p| p.to_pa)));
    row.push(number(ends.zip(facts.vapour_pa).map(|(p, v)| p.lowest_pa - v)));
    row
}

fn sources(out: &mut String, assessment: &Assessment, width: usize) {
    if assessment.tables.is_empty() {
        return;
    }
    let heading = "Tables used (hosewright tables KIND NAME shows their sources)";
    out.push('\n');
    out.push_str(&wrapped(heading, width, 0));
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
