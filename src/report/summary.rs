//! What a check found, on one screen: how it stands, what to mend first, and what to do next.

use core::fmt::Write;
use std::collections::BTreeSet;

use super::Layout;
use super::grid::wrapped;
use super::units::in_units;
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict, gathered};

/// Lines of a screen that the summary stays within, at 60 columns or more.
pub const SCREEN: usize = 24;
/// Places that are told, each with what is wrong there and what to do.
const MOST_PLACES: usize = 6;
/// Lines that the names of all that fails may take.
const MOST_NAMES: usize = 3;
/// Columns before what is said of a place.
const INDENT: usize = 4;

/// A verdict in words and, where the terminal shows it, in colour.
pub fn painted(verdict: Verdict) -> String {
    let code = match verdict {
        Verdict::Fail => "1;31",
        Verdict::Caution => "1;33",
        Verdict::Open => "1;36",
        Verdict::Ok => "1;32",
    };
    format!("\u{1b}[{code}m{}\u{1b}[0m", verdict.word())
}

/// The summary; `whole` if it is of the machine, not of one line.
pub fn text(assessment: &Assessment, layout: Layout, whole: bool) -> String {
    let mut out = String::new();
    let width = layout.width;
    out.push_str(&wrapped(&heading(assessment), width, 0));
    counts(&mut out, assessment, width);
    names(&mut out, assessment, width);
    weak(&mut out, assessment, width);
    let next = wrapped(&next(assessment, whole), width, 0);
    let used = out.lines().count() + next.lines().count();
    // A blank line before the places, their heading, a blank line behind them, and what is not told.
    let room = SCREEN.saturating_sub(used + 4) / 2;
    first(&mut out, assessment, layout, room.min(MOST_PLACES));
    out.push('\n');
    out.push_str(&next);
    out
}

fn heading(assessment: &Assessment) -> String {
    let plan = &assessment.plan;
    let revision = plan.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
    let many =
        |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
    let (lines, cases) = (many(plan.lines.len(), "line"), many(plan.cases.len(), "case"));
    format!("{}{revision}: {lines}, {cases}", plan.name)
}

fn counts(out: &mut String, assessment: &Assessment, width: usize) {
    let plain = Verdict::WORST_FIRST.map(|v| format!("{} {}", v.word(), assessment.count(v)));
    let between = if plain.join("   ").len() > width { "\n" } else { "   " };
    let counts = Verdict::WORST_FIRST.map(|v| format!("{} {}", painted(v), assessment.count(v)));
    let _ = writeln!(out, "{}", counts.join(between));
}

/// All that fails, by name: lines in the order of the plan, then the rest.
fn names(out: &mut String, assessment: &Assessment, width: usize) {
    let findings = &assessment.findings;
    let failing: BTreeSet<&str> =
        findings.iter().filter(|f| f.verdict == Verdict::Fail).map(Finding::subject).collect();
    if failing.is_empty() {
        return;
    }
    let lines: Vec<&str> = assessment.plan.lines.iter().map(|l| l.id.as_str()).collect();
    let known = lines.iter().copied().filter(|id| failing.contains(id));
    let others = failing.iter().copied().filter(|place| !lines.contains(place));
    let ids: Vec<&str> = known.chain(others).collect();
    for shown in (1..=ids.len()).rev() {
        let more = ids.len() - shown;
        let rest = if more == 0 { String::new() } else { format!(" and {more} more") };
        let text =
            wrapped(&format!("do not build yet: {}{rest}", ids[..shown].join(", ")), width, 0);
        if text.lines().count() <= MOST_NAMES || shown == 1 {
            out.push_str(&text);
            return;
        }
    }
}

fn weak(out: &mut String, assessment: &Assessment, width: usize) {
    let weak = |f: &&Finding| f.verdict == Verdict::Ok && f.standing.is_weak();
    let weak = assessment.findings.iter().filter(weak).count();
    if weak > 0 {
        let text = format!(
            "{weak} of the ok rest on figures that are remembered or invented; --strict shows them"
        );
        out.push_str(&wrapped(&text, width, 0));
    }
}

/// The places with the most that fails, else those with the most cautions; each with its first finding.
fn first(out: &mut String, assessment: &Assessment, layout: Layout, room: usize) {
    let worst = assessment.worst();
    let heading = match worst {
        Verdict::Fail => "Mend first",
        Verdict::Caution => "Look at first",
        Verdict::Open | Verdict::Ok => return,
    };
    let bad = assessment.findings.iter().filter(|f| f.verdict == worst);
    let mut places = gathered(bad, |f| f.subject());
    places.sort_by_key(|(_, of_place)| core::cmp::Reverse(of_place.len()));
    let _ = writeln!(out, "\n{heading}");
    for (place, of_place) in places.iter().take(room) {
        let Some(finding) = of_place.first() else { continue };
        let more = of_place.len() - 1;
        let more = if more == 0 { String::new() } else { format!(" (and {more} more)") };
        let says = in_units(&finding.message, layout.system);
        let head = format!("{place}{more}: {says}");
        let _ = writeln!(out, "{}", clipped(&head, layout.width, 2));
        let remedy = format!("do: {}", in_units(&finding.remedy, layout.system));
        let _ = writeln!(out, "{}", clipped(&remedy, layout.width, INDENT));
    }
    let left = places.len().saturating_sub(room);
    if left > 0 {
        let _ = writeln!(
            out,
            "{}",
            clipped(&format!("and {left} more places, below"), layout.width, 2)
        );
    }
}

/// One line of words after an indent; what does not fit is left out, and shown to be.
fn clipped(text: &str, width: usize, indent: usize) -> String {
    let room = width.saturating_sub(indent);
    let whole = text.chars().count() <= room;
    let mut line = " ".repeat(indent);
    if whole {
        line.push_str(text);
        return line;
    }
    let kept: String = text.chars().take(room.saturating_sub(4)).collect();
    let kept = kept.rsplit_once(' ').map_or(kept.as_str(), |(head, _)| head);
    line.push_str(kept.trim_end_matches([',', ';', ':']));
    line.push_str(" ...");
    line
}

/// What to do now.
fn next(assessment: &Assessment, whole: bool) -> String {
    let one = if whole { "; check --line ID tells one line alone, with a picture" } else { "" };
    match assessment.worst() {
        Verdict::Fail => {
            format!(
                "next: mend these and check again{one}; explain CODE says what a check looks at"
            )
        }
        Verdict::Caution => {
            format!("next: read the cautions{one}; book writes what to print, cut and sign")
        }
        Verdict::Open => format!("next: fill in what is open{one}"),
        Verdict::Ok => "next: book writes what to print, cut and sign".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::clipped;

    #[test]
    fn a_line_is_cut_between_words() {
        assert_eq!(clipped("one two three", 20, 2), "  one two three");
        assert_eq!(clipped("one two, three four", 15, 2), "  one two ...");
        assert!(clipped(&"x".repeat(300), 20, 2).chars().count() <= 20);
    }
}
