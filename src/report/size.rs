//! Sizes of the lines for a person: what passes, what rejects the next smaller, and the fewest sizes.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::{flow, in_units, length, pressure, temperature, value};
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::plan::{Line, PathLaw, Plan};
use crate::size::{Candidate, Change, Elsewhere, LineSizing, Noted, Sizing, TableSet};
use crate::units::{Quantity, System};

/// The report of `size`.
pub fn text(assessment: &Assessment, sizing: &Sizing, layout: Layout) -> String {
    let mut out = String::new();
    let heading = format!("Sizes for {}", assessment.plan.name);
    out.push_str(&wrapped(&heading, layout.width, 0));
    overview(&mut out, &assessment.plan, sizing, layout);
    for line in &sizing.lines {
        one_line(&mut out, &assessment.plan, line, layout);
    }
    elsewhere_at_fault(&mut out, &assessment.plan, sizing, layout);
    sets(&mut out, &assessment.plan, sizing, layout);
    closing(&mut out, assessment, layout.width);
    out
}

fn overview(out: &mut String, plan: &Plan, sizing: &Sizing, layout: Layout) {
    let head = ["line", "planned", "smallest", "bore", "next smaller is rejected by"];
    let mut grid = Grid::new(&head, &[3]);
    for line in &sizing.lines {
        let size = |index: Option<usize>| {
            index.and_then(|i| line.candidates.get(i)).map_or("-", |c| c.size.as_str()).to_owned()
        };
        let bore = line.chosen().and_then(|c| c.bore_mm);
        let why = line.next_smaller().and_then(|c| c.rejected.first());
        grid.rows.push(vec![
            plan.lines[line.line].id.clone(),
            size(line.planned),
            if line.not_judged.is_some() {
                "open".into()
            } else if line.smallest.is_none() {
                "none".into()
            } else {
                size(line.smallest)
            },
            bore.map_or("-".into(), |b| length(b, layout.system)),
            why.map_or("-".into(), |f| f.code.to_owned()),
        ]);
    }
    out.push_str(&grid.to_text(layout.width));
}

fn one_line(out: &mut String, plan: &Plan, sizing: &LineSizing, layout: Layout) {
    let line = &plan.lines[sizing.line];
    let name = line.name.as_deref().map_or(String::new(), |n| format!(", {n}"));
    let of = sizing.table.as_deref().map_or(String::new(), |t| format!(", {t}"));
    out.push('\n');
    out.push_str(&wrapped(&format!("{}{name}{of}: {}", line.id, outcome(sizing)), layout.width, 0));
    if sizing.table.is_none() {
        let own = "the plan describes its hose or tube, so there is no other size to try";
        out.push_str(&wrapped(own, layout.width, 2));
    }
    if let Some(why) = &sizing.not_judged {
        out.push_str(&wrapped(&in_units(why, layout.system), layout.width, 2));
    }
    if let Some(chosen) = sizing.chosen() {
        match sizing.next_smaller() {
            Some(next) => rejection(out, next, layout),
            None if sizing.table.is_some() => {
                out.push_str(&wrapped("no smaller size is known", layout.width, 2));
            }
            None => {}
        }
        goes_with(out, line, chosen, layout);
    } else if sizing.not_judged.is_none() {
        rejections(out, sizing, layout);
        changes(out, plan, sizing, layout);
    }
    for finding in sizing.always.iter().filter(|f| !of_machine(f)) {
        let text = format!("at every size: {}", said(finding, layout.system));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

/// Whether a finding is about the machine and not about one line.
fn of_machine(finding: &Finding) -> bool {
    finding.code.starts_with("network.")
}

/// Every candidate with what rejects it; those that only do not go over their spigots in one sentence.
fn rejections(out: &mut String, sizing: &LineSizing, layout: Layout) {
    let only_spigots = |c: &&Candidate| c.rejected.iter().all(|f| f.code == "fitting.mating");
    let (spigots, others): (Vec<&Candidate>, Vec<&Candidate>) =
        sizing.candidates.iter().partition(only_spigots);
    for candidate in others {
        rejection(out, candidate, layout);
    }
    if !spigots.is_empty() {
        let sizes: Vec<&str> = spigots.iter().map(|c| c.size.as_str()).collect();
        let text = format!("not of the size of its spigots: {}", sizes.join(", "));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

/// What fails in the machine and is no matter of the size of the lines it is said of.
fn elsewhere_at_fault(out: &mut String, plan: &Plan, sizing: &Sizing, layout: Layout) {
    let mut entries: Vec<(&Finding, Vec<&str>)> = Vec::new();
    for line in &sizing.lines {
        let id = plan.lines[line.line].id.as_str();
        for finding in line.always.iter().filter(|f| of_machine(f)) {
            let same = |e: &&mut (&Finding, Vec<&str>)| {
                e.0.code == finding.code && e.0.place == finding.place && e.0.limit == finding.limit
            };
            match entries.iter_mut().find(same) {
                Some((_, lines)) if lines.last() != Some(&id) => lines.push(id),
                Some(_) => {}
                None => entries.push((finding, vec![id])),
            }
        }
    }
    if !entries.is_empty() {
        out.push_str("\nFails whatever the size of these lines\n");
    }
    for (finding, lines) in entries {
        let text = format!("{}: {}", lines.join(", "), said(finding, layout.system));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn outcome(sizing: &LineSizing) -> String {
    if sizing.not_judged.is_some() {
        return "open".into();
    }
    let Some(chosen) = sizing.chosen() else { return "no size passes".into() };
    let planned = match sizing.planned.map(|p| Some(p).cmp(&sizing.smallest)) {
        Some(core::cmp::Ordering::Equal) => "as planned".to_owned(),
        Some(core::cmp::Ordering::Greater) => {
            format!("planned {}, larger than needed", planned_size(sizing))
        }
        _ => format!("planned {}, which does not pass", planned_size(sizing)),
    };
    format!("{} passes ({planned})", chosen.size)
}

fn planned_size(sizing: &LineSizing) -> &str {
    let planned = sizing.planned.and_then(|p| sizing.candidates.get(p));
    planned.map_or("", |c| c.size.as_str())
}

/// What rejects a candidate: the first in full, the others by their codes.
fn rejection(out: &mut String, candidate: &Candidate, layout: Layout) {
    let Some((first, others)) = candidate.rejected.split_first() else { return };
    let bore =
        candidate.bore_mm.map_or(String::new(), |b| format!(", bore {}", length(b, layout.system)));
    let mut codes: Vec<&str> = others.iter().map(|f| f.code).filter(|c| *c != first.code).collect();
    codes.sort_unstable();
    codes.dedup();
    let more =
        if codes.is_empty() { String::new() } else { format!("; also {}", codes.join(", ")) };
    let text =
        format!("{}{bore}: rejected by {}{more}", candidate.size, said(first, layout.system));
    out.push_str(&wrapped(&text, layout.width, 2));
}

/// A finding in one sentence: code, place, number against limit, case.
pub fn said(finding: &Finding, system: System) -> String {
    let mut text = format!("{} {}: ", finding.code, in_units(&finding.place, system));
    match finding.value.zip(finding.limit).filter(|_| finding.verdict != Verdict::Caution) {
        Some((number, limit)) => {
            let shown = |n: f64| value(n, finding.unit, system);
            let _ = write!(text, "{} against {}", shown(number), shown(limit));
        }
        None => text.push_str(&in_units(&finding.message, system)),
    }
    if finding.verdict == Verdict::Caution {
        text.push_str(", worse than as planned");
    }
    if let Some(case) = &finding.case {
        let how = if finding.governing { "governed by" } else { "in" };
        let _ = write!(text, ", {how} {case}");
    }
    text
}

fn goes_with(out: &mut String, line: &Line, chosen: &Candidate, layout: Layout) {
    for note in notes(line, chosen) {
        out.push_str(&wrapped(&in_units(&note, layout.system), layout.width, 2));
    }
    for misfit in &chosen.misfits {
        let text = format!("needs other ports or adapters: {}", said(misfit, layout.system));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    let mut open: Vec<&str> = chosen.open.iter().map(|f| f.code).collect();
    open.sort_unstable();
    open.dedup();
    if !open.is_empty() {
        let text = format!("not judged at this size: {}", open.join(", "));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

/// What goes with a size, in sentences.
pub fn notes(line: &Line, candidate: &Candidate) -> Vec<String> {
    let end = |i: usize| {
        let name = if i == 0 { "A" } else { "B" };
        let label = line.ends[i].as_ref().map_or("", |e| e.label.as_str());
        format!("end {name} stays {label}: it is not known in size {}", candidate.size)
    };
    let loss = |i: usize| line.losses.get(i).map_or("", |l| l.what.as_str());
    let one = |note: &Noted| match note {
        Noted::KeptEnd(i) => end(*i),
        Noted::MovedLoss(i) => {
            format!("\"{}\" was on the bore of the line and is counted on the new one", loss(*i))
        }
        Noted::KeptLoss(i) => format!("\"{}\" stays on the bore that the plan gives it", loss(*i)),
    };
    candidate.noted.iter().map(one).collect()
}

fn changes(out: &mut String, plan: &Plan, sizing: &LineSizing, layout: Layout) {
    let Some(helped) = sizing.helped.and_then(|i| sizing.candidates.get(i)) else {
        let text = "a change elsewhere was not looked for: every size is rejected by more than flow and pressure";
        return out.push_str(&wrapped(text, layout.width, 2));
    };
    if sizing.changes.is_empty() {
        let text = format!(
            "no single change of a resistance, of the height or of the temperature makes {} pass",
            helped.size
        );
        return out.push_str(&wrapped(&text, layout.width, 2));
    }
    let text = format!("smallest changes elsewhere, each of which makes {} pass:", helped.size);
    out.push_str(&wrapped(&text, layout.width, 2));
    for change in &sizing.changes {
        out.push_str(&wrapped(&change_text(plan, change, layout.system), layout.width, 4));
    }
    for note in notes(&plan.lines[sizing.line], helped) {
        out.push_str(&wrapped(&in_units(&note, layout.system), layout.width, 2));
    }
}

/// A change in one sentence.
pub fn change_text(plan: &Plan, change: &Change, system: System) -> String {
    match &change.what {
        Elsewhere::Path { component, path, share, law } => {
            let component = &plan.components[*component];
            let mut text = format!(
                "{} {} {} at {} of its resistance",
                component.kind,
                component.id,
                component.paths[*path].name,
                share_text(*share)
            );
            text.push_str(&law_text(law, system));
            if let Some(takes) = change.takes_pa {
                let _ = write!(text, "; it takes {} there as planned", pressure(takes, system));
            }
            text
        }
        Elsewhere::Loss { line, what, share } => {
            format!("\"{what}\" of {line} at {} of its resistance", share_text(*share))
        }
        Elsewhere::Height { most_m, planned_m } => {
            format!("no higher than {:.0} m instead of {planned_m:.0} m", most_m.floor())
        }
        Elsewhere::Warmth { fluid, most_k, planned_k } => format!(
            "{} no warmer than {} instead of {}",
            plan.fluids[*fluid].id,
            // Rounded down: at half a degree more it would not pass.
            temperature((most_k - 273.15).floor() + 273.15, system),
            temperature(*planned_k, system)
        ),
    }
}

/// A share rounded down, since more of it would not pass.
fn share_text(share: f64) -> String {
    let steps = if share < 0.1 { 1000.0 } else { 100.0 };
    let places = if share < 0.1 { 3 } else { 2 };
    format!("{:.places$}", (share * steps).floor() / steps)
}

fn law_text(law: &PathLaw, system: System) -> String {
    match law {
        PathLaw::Measured { drop, at, .. } => {
            format!(", that is {} at {}", pressure(drop.si(), system), flow(at.si(), system))
        }
        PathLaw::Coefficient { k, bore } => {
            format!(", that is k = {k:.2} on {}", length(bore.si() * 1e3, system))
        }
        PathLaw::Valve(kv) => format!(", that is Kv {:.3} m3/h", kv.si() * 3600.0),
        _ => String::new(),
    }
}

fn sets(out: &mut String, plan: &Plan, sizing: &Sizing, layout: Layout) {
    if sizing.sets.is_empty() {
        return;
    }
    out.push_str("\nFewest sizes\n");
    for set in &sizing.sets {
        out.push_str(&wrapped(&set_text(plan, set), layout.width, 2));
    }
    match &sizing.together {
        None => {}
        Some(together) if together.fails.is_empty() => {
            let text = "all fitted at once and checked again: the set holds together";
            out.push_str(&wrapped(text, layout.width, 2));
        }
        Some(together) => {
            let text = "all fitted at once and checked again: the set does not hold together";
            out.push_str(&wrapped(text, layout.width, 2));
            for finding in &together.fails {
                out.push_str(&wrapped(&said(finding, layout.system), layout.width, 4));
            }
        }
    }
}

fn set_text(plan: &Plan, set: &TableSet) -> String {
    let id = |line: &usize| plan.lines[*line].id.as_str();
    let by_size = set.sizes.iter().map(|size| {
        let lines = set.lines.iter().filter(|(_, s)| s == size).map(|(l, _)| id(l));
        format!("{size} for {}", lines.collect::<Vec<_>>().join(", "))
    });
    let mut parts: Vec<String> = by_size.collect();
    if !set.without.is_empty() {
        let without: Vec<&str> = set.without.iter().map(id).collect();
        parts.push(format!("none for {}", without.join(", ")));
    }
    let unproven = if set.proven {
        ""
    } else {
        " (the smallest of each line: too many sizes to try all sets)"
    };
    format!("{}: {}{unproven}", set.table, parts.join("; "))
}
