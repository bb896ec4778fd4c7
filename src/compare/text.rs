//! A comparison for a person at a terminal: on one screen, or all of it.

use core::fmt::Write;
use std::collections::BTreeMap;

use super::cards::CardChange;
use super::figures::Figure;
use super::judged::{Became, Judged};
use super::ordered::Ordered;
use super::{Comparison, Part};
use crate::diagnostic::visible;
use crate::finding::{Finding, Verdict};
use crate::report::Layout;
use crate::report::grid::wrapped;
use crate::report::units::{in_units, value};

/// Rows of a screen.
const SCREEN: usize = 24;
/// So many findings are shown before more of anything else.
const FIRST_FINDINGS: usize = 5;

/// A part of the report: its heading, and one sentence for each thing.
struct Section {
    heading: &'static str,
    entries: Vec<String>,
    same: usize,
}

/// The report: what fits on one screen, or every change.
pub fn text(found: &Comparison<'_>, layout: Layout, all: bool) -> String {
    let mut out = head(found, layout);
    let sections = sections(found, layout, all);
    if sections.iter().all(|s| s.entries.is_empty()) {
        let same: usize = sections.iter().map(|s| s.same).sum();
        out.push_str(&wrapped(
            &format!("nothing changed: {same} things are the same"),
            layout.width,
            0,
        ));
        return out;
    }
    let room = SCREEN.saturating_sub(out.lines().count() + 2);
    let shares = if all {
        sections.iter().map(|s| s.entries.len()).collect()
    } else {
        shares(&sections, room)
    };
    for (section, share) in sections.iter().zip(&shares) {
        written(&mut out, section, *share, layout, all);
    }
    let cut = shares.iter().sum::<usize>() < sections.iter().map(|s| s.entries.len()).sum();
    if cut {
        out.push_str(&wrapped("--all lists every change in full", layout.width, 0));
    }
    out
}

fn head(found: &Comparison<'_>, layout: Layout) -> String {
    let [old, new] = &found.titles;
    let mut out = wrapped(&visible(&format!("{old} -> {new}")), layout.width, 0);
    let [before, after] = found.counts;
    let counts = Verdict::WORST_FIRST.iter().zip(before.iter().zip(after));
    let counts: Vec<String> = counts.map(|(v, (a, b))| format!("{v} {a} -> {b}")).collect();
    out.push_str(&wrapped(&counts.join("   "), layout.width, 0));
    let count = |became| found.findings.changes.iter().filter(|j| j.became == became).count();
    let sentence = format!(
        "findings: {} worse, {} better, {} with less margin, {} moved, {} came and {} went as ok, {} the same",
        count(Became::Worse),
        count(Became::Better),
        count(Became::Nearer),
        count(Became::Farther),
        count(Became::CameOk),
        count(Became::WentOk),
        found.findings.same
    );
    out.push_str(&wrapped(&sentence, layout.width, 0));
    out
}

/// How many entries of each section are shown: rows are dealt out one by one.
fn shares(sections: &[Section], room: usize) -> Vec<usize> {
    let heads = sections.iter().filter(|s| !s.entries.is_empty()).count();
    let mut left = room.saturating_sub(heads);
    let mut shares = vec![0; sections.len()];
    let mut deal = |share: &mut usize, section: &Section, upto: usize| {
        let given = upto.min(section.entries.len()).saturating_sub(*share).min(left);
        *share += given;
        left -= given;
    };
    // One of each, then the findings, which matter most, then the others in turn.
    shares.iter_mut().zip(sections).for_each(|(share, section)| deal(share, section, 1));
    if let (Some(share), Some(section)) = (shares.first_mut(), sections.first()) {
        deal(share, section, FIRST_FINDINGS);
    }
    for upto in 2..=room {
        shares.iter_mut().zip(sections).for_each(|(share, section)| deal(share, section, upto));
    }
    shares
}

fn written(out: &mut String, section: &Section, share: usize, layout: Layout, all: bool) {
    let count = section.entries.len();
    if count == 0 {
        return;
    }
    let shown = if share < count { format!("{share} of {count} shown") } else { count.to_string() };
    let same = section.same;
    let heading = format!("{} ({shown}; {same} the same)", section.heading);
    out.push_str(&wrapped(&heading, layout.width, 0));
    for entry in section.entries.iter().take(share) {
        if all {
            for (index, line) in entry.lines().enumerate() {
                out.push_str(&wrapped(line, layout.width, if index == 0 { 2 } else { 4 }));
            }
        } else {
            let first = entry.lines().next().unwrap_or_default();
            let _ = writeln!(out, "  {}", shortened(first, layout.width.saturating_sub(2)));
        }
    }
}

/// As much of a sentence as a row holds.
fn shortened(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let kept: String = text.chars().take(width.saturating_sub(3)).collect();
    format!("{}...", kept.trim_end())
}

fn sections(found: &Comparison<'_>, layout: Layout, all: bool) -> Vec<Section> {
    let spoken = |j: &&Judged<'_>| all || !matches!(j.became, Became::CameOk | Became::WentOk);
    let judged: Vec<&Judged<'_>> = found.findings.changes.iter().filter(spoken).collect();
    let findings = if all {
        judged.iter().map(|j| finding(j, 0, layout)).collect()
    } else {
        by_place(&judged, layout)
    };
    let by_line = |part: &Part<Figure>| by_line(&part.changes, layout, all);
    vec![
        Section { heading: "Findings", entries: findings, same: found.findings.same },
        part("The plan", &found.plan, |c| in_units(&c.says(), layout.system)),
        Section {
            heading: "Lengths and angles",
            entries: by_line(&found.lengths),
            same: found.lengths.same,
        },
        Section {
            heading: "Flow and pressure",
            entries: by_line(&found.flows),
            same: found.flows.same,
        },
        part("The order", &found.order, ordered),
        part("Cards that no longer hold", &found.cards, |c| card(c, layout)),
    ]
}

/// What became of one place in several cases is said once, in the worst of them.
fn by_place(judged: &[&Judged<'_>], layout: Layout) -> Vec<String> {
    let mut groups: Vec<(&Judged<'_>, usize)> = Vec::new();
    let mut known = BTreeMap::new();
    for one in judged {
        let verdict = |f: Option<&Finding>| f.map(|f| f.verdict);
        let told = one.told().map(|f| (f.code, f.place.as_str()));
        let key = (told, verdict(one.old), verdict(one.new));
        let index = *known.entry(key).or_insert(groups.len());
        match groups.get_mut(index) {
            Some((_, more)) => *more += 1,
            None => groups.push((one, 0)),
        }
    }
    groups.into_iter().map(|(first, more)| finding(first, more, layout)).collect()
}

fn part<T>(heading: &'static str, part: &Part<T>, entry: impl Fn(&T) -> String) -> Section {
    Section { heading, entries: part.changes.iter().map(entry).collect(), same: part.same }
}

/// Verdicts, what was looked at and what it says; in all of it also the numbers and what to do.
fn finding(judged: &Judged<'_>, more: usize, layout: Layout) -> String {
    let Some(told) = judged.told() else { return String::new() };
    let verdict = |f: Option<&Finding>| f.map_or("not there", |f| f.verdict.word());
    let (was, is) = (verdict(judged.old), verdict(judged.new));
    let verdicts = if was == is { is.to_owned() } else { format!("{is}, was {was}") };
    let mut case = told.case.as_deref().map_or(String::new(), |c| format!(" in {c}"));
    if more > 0 {
        let _ = write!(case, " (and {more} more)");
    }
    let numbers = judged.old.zip(judged.new).and_then(|(old, new)| {
        let shown = |n: f64| value(n, new.unit, layout.system);
        let (was, is) = (shown(old.value?), shown(new.value?));
        Some(format!("{was} -> {is} against {}", new.limit.map_or("no limit".into(), shown)))
    });
    let says = in_units(&told.message, layout.system);
    let place = in_units(&told.place, layout.system);
    let brief = match &numbers {
        Some(numbers) if was == is => numbers.clone(),
        _ => says.clone(),
    };
    let mut text = format!("{verdicts}: {} {place}{case}: {brief}", told.code);
    let rest = [numbers, Some(says)].into_iter().flatten();
    for more in rest.filter(|said| *said != brief) {
        let _ = write!(text, "\n{more}");
    }
    if !told.remedy.is_empty() && judged.new.is_some() {
        let _ = write!(text, "\ndo: {}", in_units(&told.remedy, layout.system));
    }
    text
}

/// Figures of each line; on one screen the one that changed most of what flows.
fn by_line(figures: &[Figure], layout: Layout, all: bool) -> Vec<String> {
    let mut lines: Vec<(&str, Vec<&Figure>)> = Vec::new();
    for figure in figures {
        match lines.iter_mut().find(|(id, _)| *id == figure.of) {
            Some((_, list)) => list.push(figure),
            None => lines.push((&figure.of, vec![figure])),
        }
    }
    let one = |(id, list): (&str, Vec<&Figure>)| {
        let kept = if all || list.iter().all(|f| f.case.is_none()) { list.len() } else { 1 };
        let said: Vec<String> = list.iter().take(kept).map(|f| figure(f, layout)).collect();
        let more = match list.len() - kept {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        format!("{id}: {}{more}", said.join("; "))
    };
    lines.into_iter().map(one).collect()
}

fn figure(figure: &Figure, layout: Layout) -> String {
    let shown =
        |n: Option<f64>| n.map_or("open".to_owned(), |n| value(n, figure.unit, layout.system));
    let case = figure.case.as_deref().map_or(String::new(), |c| format!(" in {c}"));
    let by = figure.percent().map_or(String::new(), |p| format!(" ({p:+.1} %)"));
    format!("{} {} -> {}{by}{case}", figure.what, shown(figure.old), shown(figure.new))
}

fn ordered(item: &Ordered) -> String {
    let number = |n: f64| if item.unit == "m" { format!("{n:.2}") } else { format!("{n:.0}") };
    format!("{}: {} -> {} {}", item.what, number(item.old), number(item.new), item.unit)
}

fn card(change: &CardChange, layout: Layout) -> String {
    let now = change.come.first().map_or(String::new(), |said| format!("; now: {said}"));
    let now = in_units(&now, layout.system);
    let mut text = format!("{}: code {} -> {}{now}", change.line, change.old, change.new);
    for (mark, list) in [("-", &change.gone), ("+", &change.come)] {
        for said in list {
            let _ = write!(text, "\n{mark} {}", in_units(said, layout.system));
        }
    }
    text
}
